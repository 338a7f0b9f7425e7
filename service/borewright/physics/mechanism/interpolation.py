"""Curves through points: one that rises and falls only where they do, and the polynomial."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, floats, require


def monotone_cubic(position: ArrayLike, knots: ArrayLike, heights: ArrayLike) -> FloatArray:
    """Piecewise cubic through (x_k, y_k) with slopes that never overshoot: zero where the data turn, else a weighted harmonic mean.

    Inside, with h_k = x_(k+1) − x_k and m_k the slope of each piece, (w₁ + w₂)/d_k = w₁/m_(k−1) + w₂/m_k, w₁ = 2h_k + h_(k−1),
    w₂ = h_k + 2h_(k−1); at the ends a one-sided three-point slope, held to the shape.

    Parameters
    ----------
    position : array [as knots]
        From the first knot to the last.
    knots : array (points,) [any]
        Rising.
    heights : array (points, ...) [any]

    Returns
    -------
    array (position's shape, then that of a height) [as heights]
        NaN where a position is.

    Raises
    ------
    ValueError
        For fewer than two points or knots that do not rise.

    References
    ----------
    F. N. Fritsch and J. Butland, A method for constructing local monotone piecewise cubic interpolants, SIAM J. Sci. Stat. Comput. 5,
    1984. C. B. Moler, Numerical Computing with MATLAB, 2004, ch. 3.6, for the ends.

    Examples
    --------
    >>> monotone_cubic([0.5, 1.0, 1.5], [0.0, 1.0, 2.0], [0.0, 1.0, 1.0]).tolist()
    [0.6875, 1.0, 1.0]
    """
    x, x_k, y = floats(position), floats(knots), floats(heights)
    require(x_k.ndim == 1 and x_k.size >= 2 and y.ndim >= 1 and y.shape[0] == x_k.size, "a curve must have two points or more")
    h = np.diff(x_k)
    require(h > 0.0, "the knots of a curve must rise")
    h = h.reshape((-1, *[1] * (y.ndim - 1)))
    slope = np.diff(y, axis=0) / h
    d = _slopes(h, slope)
    bend = (d[:-1] + d[1:] - 2.0 * slope) / h
    cubic, square = bend / h, (slope - d[:-1]) / h - bend
    piece = np.clip(np.searchsorted(x_k, x, side="right") - 1, 0, x_k.size - 2)
    s = (x - x_k[piece]).reshape((*x.shape, *[1] * (y.ndim - 1)))
    found: FloatArray = y[piece] + d[piece] * s + square[piece] * (s * s) + cubic[piece] * (s * s * s)
    return found


def polynomial_through(position: ArrayLike, knots: ArrayLike, heights: ArrayLike) -> FloatArray:
    """The polynomial through a few points, y = Σ_k y[x_0 … x_k]·Π_(j<k)(x − x_j) with the divided differences y[x_0 … x_k].

    Parameters
    ----------
    position : array [M] [as knots]
    knots : array [..., points] [any]
        No two of them alike.
    heights : array [..., points] [any]

    Returns
    -------
    array [..., M] [as heights]

    References
    ----------
    Newton's form; C. B. Moler, Numerical Computing with MATLAB, 2004, ch. 3.1, for the polynomial.

    Examples
    --------
    >>> polynomial_through([3.0], [0.0, 1.0, 2.0], [0.0, 1.0, 4.0]).tolist()
    [9.0]
    """
    x, x_k, differences = floats(position), floats(knots), floats(heights)
    points = x_k.shape[-1]
    found, product = np.zeros(x.shape), np.ones(x.shape)
    for order in range(points):
        found = found + differences[..., :1] * product
        product = product * (x - x_k[..., order, None])
        differences = np.diff(differences, axis=-1) / (x_k[..., order + 1 :] - x_k[..., : points - order - 1])
    return np.asarray(found)


def _slopes(h: FloatArray, slope: FloatArray) -> FloatArray:
    """The curve's slope at each knot, from the lengths and slopes of the pieces."""
    if len(slope) == 1:
        return np.concatenate((slope, slope))
    before, after = slope[:-1], slope[1:]
    w1, w2 = 2.0 * h[1:] + h[:-1], h[1:] + 2.0 * h[:-1]
    turning = (np.sign(before) != np.sign(after)) | (before == 0.0) | (after == 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):  # zero slopes, which are turning
        inside = np.where(turning, 0.0, 1.0 / ((w1 / before + w2 / after) / (w1 + w2)))
    first, last = _end_slope(h[0], h[1], slope[0], slope[1]), _end_slope(h[-1], h[-2], slope[-1], slope[-2])
    return np.concatenate((first[np.newaxis], inside, last[np.newaxis]))


def _end_slope(h0: FloatArray, h1: FloatArray, m0: FloatArray, m1: FloatArray) -> FloatArray:
    d = ((2.0 * h0 + h1) * m0 - h0 * m1) / (h0 + h1)
    steep = (np.sign(m0) != np.sign(m1)) & (np.abs(d) > 3.0 * np.abs(m0))
    return np.where(np.sign(d) != np.sign(m0), 0.0, np.where(steep, 3.0 * m0, d))
