"""The piston's crown and its two upper lands under the cylinder's pressure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.strength.hot_strength import HotStrength
from borewright.calculations.strength.stressed import GOODMAN, Loading, Stressed, add, needed, tired, unknown
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.volumes import circle_area
from borewright.physics.stress import crown_stress, land_bending_stress, land_shear_stress
from borewright.practice.tables import table

LANDS = ("top_land", "second_land")
PLATE = "W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, flat ring clamped at its root"
ROOT = "equilibrium of the ring, 3/2 of the mean shear at its root"
CROWN = "R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32: a plate clamped at the rim of its span"


def stressed_lands(piston: Mapping[str, Any], bore: FloatArray, loading: Loading, hot: Mapping[str, HotStrength]) -> list[Stressed]:
    """Bending and shear at the roots of both lands. Their outer diameter is taken as the bore: the cautious side.

    piston : the request's part, every number a column (states, 1) [SI]
    hot : strengths of the piston by place

    >>> ones = np.ones((1, 1))
    >>> loading = Loading(6e6 * ones, 40e3 * ones, 40e3 * ones, 10e3 * ones, 12e3 * ones)
    >>> [row.lacking for row in stressed_lands({}, 0.1 * ones, loading, {})][0]
    'not known: add piston.top_land and piston.land_groove_root'
    """
    rows = []
    for land in LANDS:
        named, practice = land.replace("_", "-"), table("strength").row(land)
        names = f"{named}-bending", f"{named}-shear"
        lacking = needed(piston, "piston", land, "land_groove_root")
        if lacking:
            rows += [unknown(name, "piston", GOODMAN, source, add(lacking)) for name, source in zip(names, (PLATE, ROOT), strict=True)]
            continue
        height, root = piston[land], piston["land_groove_root"]
        pressure = loading.pressure * practice.si("share")
        load = pressure * (circle_area(bore) - circle_area(root))
        share = 1.0 / practice.si("factor")
        bending = land_bending_stress(pressure, bore, root, height)
        shear = land_shear_stress(pressure, bore, root, height)
        zero = np.zeros_like(bending)
        method = f"{GOODMAN}; fatigue strength over {practice.si('factor'):g} for the notch of the groove"
        rows.append(tired(names[0], "piston", load, (bending, zero), hot[land], share, PLATE, method=method))
        method = f"{GOODMAN}; the shear counts as √3 times a tension (von Mises); it is largest at mid-height, away from the notch"
        rows.append(tired(names[1], "piston", load, (np.sqrt(3.0) * shear, zero), hot[land], 1.0, ROOT, shown=shear, method=method))
    return rows


def stressed_crown(piston: Mapping[str, Any], loading: Loading, hot: HotStrength) -> Stressed:
    """Bending of the crown over its largest unsupported span.

    >>> ones = np.ones((1, 1))
    >>> loading = Loading(6e6 * ones, 40e3 * ones, 40e3 * ones, 10e3 * ones, 12e3 * ones)
    >>> piston = {"crown_span": 0.04 * ones, "crown_thickness": 0.008 * ones}
    >>> from borewright.calculations.strength.hot_strength import hot_strength
    >>> strength = hot_strength("2618", 477.15 * ones, "temperatures.crown")
    >>> round(float(stressed_crown(piston, loading, strength).stress[0, 0]) / 1e6, 3)
    28.125
    """
    lacking = needed(piston, "piston", "crown_thickness", "crown_span")
    if lacking:
        return unknown("crown", "piston", GOODMAN, CROWN, add(lacking))
    span = piston["crown_span"]
    bending = crown_stress(loading.pressure, span, piston["crown_thickness"])
    return tired("crown", "piston", loading.pressure * circle_area(span), (bending, np.zeros_like(bending)), hot, 1.0, CROWN)
