"""Rounding to significant digits, the same for one number and for a column.

A number is scaled by a power of ten that a double holds exactly, rounded, and scaled back: one division or product of exact numbers gives
the double next to the decimal. Numbers so small or so large that no such power exists are rounded as they are written.
"""

from __future__ import annotations

from math import floor, isfinite, log10

import numpy as np
import numpy.typing as npt

from borewright.physics.arrays import FloatArray

SIGNIFICANT = 12
_POWERS = tuple(float(10**exponent) for exponent in range(23))  # each exactly itself: 10^22 is the last power of ten that is
# added to a number below 2^51, it leaves no room for a fraction: the sum is rounded to the nearest whole, ties to even
_WHOLE = 1.5 * 2.0**52
_TABLE = np.array(_POWERS)
LEAST, MOST = 1.001e-11, 0.999e33  # between them the powers of ten that are needed are in the table, however a logarithm is rounded


def significant(values: npt.ArrayLike) -> FloatArray:
    """Round to 12 significant digits; zero and what is not finite stay as they are.

    >>> significant([0.1 + 0.2, 5735.472400000001, 0.0])
    array([3.0000000e-01, 5.7354724e+03, 0.0000000e+00])
    """
    given = np.atleast_1d(np.asarray(values, dtype=np.float64))
    size = np.abs(given)
    usual = (size >= LEAST) & (size <= MOST)
    all_usual = bool(usual.all())
    places = SIGNIFICANT - 1 - np.floor(np.log10(size if all_usual else np.where(usual, size, 1.0))).astype(np.intp)
    up = _TABLE[np.maximum(places, 0)]
    if all_usual and places.size and places.min() >= 0:
        result: FloatArray = given * up
        np.rint(result, out=result)
        result /= up
        return result
    down = _TABLE[np.maximum(-places, 0)]
    safe = given if all_usual else np.where(usual, given, 1.0)
    result = np.asarray(np.rint(safe * up / down) * down / up)
    if all_usual:
        return result
    result = np.where(usual, result, given)
    for place in np.argwhere(~usual & np.isfinite(given) & (size > 0.0)):
        result[tuple(place)] = _as_written(float(given[tuple(place)]))
    return result


def rounded(value: float) -> float:
    """One number rounded as `significant` rounds a column.

    >>> rounded(0.1 + 0.2), rounded(5735.472400000001), rounded(0.0), rounded(1.23456789012345e-15)
    (0.3, 5735.4724, 0.0, 1.23456789012e-15)
    """
    size = abs(value)
    if LEAST <= size <= MOST:
        places = SIGNIFICANT - 1 - floor(log10(size))
        if places >= 0:
            up = _POWERS[places]
            return (value * up + _WHOLE - _WHOLE) / up
        down = _POWERS[-places]
        return (value / down + _WHOLE - _WHOLE) * down
    return _as_written(value) if size > 0.0 and isfinite(value) else value


def _as_written(value: float) -> float:
    return float(f"{value:.{SIGNIFICANT - 1}e}")
