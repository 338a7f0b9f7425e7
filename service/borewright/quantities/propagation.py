"""Carrying tolerances through an array function: worst case over corners, and expanded uncertainty.

One evaluation serves both. The inputs are laid out along one axis as

    [nominal | five-point stencil of each toleranced input | every corner of the tolerances]

so that any function of arrays yields its value, its bounds and its derivatives in one call.
The uncertainty follows JCGM 100:2008 (GUM), 5.1.2 eq. 10 with 4.3.7 (a tolerance is a rectangular
half-width a, standard uncertainty a/√3) and 6.2.1 (coverage factor k = 2).
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

    nominals, half_widths : length k [SI]

    >>> plan = TolerancePlan([2.0, 3.0], [0.1, 0.3])
    >>> area = plan.column(0) * plan.column(1)
    >>> result = plan.summarise(area)
    >>> round(result.low, 9), round(result.high, 9), round(result.uncertainty, 6)
    (5.13, 6.93, 0.774597)
    >>> [round(float(v / result.variances.sum()), 3) for v in result.variances]
    [0.2, 0.8]
    """

    def __init__(self, nominals: list[float], half_widths: list[float]) -> None:
        self.nominals = np.asarray(nominals, dtype=np.float64)
        self.half_widths = np.asarray(half_widths, dtype=np.float64)
        self.count = len(nominals)
        self._stencil_end = 1 + STENCIL.size * self.count
        self.size = self._stencil_end + (2**self.count if self.count else 0)

    def column(self, index: int) -> FloatArray:
        """The values of one input at every point of the plan, shape (size,) [SI]."""
        nominal, half_width = self.nominals[index], self.half_widths[index]
        column = np.full(self.size, nominal)
        first = 1 + STENCIL.size * index
        column[first : first + STENCIL.size] += STENCIL * STENCIL_STEP * half_width
        signs = (np.arange(2**self.count) >> index) & 1
        column[self._stencil_end :] += np.where(signs == 1, half_width, -half_width)
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

    def __init__(self, nominals: list[float], half_widths: list[float]) -> None:
        super().__init__(nominals, half_widths)
        self.size = 1 + 2 * self.count

    def column(self, index: int) -> FloatArray:
        """The values of one input at every point of the plan, shape (size,) [SI]."""
        column = np.full(self.size, self.nominals[index])
        column[1 + index] -= self.half_widths[index]
        column[1 + self.count + index] += self.half_widths[index]
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
