"""Running integrals along a stretch of the cycle by polynomials through its nodes, and the linear step that removes a residual from them.

Between its ends a stretch is smooth, so that a polynomial through a dozen nodes that lie closer toward the ends (Chebyshev's) says what a
hundred even steps would. Integrals and values between the nodes are then fixed sums of the values at the nodes.
"""

from functools import cache

import numpy as np
from numpy.polynomial import chebyshev

from borewright.physics.arrays import FloatArray


@cache
def nodes(degree: int) -> FloatArray:
    """Nodes of a polynomial of a degree on 0 to 1, both ends among them: (1 − cos(πk/n))/2.

    Parameters
    ----------
    degree : int
        n, 1 or more.

    Returns
    -------
    array [n + 1] [1]

    References
    ----------
    Chebyshev's extreme points: L. N. Trefethen, Approximation Theory and Approximation Practice, 2013, ch. 2 (from memory).

    Examples
    --------
    >>> nodes(2).round(12).tolist()
    [0.0, 0.5, 1.0]
    """
    return np.asarray(0.5 - 0.5 * np.cos(np.pi * np.arange(degree + 1) / degree))


@cache
def _coefficients(degree: int) -> FloatArray:
    """From values at the nodes to coefficients of Chebyshev's polynomials."""
    return np.asarray(np.linalg.inv(chebyshev.chebvander(2.0 * nodes(degree) - 1.0, degree)), dtype=np.float64)


def between(degree: int, at: FloatArray) -> FloatArray:
    """What values at the nodes are multiplied by to give those of the polynomial elsewhere.

    Parameters
    ----------
    degree : int
    at : array [M] [1]
        0 to 1.

    Returns
    -------
    array [M, degree + 1]

    References
    ----------
    As `nodes`.

    Examples
    --------
    >>> float((between(3, np.array([0.3])) @ nodes(3) ** 3)[0].round(12))
    0.027
    """
    return np.asarray(chebyshev.chebvander(2.0 * at - 1.0, degree) @ _coefficients(degree))


@cache
def even(degree: int, steps: int) -> FloatArray:
    """What values at the nodes are multiplied by to give those at even steps, without the first.

    Parameters
    ----------
    degree, steps : int

    Returns
    -------
    array [steps, degree + 1]

    References
    ----------
    As `nodes`.

    Examples
    --------
    >>> (even(4, 3) @ nodes(4)).round(12).tolist()
    [0.333333333333, 0.666666666667, 1.0]
    """
    return between(degree, np.arange(1, steps + 1) / steps)


@cache
def straight(degree: int, steps: int) -> FloatArray:
    """As `even`, along straight lines between the nodes behind the first, for what has no value there or is not smooth.

    Parameters
    ----------
    degree, steps : int

    Returns
    -------
    array [steps, degree + 1]

    References
    ----------
    Linear interpolation.

    Examples
    --------
    >>> (straight(4, 2) @ np.array([9.0, 1.0, 2.0, 3.0, 4.0])).round(12).tolist()
    [2.0, 4.0]
    """
    at = np.arange(1, steps + 1) / steps
    known = nodes(degree)[1:]
    weights = np.zeros((steps, degree + 1))
    for place, one in enumerate(np.eye(degree)):
        weights[:, place + 1] = np.interp(at, known, one)
    return weights


def integral_to(degree: int, at: FloatArray) -> FloatArray:
    """What values at the nodes are multiplied by to give the integral of the polynomial from 0 on.

    Parameters
    ----------
    degree : int
    at : array [M] [1]
        0 to 1: where it ends.

    Returns
    -------
    array [M, degree + 1]

    References
    ----------
    As `nodes`.

    Examples
    --------
    >>> float((integral_to(3, np.array([0.5])) @ nodes(3) ** 3)[0].round(12))
    0.015625
    """
    basis = chebyshev.chebint(np.eye(degree + 1), lbnd=-1.0, axis=0)  # a column for each polynomial
    return np.asarray(chebyshev.chebvander(2.0 * at - 1.0, degree + 1) @ basis @ _coefficients(degree) * 0.5)


@cache
def running(degree: int) -> FloatArray:
    """What values at the nodes are multiplied by to give the running integral at the nodes.

    Parameters
    ----------
    degree : int

    Returns
    -------
    array [degree + 1, degree + 1]
        The first row is 0.

    References
    ----------
    As `nodes`.

    Examples
    --------
    >>> (running(4) @ (3.0 * nodes(4) ** 2) - nodes(4) ** 3).round(12).any()
    np.False_
    """
    return integral_to(degree, nodes(degree))


def pressure_correction(
    residual: FloatArray, stiffness: FloatArray, volume: FloatArray, work_steps: FloatArray, loss_steps: FloatArray | None = None
) -> FloatArray:
    """Pressure change that removes a residual of the first law: κ·V·δp + ∫δp dV + ∫(∂q/∂p)·δp dt = −r at every node.

    Parameters
    ----------
    residual : array [S, N] [J]
        Zero in the first row.
    stiffness : array [S, N] [1]
        κ = (∂U/∂p)/V at given volume, about 1/(γ − 1).
    volume : array [S, N] [m³]
    work_steps : array [S − 1, N] [1]
        Steps of ln V.
    loss_steps : array [2, S − 1, N] [1] or None
        Steps of time times the heat loss' slope with pressure over V, at the end and at the beginning of each step.

    Returns
    -------
    array [S, N] [Pa]

    References
    ----------
    With the trapezoidal rule the integrals' sum y obeys yₖ = aₖ·yₖ₋₁ + bₖ, solved by yₖ = Pₖ·Σ bⱼ/Pⱼ, P the running product of a.

    Examples
    --------
    >>> V = np.array([[1.0], [1.1], [1.2]])
    >>> steps = np.diff(np.log(V), axis=0)
    >>> dp = pressure_correction(np.array([[0.0], [1.0], [2.0]]), np.full((3, 1), 3.0), V, steps)
    >>> work = np.cumsum(0.5 * (dp * V)[1:] * steps + 0.5 * (dp * V)[:-1] * steps)
    >>> np.round(3.0 * (V * dp)[1:, 0] + work, 12).tolist()
    [-1.0, -2.0]
    """
    ends, begins = (work_steps, work_steps) if loss_steps is None else (work_steps + loss_steps[0], work_steps + loss_steps[1])
    half = 0.5 / stiffness
    after, before = ends * half[1:], begins * half[:-1]
    forward = 1.0 / (1.0 + after)
    product = np.multiply.accumulate(forward * (1.0 - before), axis=0)
    after *= residual[1:]
    before *= residual[:-1]
    after += before
    after *= forward
    after /= product
    change = np.array(residual)
    change[1:] -= product * np.add.accumulate(after, axis=0)
    change /= stiffness * volume
    return np.negative(change, out=change)
