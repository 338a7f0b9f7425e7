"""The largest value a function of crank angle takes in one turn, for arrays of engines at once."""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats, require

# A 1-degree scan cannot step over a peak of a slider-crank, whose harmonics above the tenth are negligible;
# twelve narrowings by four bring the angle to 1e-9 rad, where the value is flat to the last digit.
_SCAN = np.linspace(-np.pi, np.pi, 361)
_NARROWING = np.linspace(-1.0, 1.0, 9)
_NARROWINGS = 12


def maximum_over_turn(function: Callable[[FloatArray], FloatArray], shape: tuple[int, ...] = ()) -> tuple[FloatArray, FloatArray]:
    """Find where in one turn a periodic function is largest, and how large.

    Parameters
    ----------
    function : callable
        Takes angles [rad] of shape (n, *shape) or (n, 1, ...), gives values of shape (n, *shape).
    shape : tuple of int
        The broadcast shape of everything else the function depends on.

    Returns
    -------
    (array [rad], array [the function's])
        The angle in −π..π (to one scan step beyond) and the largest value, both of the given shape.

    Examples
    --------
    >>> angle, value = maximum_over_turn(lambda theta: np.cos(theta - 1.0))
    >>> round(float(angle), 6), round(float(value), 12)
    (1.0, 1.0)
    """
    column = (-1,) + (1,) * len(shape)
    angles = np.broadcast_to(_SCAN.reshape(column), _SCAN.shape + shape)
    width = float(_SCAN[1] - _SCAN[0])
    for narrowing in range(_NARROWINGS + 1):
        values = np.broadcast_to(function(angles), angles.shape).reshape(len(angles), -1)
        place = values.argmax(axis=0), np.arange(values.shape[1])
        best_angle = angles.reshape(values.shape)[place].reshape(shape)
        if narrowing < _NARROWINGS:
            angles = best_angle + width * _NARROWING.reshape(column)
            width /= 4.0
    return best_angle, values[place].reshape(shape)


def minimum_along(values: ArrayLike, axis: int = -1) -> tuple[FloatArray, FloatArray]:
    """Find the smallest sample along one axis, and its index.

    Parameters
    ----------
    values : array [any]
        At least one-dimensional and not empty along the axis.
    axis : int

    Returns
    -------
    (array of int [1], array [as given])
        Index along the axis and the value there.

    Raises
    ------
    ValueError
        For an empty axis.

    Notes
    -----
    NaN, at the place where it was found, for a value that is not finite.

    Examples
    --------
    >>> index, value = minimum_along([3.0, 1.0, 2.0])
    >>> int(index), float(value)
    (1, 1.0)
    """
    v = floats(values)
    require(v.ndim > 0 and v.shape[axis] > 0, "at least one sample is needed")
    v = defined(v, np.isfinite(v), "samples must be finite")
    index = np.argmin(v, axis=axis)
    return index, np.take_along_axis(v, np.expand_dims(index, axis), axis=axis).squeeze(axis)
