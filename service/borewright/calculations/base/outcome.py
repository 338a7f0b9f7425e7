"""What a compute function gives back: values, checks, cautions, assumptions, impossibilities."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.mistakes import Code
from borewright.physics.arrays import BoolArray, FloatArray, floats
from borewright.practice.tables import Basis as Basis
from borewright.rules.judging import inside, misses, outside, slack
from borewright.rules.vocabulary import require_known

Verdict = Literal["pass", "watch", "fail", "unknown"]
VERDICTS: tuple[Verdict, ...] = ("pass", "watch", "fail", "unknown")
WORST_LAST: tuple[Verdict, ...] = ("pass", "unknown", "watch", "fail")  # of several the last of these counts
PASS, WATCH, FAIL, UNKNOWN = range(4)  # their places
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

    def codes(self) -> npt.NDArray[np.intp]:
        """The verdict of every state by itself, as its place in VERDICTS.

        >>> check = Check("squish", "length", [0.7e-3, 0.9e-3, 1.7e-3], 0.8e-3, 1.2e-3, "", "common practice", "", soft="high")
        >>> [VERDICTS[code] for code in check.codes()]
        ['fail', 'pass', 'watch']
        """
        if self.verdict is not None:
            return np.array([VERDICTS.index(self.verdict)])
        value, inside = self.states(), self.inside()
        if np.count_nonzero(inside) == inside.size:
            return np.full(inside.shape, PASS)
        too_low = np.asarray(outside(value, self.low, None, self.kind) > 0.0) & (self.soft not in (True, "low"))
        too_high = np.asarray(outside(value, None, self.high, self.kind) > 0.0) & (self.soft not in (True, "high"))
        judged = np.where(inside, PASS, np.where(too_low | too_high, FAIL, WATCH))
        return np.where(np.isfinite(value), judged, UNKNOWN)

    def judge(self, corners: Callable[[BoolArray], BoolArray] | None = None, ends: tuple[float, float] | None = None) -> Verdict:
        """The verdict of the first state; the corners of the tolerances turn a pass into a watch.

        corners : picks the states that count from an array of bool
        ends : the least and the most of the value in these states, where that is known

        >>> check = Check("squish", "length", [0.9e-3, 0.7e-3], 0.8e-3, 1.2e-3, "", "common practice", "")
        >>> check.judge(lambda ok: ok), check.judge(lambda ok: ok, (0.7e-3, 0.9e-3)), check.judge()
        ('watch', 'watch', 'pass')
        """
        if self.verdict is not None:
            return self.verdict
        nominal = self._nominal()
        if nominal != PASS or corners is None:
            return VERDICTS[nominal]
        if _is_one(self.low) and _is_one(self.high):
            if _is_one(self.value):
                return "pass"
            if ends is not None:
                return "watch" if self._beyond(ends[0])[0] or self._beyond(ends[1])[1] else "pass"
        return "pass" if bool(corners(self.inside()).all()) else "watch"

    def _nominal(self) -> int:
        """The first of `codes`, without an array for each step."""
        if self.value is None:
            return UNKNOWN
        value = self.value.value if isinstance(self.value, Measured) else _first(self.value)
        if not math.isfinite(value):
            return UNKNOWN
        too_low, too_high = self._beyond(value)
        if not (too_low or too_high or _is_nan(self.low) or _is_nan(self.high)):
            return PASS
        hard = (too_low and self.soft not in (True, "low")) or (too_high and self.soft not in (True, "high"))
        return FAIL if hard else WATCH

    def _beyond(self, value: float) -> tuple[bool, bool]:
        """Whether a value lies below the first of the low limits, and above the first of the high ones."""
        too_low = self.low is not None and misses(value, _first(self.low), "low", self.kind)
        return too_low, self.high is not None and misses(value, _first(self.high), "high", self.kind)


def _first(numbers: ArrayLike) -> float:
    """The first number of an array, a list or a number."""
    if type(numbers) is float:
        return numbers
    return float(numbers.item(0)) if type(numbers) is np.ndarray else float(np.asarray(numbers, dtype=np.float64).flat[0])


def _is_one(numbers: ArrayLike | Measured | None) -> bool:
    """Whether there is one number, or none, for every state."""
    return numbers is None or isinstance(numbers, int | float | Measured) or np.size(numbers) == 1


def _is_nan(limit: ArrayLike | None) -> bool:
    return limit is not None and math.isnan(_first(limit))


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
    """States that are refused, with the field to blame.

    states : array of bool
    """

    pointer: str
    states: BoolArray
    detail: str
    code: Code


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

    def refuse_where(self, states: ArrayLike, pointer: str, detail: str, code: Code) -> None:
        """Mark states as refused.

        code : IMPOSSIBLE only for what can't exist; what is lacking, stands twice or means nothing has a code of its own
        """
        if np.count_nonzero(states):
            self.impossible.append(Impossibility(pointer, np.atleast_1d(np.asarray(states, dtype=np.bool_)), detail, code))

    def possible(self, size: FloatArray, impossible: ArrayLike, pointer: str, detail: str) -> FloatArray:
        """A size where it can be, and no number where it can't and is refused: formulas hand that on, and no other state is touched.

        >>> outcome = Outcome({})
        >>> outcome.possible(np.array([0.02, 0.2]), [False, True], "#/pin/outer", "thicker than the bore: check both").tolist()
        [0.02, nan]
        >>> outcome.impossible[0].pointer
        '#/pin/outer'
        """
        if not np.count_nonzero(impossible):
            return floats(size)
        self.refuse_where(impossible, pointer, detail, Code.IMPOSSIBLE)
        return floats(np.where(impossible, np.nan, size))
