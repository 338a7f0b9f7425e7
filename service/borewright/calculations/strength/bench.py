"""Piston, pin and rod on the bench: every part under any peak pressure, and the pressure that is as much as the weakest stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.strength.hot_strength import HotStrength, hot_strength
from borewright.calculations.strength.pin import stressed_bosses, stressed_pin
from borewright.calculations.strength.piston import stressed_crown, stressed_lands
from borewright.calculations.strength.rod import stressed_rod
from borewright.calculations.strength.stressed import Loading, Stressed
from borewright.physics.arrays import FloatArray
from borewright.physics.stress import gas_force
from borewright.practice.tables import table

PLACES = ("crown", "top_land", "second_land", "pin_boss", "pin", "rod")
LOWEST_PEAK, HIGHEST_PEAK = 3e5, 6e7  # Pa: no engine that fires peaks lower, none stands more
PEAKS = np.geomspace(LOWEST_PEAK, HIGHEST_PEAK, 64)
FINER = np.linspace(0.0, 1.0, 17)


@dataclass(frozen=True)
class StressLimit:
    """How far a load may go: value (states,), NaN where there is none, the part that sets it, and why there is none."""

    value: FloatArray
    part: str | None
    reason: str


def columns(tree: Any) -> Any:
    """A part of a request with every number as a column (states, 1).

    >>> columns({"a": np.array([1.0, 2.0]), "b": "steel"})["a"].shape
    (2, 1)
    """
    if isinstance(tree, Mapping):
        return {name: columns(inner) for name, inner in tree.items()}
    return tree[:, None] if isinstance(tree, np.ndarray) else tree


def running_hot(given: Mapping[str, Any], aspiration: str, service: str) -> dict[str, FloatArray]:
    """Temperature of each place [K]: given, or that of practice for a duty.

    >>> round(float(running_hot({}, "boost", "race")["crown"][0]), 2)
    553.15
    """
    row = table("strength").row(f"{aspiration}_{service}")
    return {place: np.asarray(given[place]) if place in given else np.array([row.si(f"{place}_temperature")]) for place in PLACES}


def assume_hot(given: Mapping[str, Any], found: Mapping[str, FloatArray], aspiration: str, service: str, outcome: Outcome) -> None:
    """List the temperatures that were not given.

    >>> outcome = Outcome({})
    >>> assume_hot({"crown": 500.0}, running_hot({}, "natural", "street"), "natural", "street", outcome)
    >>> len(outcome.assumptions)
    5
    """
    source = table("strength").row(f"{aspiration}_{service}").source
    for place in PLACES:
        if place not in given:
            outcome.assumptions.append(Assumption(f"temperatures.{place}", found[place], "common practice", source, "temperature"))


def later_heat(load: str, service: str) -> Assumption:
    """That a load to come heats the parts as practice has it, where the request gives no temperatures.

    >>> later_heat("boost", "street").name
    'boost_to_limit.temperatures'
    """
    told = f"as given, otherwise those of common practice for {load}, {service}"
    return Assumption(f"{load}_to_limit.temperatures", told, "common practice", table("strength").row(f"{load}_{service}").source)


class Bench:
    """The running gear of a request, its parts checked before.

    piston, pin, rod : the request's parts (states,) [SI]
    bore, length, crankcase : of cylinder and rod [m], around the crank [Pa]
    acceleration : of the piston at its largest [m/s²]
    hanging : what of the rod goes up and down [kg], None where not known
    lean : cosine of the rod's lean at the peak pressure [1]
    """

    def __init__(
        self,
        piston: Mapping[str, Any],
        pin: Mapping[str, Any],
        rod: Mapping[str, Any],
        *,
        bore: FloatArray,
        length: FloatArray,
        crankcase: FloatArray,
        acceleration: FloatArray,
        hanging: FloatArray | None,
        lean: FloatArray,
    ) -> None:
        self.piston, self.pin, self.rod = columns(piston), columns(pin), columns(rod)
        self.bore, self.length, self.crankcase, self.lean = columns(bore), columns(length), columns(crankcase), columns(lean)
        pull = piston["mass"] * acceleration
        self.pull_pin = columns(pull)
        self.pull_rod = None if hanging is None else columns(pull + (pin["mass"] + hanging) * acceleration)

    def hot(self, temperatures: Mapping[str, FloatArray]) -> dict[str, HotStrength | None]:
        """Strengths at each place for its temperature."""
        of = {"pin": self.pin.get("material"), "rod": self.rod.get("material")}
        materials = {place: of.get(place, self.piston["alloy"]) for place in PLACES}
        return {
            place: None if material is None else hot_strength(material, columns(temperatures[place]), f"temperatures.{place}")
            for place, material in materials.items()
        }

    def parts(self, peak: FloatArray, hot: Mapping[str, HotStrength | None]) -> list[Stressed]:
        """Every part under peak pressures (states, pressures) or (1, pressures) [Pa]."""
        piston = {place: found for place, found in hot.items() if found is not None}
        loading = Loading(
            gas=gas_force(peak, self.bore, self.crankcase),
            pressure=peak - self.crankcase,
            pull_pin=self.pull_pin,
            pull_rod=self.pull_rod,
            lean=self.lean,
        )
        return [
            stressed_crown(self.piston, loading, piston["crown"]),
            *stressed_lands(self.piston, self.bore, loading, piston),
            stressed_bosses(self.pin, loading, piston["pin_boss"]),
            *stressed_pin(self.pin, self.rod, loading, hot["pin"]),
            *stressed_rod(self.rod, self.length, loading, hot["rod"]),
        ]

    def pressure_limit(self, hot: Mapping[str, HotStrength | None], wanted: FloatArray) -> StressLimit:
        """Peak pressure at which the weakest of the parts that are known reaches a factor of safety.

        wanted : array (states,) [1]
        """
        rows = self.parts(PEAKS[None, :], hot)
        smallest, _ = least(rows)
        if not np.isfinite(smallest[0, 0]):
            return StressLimit(np.full(1, np.nan), None, "no part's factor of safety is known")
        need = columns(wanted)
        weak = np.broadcast_to(np.less(smallest, need), (max(smallest.shape[0], need.shape[0]), PEAKS.size))
        after = np.argmax(weak, axis=1)
        low, high = PEAKS[np.maximum(after - 1, 0)], PEAKS[after]
        fine = low[:, None] * (high / low)[:, None] ** FINER
        value = _crossing(fine, np.broadcast_to(least(self.parts(fine, hot))[0], fine.shape) / need)
        always, never = weak[:, 0], ~np.any(weak, axis=1)
        _, sets = least(self.parts(fine[:1, -1:], hot))
        if always[0]:
            reason = f"{sets} is below the factor wanted at any pressure: the masses and the speed alone are too much"
            return StressLimit(np.full(1, np.nan), sets, reason)
        if never[0]:
            return StressLimit(np.full(1, np.nan), None, f"no part comes down to the factor wanted below {HIGHEST_PEAK / 1e5:.0f} bar")
        return StressLimit(np.where(always | never, np.nan, value), sets, "")


def _crossing(pressure: FloatArray, share: FloatArray) -> FloatArray:
    """Pressure at which a falling share first comes down to 1, straight between points in logarithms (states,)."""
    weak = np.less(share, 1.0)
    after = np.maximum(np.argmax(weak, axis=1), 1)[:, None]
    x0, x1 = (np.log(np.take_along_axis(pressure, after - back, 1)[:, 0]) for back in (1, 0))
    y0, y1 = (np.log(np.take_along_axis(share, after - back, 1)[:, 0]) for back in (1, 0))
    fall = np.where(y0 > y1, y0 - y1, 1.0)
    return np.asarray(np.exp(x0 + (x1 - x0) * np.clip(y0 / fall, 0.0, 1.0)))


def least(rows: Sequence[Stressed]) -> tuple[FloatArray, str | None]:
    """Smallest factor of safety of the parts that are known (states, pressures), infinite where none is, and whose it is first.

    >>> least([])[1] is None
    True
    """
    if not rows:
        return np.full((1, 1), np.inf), None
    factors = np.stack(np.broadcast_arrays(*(row.factor for row in rows)))
    factors = np.where(np.isnan(factors), np.inf, factors)
    smallest = factors.min(axis=0)
    first = factors[:, 0, 0]
    return smallest, rows[int(np.argmin(first))].name if np.isfinite(smallest.flat[0]) else None
