"""What every formula does with its arguments: take them as double-precision arrays and refuse what cannot be."""

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray: TypeAlias = NDArray[np.float64]
BoolArray: TypeAlias = NDArray[np.bool_]


def floats(values: ArrayLike) -> FloatArray:
    """Take a number or anything array-like as an array of doubles.

    Parameters
    ----------
    values : array [any]

    Returns
    -------
    array [as given]

    Examples
    --------
    >>> floats([1, 2]).dtype
    dtype('float64')
    """
    return np.asarray(values, dtype=np.float64)


def require(condition: ArrayLike, message: str) -> None:
    """Refuse the whole call when any element breaks a formula's domain; a NaN breaks every comparison and is refused too.

    Formulas never hand back NaN for an impossible element, so a caller with many rows masks the impossible ones first.

    Parameters
    ----------
    condition : array of bool [1]
    message : str
        What must hold.

    Raises
    ------
    ValueError
        Where any element of the condition is false.

    Examples
    --------
    >>> require([True, False], "bore must be above zero")
    Traceback (most recent call last):
    ValueError: bore must be above zero
    """
    if not np.asarray(condition).all():
        raise ValueError(message)


def limited(values: FloatArray, low: float, high: float) -> FloatArray:
    """Values kept within bounds, min(max(v, low), high): what `numpy.clip` gives, without its overhead, which short arrays feel.

    Parameters
    ----------
    values : array [any]
    low, high : float [as values]

    Returns
    -------
    array [as values]
        NaN where a value is.

    Examples
    --------
    >>> limited(np.array([-2.0, 0.1, np.nan, 7.0]), -1.0, 1.0).tolist()
    [-1.0, 0.1, nan, 1.0]
    """
    result: FloatArray = np.minimum(np.maximum(values, low), high)
    return result
