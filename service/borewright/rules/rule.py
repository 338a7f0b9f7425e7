"""What a fit rule is: a clearance calculated from sizes, the limit it is held to, and why."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, floats
from borewright.practice.tables import Basis, table
from borewright.rules.judging import outside
from borewright.rules.vocabulary import VOCABULARY, require_known

Facts = Mapping[str, Any]
"""Sizes [SI] by what they are, as "piston.pin_length"; one not known is left out, None or NaN."""


@dataclass(frozen=True)
class Limit:
    """What a value must keep to [SI], a side that is open None or infinite; and where that comes from.

    Examples
    --------
    >>> Limit(0.9e-3, None).basis
    'common practice'
    """

    low: ArrayLike | None
    high: ArrayLike | None
    basis: Basis = "common practice"
    source: str = "common practice"


@dataclass(frozen=True)
class Rule:
    """One fit rule.

    name : as the vocabulary has it, which also says the kind of the value
    formula : the sizes it needs as keywords, arrays [SI], to the value; NaN where a size it can't do without is
    needs : for each keyword, the size's name among the facts of a build
    reason : why the limit is there and what to do
    may_use : keywords that the formula can do without, as `needs`
    row : table and row of practice with the default limit
    columns : what stands before `low` and `high` in the row
    soft : whether outside practice's limits is only watched; or only beyond one of them. A caller's own limits are hard
    hard_beyond : values outside these fail whatever `soft` says [SI]
    least : what lies below fails, whatever the caller leaves open [SI]
    at_best : as the formula, the value at best with the sizes that are known: what fails even so, fails

    Examples
    --------
    >>> long = Rule("rod-ratio", lambda length, stroke: length / stroke, {"length": "rod.length", "stroke": "crank.stroke"}, "")
    >>> float(long.found({"rod.length": 0.15, "crank.stroke": 0.125}, Limit(1.4, 2.0))), long.lacking({"rod.length": 0.15})
    (1.2, ('crank.stroke',))
    """

    name: str
    formula: Callable[..., FloatArray]
    needs: Mapping[str, str]
    reason: str
    may_use: Mapping[str, str] = field(default_factory=dict)
    row: tuple[str, str] | None = None
    columns: str = ""
    soft: bool | Literal["low", "high"] = False
    hard_beyond: tuple[float, float] | None = None
    least: float | None = None
    at_best: Callable[..., FloatArray] | None = None

    def __post_init__(self) -> None:
        """Refuse a name that the vocabulary of checks does not have."""
        require_known(self.name)

    @property
    def kind(self) -> str:
        """Kind of the value."""
        return VOCABULARY[self.name].kind

    def limit(self, own: Mapping[str, Any] | None = None, row: str | None = None) -> Limit | None:
        """The caller's limits where there are some, else practice's; None where there are neither.

        own : `low`, `high` or both [SI]
        row : another row of the rule's table, for a limit that depends on the duty
        """
        if own:
            return Limit(own.get("low"), own.get("high"), "caller", "the request")
        return None if self.row is None else _of_practice(self.row[0], row or self.row[1], self.columns)

    def raised(self, limit: Limit) -> Limit:
        """The limit with a low side that is nowhere below `least`."""
        if self.least is None:
            return limit
        low = self.least if limit.low is None else np.maximum(floats(limit.low), self.least)
        return Limit(low, limit.high, limit.basis, limit.source)

    def lacking(self, facts: Facts) -> tuple[str, ...]:
        """Names of the sizes it needs that are not known at all."""
        return tuple(fact for fact in self.needs.values() if facts.get(fact) is None)

    def found(self, facts: Facts, limit: Limit | None = None) -> FloatArray:
        """The value [SI]; NaN where it is not known, but what it is at best where even that leaves the limit."""
        given = {keyword: _size(facts.get(fact)) for keyword, fact in self.needs.items()}
        used = {keyword: _size(facts[fact]) for keyword, fact in self.may_use.items() if facts.get(fact) is not None}
        value = self.formula(**given, **used)
        if self.at_best is None or limit is None or not np.isnan(value).any():
            return value
        best = self.at_best(**given)
        return np.where(np.isnan(value) & (outside(best, limit.low, limit.high, self.kind) > 0.0), best, value)

    def miss(self, facts: Facts, limit: Limit) -> FloatArray:
        """How far the value lies outside the limit [SI]: 0 inside, and 0 where it is not known."""
        missed = outside(self.found(facts, limit), limit.low, limit.high, self.kind)
        return np.where(np.isnan(missed), 0.0, missed)

    def softness(self, value: float, limit: Limit) -> bool | Literal["low", "high"]:
        """Whether a value outside the limit is only watched, or only beyond one side."""
        if limit.basis == "caller":
            return False
        if self.hard_beyond is not None and not self.hard_beyond[0] <= value <= self.hard_beyond[1]:
            return False
        return self.soft


@cache
def _of_practice(name: str, row: str, columns: str) -> Limit | None:
    """The limit that a row of a table holds, None where there is no such row."""
    found = table(name).rows.get(row)
    if found is None:
        return None
    low, high = (found.si(columns + side) if found.has(columns + side) else None for side in ("low", "high"))
    return Limit(low, high, found.basis, found.source)


def _size(given: ArrayLike | None) -> FloatArray:
    return floats(np.nan) if given is None else floats(given)
