"""What a compute function gives back: values, checks, cautions, assumptions, impossibilities."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from borewright.physics.arrays import BoolArray, FloatArray

Basis = Literal["common practice", "published", "caller"]
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
    soft : outside the limits is "watch" instead of "fail"
    verdict : set only where limits do not say it
    """

    name: str
    kind: str
    value: ArrayLike | Measured | None
    low: ArrayLike | None
    high: ArrayLike | None
    reason: str
    basis: Basis
    source: str
    soft: bool = False
    verdict: Verdict | None = None

    def states(self) -> FloatArray:
        """The value in every state, NaN where it can't be known; of a Measured the nominal one.

        >>> Check("squish", "length", None, 0.8e-3, None, "", "common practice", "").states()
        array([nan])
        """
        if self.value is None:
            return np.full(1, np.nan)
        return np.atleast_1d(np.asarray(self.value.value if isinstance(self.value, Measured) else self.value, dtype=np.float64))

    def inside(self) -> BoolArray:
        """Which states lie inside the limits."""
        value = self.states()
        above = True if self.low is None else value >= np.asarray(self.low)
        below = True if self.high is None else value <= np.asarray(self.high)
        return np.atleast_1d(np.asarray(above & below) & np.isfinite(value))

    def slack(self) -> FloatArray:
        """Distance from the nearer limit, negative outside; infinite where there is none.

        >>> Check("squish", "length", [1.0, 3.0], 0.5, 2.0, "", "common practice", "").slack().tolist()
        [0.5, -1.0]
        """
        value = self.states()
        above = np.inf if self.low is None else value - np.asarray(self.low)
        below = np.inf if self.high is None else np.asarray(self.high) - value
        return np.broadcast_to(np.minimum(above, below), self.inside().shape)

    def judge(self, corners: Callable[[BoolArray], BoolArray] | None = None) -> Verdict:
        """The verdict of the first state; the corners of the tolerances turn a pass into a watch.

        >>> Check("squish", "length", [0.9e-3, 0.7e-3], 0.8e-3, 1.2e-3, "", "common practice", "").judge(lambda ok: ok)
        'watch'
        """
        if self.verdict is not None:
            return self.verdict
        if not np.isfinite(self.states()[0]):
            return "unknown"
        inside = self.inside()
        if not inside[0]:
            return "watch" if self.soft else "fail"
        points = corners(inside) if corners is not None else inside[:1]
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
