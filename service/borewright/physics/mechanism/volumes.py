"""Volumes of an engine's cylinder and the ratio between them."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats


def circle_area(diameter: ArrayLike) -> FloatArray:
    """Area of a circle, A = π/4·D².

    Parameters
    ----------
    diameter : array [m]

    Returns
    -------
    array [m²]

    Notes
    -----
    NaN for a diameter below zero.

    Examples
    --------
    >>> round(float(circle_area(0.1)), 9)
    0.007853982
    """
    D = floats(diameter)
    D = defined(D, D >= 0.0, "diameter must not be below zero")
    return np.pi / 4.0 * D**2


def cylinder_volume_of_height(diameter: ArrayLike, height: ArrayLike) -> FloatArray:
    """Volume of a disc, V = π/4·D²·h; a height below zero (a piston standing above the deck) gives a volume below zero.

    Parameters
    ----------
    diameter : array [m]
    height : array [m]

    Returns
    -------
    array [m³]

    Notes
    -----
    NaN for a diameter below zero.

    Examples
    --------
    >>> round(float(cylinder_volume_of_height(0.1, 0.001)) * 1e6, 6)
    7.853982
    """
    return circle_area(diameter) * floats(height)


def annulus_volume(outer: ArrayLike, inner: ArrayLike, height: ArrayLike) -> FloatArray:
    """Volume between two coaxial cylinders, V = π/4·(D² − d²)·h, as around a piston's top land.

    Parameters
    ----------
    outer, inner : array [m]
        Diameters.
    height : array [m]

    Returns
    -------
    array [m³]

    Notes
    -----
    NaN for a size below zero or an inner diameter above the outer.

    Examples
    --------
    >>> round(float(annulus_volume(0.1, 0.099, 0.006)) * 1e6, 6)
    0.937765
    """
    D, d, h = floats(outer), floats(inner), floats(height)
    D = defined(D, (d >= 0.0) & (d <= D) & (h >= 0.0), "an annulus needs 0 <= inner <= outer and height >= 0")
    # (D − d)(D + d) keeps its digits where the gap is a hair's breadth
    return np.pi / 4.0 * (D - d) * (D + d) * h


def swept_volume(bore: ArrayLike, stroke: ArrayLike) -> FloatArray:
    """Volume one piston sweeps, V_s = π/4·B²·S.

    With a pin offset, give the piston's travel in place of the stroke.

    Parameters
    ----------
    bore, stroke : array [m]

    Returns
    -------
    array [m³]

    Notes
    -----
    NaN for a bore or a stroke at or below zero.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, sec. 2.2.

    Examples
    --------
    >>> round(float(swept_volume(0.0843, 0.0853)) * 1e6, 3)
    476.095
    """
    B, S = floats(bore), floats(stroke)
    B = defined(B, (B > 0.0) & (S > 0.0), "bore and stroke must be above zero")
    return cylinder_volume_of_height(B, S)


def displacement(bore: ArrayLike, stroke: ArrayLike, cylinders: ArrayLike) -> FloatArray:
    """Volume all pistons sweep, V_d = n·π/4·B²·S.

    Parameters
    ----------
    bore, stroke : array [m]
    cylinders : array [1]

    Returns
    -------
    array [m³]

    Notes
    -----
    NaN for a size at or below zero or fewer than one cylinder.

    Examples
    --------
    >>> round(float(displacement(0.0843, 0.0853, 4)) * 1e6, 2)
    1904.38
    """
    n = floats(cylinders)
    n = defined(n, n >= 1.0, "an engine has at least one cylinder")
    return n * swept_volume(bore, stroke)


def compression_ratio(swept: ArrayLike, clearance: ArrayLike) -> FloatArray:
    """Ratio of largest to smallest cylinder volume, r_c = (V_s + V_c)/V_c.

    Parameters
    ----------
    swept, clearance : array [m³]

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a volume at or below zero.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 2.1.

    Examples
    --------
    >>> float(compression_ratio(450e-6, 50e-6))
    10.0
    """
    V_s, V_c = floats(swept), floats(clearance)
    V_s = defined(V_s, (V_s > 0.0) & (V_c > 0.0), "swept and clearance volumes must be above zero")
    return (V_s + V_c) / V_c


def clearance_for_ratio(swept: ArrayLike, ratio: ArrayLike) -> FloatArray:
    """Clearance volume that gives a compression ratio, V_c = V_s/(r_c − 1).

    Parameters
    ----------
    swept : array [m³]
    ratio : array [1]
        Above one.

    Returns
    -------
    array [m³]

    Notes
    -----
    NaN for a swept volume at or below zero or a ratio at or below one.

    Examples
    --------
    >>> round(float(clearance_for_ratio(450e-6, 10.0)) * 1e6, 9)
    50.0
    """
    V_s, r_c = floats(swept), floats(ratio)
    V_s = defined(V_s, (V_s > 0.0) & (r_c > 1.0), "swept volume must be above zero and the compression ratio above one")
    return V_s / (r_c - 1.0)
