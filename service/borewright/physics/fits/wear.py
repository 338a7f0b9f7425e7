"""Worn cylinders: what the gauge says of them and the size that cleans them up.

Readings are diameters of shape (..., levels, angles): each level down the bore, each direction across it. Where some are missing
a mask of the same shape says which were taken.
"""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats, require


def _highest_and_lowest(readings: ArrayLike, measured: ArrayLike, axis: int | tuple[int, int]) -> tuple[FloatArray, FloatArray]:
    d = floats(readings)
    require(d.ndim >= 2, "readings must have levels and angles")
    taken = np.broadcast_to(np.asarray(measured, dtype=bool), d.shape)
    any_taken = np.any(taken, axis=(-2, -1), keepdims=True)
    d = defined(d, ~taken | (np.isfinite(d) & (d > 0.0)), "readings must be finite and above zero")
    d, taken = defined(d, any_taken, "each cylinder must have at least one reading"), taken | ~any_taken
    return np.max(d, axis=axis, where=taken, initial=-np.inf), np.min(d, axis=axis, where=taken, initial=np.inf)


def out_of_round(readings: ArrayLike, measured: ArrayLike = True) -> FloatArray:
    """Largest difference between directions at one level, the worst level's.

    Parameters
    ----------
    readings : array (..., levels, angles) [m]
    measured : array of bool (..., levels, angles) [1]

    Returns
    -------
    array (...) [m]
        Zero where each level was measured in one direction only.

    Notes
    -----
    NaN for a cylinder without a reading or a reading that cannot be.

    Examples
    --------
    >>> round(float(out_of_round([[0.10010, 0.10004], [0.10002, 0.10001]])) * 1e3, 6)
    0.06
    """
    high, low = _highest_and_lowest(readings, measured, -1)
    spread: FloatArray = np.max(high - low, axis=-1)
    return spread


def taper(readings: ArrayLike, measured: ArrayLike = True) -> FloatArray:
    """Largest difference between levels in one direction, the worst direction's.

    Parameters
    ----------
    readings : array (..., levels, angles) [m]
    measured : array of bool (..., levels, angles) [1]

    Returns
    -------
    array (...) [m]
        Zero where each direction was measured at one level only.

    Notes
    -----
    NaN for a cylinder without a reading or a reading that cannot be.

    Examples
    --------
    >>> round(float(taper([[0.10010, 0.10004], [0.10002, 0.10001]])) * 1e3, 6)
    0.08
    """
    high, low = _highest_and_lowest(readings, measured, -2)
    spread: FloatArray = np.max(high - low, axis=-1)
    return spread


def largest(readings: ArrayLike, measured: ArrayLike = True) -> FloatArray:
    """Largest diameter found anywhere in the cylinder.

    Parameters
    ----------
    readings : array (..., levels, angles) [m]
    measured : array of bool (..., levels, angles) [1]

    Returns
    -------
    array (...) [m]

    Notes
    -----
    NaN for a cylinder without a reading or a reading that cannot be.

    Examples
    --------
    >>> round(float(largest([[0.10010, 0.10004], [0.10002, 0.10001]])) * 1e3, 6)
    100.1
    """
    return _highest_and_lowest(readings, measured, (-2, -1))[0]


def cleanup_diameter_original(nominal: ArrayLike, largest_diameter: ArrayLike, stock: ArrayLike) -> FloatArray:
    """Smallest bore on the original center that takes out all wear, D = D₀ + 2·(d − D₀) + 2·t.

    The wear is taken as all on one side, so the new radius must reach the deepest of it. A cylinder not worn past its
    nominal size still gives up the stock.

    Parameters
    ----------
    nominal : array [m]
        Diameter before the wear, D₀.
    largest_diameter : array [m]
        d.
    stock : array [m]
        Left on the wall for the hone, t, a side.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a diameter at or below zero or a stock below zero.

    Examples
    --------
    >>> round(float(cleanup_diameter_original(0.1, 0.1002, 0.00005)) * 1e3, 6)
    100.5
    """
    D, d, t = floats(nominal), floats(largest_diameter), floats(stock)
    D = defined(D, (D > 0.0) & (d > 0.0) & (t >= 0.0), "diameters must be above zero and stock not below zero")
    return D + 2.0 * np.maximum(d - D, 0.0) + 2.0 * t


def cleanup_diameter_follow(largest_diameter: ArrayLike, stock: ArrayLike) -> FloatArray:
    """Smallest bore on the worn center that takes out all wear, D = d + 2·t.

    Parameters
    ----------
    largest_diameter : array [m]
        d.
    stock : array [m]
        Left on the wall for the hone, t, a side.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a diameter at or below zero or a stock below zero.

    Examples
    --------
    >>> round(float(cleanup_diameter_follow(0.1002, 0.00005)) * 1e3, 6)
    100.3
    """
    d, t = floats(largest_diameter), floats(stock)
    d = defined(d, (d > 0.0) & (t >= 0.0), "diameters must be above zero and stock not below zero")
    return d + 2.0 * t


def wall_left(thickness: ArrayLike, current_bore: ArrayLike, new_bore: ArrayLike, offset: ArrayLike = 0.0) -> FloatArray:
    """Cylinder wall left after boring, t − (D₁ − D₀)/2 − c.

    Parameters
    ----------
    thickness : array [m]
        Measured at the current bore, t.
    current_bore, new_bore : array [m]
        Diameters, D₀ and D₁.
    offset : array [m]
        Shift of the center toward this wall, c.

    Returns
    -------
    array [m]
        Below zero where the bore breaks through.

    Notes
    -----
    NaN for a size at or below zero.

    Examples
    --------
    >>> round(float(wall_left(0.006, 0.1, 0.101, 0.0001)) * 1e3, 6)
    5.4
    """
    t, D_0, D_1 = floats(thickness), floats(current_bore), floats(new_bore)
    t = defined(t, (t > 0.0) & (D_0 > 0.0) & (D_1 > 0.0), "thickness and diameters must be above zero")
    return t - (D_1 - D_0) / 2.0 - floats(offset)
