"""Rounding to significant digits, the same for one number and for a column."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from borewright.physics.arrays import FloatArray

SIGNIFICANT = 12
SMALLEST, LARGEST = 1e-280, 1e280  # beyond, the powers of ten leave the range of a double


def significant(values: npt.ArrayLike, digits: int = SIGNIFICANT) -> FloatArray:
    """Round to significant digits; zero, non-finite values and those beyond 1e±280 stay as they are.

    >>> significant([0.1 + 0.2, 5735.472400000001, 0.0])
    array([3.0000000e-01, 5.7354724e+03, 0.0000000e+00])
    """
    given = np.atleast_1d(np.asarray(values, dtype=np.float64))
    size = np.abs(given)
    usable = (size >= SMALLEST) & (size <= LARGEST)
    safe = np.where(usable, given, 1.0)
    places = digits - 1 - np.floor(np.log10(np.abs(safe)))
    up, down = 10.0 ** np.maximum(places, 0.0), 10.0 ** np.maximum(-places, 0.0)
    rounded = np.rint(safe * up / down) * down / up
    return np.where(usable, rounded, given)
