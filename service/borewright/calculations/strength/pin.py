"""The pin between its bosses and the rod: bending, shear, ovalisation, and the first and last together; and the bosses it presses on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.strength.hot_strength import HotStrength
from borewright.calculations.strength.stressed import GOODMAN, YIELD, Loading, Stressed, add, needed, swinging, tired, unknown, yielding
from borewright.physics.arrays import FloatArray
from borewright.physics.stress import (
    bearing_pressure,
    boss_bearing_length,
    goodman_factor,
    mean_and_alternating,
    pin_bending_moment,
    pin_bending_stress,
    pin_ovalisation_stresses,
    pin_shear_stress,
)
from borewright.physics.stress.endurance import biaxial_equivalent_stress, surface_factor
from borewright.practice.tables import table

BENDING = "R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32; each boss and the rod press evenly over what they hold"
SHEAR = "W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, hollow circular section"
OVAL = "S. P. Timoshenko, Strength of Materials, part II, circular rings"
BEARING = "R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32"
TOGETHER = "von Mises of both (J. E. Shigley and C. R. Mischke, Mechanical Engineering Design)"
LEAST_HOLE = 0.2


def stressed_pin(pin: Mapping[str, Any], rod: Mapping[str, Any], loading: Loading, hot: HotStrength | None) -> list[Stressed]:
    """Everything that can break a pin. Inertia at exhaust top dead centre loads it the other way round than the gas.

    pin, rod : the request's parts, every number a column (states, 1) [SI]
    hot : None where the material is not given

    >>> ones = np.ones((1, 1))
    >>> loading = Loading(40e3 * ones, 6e6 * ones, 10e3 * ones, 12e3 * ones, ones)
    >>> pin = {"outer": 0.022 * ones, "inner": 0.012 * ones, "length": 0.06 * ones}
    >>> rows = stressed_pin(pin, {}, loading, None)
    >>> rows[0].lacking
    'not known: add pin.material and pin.boss_span and rod.small_end_width'
    >>> round(float(rows[1].stress[0, 0]) / 1e6, 1)
    141.8
    """
    down, up = loading.gas, loading.pull_pin
    D, d = pin["outer"], pin["inner"]
    worst = np.maximum(down, up)
    shear = pin_shear_stress(worst, D, d)
    hole = np.maximum(d, LEAST_HOLE * D)
    oval = np.stack(pin_ovalisation_stresses(worst, D, hole, pin["length"]))
    oval_shown = np.max(np.abs(oval), axis=0)
    lacking = needed(pin, "pin", "material", "boss_span") + needed(rod, "rod", "small_end_width")
    bend = None
    if "boss_span" in pin and "small_end_width" in rod:
        bend = tuple(
            pin_bending_stress(pin_bending_moment(force, pin["length"], pin["boss_span"], rod["small_end_width"]), D, d)
            for force in (down, up)
        )
    if hot is None or bend is None:
        shown = np.full((1, 1), np.nan) if bend is None else np.maximum(bend[0], bend[1])
        rows = [unknown("pin-bending", "pin", GOODMAN, BENDING, add(lacking), worst, shown)]
        combined = unknown("pin-combined", "pin", GOODMAN, TOGETHER, add(lacking), worst)
    else:
        surface = _surface(hot)
        rows = [tired("pin-bending", "pin", worst, (bend[0], -bend[1]), hot, surface, BENDING)]
        combined = _combined(pin, loading, bend, hole, hot)
    if hot is None:
        material = add(["pin.material"])
        rows.append(unknown("pin-shear", "pin", GOODMAN, SHEAR, material, worst, shear))
        rows.append(unknown("pin-ovalisation", "pin", GOODMAN, OVAL, material, worst, oval_shown))
    else:
        ends = (np.sqrt(3.0) * pin_shear_stress(down, D, d), -np.sqrt(3.0) * pin_shear_stress(up, D, d))
        method = f"{GOODMAN}; the shear counts as √3 times a tension (von Mises)"
        rows.append(tired("pin-shear", "pin", worst, ends, hot, _surface(hot), SHEAR, shown=shear, method=method))
        rows.append(_oval(oval, oval_shown, worst, hot))
    return [*rows, combined]


def _surface(hot: HotStrength) -> FloatArray:
    """Share of the fatigue strength that a ground surface leaves."""
    ground = table("strength").row("surface_ground")
    S_u = np.where(np.isfinite(hot.ultimate), hot.ultimate, 1e9)
    return surface_factor(S_u, ground.si("coefficient"), ground.si("exponent"))


def _oval(oval: FloatArray, shown: FloatArray, worst: FloatArray, hot: HotStrength) -> Stressed:
    """The worst of the four places around the pin; each load presses it oval the same way, so the stress comes and goes."""
    mean, alternating = mean_and_alternating(oval, np.zeros_like(oval))
    known = hot.known
    strengths = np.where(known, hot.fatigue * _surface(hot), 1e8), np.where(known, hot.ultimate, 1e8)
    place = np.argmin(goodman_factor(alternating, mean, *strengths), axis=0)[None]
    swing = (np.take_along_axis(mean, place, 0)[0], np.take_along_axis(alternating, place, 0)[0])
    return swinging("pin-ovalisation", "pin", worst, swing, shown, hot, _surface(hot), OVAL)


def _combined(pin: Mapping[str, Any], loading: Loading, bend: tuple[FloatArray, ...], hole: FloatArray, hot: HotStrength) -> Stressed:
    """Bending and ovalisation at the pin's surface under the load, at right angles to each other."""
    hoop = [pin_ovalisation_stresses(force, pin["outer"], hole, pin["length"])[1] for force in (loading.gas, loading.pull_pin)]
    along, around = mean_and_alternating(bend[0], -bend[1]), mean_and_alternating(*hoop)
    # both swing with the same load: along from tension to compression, around in compression all the time
    swing = biaxial_equivalent_stress(along[0], around[0]), biaxial_equivalent_stress(along[1], -around[1])
    shown = np.maximum(biaxial_equivalent_stress(bend[0], hoop[0]), biaxial_equivalent_stress(-bend[1], hoop[1]))
    load = np.maximum(loading.gas, loading.pull_pin)
    return swinging("pin-combined", "pin", load, swing, shown, hot, _surface(hot), f"{BENDING}; {OVAL}; {TOGETHER}")


def stressed_bosses(pin: Mapping[str, Any], loading: Loading, hot: HotStrength) -> Stressed:
    """Mean pressure of the pin on the bosses, against the yield strength of the piston there.

    >>> ones = np.ones((1, 1))
    >>> loading = Loading(40e3 * ones, 6e6 * ones, 10e3 * ones, 12e3 * ones, ones)
    >>> pin = {"outer": 0.022 * ones, "length": 0.06 * ones, "boss_span": 0.024 * ones}
    >>> from borewright.calculations.strength.hot_strength import hot_strength
    >>> piston = hot_strength("2618", 477.15 * ones, "temperatures.pin_boss")
    >>> round(float(stressed_bosses(pin, loading, piston).factor[0, 0]), 3)
    3.544
    """
    worst = np.maximum(loading.gas, loading.pull_pin)
    if "boss_span" not in pin:
        return unknown("pin-boss-bearing", "piston", YIELD, BEARING, add(["pin.boss_span"]), worst)
    pressure = bearing_pressure(worst, pin["outer"], boss_bearing_length(pin["length"], pin["boss_span"]))
    return yielding("pin-boss-bearing", "piston", worst, pressure, hot, BEARING)
