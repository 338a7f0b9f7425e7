"""Carrying tolerances through an array function: worst case over corners, and expanded uncertainty.

One evaluation serves both. The inputs are laid out along one axis as

    [nominal | five-point stencil of each toleranced input | every corner of the tolerances | points along each input]

so that any function of arrays yields its value, its bounds and its derivatives in one call. A function that rises or falls all
along each input has its worst case at a corner; where one turns in between, as the height of an offset pin does, the points along
that input show by how much, and the bounds are set out by it.
The uncertainty follows JCGM 100:2008 (GUM), 5.1.2 eq. 10 with 4.3.7 (a tolerance is a rectangular
half-width a, standard uncertainty a/√3) and 6.2.1 (coverage factor k = 2). A one-sided tolerance is a rectangle over its
whole width b₊ + b₋, u² = (b₊ + b₋)²/12: 4.3.8, the simplest of its choices, which leaves the estimate where it was stated.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from borewright.physics.arrays import BoolArray, FloatArray

COVERAGE = 2.0
STENCIL = np.array([-2.0, -1.0, 1.0, 2.0])
STENCIL_STEP = 0.02  # of the half-width: small beside it, large beside the last digit of a double
ALONG = (-1.0, -0.5, 0.5, 1.0)  # of the tolerance to that side
ROUNDING = 1e-9  # of the width of the bounds: turns smaller than that are the last digits of doubles


class Propagated(NamedTuple):
    """What a tolerance makes of a result.

    corners : the least and the most of the nominal value and the corners, which decide whether limits are kept; None where a plan judges
        by something else
    """

    value: float
    low: float
    high: float
    uncertainty: float
    variances: FloatArray
    corners: tuple[float, float] | None = None


@cache
def upper_ends(count: int) -> BoolArray:
    """Which inputs stand at their upper end in each corner, shape (count, 2^count).

    >>> upper_ends(2).astype(int).tolist()
    [[0, 1, 0, 1], [0, 0, 1, 1]]
    """
    return np.asarray((np.arange(2**count) >> np.arange(count)[:, None]) & 1 == 1)


@cache
def _steps(count: int) -> tuple[FloatArray, BoolArray]:
    """How far each input of a plan is moved at each point, in its tolerance to that side, and whether it is moved down; (count, size)."""
    first = 1 + STENCIL.size * count
    corners = first + (2**count if count else 0)
    found = np.zeros((count, corners + len(ALONG) * count))
    found[:, first:corners] = np.where(upper_ends(count), 1.0, -1.0)
    for index in range(count):
        found[index, 1 + STENCIL.size * index :][: STENCIL.size] = STENCIL * STENCIL_STEP
        found[index, corners + index :: count] = ALONG
    return found, found < 0.0


class TolerancePlan:
    """The layout of the points at which a function is evaluated, for k toleranced inputs.

    nominals : length k [SI]
    below, above : length k [SI], how far the tolerances reach to either side; above left out, as far as below

    >>> plan = TolerancePlan([2.0, 3.0], [0.1, 0.3])
    >>> area = plan.column(0) * plan.column(1)
    >>> result = plan.summarize(area)
    >>> round(result.low, 9), round(result.high, 9), round(result.uncertainty, 6)
    (5.13, 6.93, 0.774597)
    >>> [round(float(v / result.variances.sum()), 3) for v in result.variances]
    [0.2, 0.8]
    >>> plan = TolerancePlan([2.0], [0.0], [0.2])
    >>> result = plan.summarize(plan.column(0) ** 2)
    >>> round(result.low, 9), round(result.value, 9), round(result.high, 9)
    (4.0, 4.0, 4.84)
    """

    def __init__(self, nominals: list[float], below: list[float], above: list[float] | None = None) -> None:
        self.nominals = np.asarray(nominals, dtype=np.float64)
        self.below = np.asarray(below, dtype=np.float64)
        self.above = self.below if above is None else np.asarray(above, dtype=np.float64)
        self.half_widths = (self.below + self.above) / 2.0
        self.count = len(nominals)
        self._stencil_end = 1 + STENCIL.size * self.count
        self._corners_end = self._stencil_end + (2**self.count if self.count else 0)
        self.size = self._corners_end + len(ALONG) * self.count
        self._moved: FloatArray | None = None

    def column(self, index: int) -> FloatArray:
        """The values of one input at every point of the plan, shape (size,) [SI]."""
        if self._moved is None:
            self._moved = self._laid_out()
        column: FloatArray = self._moved[index]
        return column

    def _laid_out(self) -> FloatArray:
        """The values of every input at every point, shape (count, size)."""
        steps, down = _steps(self.count)
        nominals, below, above = self.nominals[:, None], self.below[:, None], self.above[:, None]
        if self.above is self.below or (below == above).all():
            return np.asarray(nominals + steps * below)
        moved = np.asarray(nominals + steps * np.where(down, below, above))
        # at a one-sided end the stencil is moved inward: no point leaves the tolerance
        reach = STENCIL[-1] * STENCIL_STEP * self.half_widths[:, None]
        centers = np.maximum(reach - below, 0.0) - np.maximum(reach - above, 0.0)
        stencils = nominals + (centers + STENCIL * STENCIL_STEP * self.half_widths[:, None])
        for index in range(self.count):
            first = 1 + STENCIL.size * index
            moved[index, first : first + STENCIL.size] = stencils[index]
        return moved

    def summarize(self, result: npt.ArrayLike) -> Propagated:
        """Nominal value, worst case and expanded uncertainty of a result of shape (size,) or (1,) [its own unit]."""
        return self._several(np.broadcast_to(np.asarray(result, dtype=np.float64), (1, self.size)))[0]

    def _several(self, values: FloatArray) -> list[Propagated]:
        """As `summarize`, of results of shape (results, size)."""
        stencil = values[:, 1 : self._stencil_end].reshape(len(values), self.count, STENCIL.size)
        # differences first: exactly zero where nothing depends
        far, near = stencil[..., 3] - stencil[..., 0], stencil[..., 2] - stencil[..., 1]
        slopes = (8.0 * near - far) / (12.0 * STENCIL_STEP)  # per half-width
        variances = slopes**2 / 3.0
        uncertainty = COVERAGE * np.sqrt(variances.sum(axis=1))
        nominal, corners = values[:, 0], values[:, self._stencil_end : self._corners_end]
        least, most = corners.min(axis=1, initial=np.inf), corners.max(axis=1, initial=-np.inf)
        low, high = self._set_out(values, least, most)
        low, high, least, most = np.minimum(low, nominal), np.maximum(high, nominal), np.minimum(least, nominal), np.maximum(most, nominal)
        ends = zip(least.tolist(), most.tolist(), strict=True)
        return list(map(Propagated, nominal.tolist(), low.tolist(), high.tolist(), uncertainty.tolist(), variances, ends))

    def _set_out(self, values: FloatArray, low: FloatArray, high: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The bounds that corners make, set out where results turn along an input beyond both of its ends."""
        nominal = values[:, 0]
        along = values[:, self._corners_end :].reshape(len(values), len(ALONG), self.count)
        lower, upper = np.minimum(along[:, 0], along[:, -1]), np.maximum(along[:, 0], along[:, -1])
        between = np.minimum(along[:, 1], along[:, 2]), np.maximum(along[:, 1], along[:, 2])
        least, most = np.minimum(between[0], nominal[:, None]), np.maximum(between[1], nominal[:, None])
        if (least >= lower).all() and (most <= upper).all():  # mostly; not where anything is no number
            return low, high
        # how far each input turns beyond both of its ends
        under = np.nan_to_num(lower - np.minimum(least, lower)).sum(axis=1)
        over = np.nan_to_num(np.maximum(most, upper) - upper).sum(axis=1)
        noise = ROUNDING * (high - low)
        corners = values[:, self._stencil_end : self._corners_end]
        found = np.concatenate((nominal[:, None], corners, along.reshape(len(values), -1)), axis=1)
        # several turns may add up to more than there is: what is nowhere below zero, as a magnitude, is not set out beyond it
        floor = np.where((found >= 0.0).all(axis=1), 0.0, -np.inf)
        ceiling = np.where((found <= 0.0).all(axis=1), 0.0, np.inf)
        low = np.maximum(low - np.where(under > noise, under, 0.0), floor)
        return low, np.minimum(high + np.where(over > noise, over, 0.0), ceiling)

    def corners(self, result: npt.ArrayLike) -> FloatArray:
        """The nominal and the corner values of a result, without the stencil and the points along each input."""
        values = np.asarray(result, dtype=np.float64)
        if values.shape != (self.size,):
            values = np.broadcast_to(values, (self.size,))
        return np.concatenate((values[:1], values[self._stencil_end : self._corners_end]))

    def bounded(self, values: FloatArray) -> BoolArray:
        """Which results of shape (results, size) have bounds: those that are numbers at every point that these are taken from."""
        return np.asarray(np.isfinite(values[:, 0]) & np.isfinite(values[:, self._stencil_end : self._corners_end]).all(axis=1))

    def worst_inside(self, inside: BoolArray, slack: Callable[[], npt.ArrayLike]) -> BoolArray:
        """Whether the nominal value and the corners lie inside limits.

        inside : array of bool (size,)
        slack : gives an array (size,), distance from the nearer limit, negative outside
        """
        return self.corners(inside).astype(np.bool_)


class AdditivePlan(TolerancePlan):
    """A plan for functions that cost much: each input at its ends alone, and the worst case from the sum of what each does.

    It takes [nominal | every input low in turn | every input high in turn], so that the points grow with the inputs and do not double.
    Bounds are those of the corners to the first order: exact where the inputs' effects add up, else off by their product.

    >>> plan = AdditivePlan([2.0, 3.0], [0.1, 0.3])
    >>> found = plan.summarize(plan.column(0) * plan.column(1))
    >>> plan.size, round(found.low, 9), round(found.high, 9), round(found.uncertainty, 6)
    (5, 5.1, 6.9, 0.774597)
    """

    def __init__(self, nominals: list[float], below: list[float], above: list[float] | None = None) -> None:
        super().__init__(nominals, below, above)
        self.size = 1 + 2 * self.count

    def column(self, index: int) -> FloatArray:
        """The values of one input at every point of the plan, shape (size,) [SI]."""
        column = np.full(self.size, self.nominals[index])
        column[1 + index] -= self.below[index]
        column[1 + self.count + index] += self.above[index]
        return column

    def _several(self, values: FloatArray) -> list[Propagated]:
        """As `TolerancePlan._several`."""
        nominal, ends = values[:, :1], values[:, 1:].reshape(len(values), 2, self.count)
        moved = ends - nominal[:, :, None]
        low = nominal[:, 0] + np.minimum(moved, 0.0).min(axis=1).sum(axis=1)
        high = nominal[:, 0] + np.maximum(moved, 0.0).max(axis=1).sum(axis=1)
        variances = ((ends[:, 1] - ends[:, 0]) / 2.0) ** 2 / 3.0
        uncertainty = COVERAGE * np.sqrt(variances.sum(axis=1))
        return list(map(Propagated, nominal[:, 0].tolist(), low.tolist(), high.tolist(), uncertainty.tolist(), variances))

    def bounded(self, values: FloatArray) -> BoolArray:
        """Which results of shape (results, size) are numbers at every point."""
        return np.asarray(np.isfinite(values).all(axis=1))

    def corners(self, result: npt.ArrayLike) -> FloatArray:
        """The nominal value and those with one input at an end of its tolerance."""
        return np.broadcast_to(np.asarray(result, dtype=np.float64), (self.size,)).copy()

    def worst_inside(self, inside: BoolArray, slack: Callable[[], npt.ArrayLike]) -> BoolArray:
        """Whether the nominal value and the worst case lie inside limits."""
        distance = np.asarray(slack(), dtype=np.float64)
        if not np.isfinite(distance).all():
            return super().worst_inside(inside, slack)
        return np.array([bool(inside[0]), self.summarize(distance).low >= 0.0])


class Summaries:
    """What the tolerances make of the results of one answer, all calculated at once.

    plan : the plan that the results were computed by
    results : arrays of shape (size,) or (1,); others are passed over

    >>> plan = TolerancePlan([2.0, 3.0], [0.1, 0.3])
    >>> area = plan.column(0) * plan.column(1)
    >>> found = Summaries(plan, [area])
    >>> round(found.of(area).low, 9), found.of(np.full(plan.size, np.nan))
    (5.13, None)
    """

    def __init__(self, plan: TolerancePlan, results: Iterable[object]) -> None:
        self.plan = plan
        # by identity, which a result keeps while it is held here
        held = {id(one): one for one in results if isinstance(one, np.ndarray) and one.dtype == np.float64 and self._takes(one)}
        values = np.empty((len(held), plan.size))
        for row, one in enumerate(held.values()):
            values[row] = one
        found = plan._several(values) if held else []
        known = [True] * len(held) if np.isfinite(values).all() else plan.bounded(values).tolist()
        self._held = {name: (one, made if good else None) for (name, one), made, good in zip(held.items(), found, known, strict=True)}

    def _takes(self, result: FloatArray) -> bool:
        return self.plan.count > 0 and result.shape in ((self.plan.size,), (1,))

    def of(self, result: FloatArray) -> Propagated | None:
        """The summary of a result; None where it has no bounds, since a point of them is no number."""
        known = self._held.get(id(result))
        if known is None:
            values = np.broadcast_to(np.asarray(result, dtype=np.float64), (1, self.plan.size))
            return self.plan.summarize(values[0]) if self.plan.bounded(values)[0] else None
        return known[1]

    def variances(self, result: npt.ArrayLike) -> FloatArray:
        """What each input adds to the variance of a result."""
        known = self._held.get(id(result))
        return known[1].variances if known is not None and known[1] is not None else self.plan.summarize(result).variances
