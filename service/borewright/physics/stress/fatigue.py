"""Strength at temperature, and factors of safety under a load that comes and goes."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import BoolArray, FloatArray, defined, floats, require


def strength_at_temperature(
    temperature: ArrayLike, knots_temperature: ArrayLike, knots_strength: ArrayLike
) -> tuple[FloatArray, BoolArray]:
    """Strength between tabled temperatures, on straight lines; outside the table it is not known and not guessed.

    Parameters
    ----------
    temperature : array [K]
    knots_temperature : array (knots,) [K]
        Rising.
    knots_strength : array (knots,) [Pa]

    Returns
    -------
    (array [Pa], array of bool [1])
        The strength, not a number where the table does not reach; and whether it reaches. The formulas of this package refuse a
        strength that is not a number, so mask by the second first.

    Raises
    ------
    ValueError
        For fewer than two knots, temperatures that do not rise, or a strength below zero.

    Examples
    --------
    >>> strength, known = strength_at_temperature([300.0, 450.0, 700.0], [300.0, 600.0], [400e6, 100e6])
    >>> known.tolist(), (strength[known] / 1e6).tolist()
    ([True, True, False], [400.0, 250.0])
    """
    T, T_k, S_k = floats(temperature), floats(knots_temperature), floats(knots_strength)
    require(T_k.ndim == 1 and T_k.size >= 2 and T_k.shape == S_k.shape, "a strength table must have two knots or more")
    require(np.diff(T_k) > 0.0, "the temperatures of a strength table must rise")
    require((S_k >= 0.0) & np.isfinite(S_k), "strengths must be finite and not below zero")
    known = np.greater_equal(T, T_k[0]) & np.less_equal(T, T_k[-1])
    strength: FloatArray = np.asarray(np.interp(T, T_k, S_k, left=np.nan, right=np.nan))
    return strength, known


def mean_and_alternating(highest: ArrayLike, lowest: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Mean and alternating part of a stress that swings between two values, (σ₁ + σ₂)/2 and |σ₁ − σ₂|/2.

    Parameters
    ----------
    highest, lowest : array [Pa]

    Returns
    -------
    (array [Pa], array [Pa])

    Examples
    --------
    >>> [float(part) for part in mean_and_alternating(300.0, -100.0)]
    [100.0, 200.0]
    """
    first, second = floats(highest), floats(lowest)
    return (first + second) / 2.0, np.abs(first - second) / 2.0


def _shares(
    alternating: ArrayLike, mean: ArrayLike, fatigue_strength: ArrayLike, static_strength: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    sigma_a, sigma_m, S_f, S_s = floats(alternating), floats(mean), floats(fatigue_strength), floats(static_strength)
    sigma_a = defined(
        sigma_a, (sigma_a >= 0.0) & np.isfinite(sigma_a) & np.isfinite(sigma_m), "stresses must be finite, the alternating not below zero"
    )
    sigma_a = defined(sigma_a, (S_f > 0.0) & (S_s > 0.0), "strengths must be above zero")
    stressed = (sigma_a > 0.0) | (sigma_m > 0.0)
    sigma_a = defined(sigma_a, stressed, "a factor of safety must have an alternating stress or a mean tension to stand against")
    # A mean compression is given no credit and does no harm to fatigue; yielding under it is another factor's matter.
    return sigma_a / S_f, np.maximum(sigma_m, 0.0) / S_s


def goodman_factor(alternating: ArrayLike, mean: ArrayLike, fatigue_strength: ArrayLike, ultimate_strength: ArrayLike) -> FloatArray:
    """Factor of safety against fatigue by Goodman's line, 1/(σ_a/S_f + σ_m/S_u).

    Parameters
    ----------
    alternating, mean : array [Pa]
        A mean below zero (compression) counts as zero.
    fatigue_strength, ultimate_strength : array [Pa]

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for an alternating stress below zero, a strength at or below zero, or no load at all.

    References
    ----------
    J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, fluctuating stresses.

    Examples
    --------
    >>> float(goodman_factor(50e6, 100e6, 200e6, 400e6))
    2.0
    """
    A, B = _shares(alternating, mean, fatigue_strength, ultimate_strength)
    return 1.0 / (A + B)


def sines_stresses(first_ends: tuple[ArrayLike, ArrayLike], second_ends: tuple[ArrayLike, ArrayLike]) -> tuple[FloatArray, FloatArray]:
    """Mean and alternating stress, by Sines, of two normal stresses at right angles that swing together.

    The alternating one is von Mises' of the two amplitudes, √(a₁² − a₁·a₂ + a₂²), each with its sign in phase; the mean is the sum of the
    two means with their signs, three times the mean hydrostatic stress: compression in one direction helps against tension in the other,
    and a mean shear has no part in it. Along one direction alone they are its own mean and amplitude.

    Parameters
    ----------
    first_ends, second_ends : (array, array) [Pa]
        Each stress at the cycle's two ends, tension above zero.

    Returns
    -------
    (array [Pa], array [Pa])

    References
    ----------
    G. Sines, NACA TN 3495 (1955), from memory; G. Sines and J. L. Waisman (eds.), Metal Fatigue (1959), from memory.

    Examples
    --------
    >>> [float(stress) for stress in sines_stresses((300.0, -100.0), (0.0, 0.0))]
    [100.0, 200.0]
    >>> [round(float(stress), 1) for stress in sines_stresses((300.0, -100.0), (-140.0, -60.0))]
    [0.0, 222.7]
    """
    (high_1, low_1), (high_2, low_2) = (tuple(map(floats, ends)) for ends in (first_ends, second_ends))
    a_1, a_2 = (high_1 - low_1) / 2.0, (high_2 - low_2) / 2.0
    mean: FloatArray = (high_1 + low_1) / 2.0 + (high_2 + low_2) / 2.0
    alternating: FloatArray = np.sqrt(a_1**2 - a_1 * a_2 + a_2**2)
    return mean, alternating


def gerber_factor(alternating: ArrayLike, mean: ArrayLike, fatigue_strength: ArrayLike, ultimate_strength: ArrayLike) -> FloatArray:
    """Factor of safety against fatigue by Gerber's parabola, the n of n·σ_a/S_f + (n·σ_m/S_u)² = 1.

    Parameters
    ----------
    alternating, mean : array [Pa]
        A mean below zero (compression) counts as zero.
    fatigue_strength, ultimate_strength : array [Pa]

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for an alternating stress below zero, a strength at or below zero, or no load at all.

    References
    ----------
    J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, fluctuating stresses.

    Examples
    --------
    >>> round(float(gerber_factor(8.38, 8.38, 33.9, 100.0)), 2)
    3.66
    """
    A, B = _shares(alternating, mean, fatigue_strength, ultimate_strength)
    # this form of the quadratic's root stands a mean of zero
    factor: FloatArray = 2.0 / (A + np.sqrt(A**2 + 4.0 * B**2))
    return factor


def yield_factor(alternating: ArrayLike, mean: ArrayLike, yield_strength: ArrayLike) -> FloatArray:
    """Factor of safety against yield at the swing's worst, S_y/(σ_a + |σ_m|).

    Parameters
    ----------
    alternating, mean : array [Pa]
    yield_strength : array [Pa]

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for an alternating stress below zero, a strength at or below zero, or no load at all.

    Examples
    --------
    >>> round(float(yield_factor(8.38, 8.38, 84.0)), 2)
    5.01
    """
    S_y = floats(yield_strength)
    worst = floats(alternating) + np.abs(floats(mean))
    worst = defined(worst, floats(alternating) >= 0.0, "the alternating stress must not be below zero")
    worst = defined(
        worst, (S_y > 0.0) & (worst > 0.0) & np.isfinite(worst), "a factor of safety must have a strength and a finite stress above zero"
    )
    return S_y / worst
