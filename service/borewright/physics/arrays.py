"""What every formula does with its arguments: take them as double-precision arrays and answer NaN where an element cannot be."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray: TypeAlias = NDArray[np.float64]
BoolArray: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True)
class Undefined:
    """Where a formula had no answer, and why.

    values : what the formula was given
    held : where its condition held, of a shape that broadcasts with the values
    reason : what must hold
    """

    values: FloatArray
    held: BoolArray
    reason: str

    def states(self) -> BoolArray:
        """In which states it held: the first axis; one for all where there is none."""
        return np.atleast_1d(self.held.reshape(self.held.shape[0] if self.held.ndim else 1, -1).all(axis=1))


_told: ContextVar[list[Undefined] | None] = ContextVar("undefined", default=None)


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


def all_hold(condition: ArrayLike) -> bool:
    """Whether a condition holds everywhere: what `all` says, without its overhead, which short arrays feel.

    Parameters
    ----------
    condition : array of bool [1]

    Returns
    -------
    bool

    Examples
    --------
    >>> all_hold([True, True]), all_hold([True, False]), all_hold([])
    (True, False, True)
    """
    held = np.asarray(condition)
    return bool(np.count_nonzero(held) == held.size)


def require(condition: ArrayLike, message: str) -> None:
    """Refuse the whole call for what is no matter of one element: a table that does not rise, an unknown name, a shape.

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
    >>> require(len([0.02]) >= 2, "a table must have two knots or more")
    Traceback (most recent call last):
    ValueError: a table must have two knots or more
    """
    if not all_hold(condition):
        raise ValueError(message)


def defined(values: FloatArray, condition: ArrayLike, reason: str) -> FloatArray:
    """Values where a formula's condition holds, NaN elsewhere; a NaN breaks every comparison and stays one.

    A formula takes its arguments through this, so that the elements outside its domain come out as NaN and the others are not touched.
    Where all hold the values themselves are handed back.

    Parameters
    ----------
    values : array [any]
    condition : array of bool [1]
        Broadcasts with the values.
    reason : str
        What must hold; `undefined` collects it.

    Returns
    -------
    array [as values]

    Examples
    --------
    >>> bore = np.array([0.1, -0.1])
    >>> defined(bore, bore > 0.0, "bore must be above zero").tolist()
    [0.1, nan]
    """
    held = np.asarray(condition)
    if all_hold(held):
        return values
    told = _told.get()
    if told is not None:
        told.append(Undefined(values, held, reason))
    return np.where(held, values, np.nan)


@contextmanager
def undefined() -> Iterator[list[Undefined]]:
    """Collect where formulas called inside had no answer, in the order in which they were asked.

    Examples
    --------
    >>> with undefined() as found:
    ...     defined(np.array([0.0]), [False], "bore must be above zero")
    array([nan])
    >>> [one.reason for one in found]
    ['bore must be above zero']
    """
    found: list[Undefined] = []
    token = _told.set(found)
    try:
        yield found
    finally:
        _told.reset(token)


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
