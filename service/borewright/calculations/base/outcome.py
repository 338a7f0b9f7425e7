"""What a compute function gives back: values, checks, cautions, assumptions, impossibilities."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from borewright.physics.arrays import BoolArray, FloatArray, floats
from borewright.practice.tables import Basis as Basis
from borewright.rules.judging import inside, outside, slack
from borewright.rules.vocabulary import require_known

Verdict = Literal["pass", "watch", "fail", "unknown"]
VERDICTS: tuple[Verdict, ...] = ("pass", "watch", "fail", "unknown")
ArrayLike = npt.ArrayLike


@dataclass(frozen=True)
class Measured:
    """A result whose bounds the calculation found itself [SI]."""

    value: float
    low: float | None = None
    high: float | None = None
    uncertainty: float | None = None


@dataclass(frozen=True)
class Check:
    """A value against its limits.

    value : array [SI], one element per state; or None where it can't be known; or Measured, with a verdict of its own
    low, high : limits [SI], arrays or numbers, None where that side is open
    soft : outside the limits is "watch" instead of "fail"; or only beyond the low or the high one
    verdict : set only where limits do not say it
    missing : pointers to the fields that would make the value known
    """

    name: str
    kind: str
    value: ArrayLike | Measured | None
    low: ArrayLike | None
    high: ArrayLike | None
    reason: str
    basis: Basis
    source: str
    soft: bool | Literal["low", "high"] = False
    verdict: Verdict | None = None
    missing: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a name that the vocabulary of checks does not have."""
        require_known(self.name)

    def states(self) -> FloatArray:
        """The value in every state, NaN where it can't be known; of a Measured the nominal one.

        >>> Check("squish", "length", None, 0.8e-3, None, "", "common practice", "").states()
        array([nan])
        """
        if self.value is None:
            return np.full(1, np.nan)
        return np.atleast_1d(np.asarray(self.value.value if isinstance(self.value, Measured) else self.value, dtype=np.float64))

    def inside(self) -> BoolArray:
        """Which states lie inside the limits, or on one of them."""
        value = self.states()
        return np.atleast_1d(inside(value, self.low, self.high, self.kind) & np.isfinite(value))

    def margin(self) -> FloatArray:
        """Distance inside the nearer limit, its slack of rounding added, negative outside; infinite where there is none.

        >>> Check("rod-ratio", "ratio", [1.0, 3.0], 0.5, 2.0, "", "common practice", "").margin().round(6).tolist()
        [0.5, -1.0]
        """
        value = self.states()
        above = np.inf if self.low is None else value - floats(self.low) + slack(self.kind, self.low)
        below = np.inf if self.high is None else floats(self.high) - value + slack(self.kind, self.high)
        return np.broadcast_to(np.minimum(above, below), self.inside().shape)

    def verdicts(self) -> npt.NDArray[np.str_]:
        """The verdict of every state by itself.

        >>> Check("squish", "length", [0.7e-3, 0.9e-3, 1.7e-3], 0.8e-3, 1.2e-3, "", "common practice", "", soft="high").verdicts().tolist()
        ['fail', 'pass', 'watch']
        """
        value = self.states()
        too_low = np.asarray(outside(value, self.low, None, self.kind) > 0.0) & (self.soft not in (True, "low"))
        too_high = np.asarray(outside(value, None, self.high, self.kind) > 0.0) & (self.soft not in (True, "high"))
        judged = np.where(self.inside(), "pass", np.where(too_low | too_high, "fail", "watch"))
        return np.where(np.isfinite(value), judged, "unknown")

    def judge(self, corners: Callable[[BoolArray], BoolArray] | None = None) -> Verdict:
        """The verdict of the first state; the corners of the tolerances turn a pass into a watch.

        >>> Check("squish", "length", [0.9e-3, 0.7e-3], 0.8e-3, 1.2e-3, "", "common practice", "").judge(lambda ok: ok)
        'watch'
        """
        if self.verdict is not None:
            return self.verdict
        nominal: Verdict = next(verdict for verdict in VERDICTS if verdict == self.verdicts()[0])
        if nominal != "pass":
            return nominal
        within = self.inside()
        points = corners(within) if corners is not None else within[:1]
        return "pass" if bool(points.all()) else "watch"


@dataclass(frozen=True)
class Assumption:
    """A default that a calculation chose for itself: shown with where it comes from."""

    name: str
    value: Any
    basis: Basis
    source: str
    kind: str | None = None


@dataclass(frozen=True)
class Impossibility:
    """States that can't exist, with the field to blame.

    states : array of bool
    """

    pointer: str
    states: BoolArray
    detail: str


@dataclass
class Outcome:
    """The result of a compute function: a tree of arrays [SI] and what to say about it.

    variances : for a calculation that propagates by itself, what each toleranced input (by its pointer) adds to the variance of a
        result (by its dotted name); the first result that has any counts
    """

    values: Mapping[str, Any]
    checks: list[Check] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    assumptions: list[Assumption] = field(default_factory=list)
    impossible: list[Impossibility] = field(default_factory=list)
    variances: Mapping[str, Mapping[str, float]] = field(default_factory=dict)

    def refuse_where(self, states: ArrayLike, pointer: str, detail: str) -> None:
        """Mark states as impossible."""
        marked = np.atleast_1d(np.asarray(states, dtype=np.bool_))
        if marked.any():
            self.impossible.append(Impossibility(pointer, marked, detail))
