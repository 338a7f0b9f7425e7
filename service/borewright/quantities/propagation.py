"""Carrying tolerances through an array function: worst case over corners, and expanded uncertainty.

One evaluation serves both. The inputs are laid out along one axis as

    [nominal | five-point stencil of each toleranced input | every corner of the tolerances]

so that any function of arrays yields its value, its bounds and its derivatives in one call.
The uncertainty follows JCGM 100:2008 (GUM), 5.1.2 eq. 10 with 4.3.7 (a tolerance is a rectangular
half-width a, standard uncertainty a/√3) and 6.2.1 (coverage factor k = 2). A one-sided tolerance is a rectangle over its
whole width b₊ + b₋, u² = (b₊ + b₋)²/12: 4.3.8, the simplest of its choices, which leaves the estimate where it was stated.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from borewright.physics.arrays import BoolArray, FloatArray

COVERAGE = 2.0
STENCIL = np.array([-2.0, -1.0, 1.0, 2.0])
STENCIL_STEP = 0.02  # of the half-width: small beside it, large beside the last digit of a double


@dataclass(frozen=True)
class Propagated:
    """What a tolerance makes of a result."""

    value: float
    low: float
    high: float
    uncertainty: float
    variances: FloatArray


class TolerancePlan:
    """The layout of the points at which a function is evaluated, for k toleranced inputs.

    nominals : length k [SI]
    below, above : length k [SI], how far the tolerances reach to either side; above left out, as far as below

    >>> plan = TolerancePlan([2.0, 3.0], [0.1, 0.3])
    >>> area = plan.column(0) * plan.column(1)
    >>> result = plan.summarise(area)
    >>> round(result.low, 9), round(result.high, 9), round(result.uncertainty, 6)
    (5.13, 6.93, 0.774597)
    >>> [round(float(v / result.variances.sum()), 3) for v in result.variances]
    [0.2, 0.8]
    >>> plan = TolerancePlan([2.0], [0.0], [0.2])
    >>> result = plan.summarise(plan.column(0) ** 2)
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
        self.size = self._stencil_end + (2**self.count if self.count else 0)

    def column(self, index: int) -> FloatArray:
        """The values of one input at every point of the plan, shape (size,) [SI]."""
        nominal, below, above, half_width = self.nominals[index], self.below[index], self.above[index], self.half_widths[index]
        column = np.full(self.size, nominal)
        first = 1 + STENCIL.size * index
        reach = STENCIL[-1] * STENCIL_STEP * half_width  # at a one-sided end the stencil is moved inwards: no point leaves the tolerance
        centre = max(reach - below, 0.0) - max(reach - above, 0.0)
        column[first : first + STENCIL.size] += centre + STENCIL * STENCIL_STEP * half_width
        signs = (np.arange(2**self.count) >> index) & 1
        column[self._stencil_end :] += np.where(signs == 1, above, -below)
        return column

    def summarise(self, result: npt.ArrayLike) -> Propagated:
        """Nominal value, worst case and expanded uncertainty of a result of shape (size,) or (1,) [its own unit]."""
        values = np.broadcast_to(np.asarray(result, dtype=np.float64), (self.size,))
        stencil = values[1 : self._stencil_end].reshape(self.count, STENCIL.size)
        far, near = stencil[:, 3] - stencil[:, 0], stencil[:, 2] - stencil[:, 1]  # differences first: exactly zero where nothing depends
        slopes = (8.0 * near - far) / (12.0 * STENCIL_STEP)  # per half-width
        variances = slopes**2 / 3.0
        bounds = np.append(values[self._stencil_end :], values[0])
        return Propagated(
            value=float(values[0]),
            low=float(bounds.min()),
            high=float(bounds.max()),
            uncertainty=COVERAGE * float(np.sqrt(variances.sum())),
            variances=variances,
        )

    def corners(self, result: npt.ArrayLike) -> FloatArray:
        """The nominal and the corner values of a result, without the stencil points."""
        values = np.broadcast_to(np.asarray(result, dtype=np.float64), (self.size,))
        return np.append(values[:1], values[self._stencil_end :])

    def worst_inside(self, inside: BoolArray, slack: npt.ArrayLike) -> BoolArray:
        """Whether the nominal value and the corners lie inside limits.

        inside : array of bool (size,)
        slack : array (size,), distance from the nearer limit, negative outside
        """
        return self.corners(inside).astype(np.bool_)


class AdditivePlan(TolerancePlan):
    """A plan for functions that cost much: each input at its ends alone, and the worst case from the sum of what each does.

    It takes [nominal | every input low in turn | every input high in turn], so that the points grow with the inputs and do not double.
    Bounds are those of the corners to the first order: exact where the inputs' effects add up, else off by their product.

    >>> plan = AdditivePlan([2.0, 3.0], [0.1, 0.3])
    >>> found = plan.summarise(plan.column(0) * plan.column(1))
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

    def summarise(self, result: npt.ArrayLike) -> Propagated:
        """Nominal value, worst case and expanded uncertainty of a result of shape (size,) or (1,) [its own unit]."""
        values = np.broadcast_to(np.asarray(result, dtype=np.float64), (self.size,))
        nominal, ends = values[0], values[1:].reshape(2, self.count)
        down, up = np.minimum(ends - nominal, 0.0).min(axis=0), np.maximum(ends - nominal, 0.0).max(axis=0)
        variances = ((ends[1] - ends[0]) / 2.0) ** 2 / 3.0
        return Propagated(
            value=float(nominal),
            low=float(nominal + down.sum()),
            high=float(nominal + up.sum()),
            uncertainty=COVERAGE * float(np.sqrt(variances.sum())),
            variances=variances,
        )

    def corners(self, result: npt.ArrayLike) -> FloatArray:
        """The nominal value and those with one input at an end of its tolerance."""
        return np.broadcast_to(np.asarray(result, dtype=np.float64), (self.size,)).copy()

    def worst_inside(self, inside: BoolArray, slack: npt.ArrayLike) -> BoolArray:
        """Whether the nominal value and the worst case lie inside limits."""
        if not np.isfinite(np.asarray(slack, dtype=np.float64)).all():
            return super().worst_inside(inside, slack)
        return np.array([bool(inside[0]), self.summarise(slack).low >= 0.0])
