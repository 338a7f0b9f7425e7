"""Which piston goes into which cylinder."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt


def pair_in_order(bores: npt.ArrayLike, skirts: npt.ArrayLike) -> npt.NDArray[np.intp]:
    """For each bore the index of its skirt: smallest to smallest, next to next, up to largest to largest.

    With one clearance c wanted everywhere, the deviation of a pair is |(bore − c) − skirt|, a distance on a line. Crossing two pairs that
    stand in order never makes the larger of their two distances smaller, nor their sum, so the ordered assignment keeps the worst deviation
    and, among those that do, the sum of all deviations smallest, whatever c is. Equal sizes keep the order in which they were given.

    bores, skirts : arrays [m], equally long

    Raises ValueError where they are not equally long.

    >>> pair_in_order([100.02, 100.00, 100.01], [99.93, 99.94, 99.92])
    array([1, 2, 0])

    Source: R. E. Burkard, M. Dell'Amico and S. Martello, Assignment Problems (2009), on assignments with Monge costs, from memory.
    """
    first, second = np.asarray(bores, dtype=np.float64), np.asarray(skirts, dtype=np.float64)
    if first.shape != second.shape or first.ndim != 1:
        raise ValueError("bores and skirts must be two equally long rows of sizes")
    paired = np.empty(first.size, dtype=np.intp)
    paired[np.argsort(first, kind="stable")] = np.argsort(second, kind="stable")
    return paired


def pick_and_pair(bores: npt.ArrayLike, skirts: npt.ArrayLike, clearance: float) -> npt.NDArray[np.intp]:
    """For each bore the index of its skirt, out of as many skirts or more: those left over would fit worse.

    The deviations of `pair_in_order`, with the clearance given since it now decides who is left out. Whoever is chosen is paired in
    order, so that with bores and skirts in order the best pairing of the first i bores out of the first j skirts either leaves skirt j out
    or gives it to bore i: the least worst deviation first, then the least sum among the pairings that keep it.

    bores, skirts : arrays [m], not fewer skirts than bores
    clearance : wanted [m]

    Raises ValueError where there are fewer skirts than bores.

    >>> pick_and_pair([100.02, 100.00], [99.99, 99.93, 99.91, 99.80], 0.09)
    array([1, 2])
    """
    first, second = np.asarray(bores, dtype=np.float64), np.asarray(skirts, dtype=np.float64)
    if first.size == second.size:
        return pair_in_order(first, second)
    if first.ndim != 1 or second.ndim != 1 or first.size > second.size:
        raise ValueError("there must be as many skirts as bores, or more")
    across, along = np.argsort(first, kind="stable"), np.argsort(second, kind="stable")
    apart = np.abs(first[across][:, None] - second[along][None, :] - clearance)
    worst = np.zeros(second.size + 1)
    for row in apart:
        worst = np.minimum.accumulate(np.concatenate(([np.inf], np.maximum(worst[:-1], row))))
    allowed = np.where(apart <= worst[-1], apart, np.inf)
    sums = np.zeros((first.size + 1, second.size + 1))
    for index, row in enumerate(allowed):
        sums[index + 1] = np.minimum.accumulate(np.concatenate(([np.inf], sums[index, :-1] + row)))
    paired, column = np.empty(first.size, dtype=np.intp), second.size
    for index in range(first.size, 0, -1):
        while column > 1 and sums[index, column] == sums[index, column - 1]:
            column -= 1
        paired[across[index - 1]] = along[column - 1]
        column -= 1
    return paired
