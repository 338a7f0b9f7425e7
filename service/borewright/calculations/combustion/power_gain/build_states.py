"""Two states of one build, before and after: what they share, how they differ, and what each gives in the cycle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.combustion.power_gain.changes import merged
from borewright.calculations.common.cylinder_state import Engine, compression, engine
from borewright.calculations.common.engine_state import ConditionPart
from borewright.physics.arrays import BoolArray, FloatArray

CONDITIONS = tuple(ConditionPart().fields)
SHARED = (*CONDITIONS, "moving")
NEEDED = ("bore", "stroke", "speed", "fuel")
SIDES = ("before", "after")


@dataclass(frozen=True)
class BuildState:
    """One side of a change.

    name : of its field in the request
    own : what the side says itself
    whole : that, what both sides share and, after the change, all that it leaves as it was
    """

    name: str
    own: Mapping[str, Any]
    whole: Mapping[str, Any]
    inherited: Mapping[str, Any] = field(default_factory=dict)

    def lacking(self) -> list[str]:
        """What the cycle needs and the request does not say.

        >>> BuildState("after", {}, {"bore": 1, "stroke": 1, "nitrous": {}}).lacking()
        ['speed', 'fuel', 'cylinders']
        """
        unrated = "fuel" in self.whole and "octane" not in self.whole["fuel"]
        found = [name for name in NEEDED if name not in self.whole]
        return [*found, *(["fuel.octane"] if unrated else []), *(["cylinders"] if self._drowned() else [])]

    def _drowned(self) -> bool:
        return "nitrous" in self.whole and "cylinders" not in self.whole

    def ratio(self, outcome: Outcome) -> FloatArray:
        """Compression ratio [1]; what can't be is marked where the request says it."""
        if "compression_ratio" not in self.whole and not {"bore", "stroke"} <= set(self.whole):
            told = "bore and stroke are needed to work out the compression: give them, or compression_ratio"
            outcome.refuse_where(True, f"#/{self.name}", told, Code.MISSING)
            return np.full(1, 10.0)
        aside = Outcome({})
        found, _ = compression(self.whole, aside)
        self._move(aside, outcome)
        beyond = (found < 2.0) | (found > 40.0)  # what is no number was refused where it stands
        told = "this makes a compression ratio outside 2 to 40, which no such engine has: check the volumes"
        return outcome.possible(found, beyond, f"#/{self.name}", told)

    def engine(self, outcome: Outcome) -> tuple[Engine, list[Assumption]]:
        """The engine for the cycle, and what was assumed of it."""
        aside = Outcome({})
        found = engine(self.whole, aside)
        self._move(aside, outcome)
        return found, aside.assumptions

    def _move(self, aside: Outcome, outcome: Outcome) -> None:
        """Impossibilities, pointing to where the side's fields stand."""
        for each in aside.impossible:
            moved = replace(each, pointer=self._place(each.pointer))
            if not any(moved.pointer == other.pointer and moved.detail == other.detail for other in outcome.impossible):
                outcome.impossible.append(moved)

    def _place(self, pointer: str) -> str:
        """Where a field stands that was looked for at the top of a request."""
        rest = pointer.removeprefix("#/")
        for side, own in ((self.name, self.own), ("before", self.inherited)):
            if rest.split("/")[0] in own:
                return f"#/{side}/{rest}"
        return pointer


def build_states(request: Mapping[str, Any], outcome: Outcome) -> tuple[BuildState, BuildState]:
    """Both sides of the change: a ratio or an object each, with what stands beside both; the second as changes to the first.

    >>> request = {"before": {"speed": 2, "compression_ratio": 9}, "after": {"stroke": 4}, "speed": 1, "bore": 3, "stroke": 3}
    >>> before, after = build_states(request, Outcome({}))
    >>> {name: after.whole[name] for name in ("bore", "compression_ratio", "speed", "stroke")}
    {'bore': 3, 'compression_ratio': 9, 'speed': 2, 'stroke': 4}
    """
    first, change = (given if isinstance(given, Mapping) else {"compression_ratio": given} for given in (request[name] for name in SIDES))
    shared = {each: request[each] for each in SHARED if each in request}
    before = {**shared, **first}
    after = merged(before, change, outcome)
    if "volumetric_efficiency" in before and "volumetric_efficiency" not in change:
        after["filling_temperature"] = before.get("ambient", {}).get("temperature", np.array([np.nan]))
    if "stroke" in before:
        after["heads_stroke"] = before["stroke"]  # the heads are tuned to what they fed before
    return BuildState("before", first, before), BuildState("after", change, after, first)


def differences(before: BuildState, after: BuildState) -> dict[str, BoolArray]:
    """In which states the sides differ besides their compression, by field.

    >>> request = {"before": 9, "after": {"speed": np.array([2.0])}, "speed": np.array([1.0])}
    >>> {name: states.tolist() for name, states in differences(*build_states(request, Outcome({}))).items()}
    {'speed': [True]}
    """
    found = {}
    for name in CONDITIONS:
        states = _differ(before.whole.get(name), after.whole.get(name))
        if states.any():
            found[name] = states
    return found


def _differ(one: Any, other: Any) -> BoolArray:
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        states = np.zeros(1, dtype=np.bool_)
        for name in {*one, *other}:
            states = states | _differ(one.get(name), other.get(name))
        return states
    if isinstance(one, np.ndarray) and isinstance(other, np.ndarray):
        return np.atleast_1d(one != other)
    return np.array([one is not other and (isinstance(one, np.ndarray) or isinstance(other, np.ndarray) or one != other)])


def merged_assumptions(sides: Mapping[str, list[Assumption]]) -> list[Assumption]:
    """Assumptions of both sides: once where they agree, else by the side's name.

    >>> one, other = (Assumption("speed", np.array([v]), "common practice", "") for v in (1.0, 2.0))
    >>> [each.name for each in merged_assumptions({"before": [one], "after": [other]})]
    ['before.speed', 'after.speed']
    >>> len(merged_assumptions({"before": [one], "after": [one]}))
    1
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
