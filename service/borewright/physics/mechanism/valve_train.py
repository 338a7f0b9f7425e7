"""What a head that comes to sit lower does to the way from cam to valve, to the first order."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats


def pushrod_for_drop(length: ArrayLike, drop: ArrayLike, lean: ArrayLike = 0.0) -> FloatArray:
    """Pushrod that keeps rocker and lifter as they were when the rocker's pivot drops, L' = √(L² − 2·L·d·cos δ + d²).

    Parameters
    ----------
    length : array [m]
        L.
    drop : array [m]
        Of the head along the bore, d; below zero where it rises.
    lean : array [rad]
        Of the pushrod from the bore's direction, δ.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a length at or below zero. To the first order it is shorter by d·cos δ.

    References
    ----------
    Law of cosines.

    Examples
    --------
    >>> round(float(pushrod_for_drop(0.200, 0.001, np.radians(8.0))) * 1e3, 4)
    199.0098
    """
    L, d = floats(length), floats(drop)
    L = defined(L, L > 0.0, "a pushrod is longer than zero")
    return np.sqrt(L**2 - 2.0 * L * d * np.cos(floats(lean)) + d**2)


def lifter_compression(shorter: ArrayLike, stem_rise: ArrayLike, base_circle: ArrayLike, rocker_ratio: ArrayLike) -> FloatArray:
    """How much further a lifter is pressed together, c = ΔL + s/R − Δr.

    Pivot and valve tip drop together, so that what the pushrod is too long by goes into the lifter as it is. A stem that stands
    higher by s turns the rocker and lowers its cup by s/R. A base circle with a radius smaller by Δr lowers the lifter.

    Parameters
    ----------
    shorter : array [m]
        By how much the pushrod ought to be shorter than it is, ΔL.
    stem_rise : array [m]
        s, after work on valves or seats.
    base_circle : array [m]
        By how much its radius is smaller than it was, Δr.
    rocker_ratio : array [1]
        R, valve lift over lifter lift.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a rocker ratio at or below zero.

    Examples
    --------
    >>> round(float(lifter_compression(0.00075, 0.0003, 0.0, 1.5)) * 1e3, 4)
    0.95
    """
    R = floats(rocker_ratio)
    R = defined(R, R > 0.0, "a rocker ratio is above zero")
    return floats(shorter) + floats(stem_rise) / R - floats(base_circle)


def pivot_rise(compression: ArrayLike, rocker_ratio: ArrayLike) -> FloatArray:
    """How far a rocker on a stud is let up to take back what the lifter was pressed together, u = c·R/(1 + R).

    The tip stays on its valve; a pivot that rises by u lifts the cup, a/R beyond it, by u·(1 + 1/R).

    Parameters
    ----------
    compression : array [m]
        c.
    rocker_ratio : array [1]
        R.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a rocker ratio at or below zero.

    Examples
    --------
    >>> round(float(pivot_rise(0.001, 1.5)) * 1e3, 4)
    0.6
    """
    R = floats(rocker_ratio)
    R = defined(R, R > 0.0, "a rocker ratio is above zero")
    return floats(compression) * R / (1.0 + R)


def rocker_sweep(arm: ArrayLike, lift: ArrayLike, off_square: ArrayLike = 0.0) -> FloatArray:
    """Way of a rocker's contact across the valve's tip over a lift, w = max x − min x with x = √(a² − y²), y from e − l/2 to e + l/2.

    It is least, close to l²/(8·a), where the arm stands square to the valve at half lift.

    Parameters
    ----------
    arm : array [m]
        Pivot to the contact on the tip, a.
    lift : array [m]
        Of the valve, l.
    off_square : array [m]
        How high or low the arm's tip stands of square at half lift, e.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN where the arm does not reach: an arm no longer than l/2 + |e|, or a lift below zero.

    References
    ----------
    Pythagoras; a contact that does not roll.

    Examples
    --------
    >>> round(float(rocker_sweep(0.038, 0.012)) * 1e3, 4), round(float(rocker_sweep(0.038, 0.012, 0.002)) * 1e3, 4)
    (0.4767, 0.8516)
    """
    a, l_v, e = floats(arm), floats(lift), np.abs(floats(off_square))
    a = defined(a, (l_v >= 0.0) & (a > l_v / 2.0 + e), "the arm is longer than half the lift and what it is off square together")
    far, near = e + l_v / 2.0, np.maximum(e - l_v / 2.0, 0.0)
    sweep: FloatArray = np.sqrt(a**2 - near**2) - np.sqrt(a**2 - far**2)
    return sweep


def pitch_radius(teeth: ArrayLike, pitch: ArrayLike, *, chain: bool) -> FloatArray:
    """Pitch radius of a sprocket, p/(2·sin(π/z)) for a roller chain, or of a belt's pulley, z·p/(2π).

    Parameters
    ----------
    teeth : array [1]
        z.
    pitch : array [m]
        p.
    chain : bool
        A roller chain; else a toothed belt.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for fewer than six teeth or a pitch at or below zero.

    References
    ----------
    ISO 606, pitch circle diameter of a sprocket; a belt's pitch line lies on the circle of its teeth.

    Examples
    --------
    >>> round(float(pitch_radius(36, 0.009525, chain=True)) * 1e3, 3), round(float(pitch_radius(40, 0.008, chain=False)) * 1e3, 3)
    (54.644, 50.93)
    """
    z, p = floats(teeth), floats(pitch)
    z = defined(z, (z >= 6.0) & (p > 0.0), "a sprocket has six teeth or more and a pitch above zero")
    return np.asarray(p / (2.0 * np.sin(np.pi / z)) if chain else z * p / (2.0 * np.pi))


def cam_retard(drop: ArrayLike, radius: ArrayLike, lean: ArrayLike = 0.0) -> FloatArray:
    """How far an overhead cam lags, in its own angle, where its head drops, φ = d·cos ψ/r.

    The tight strand keeps its links; where its span gets shorter by d·cos ψ the cam's sprocket comes to stand back by that much of
    its pitch circle. The crankshaft turns twice as far.

    Parameters
    ----------
    drop : array [m]
        d; below zero where the head rises, and the cam leads.
    radius : array [m]
        Pitch radius of the cam's sprocket, r.
    lean : array [rad]
        Of the tight strand from the bore's direction, ψ.

    Returns
    -------
    array [rad]

    Notes
    -----
    NaN for a radius at or below zero. First order: the strand is taken as straight, and its lean as unchanged.

    Examples
    --------
    >>> round(float(np.degrees(cam_retard(0.0005, 0.050))), 4)
    0.573
    """
    r = floats(radius)
    r = defined(r, r > 0.0, "a sprocket's radius is above zero")
    return floats(drop) * np.cos(floats(lean)) / r
