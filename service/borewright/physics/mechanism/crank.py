"""Slider-crank: where the piston is at a crank angle, exact, with an optional pin offset.

Angles count from the crank's top dead center, the throw pointing along the bore, in the direction of rotation.
Travel is positive away from the cylinder head. A pin offset is positive toward the major
thrust side, the side the piston bears on in the power stroke; with it the piston tops out a little before the crank does.
"""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.mechanism.volumes import cylinder_volume_of_height


def linkage(stroke: ArrayLike, rod_length: ArrayLike, pin_offset: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Take a slider-crank's throw r = S/2, rod L and offset e, refusing those that cannot turn.

    Parameters
    ----------
    stroke, rod_length, pin_offset : array [m]

    Returns
    -------
    (array [m], array [m], array [m])

    Notes
    -----
    NaN for a stroke at or below zero or a rod too short to turn.

    Examples
    --------
    >>> [float(size) for size in linkage(0.0853, 0.14235, 0.001)]
    [0.04265, 0.14235, 0.001]
    """
    r, L, e = floats(stroke) / 2.0, floats(rod_length), floats(pin_offset)
    r = defined(r, r > 0.0, "stroke must be above zero")
    r = defined(r, r + np.abs(e) < L, "the rod must be longer than the crank throw plus the pin offset, or the crank cannot turn")
    return r, L, e


def piston_travel(angle: ArrayLike, stroke: ArrayLike, rod_length: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """Distance of the piston below its own highest position.

    s = √((L+r)² − e²) − r·cos θ − √(L² − (r·sin θ + e)²), r half the stroke, L the rod, e the pin offset.

    Parameters
    ----------
    angle : array [rad]
        From the crank's top dead center.
    stroke : array [m]
        Twice the crank throw.
    rod_length, pin_offset : array [m]

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a stroke at or below zero or a rod too short to turn.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eqs. 2.4-2.6, for no offset; the offset is plane geometry.

    Examples
    --------
    >>> round(float(piston_travel(np.pi / 2, 0.0853, 0.14235)) * 1e3, 4)
    49.1895
    """
    r, L, e = linkage(stroke, rod_length, pin_offset)
    theta = floats(angle)
    return np.sqrt((L + r) ** 2 - e**2) - r * np.cos(theta) - np.sqrt(L**2 - (r * np.sin(theta) + e) ** 2)


def pin_height(angle: ArrayLike, stroke: ArrayLike, rod_length: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """Height of the piston pin above the crank's axis, along the bore: y = r·cos θ + √(L² − (r·sin θ + e)²).

    Parameters
    ----------
    angle : array [rad]
    stroke, rod_length, pin_offset : array [m]

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a stroke at or below zero or a rod too short to turn.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 2.5, for no offset.

    Examples
    --------
    >>> round(float(pin_height(0.0, 0.0853, 0.14235)) * 1e3, 6)
    185.0
    """
    r, L, e = linkage(stroke, rod_length, pin_offset)
    theta = floats(angle)
    height: FloatArray = r * np.cos(theta) + np.sqrt(L**2 - (r * np.sin(theta) + e) ** 2)
    return height


def travel_extent(stroke: ArrayLike, rod_length: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """Distance the piston goes from its top to its bottom, √((L+r)² − e²) − √((L−r)² − e²).

    Parameters
    ----------
    stroke, rod_length, pin_offset : array [m]

    Returns
    -------
    array [m]
        The stroke itself without offset, a little more with one.

    Notes
    -----
    NaN for a stroke at or below zero or a rod too short to turn.

    Examples
    --------
    >>> round(float(travel_extent(0.0853, 0.14235, 0.002)) * 1e3, 5)
    85.30925
    """
    r, L, e = linkage(stroke, rod_length, pin_offset)
    return np.sqrt((L + r) ** 2 - e**2) - np.sqrt((L - r) ** 2 - e**2)


def top_angle(stroke: ArrayLike, rod_length: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """Crank angle at which the piston is highest, θ = −asin(e/(L+r)): throw and rod in one line.

    Parameters
    ----------
    stroke, rod_length, pin_offset : array [m]

    Returns
    -------
    array [rad]

    Notes
    -----
    NaN for a stroke at or below zero or a rod too short to turn.

    Examples
    --------
    >>> round(float(np.degrees(top_angle(0.0853, 0.14235, 0.001))), 4)
    -0.3097
    """
    r, L, e = linkage(stroke, rod_length, pin_offset)
    return -np.arcsin(e / (L + r))


def bottom_angle(stroke: ArrayLike, rod_length: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """Crank angle at which the piston is lowest, θ = π − asin(e/(L−r)): throw folded back along the rod.

    Parameters
    ----------
    stroke, rod_length, pin_offset : array [m]

    Returns
    -------
    array [rad]

    Notes
    -----
    NaN for a stroke at or below zero or a rod too short to turn.

    Examples
    --------
    >>> round(float(np.degrees(bottom_angle(0.0853, 0.14235))), 4)
    180.0
    """
    r, L, e = linkage(stroke, rod_length, pin_offset)
    return np.pi - np.arcsin(e / (L - r))


def cylinder_volume(
    angle: ArrayLike,
    bore: ArrayLike,
    stroke: ArrayLike,
    rod_length: ArrayLike,
    clearance_volume: ArrayLike,
    pin_offset: ArrayLike = 0.0,
) -> FloatArray:
    """Volume above the piston at a crank angle, V = V_c + π/4·B²·s(θ).

    Parameters
    ----------
    angle : array [rad]
    bore, stroke, rod_length : array [m]
    clearance_volume : array [m³]
        With the piston at its highest.
    pin_offset : array [m]

    Returns
    -------
    array [m³]

    Notes
    -----
    NaN for a clearance volume or a bore below zero, or a linkage that cannot turn.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 2.4.

    Examples
    --------
    >>> round(float(cylinder_volume(np.pi / 2, 0.0843, 0.0853, 0.14235, 55.506e-6)) * 1e6, 2)
    330.05
    """
    V_c = floats(clearance_volume)
    V_c = defined(V_c, V_c >= 0.0, "clearance volume must not be below zero")
    return V_c + cylinder_volume_of_height(bore, piston_travel(angle, stroke, rod_length, pin_offset))


def rod_ratio(rod_length: ArrayLike, stroke: ArrayLike) -> FloatArray:
    """Rod length over stroke (the trade's rod ratio; half the rod to throw ratio of the textbooks).

    Parameters
    ----------
    rod_length, stroke : array [m]

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a length at or below zero.

    Examples
    --------
    >>> round(float(rod_ratio(0.14235, 0.0853)), 4)
    1.6688
    """
    L, S = floats(rod_length), floats(stroke)
    L = defined(L, (L > 0.0) & (S > 0.0), "rod length and stroke must be above zero")
    return L / S
