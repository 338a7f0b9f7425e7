"""Slider-crank: speed and acceleration of the piston, exact, with an optional pin offset.

Angles and offset as in `crank`; speed and acceleration are positive away from the cylinder head, at a steady speed of the crank.
"""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.mechanism.crank import linkage
from borewright.physics.mechanism.extremes import maximum_over_turn


def piston_speed(angle: ArrayLike, stroke: ArrayLike, rod_length: ArrayLike, speed: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """Speed of the piston away from the head.

    v = ω·(r·sin θ + q·r·cos θ/√(L² − q²)), q = r·sin θ + e; the derivative of the travel, not the usual two-term series.

    Parameters
    ----------
    angle : array [rad]
    stroke, rod_length : array [m]
    speed : array [rad/s]
    pin_offset : array [m]

    Returns
    -------
    array [m/s]

    Notes
    -----
    NaN for a linkage that cannot turn.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 2.11, for no offset.

    Examples
    --------
    >>> round(float(piston_speed(np.pi / 2, 0.0853, 0.14235, 100.0)), 9)
    4.265
    """
    return floats(speed) * _speed(floats(angle), *linkage(stroke, rod_length, pin_offset))


def _speed(theta: FloatArray, r: FloatArray, L: FloatArray, e: FloatArray) -> FloatArray:
    """At one radian a second, of a linkage that was looked at."""
    across, dq = r * np.sin(theta), r * np.cos(theta)
    q = across + e
    found: FloatArray = across + q * dq / np.sqrt(L**2 - q**2)
    return found


def piston_acceleration(
    angle: ArrayLike, stroke: ArrayLike, rod_length: ArrayLike, speed: ArrayLike, pin_offset: ArrayLike = 0.0
) -> FloatArray:
    """Acceleration of the piston away from the head at a steady crank speed, exact.

    a = ω²·(r·cos θ + (q′² + q·q″)/u + (q·q′)²/u³), q = r·sin θ + e, u = √(L² − q²), a dash a derivative by θ.

    Parameters
    ----------
    angle : array [rad]
    stroke, rod_length : array [m]
    speed : array [rad/s]
    pin_offset : array [m]

    Returns
    -------
    array [m/s²]

    Notes
    -----
    NaN for a linkage that cannot turn.

    Examples
    --------
    >>> round(float(piston_acceleration(0.0, 0.0853, 0.14235, 6000 * np.pi / 30)))
    21882
    """
    return floats(speed) ** 2 * _acceleration(floats(angle), *linkage(stroke, rod_length, pin_offset))


def _acceleration(theta: FloatArray, r: FloatArray, L: FloatArray, e: FloatArray) -> FloatArray:
    """At one radian a second, of a linkage that was looked at."""
    across, dq = r * np.sin(theta), r * np.cos(theta)
    q, ddq = across + e, -across
    u = np.sqrt(L**2 - q**2)
    found: FloatArray = dq + (dq**2 + q * ddq) / u + (q * dq) ** 2 / u**3
    return found


def mean_piston_speed(stroke: ArrayLike, speed: ArrayLike) -> FloatArray:
    """Mean piston speed, two strokes a turn: S·ω/π.

    Parameters
    ----------
    stroke : array [m]
    speed : array [rad/s]

    Returns
    -------
    array [m/s]

    Notes
    -----
    NaN for a stroke at or below zero.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 2.9 (2·L·N with N in turns a second).

    Examples
    --------
    >>> round(float(mean_piston_speed(0.0853, 6000 * np.pi / 30)), 6)
    17.06
    """
    S = floats(stroke)
    S = defined(S, S > 0.0, "stroke must be above zero")
    return S * floats(speed) / np.pi


def speed_ratio(angle: ArrayLike, stroke: ArrayLike, rod_length: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """Piston speed over mean piston speed, which depends on the angle and the linkage alone.

    Parameters
    ----------
    angle : array [rad]
    stroke, rod_length, pin_offset : array [m]

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a linkage that cannot turn.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 2.11.

    Examples
    --------
    >>> round(float(speed_ratio(np.pi / 2, 0.0853, 0.14235)), 6)
    1.570796
    """
    return piston_speed(angle, stroke, rod_length, 1.0, pin_offset) / mean_piston_speed(stroke, 1.0)


def peak_acceleration(stroke: ArrayLike, rod_length: ArrayLike, speed: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """Largest acceleration of the piston in a turn, either way, found over the exact curve.

    For ordinary rods without offset it is the one at top dead center, ω²·r·(1 + r/L).

    Parameters
    ----------
    stroke, rod_length : array [m]
    speed : array [rad/s]
    pin_offset : array [m]

    Returns
    -------
    array [m/s²]

    Notes
    -----
    NaN for a linkage that cannot turn.

    Examples
    --------
    >>> round(float(peak_acceleration(0.0853, 0.14235, 6000 * np.pi / 30)))
    21882
    """
    r, L, e = np.broadcast_arrays(*linkage(stroke, rod_length, pin_offset))
    _, peak = maximum_over_turn(lambda theta: np.abs(_acceleration(theta, r, L, e)), r.shape)
    return floats(speed) ** 2 * peak


def peak_piston_speed(stroke: ArrayLike, rod_length: ArrayLike, speed: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """Largest speed of the piston in a turn, either way, found over the exact curve.

    Parameters
    ----------
    stroke, rod_length : array [m]
    speed : array [rad/s]
    pin_offset : array [m]

    Returns
    -------
    array [m/s]

    Notes
    -----
    NaN for a linkage that cannot turn.

    Examples
    --------
    >>> round(float(peak_piston_speed(2.0, 3.5, np.pi) / mean_piston_speed(2.0, np.pi)), 4)
    1.634
    """
    r, L, e = np.broadcast_arrays(*linkage(stroke, rod_length, pin_offset))
    _, peak = maximum_over_turn(lambda theta: np.abs(_speed(theta, r, L, e)), r.shape)
    return np.abs(floats(speed)) * peak
