"""The pin between its bosses and the rod: bending, shear, ovalization, and the first and last together; and the bosses it presses on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from borewright.calculations.strength.hot_strength import HotStrength
from borewright.calculations.strength.stressed import ARRAYS, GOODMAN, Loading, Stressed, add, needed, swinging, tired, unknown, yielding
from borewright.physics.arrays import FloatArray
from borewright.physics.stress import (
    bearing_pressure,
    boss_bearing_length,
    mean_and_alternating,
    pin_bending_moment,
    pin_bending_stress,
    pin_ovalization_stresses,
    pin_shear_stress,
    sines_stresses,
)
from borewright.physics.stress.endurance import biaxial_equivalent_stress, surface_factor
from borewright.practice.tables import table

BENDING = (
    "N. Kolchin and V. Demidov, Design of Automotive Engines, piston pin (from memory): the rod presses evenly, "
    "each boss nearer its inner edge"
)
SHEAR = "W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, hollow circular section"
OVAL = "S. P. Timoshenko, Strength of Materials, part II, circular rings; the load's arc as N. Kolchin and V. Demidov (from memory)"
BEARING = "R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32"
TOGETHER = "G. Sines, NACA TN 3495 (1955), from memory"
MULTIAXIAL = (
    "fatigue by Sines: von Mises' amplitude, and the sum of the mean stresses with their signs on Goodman's line; "
    "or yield of the surface by von Mises, whichever is nearer to its factor wanted"
)
LOCAL = f"{GOODMAN}; at the surface, with the yield of its hardened layer where it has one"
PRESSED = "mean pressure against yield"
LEAST_HOLE = 0.2


def stressed_pin(pin: Mapping[str, Any], rod: Mapping[str, Any], loading: Loading, hot: HotStrength | None) -> Iterator[Stressed]:
    """Everything that can break a pin, place by place. Inertia at exhaust top dead center loads it the other way round than the gas.

    pin, rod : the request's parts, every number a column (states, 1) [SI]
    hot : None where the material is not given

    >>> ones = np.ones((1, 1))
    >>> loading = Loading(6e6 * ones, 40e3 * ones, 40e3 * ones, 10e3 * ones, 12e3 * ones)
    >>> pin = {"outer": 0.022 * ones, "inner": 0.012 * ones, "length": 0.06 * ones}
    >>> rows = list(stressed_pin(pin, {}, loading, None))
    >>> rows[0].lacking
    'not known: add pin.material and pin.boss_span and rod.small_end_width'
    >>> round(float(rows[1].stress[0, 0]) / 1e6, 1)
    141.8
    """
    down, up = loading.press_pin, loading.pull_pin
    D, d = pin["outer"], pin["inner"]
    worst = np.maximum(down, up)
    shear = pin_shear_stress(worst, D, d)
    hole = np.maximum(d, LEAST_HOLE * D)
    # stresses around the pin are those of a newton times the load
    newton = np.stack(pin_ovalization_stresses(np.ones_like(D), D, hole, pin["length"]))
    oval = newton * worst
    oval_shown = np.max(np.abs(oval), axis=0)
    lacking = needed(pin, "pin", "material", "boss_span") + needed(rod, "rod", "small_end_width")
    bend = None
    if "boss_span" in pin and "small_end_width" in rod:
        bent = pin_bending_stress(pin_bending_moment(np.ones_like(D), pin["length"], pin["boss_span"], rod["small_end_width"]), D, d)
        bend = bent * down, bent * up
    if hot is None or bend is None:
        shown = np.full((1, 1), np.nan) if bend is None else np.maximum(bend[0], bend[1])
        yield unknown("pin-bending", "pin", GOODMAN, BENDING, add(lacking), worst, shown)
    else:
        yield tired("pin-bending", "pin", worst, (bend[0], -bend[1]), hot, _surface(hot), BENDING)
    if hot is None:
        material = add(["pin.material"])
        yield unknown("pin-shear", "pin", GOODMAN, SHEAR, material, worst, shear)
        yield unknown("pin-ovalization", "pin", GOODMAN, OVAL, material, worst, oval_shown)
    else:
        yield _sheared(pin, (down, up), worst, shear, hot)
        yield from _oval(oval, oval_shown, worst, hot)
    if hot is None or bend is None:
        yield unknown("pin-combined", "pin", GOODMAN, TOGETHER, add(lacking), worst)
    else:
        yield from _combined(pin, (down, up), bend, (newton[0], newton[1]), hot)


def _sheared(
    pin: Mapping[str, Any], forces: tuple[FloatArray, FloatArray], worst: FloatArray, shear: FloatArray, hot: HotStrength
) -> Stressed:
    """Shear beside the rod. Sines: its mean does not tire; it yields at the worse end."""
    D, d = pin["outer"], pin["inner"]
    down, up = (np.sqrt(3.0) * pin_shear_stress(force, D, d) for force in forces)
    method = f"{GOODMAN}; the shear counts as √3 times a tension (von Mises), its mean not at all (Sines)"
    swing = np.zeros_like(down), (down + up) / 2.0
    yields = hot.tensile_yield / np.maximum(down, up)
    return swinging("pin-shear", "pin", worst, swing, shear, hot, _surface(hot), SHEAR, method, yields)


def _surface(hot: HotStrength) -> FloatArray:
    """Share of the fatigue strength that the pin's surface leaves: that of a ground one; a hardened layer is rated as it is."""
    if hot.material in table("strength").row("hardened").values["materials"]:
        return np.ones((1, 1))
    ground = table("strength").row("surface_ground")
    return surface_factor(hot.ultimate, ground.si("coefficient"), ground.si("exponent"))


def _oval(oval: FloatArray, shown: FloatArray, worst: FloatArray, hot: HotStrength) -> Iterator[Stressed]:
    """The four places around the pin; each load presses it oval the same way, so the stress comes and goes."""
    swings = [mean_and_alternating(place, np.zeros_like(place)) for place in oval]
    yields, surface = hot.local_yield / shown, _surface(hot)
    for swing in swings:
        yield swinging("pin-ovalization", "pin", worst, swing, shown, hot, surface, OVAL, LOCAL, yields)


def _combined(
    pin: Mapping[str, Any],
    forces: tuple[FloatArray, FloatArray],
    bend: tuple[FloatArray, FloatArray],
    hoop: tuple[FloatArray, FloatArray],
    hot: HotStrength,
) -> Iterator[Stressed]:
    """Bending and ovalization under the load, at right angles to each other, at the hole and outside, on the side of the rod and over it.

    hoop : stress around the pin of a newton, at the hole and outside [Pa/N]
    """
    down, up = forces
    load, surface = np.maximum(down, up), _surface(hot)
    source = f"{BENDING}; {OVAL}; {TOGETHER}"
    for around, depth in ((hoop[0], pin["inner"] / pin["outer"]), (hoop[1], 1.0)):
        ring = around * down, around * up
        for side in (1.0, -1.0):
            along = side * depth * bend[0], -side * depth * bend[1]
            swing = sines_stresses(along, ring)
            ends = [biaxial_equivalent_stress(one, other) for one, other in zip(along, ring, strict=True)]
            largest = np.maximum(*ends)
            # both directions together yield by von Mises, not by mean and amplitude
            yields = hot.local_yield / largest
            yield swinging("pin-combined", "pin", load, swing, largest, hot, surface, source, MULTIAXIAL, yields)


def worst_of(rows: Sequence[Stressed]) -> Stressed:
    """Of several places of one part, the one with the least margin at each state and condition.

    >>> strong = Stressed("pin", "pin", *(np.ones((1, 1)) for _ in range(8)), None, "", "", "")
    >>> weak = strong.arrays(lambda each: 0.5 * each)
    >>> float(worst_of([strong, weak.holding({"wanted": strong.wanted})]).factor[0, 0])
    0.5
    """
    if len(rows) == 1:
        return rows[0]
    margins = np.stack(np.broadcast_arrays(*(row.margin for row in rows)))
    place = np.argmin(np.where(np.isnan(margins), np.inf, margins), axis=0)[None]

    def picked(name: str) -> FloatArray:
        if all(getattr(row, name) is getattr(rows[0], name) for row in rows):
            return np.asarray(getattr(rows[0], name))
        every = np.stack([np.broadcast_to(getattr(row, name), margins.shape[1:]) for row in rows])
        return np.asarray(np.take_along_axis(every, place, 0)[0])

    found = {name: None if getattr(rows[0], name) is None else picked(name) for name in ARRAYS}
    return rows[0].holding(found)


def stressed_bosses(pin: Mapping[str, Any], loading: Loading, hot: HotStrength) -> Stressed:
    """Mean pressure of the pin on the bosses, against the yield strength of the piston there.

    >>> ones = np.ones((1, 1))
    >>> loading = Loading(6e6 * ones, 40e3 * ones, 40e3 * ones, 10e3 * ones, 12e3 * ones)
    >>> pin = {"outer": 0.022 * ones, "length": 0.06 * ones, "boss_span": 0.024 * ones}
    >>> from borewright.calculations.strength.hot_strength import hot_strength
    >>> piston = hot_strength("2618", 473.15 * ones, "temperatures.pin_boss")
    >>> round(float(stressed_bosses(pin, loading, piston).factor[0, 0]), 3)
    4.554
    """
    worst = np.maximum(loading.press_pin, loading.pull_pin)
    if "boss_span" not in pin:
        return unknown("pin-boss-bearing", "piston", PRESSED, BEARING, add(["pin.boss_span"]), worst)
    pressure = bearing_pressure(worst, pin["outer"], boss_bearing_length(pin["length"], pin["boss_span"]))
    return yielding("pin-boss-bearing", "piston", worst, pressure, hot, BEARING, PRESSED, by="bearing")
