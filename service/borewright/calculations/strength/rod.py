"""The rod's shank: pulled at exhaust top dead center, pressed and buckled by the gas, tired by both in turn."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.strength.hot_strength import HotStrength
from borewright.calculations.strength.running_gear import is_i_section
from borewright.calculations.strength.stressed import GOODMAN, YIELD, Loading, Stressed, add, needed, tired, unknown, yielding
from borewright.physics.arrays import FloatArray, floats
from borewright.physics.stress import direct_stress, johnson_load
from borewright.physics.stress.endurance import surface_factor
from borewright.physics.stress.shank import i_section_area, i_section_gyration
from borewright.practice.tables import table

DIRECT = "mean stress of the shank's section"
COLUMN = "J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, columns with central loading; ends as Khurmi and Gupta"
BUCKLING = "buckling by J. B. Johnson's parabola, by Euler when slender: hinged in the plane of motion, fixed along the pin"


def shank_section(shank: Mapping[str, Any]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Area [m²] and radii of gyration [m] in the plane of motion and along the pin.

    >>> sizes = {"height": 0.035, "width": 0.028, "web": 0.007, "flange": 0.007}
    >>> [round(float(each) * 1e3, 3) for each in shank_section(sizes)]
    [0.539, 12.471, 6.973]
    """
    if not is_i_section(shank):
        return shank["area"], shank["gyration_swing"], shank["gyration_side"]
    sizes = shank["height"], shank["width"], shank["web"], shank["flange"]
    return i_section_area(*sizes), *i_section_gyration(*sizes)


def stressed_rod(rod: Mapping[str, Any], length: FloatArray, loading: Loading, hot: HotStrength | None) -> list[Stressed]:
    """Tension, buckling and fatigue of the shank.

    rod : the request's part, every number a column (states, 1) [SI]
    length : between the ends' centers [m]
    hot : None where the material is not given

    >>> ones = np.ones((1, 1))
    >>> loading = Loading(6e6 * ones, 40e3 * ones, 40e3 * ones, 10e3 * ones, 12e3 * ones)
    >>> shank = {"area": 250e-6 * ones, "gyration_swing": 9e-3 * ones, "gyration_side": 4e-3 * ones}
    >>> from borewright.calculations.strength.hot_strength import hot_strength
    >>> steel = hot_strength("steel_1040", 400.0 * ones, "temperatures.rod")
    >>> rows = stressed_rod({"material": "steel_1040", "shank": shank}, 0.15 * ones, loading, steel)
    >>> round(float(rows[0].factor[0, 0]), 4)
    7.8125
    """
    press = loading.press_rod
    pull = loading.pull_rod
    lacking = needed(rod, "rod", "shank", "material")
    heavy = [] if pull is not None else ["rod.small_end_mass or rod.mass"]
    if "shank" not in rod or hot is None:
        stress = direct_stress(press, shank_section(rod["shank"])[0]) if "shank" in rod else np.full((1, 1), np.nan)
        hanging = np.full((1, 1), np.nan) if pull is None else pull
        return [
            unknown("rod-tension", "rod", YIELD, DIRECT, add(lacking + heavy), hanging),
            unknown("rod-buckling", "rod", BUCKLING, COLUMN, add(lacking), press, stress),
            unknown("rod-fatigue", "rod", GOODMAN, DIRECT, add(lacking + heavy), press),
        ]
    area, swing, side = shank_section(rod["shank"])
    buckling = _buckling(press, area, swing, side, length, hot)
    if pull is None:
        return [
            unknown("rod-tension", "rod", YIELD, DIRECT, add(heavy)),
            buckling,
            unknown("rod-fatigue", "rod", GOODMAN, DIRECT, add(heavy), press),
        ]
    tension = direct_stress(pull, area)
    machined, axial = table("strength").row("surface_machined"), table("strength").row("axial_load")
    share = surface_factor(hot.ultimate, machined.si("coefficient"), machined.si("exponent")) * axial.si("factor")
    worst = np.maximum(press, pull)
    return [
        yielding("rod-tension", "rod", pull, tension, hot, DIRECT),
        buckling,
        tired("rod-fatigue", "rod", worst, (tension, -direct_stress(press, area)), hot, share, DIRECT),
    ]


def _buckling(press: FloatArray, area: FloatArray, swing: FloatArray, side: FloatArray, length: FloatArray, hot: HotStrength) -> Stressed:
    fixity = table("strength").row("fixity")
    critical = np.minimum(
        johnson_load(area, hot.tensile_yield, length, swing, hot.elastic_modulus, fixity.si("swing")),
        johnson_load(area, hot.tensile_yield, length, side, hot.elastic_modulus, fixity.si("side")),
    )
    factor = critical / press
    wanted, stress = np.atleast_2d(floats(hot.wanted["yield"])), direct_stress(press, area)
    return Stressed(
        "rod-buckling", "rod", press, stress, None, None, critical / area, None, factor, wanted, hot, BUCKLING, COLUMN, hot.lacking
    )
