"""One part under its load: stress, what the material stands, the factor of safety, and what is missing where it can't be known.

Arrays are (states, pressures): a column of states by a row of peak pressures, so that one call sees a part under many pressures.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.strength.hot_strength import HotStrength
from borewright.physics.arrays import FloatArray
from borewright.physics.stress import goodman_factor, mean_and_alternating, yield_factor

GOODMAN = "fatigue by Goodman's line between the cycle's ends, or yield at the worse of them, whichever is nearer"
YIELD = "yield"
NOTHING = np.full((1, 1), np.nan)
STANDS_IN = 1e8
"""Strength [Pa] that keeps a formula going where the real one is not known; what comes of it is put away again."""


@dataclass(frozen=True)
class Stressed:
    """A part's load [N], stresses and strengths [Pa], factor of safety [1]; not a number where not known, and then why."""

    name: str
    part: str
    load: FloatArray
    stress: FloatArray
    mean: FloatArray | None
    alternating: FloatArray | None
    strength: FloatArray
    fatigue_strength: FloatArray | None
    factor: FloatArray
    hot: HotStrength | None
    method: str
    source: str
    lacking: str


@dataclass(frozen=True)
class Loading:
    """What bears on the parts.

    gas : largest gas force [N] at each state and peak pressure
    pressure : peak pressure over the crankcase's [Pa]
    pull_pin, pull_rod : inertia at exhaust top dead centre of what hangs on the pin, and on the rod's shank [N]; None where not known
    lean : cosine of the rod's lean where the gas presses most [1]
    """

    gas: FloatArray
    pressure: FloatArray
    pull_pin: FloatArray
    pull_rod: FloatArray | None
    lean: FloatArray


def unknown(
    name: str, part: str, method: str, source: str, lacking: str, load: FloatArray = NOTHING, stress: FloatArray = NOTHING
) -> Stressed:
    """A part of which something is missing.

    >>> unknown("pin-bending", "pin", "", "", "add pin.material").lacking
    'add pin.material'
    """
    return Stressed(name, part, load, stress, None, None, NOTHING, None, NOTHING, None, method, source, lacking)


def needed(tree: Mapping[str, Any], path: str, *names: str) -> list[str]:
    """The fields of a part of the request that are not there, with their path.

    >>> needed({"outer": 1.0}, "pin", "outer", "material")
    ['pin.material']
    """
    return [f"{path}.{name}" for name in names if name not in tree]


def add(fields: list[str]) -> str:
    """Say which fields would fill a result.

    >>> add(["pin.material", "pin.boss_span"])
    'not known: add pin.material and pin.boss_span'
    """
    return f"not known: add {' and '.join(fields)}"


def tired(
    name: str,
    part: str,
    load: FloatArray,
    ends: tuple[FloatArray, FloatArray],
    hot: HotStrength,
    share: FloatArray | float,
    source: str,
    *,
    shown: FloatArray | None = None,
    method: str = GOODMAN,
) -> Stressed:
    """A part under a stress that swings between two ends in every cycle.

    ends : the stress at the cycle's two ends, tension above zero [Pa]
    share : of the fatigue strength that surface, notch and kind of load leave [1]
    shown : the largest stress, where it is not the larger of the ends

    >>> from borewright.calculations.strength.hot_strength import hot_strength
    >>> steel = hot_strength("steel_1040", np.array([[400.0]]), "temperatures.pin")
    >>> zero, high = np.array([[0.0]]), np.array([[200e6]])
    >>> round(float(tired("pin", "pin", zero, (high, zero), steel, 1.0, "").factor[0, 0]), 3)
    1.875
    """
    mean, alternating = mean_and_alternating(*ends)
    largest = np.maximum(np.abs(ends[0]), np.abs(ends[1])) if shown is None else shown
    return swinging(name, part, load, (mean, alternating), largest, hot, share, source, method)


def swinging(
    name: str,
    part: str,
    load: FloatArray,
    swing: tuple[FloatArray, FloatArray],
    largest: FloatArray,
    hot: HotStrength,
    share: FloatArray | float,
    source: str,
    method: str = GOODMAN,
) -> Stressed:
    """A part under a mean stress with an alternating one over it; as `tired`.

    swing : mean and alternating stress [Pa]

    >>> from borewright.calculations.strength.hot_strength import hot_strength
    >>> steel = hot_strength("steel_1040", np.array([[400.0]]), "temperatures.pin")
    >>> mean, alternating = np.array([[100e6]]), np.array([[100e6]])
    >>> round(float(swinging("pin", "pin", mean, (mean, alternating), 2 * mean, steel, 1.0, "").factor[0, 0]), 3)
    1.875
    """
    mean, alternating = np.broadcast_arrays(*swing)
    fatigue = hot.fatigue * share
    known = hot.known
    factor = np.minimum(
        goodman_factor(alternating, mean, np.where(known, fatigue, STANDS_IN), np.where(known, hot.ultimate, STANDS_IN)),
        yield_factor(alternating, mean, np.where(known, hot.tensile_yield, STANDS_IN)),
    )
    return Stressed(
        name,
        part,
        load,
        largest,
        mean,
        alternating,
        hot.ultimate,
        fatigue,
        np.where(known, factor, np.nan),
        hot,
        method,
        source,
        hot.lacking or ("" if known.flat[0] else f"not known: the materials table has no fatigue strength of {hot.material}"),
    )


def yielding(name: str, part: str, load: FloatArray, stress: FloatArray, hot: HotStrength, source: str, method: str = YIELD) -> Stressed:
    """A part that must not yield under the worst of the cycle.

    >>> from borewright.calculations.strength.hot_strength import hot_strength
    >>> steel = hot_strength("steel_1040", np.array([[400.0]]), "temperatures.pin")
    >>> stress = np.array([[187.5e6]])
    >>> float(yielding("rod-tension", "rod", stress, stress, steel, "").factor[0, 0])
    2.0
    """
    return Stressed(
        name, part, load, stress, None, None, hot.tensile_yield, None, hot.tensile_yield / stress, hot, method, source, hot.lacking
    )
