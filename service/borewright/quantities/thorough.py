"""A plan of tolerances for functions that turn within them: corners while they are few, and points between."""

from __future__ import annotations

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.quantities.propagation import COVERAGE, AdditivePlan, Propagated, upper_ends

MOST_CORNERED = 3
"""Inputs up to which every corner is taken: beyond, what each does is added up."""

BETWEEN = (-1.0, -0.5, 0.5, 1.0)

KINK = 3.0
"""A bend this much sharper than the others is taken for a kink; a smooth function bends nearly evenly over its tolerance."""


def _hidden(bends: FloatArray) -> FloatArray:
    """What a kink between an end and its neighbor can hide, of a result that does not seem to turn: its whole bend [results, inputs]."""
    first, middle, last = (bends[:, place] for place in range(3))
    at_first = np.where(first > KINK * np.maximum(np.abs(middle), np.abs(last)), first, 0.0)
    at_last = np.where(last > KINK * np.maximum(np.abs(middle), np.abs(first)), last, 0.0)
    return np.asarray(np.where((np.abs(bends).max(axis=1) > 1e-12), np.maximum(at_first, at_last), 0.0))


class ThoroughPlan(AdditivePlan):
    """A plan for functions that may turn inside the tolerances, as a power that knock holds back does.

    It takes [nominal | every input in turn at its low end, halfway to it, halfway to its high end, at it | every corner, up to three
    inputs]. Where an input makes a result turn, the bounds are set out by how far the points between lie beyond its ends, and by half
    of the sharpest bend seen, which is the most that a kink between two points can hide. Beyond three inputs the effects are added up.

    >>> plan = ThoroughPlan([2.0, 3.0], [0.1, 0.3])
    >>> found = plan.summarize(plan.column(0) * plan.column(1))
    >>> plan.size, round(found.low, 9), round(found.high, 9), round(found.uncertainty, 6)
    (13, 5.13, 6.93, 0.774597)
    >>> plan = ThoroughPlan([0.0], [1.0])
    >>> plan.summarize(-np.abs(plan.column(0) - 0.2)).high >= 0.0
    True
    """

    def __init__(self, nominals: list[float], below: list[float], above: list[float] | None = None) -> None:
        super().__init__(nominals, below, above)
        self._cornered = 2 <= self.count <= MOST_CORNERED
        self._singles = 1 + len(BETWEEN) * self.count
        self.size = self._singles + (2**self.count if self._cornered else 0)

    def column(self, index: int) -> FloatArray:
        """The values of one input at every point of the plan, shape (size,) [SI]."""
        below, above = self.below[index], self.above[index]
        column = np.full(self.size, self.nominals[index])
        for place, share in enumerate(BETWEEN):
            column[1 + place * self.count + index] += share * (below if share < 0.0 else above)
        if self._cornered:
            column[self._singles :] += np.where(upper_ends(self.count)[index], above, -below)
        return column

    def _several(self, values: FloatArray) -> list[Propagated]:
        """As `TolerancePlan._several`."""
        nominal = values[:, :1]
        singles = values[:, 1 : self._singles].reshape(len(values), len(BETWEEN), self.count)
        path = np.insert(singles, 2, nominal, axis=1)  # from low to high
        ends = path[:, [0, -1]]
        steps = np.diff(path, axis=1)
        turns = ~(np.all(steps >= 0.0, axis=1) | np.all(steps <= 0.0, axis=1))
        bends = np.diff(steps, axis=1)
        over = np.where(turns, path.max(axis=1) - ends.max(axis=1) + 0.5 * np.maximum(-bends, 0.0).max(axis=1), 0.0)
        under = np.where(turns, ends.min(axis=1) - path.min(axis=1) + 0.5 * np.maximum(bends, 0.0).max(axis=1), 0.0)
        over, under = np.maximum(over, _hidden(-bends)), np.maximum(under, _hidden(bends))
        if self._cornered:
            low, high = values[:, self._singles :].min(axis=1), values[:, self._singles :].max(axis=1)
        else:
            moved = ends - nominal[:, :, None]
            low = nominal[:, 0] + np.minimum(moved, 0.0).min(axis=1).sum(axis=1)
            high = nominal[:, 0] + np.maximum(moved, 0.0).max(axis=1).sum(axis=1)
        low = np.minimum(low, values.min(axis=1)) - under.sum(axis=1)
        high = np.maximum(high, values.max(axis=1)) + over.sum(axis=1)
        variances = ((ends[:, 1] - ends[:, 0]) / 2.0) ** 2 / 3.0
        uncertainty = COVERAGE * np.sqrt(variances.sum(axis=1))
        return list(map(Propagated, nominal[:, 0].tolist(), low.tolist(), high.tolist(), uncertainty.tolist(), variances))
