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
