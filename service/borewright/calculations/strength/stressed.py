"""One part under its load: stress, what the material stands, the factor of safety, and what is missing where it can't be known.

Arrays are (states, conditions): a column of states by a row of conditions, each a peak pressure at a speed with the parts so hot, so that
one call sees a part under many of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from borewright.calculations.strength.hot_strength import HotStrength
from borewright.physics.arrays import FloatArray, floats
from borewright.physics.stress import goodman_factor, mean_and_alternating, yield_factor

GOODMAN = "fatigue by Goodman's line between the cycle's ends, or yield at the worse of them, whichever is nearer to its factor wanted"
YIELD = "yield"
NOTHING = np.full((1, 1), np.nan)
ARRAYS = ("load", "stress", "mean", "alternating", "strength", "fatigue_strength", "factor", "wanted")


@dataclass(frozen=True)
class Stressed:
    """A part's load [N], stresses and strengths [Pa], factor of safety and the one wanted [1]; not a number where not known, and why."""

    name: str
    part: str
    load: FloatArray
    stress: FloatArray
    mean: FloatArray | None
    alternating: FloatArray | None
    strength: FloatArray
    fatigue_strength: FloatArray | None
    factor: FloatArray
    wanted: FloatArray
    hot: HotStrength | None
    method: str
    source: str
    lacking: str

    @property
    def margin(self) -> FloatArray:
        """Factor of safety over the one wanted [1]."""
        return self.factor / self.wanted

    def arrays(self, change: Callable[[FloatArray], FloatArray]) -> Stressed:
        """With every array changed by a function."""
        found = {name: getattr(self, name) for name in ARRAYS}
        return self.holding({name: None if each is None else change(each) for name, each in found.items()})

    def holding(self, arrays: Mapping[str, Any]) -> Stressed:
        """With other arrays."""
        return replace(self, **arrays)


@dataclass(frozen=True)
class Loading:
    """What bears on the parts, each (states, conditions).

    pressure : peak pressure over the crankcase's [Pa]
    press_pin, press_rod : largest force of gas less inertia at the same crank angle, on the pin and along the rod's shank [N]
    pull_pin, pull_rod : inertia at exhaust top dead center of what hangs on the pin, and on the rod's shank [N]; the last two of the rod
        None where it was not weighed
    """

    pressure: FloatArray
    press_pin: FloatArray
    press_rod: FloatArray
    pull_pin: FloatArray
    pull_rod: FloatArray | None


def unknown(
    name: str, part: str, method: str, source: str, lacking: str, load: FloatArray = NOTHING, stress: FloatArray = NOTHING
) -> Stressed:
    """A part of which something is missing.

    >>> unknown("pin-bending", "pin", "", "", "add pin.material").lacking
    'add pin.material'
    """
    return Stressed(name, part, load, stress, None, None, NOTHING, None, NOTHING, NOTHING, None, method, source, lacking)


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
    >>> found = tired("pin", "pin", zero, (high, zero), steel, 1.0, "")
    >>> round(float(found.factor[0, 0]), 3), float(found.wanted[0, 0])
    (1.875, 1.5)
    """
    largest = np.maximum(np.abs(ends[0]), np.abs(ends[1])) if shown is None else shown
    return swinging(name, part, load, mean_and_alternating(*ends), largest, hot, share, source, method)


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
    yields: FloatArray | None = None,
) -> Stressed:
    """A part under a mean stress with an alternating one over it; as `tired`. It must not yield under its largest stress either.

    swing : mean and alternating stress [Pa]
    yields : factor of safety against yield [1], where it is not that of the swing's worst end

    >>> from borewright.calculations.strength.hot_strength import hot_strength
    >>> steel = hot_strength("steel_1040", np.array([[400.0]]), "temperatures.pin")
    >>> mean, alternating = np.array([[100e6]]), np.array([[100e6]])
    >>> round(float(swinging("pin", "pin", mean, (mean, alternating), 2 * mean, steel, 1.0, "").factor[0, 0]), 3)
    1.875
    """
    mean, alternating = np.broadcast_arrays(*swing)
    fatigue = hot.fatigue * share
    tiring = goodman_factor(alternating, mean, fatigue, hot.ultimate)
    giving = yield_factor(alternating, mean, hot.tensile_yield) if yields is None else yields
    against_fatigue, against_yield = (floats(hot.wanted[by]) for by in ("fatigue", "yield"))
    if np.array_equal(against_fatigue, against_yield):
        first, wanted = tiring <= giving, np.atleast_2d(against_fatigue)
    else:
        first = tiring / against_fatigue <= giving / against_yield
        wanted = np.where(first, against_fatigue, against_yield)
    factor = np.where(first, tiring, giving)
    if not hot.known.all():
        factor = np.where(hot.known, factor, np.nan)
    return Stressed(
        name,
        part,
        load,
        largest,
        mean,
        alternating,
        hot.ultimate,
        fatigue,
        factor,
        wanted,
        hot,
        method,
        source,
        hot.lacking,
    )


def yielding(
    name: str, part: str, load: FloatArray, stress: FloatArray, hot: HotStrength, source: str, method: str = YIELD, by: str = "yield"
) -> Stressed:
    """A part that must not yield under the worst of the cycle.

    by : the method whose factor is wanted, "yield" or "bearing"

    >>> from borewright.calculations.strength.hot_strength import hot_strength
    >>> steel = hot_strength("steel_1040", np.array([[400.0]]), "temperatures.pin")
    >>> stress = np.array([[187.5e6]])
    >>> float(yielding("rod-tension", "rod", stress, stress, steel, "").factor[0, 0])
    2.0
    """
    factor = hot.tensile_yield / stress
    wanted = np.atleast_2d(floats(hot.wanted[by]))
    return Stressed(name, part, load, stress, None, None, hot.tensile_yield, None, factor, wanted, hot, method, source, hot.lacking)
