"""Two states of one build, before and after: what they share, how they differ, and what each gives in the cycle."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.combustion.bands import known, spread
from borewright.calculations.combustion.knock_bands import available
from borewright.calculations.common.burned_fuel import Octane
from borewright.calculations.common.cylinder_state import Engine, compression, engine
from borewright.calculations.common.engine_state import ConditionPart
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.state import RANGES, CylinderState
from borewright.physics.cycle.timing import find_timing
from borewright.practice.tables import table

CONDITIONS = tuple(ConditionPart().fields)
NEEDED = ("bore", "stroke", "speed", "fuel")
BLOCK = 256
"""Rows whose cycles are solved at once: what they keep of their traces stays small. Results do not depend on it."""


@dataclass(frozen=True)
class BuildState:
    """One side of a change.

    name : of its field in the request
    own : what the side says itself
    whole : that and what both sides share
    """

    name: str
    own: Mapping[str, Any]
    whole: Mapping[str, Any]

    def lacking(self) -> list[str]:
        """What the cycle needs and the request does not say.

        >>> BuildState("to", {}, {"bore": 1, "stroke": 1, "nitrous": {}}).lacking()
        ['speed', 'fuel', 'cylinders']
        """
        return [*(name for name in NEEDED if name not in self.whole), *(["cylinders"] if self._drowned() else [])]

    def _drowned(self) -> bool:
        return "nitrous" in self.whole and "cylinders" not in self.whole

    def ratio(self, outcome: Outcome) -> FloatArray:
        """Compression ratio [1]; what can't be is marked where the request says it."""
        if "compression_ratio" not in self.whole and not {"bore", "stroke"} <= set(self.whole):
            told = "bore and stroke are needed to work out the compression: give them, or compression_ratio"
            outcome.refuse_where(True, f"#/{self.name}", told)
            return np.full(1, 10.0)
        aside = Outcome({})
        found, _ = compression(self.whole, aside)
        self._move(aside, outcome)
        possible = np.isfinite(found) & (found >= 2.0) & (found <= 40.0)
        told = "this makes a compression ratio outside 2 to 40, which no such engine has: check the volumes"
        outcome.refuse_where(~possible, f"#/{self.name}", told)
        return np.where(possible, found, 10.0)

    def engine(self, outcome: Outcome) -> tuple[Engine, list[Assumption]]:
        """The engine for the cycle, and what was assumed of it."""
        aside = Outcome({})
        found = engine(self.whole, aside)
        self._move(aside, outcome)
        return found, aside.assumptions

    def _move(self, aside: Outcome, outcome: Outcome) -> None:
        """Impossibilities, pointing to where the side's fields stand."""
        for each in aside.impossible:
            inside = each.pointer.removeprefix("#/").split("/")[0] in self.own
            moved = replace(each, pointer=f"#/{self.name}/{each.pointer.removeprefix('#/')}" if inside else each.pointer)
            if not any(moved.pointer == other.pointer and moved.detail == other.detail for other in outcome.impossible):
                outcome.impossible.append(moved)


def build_state(request: Mapping[str, Any], name: str) -> BuildState:
    """A side of the change: its ratio or its own object, with what stands beside both.

    >>> state = build_state({"to": {"speed": 2, "compression_ratio": 9}, "speed": 1, "bore": 3}, "to")
    >>> sorted(state.whole.items())
    [('bore', 3), ('compression_ratio', 9), ('speed', 2)]
    """
    given = request[name]
    own = given if isinstance(given, Mapping) else {"compression_ratio": given}
    shared = {each: request[each] for each in CONDITIONS if each in request}
    return BuildState(name, own, {**shared, **own})


def differences(before: BuildState, after: BuildState) -> dict[str, BoolArray]:
    """In which states the sides differ besides their compression, by field; a fuel's octane number alone makes no difference.

    >>> sides = [build_state({"to": {"speed": np.array([2.0])}, "from": {"speed": np.array([1.0])}}, name) for name in ("from", "to")]
    >>> {name: states.tolist() for name, states in differences(*sides).items()}
    {'speed': [True]}
    """
    found = {}
    for name in CONDITIONS:
        one, other = (_without_octane(side.whole.get(name)) for side in (before, after))
        states = _differ(one, other)
        if states.any():
            found[name] = states
    return found


def _without_octane(value: Any) -> Any:
    return {name: inner for name, inner in value.items() if name != "octane"} if isinstance(value, Mapping) else value


def _differ(one: Any, other: Any) -> BoolArray:
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        states = np.zeros(1, dtype=np.bool_)
        for name in {*one, *other}:
            states = states | _differ(one.get(name), other.get(name))
        return states
    if isinstance(one, np.ndarray) and isinstance(other, np.ndarray):
        return np.atleast_1d(one != other)
    return np.array([one is not other and (isinstance(one, np.ndarray) or isinstance(other, np.ndarray) or one != other)])


@dataclass(frozen=True)
class CyclePower:
    """What a cylinder gives at the crank [N] [W]: at the timing its fuel allows and at best torque; NaN where it is not known.

    poor, good : with the fuel's octane number at the low and the high end of what it may be
    """

    poor: FloatArray
    allowed: FloatArray
    good: FloatArray
    best: FloatArray
    retard: FloatArray
    knock_limited: BoolArray
    reason: Sequence[str]


def octane_ends(octane: Octane) -> tuple[FloatArray, FloatArray]:
    """A fuel's octane number at its low and high end, the scatter of the ignition delay included.

    >>> low, high = octane_ends(Octane(np.array([100.0]), {"sensitivity": (np.array([96.0]), np.array([104.0]))}))
    >>> round(float(low[0]), 6), round(float(high[0]), 6)
    (95.0, 105.0)
    """
    row = table("cycle").row("ignition_delay")
    ends = {**octane.bounds, "ignition_delay": (octane.value * row.si("factor_low"), octane.value * row.si("factor_high"))}
    found = available(Octane(octane.value, ends))
    return found.low, found.high


def cycle_power(state: CylinderState, octane: Octane) -> CyclePower:
    """Brake power of each state, block by block.

    >>> fuel = Octane(np.array([91.0]), {})
    >>> found = cycle_power(CylinderState(0.1, 0.09, 0.15, [9.0, 13.0], 300.0, octane=91.0), fuel)
    >>> found.knock_limited.tolist(), bool(found.poor[1] < found.allowed[1] < found.good[1] <= found.best[1])
    ([False, True], True)
    """
    columns, size = spread(state)
    lowest, highest, _ = RANGES["octane"]
    low, high = (np.clip(np.broadcast_to(end, (size,)), lowest, highest) for end in octane_ends(octane))
    stacked = {name: np.tile(column, 3) for name, column in columns.items()}
    stacked["octane"] = np.concatenate([columns["octane"], low, high])
    parts = list(_blocks(CylinderState(**stacked, fuel=state.fuel)))
    allowed, best, retard, limited, reason = (np.concatenate([part[place] for part in parts]) for place in range(5))
    nominal = slice(0, size)
    poor, good = allowed[size : 2 * size], allowed[2 * size :]
    return CyclePower(poor, allowed[nominal], good, best[nominal], retard[nominal], limited[nominal], reason[nominal].tolist())


def _blocks(state: CylinderState) -> Iterator[tuple[npt.NDArray[Any], ...]]:
    columns, size = spread(state)
    for first in range(0, size, BLOCK):
        rows = slice(first, first + BLOCK)
        timed = find_timing(CylinderState(**{name: column[rows] for name, column in columns.items()}, fuel=state.fuel))
        allowed, best = (
            np.where(cycle.brake_power > 0.0, known(cycle.brake_power, solved), np.nan)
            for cycle, solved in ((timed.allowed, timed.solved), (timed.best, timed.best.solved))
        )
        # where no timing is quiet, the retard needed is more than the latest that was tried
        late = np.where(timed.solved, timed.retard, timed.allowed.half_burn - timed.best.half_burn)
        yield allowed, best, known(late, timed.best.solved), timed.knock_limited, timed.reason


def merged_assumptions(sides: Mapping[str, list[Assumption]]) -> list[Assumption]:
    """Assumptions of both sides: once where they agree, else by the side's name.

    >>> one, other = (Assumption("speed", np.array([v]), "common practice", "") for v in (1.0, 2.0))
    >>> [each.name for each in merged_assumptions({"from": [one], "to": [other]})], len(merged_assumptions({"from": [one], "to": [one]}))
    (['from.speed', 'to.speed'], 1)
    """
    by_name: dict[str, dict[str, Assumption]] = {}
    for side, several in sides.items():
        for each in several:
            by_name.setdefault(each.name, {})[side] = each
    found = []
    for name, by_side in by_name.items():
        those = list(by_side.values())
        if len(those) == len(sides) and all(np.array_equal(one.value, those[0].value) for one in those):
            found.append(those[0])
        else:
            found += [replace(one, name=f"{side}.{name}") for side, one in by_side.items()]
    return found
