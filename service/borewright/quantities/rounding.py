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
_FEW = 64  # up to so many, to look for what they have in common costs as much as it saves
_CLEAR = 1.0 + 1e-9
BLOCK = 8192  # numbers that are worked on together: what is made on the way stays in the processor's cache
LEAST, MOST = 1.001e-11, 0.999e33  # between them the powers of ten that are needed are in the table, however a logarithm is rounded


def significant(values: npt.ArrayLike) -> FloatArray:
    """Round to 12 significant digits; zero and what is not finite stay as they are.

    >>> significant([0.1 + 0.2, 5735.472400000001, 0.0])
    array([3.0000000e-01, 5.7354724e+03, 0.0000000e+00])
    """
    given = np.atleast_1d(np.asarray(values, dtype=np.float64))
    if given.size <= BLOCK or given.ndim > 1:
        return _significant(given)
    found = np.empty(given.size)
    for at in range(0, given.size, BLOCK):
        found[at : at + BLOCK] = _significant(given[at : at + BLOCK])
    return found


def _significant(given: FloatArray) -> FloatArray:
    if given.size > _FEW:
        common = _common_places(float(given.min()), float(given.max()))
        if common is not None:
            scale = _POWERS[common]
            return np.asarray(np.rint(given * scale) / scale)
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


def _common_places(low: float, high: float) -> int | None:
    """How many decimals all numbers of a range are rounded to, where it lies well between two powers of ten and these are not below zero.

    >>> _common_places(3.8, 4.1), _common_places(-4.1, -3.8), _common_places(9.0, 11.0), _common_places(3.8, float("nan"))
    (11, 11, None, None)
    """
    if high < 0.0:
        low, high = -high, -low
    if not (low >= LEAST and high <= MOST):  # also where either is no number
        return None
    exponent = floor(log10(low))
    power = 10.0**exponent
    near = low < power * _CLEAR or high > 10.0 * power / _CLEAR  # where a logarithm may round to the other side
    return None if near or exponent >= SIGNIFICANT else SIGNIFICANT - 1 - exponent


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
