"""Volumes of a piston's crown, from a pour over it and from the sizes of its dishes and valve pockets."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.mechanism.volumes import cylinder_volume_of_height

SPANDREL_AREA = 1.0 - np.pi / 4.0
"""Of a square corner's r², what a fillet of radius r leaves standing."""
SPANDREL_CENTROID = (10.0 - 3.0 * np.pi) / (12.0 - 3.0 * np.pi)
"""From either side of the corner to the centroid of what stands, in r."""
STRAIGHT = 1e-9
"""A floor that leans by less is square to the bore [rad]."""


def crown_volume_poured(poured: ArrayLike, bore: ArrayLike, depth: ArrayLike) -> FloatArray:
    """Recess less dome of a crown from a pour, V = V_poured − π/4·B²·h, with the piston's flat at a known depth under a plate.

    Parameters
    ----------
    poured : array [m³]
        What the space between plate and crown takes.
    bore : array [m]
    depth : array [m]
        Deck to the flat of the crown, h; below zero where it stands above.

    Returns
    -------
    array [m³]
        Below zero where more stands above the flat than is cut below it.

    Notes
    -----
    NaN for a poured volume below zero.

    Examples
    --------
    >>> round(float(crown_volume_poured(83.0e-6, 0.1, 0.010)) * 1e6, 4)
    4.4602
    """
    V = floats(poured)
    V = defined(V, V >= 0.0, "a poured volume must not be below zero")
    return V - cylinder_volume_of_height(bore, depth)


def dish_volume(diameter: ArrayLike, depth: ArrayLike, corner_radius: ArrayLike = 0.0) -> FloatArray:
    """Volume of a round dish with a flat floor, V = π/4·d²·h − 2π·(d/2 − c·r)·(1 − π/4)·r².

    What the fillet between wall and floor leaves standing is a ring: by Pappus's theorem its section times the way of its centroid.

    Parameters
    ----------
    diameter, depth : array [m]
        d, h.
    corner_radius : array [m]
        Between wall and floor, r.

    Returns
    -------
    array [m³]

    Notes
    -----
    NaN for a size below zero or a radius larger than the depth or half the diameter.

    References
    ----------
    Pappus's centroid theorem.

    Examples
    --------
    >>> round(float(dish_volume(0.080, 0.002)) * 1e6, 4), round(float(dish_volume(0.080, 0.002, 0.002)) * 1e6, 4)
    (10.0531, 9.8398)
    """
    d, h, r = floats(diameter), floats(depth), floats(corner_radius)
    holds = (d >= 0.0) & (h >= 0.0) & (r >= 0.0) & (r <= h) & (r <= d / 2.0)
    r = defined(r, holds, "a corner's radius must not be larger than the dish is deep or half as wide")
    return cylinder_volume_of_height(d, h) - 2.0 * np.pi * (d / 2.0 - SPANDREL_CENTROID * r) * SPANDREL_AREA * r**2


def spherical_dish_volume(diameter: ArrayLike, depth: ArrayLike) -> FloatArray:
    """Volume of a dish that is the cap of a sphere, V = π·h/6·(3·d²/4 + h²).

    Parameters
    ----------
    diameter : array [m]
        Of its rim, d.
    depth : array [m]
        At its middle, h.

    Returns
    -------
    array [m³]

    Notes
    -----
    NaN for a size below zero.

    References
    ----------
    The spherical cap of any handbook of mathematics.

    Examples
    --------
    >>> round(float(spherical_dish_volume(0.080, 0.004)) * 1e6, 4)
    10.0866
    """
    d, h = floats(diameter), floats(depth)
    d = defined(d, (d >= 0.0) & (h >= 0.0), "a dish's sizes must not be below zero")
    return np.pi * h / 6.0 * (3.0 * d**2 / 4.0 + h**2)


def pocket_volume(diameter: ArrayLike, deepest: ArrayLike, lean: ArrayLike = 0.0) -> FloatArray:
    """Volume below the flat of a valve pocket cut along the valve's axis, by a cutter that leans from the bore.

    At a distance x from the floor's middle, toward its deep edge, the floor lies z = D − (R − x)·sin α below the flat, and the cutter
    has taken z/cos α along its own axis. Over the part of the floor that lies below the flat, x > x₀ = R − D/sin α,

        V = [(D − R·sin α)·A + sin α·M]/cos α,  A = R²·acos(x₀/R) − x₀·√(R² − x₀²),  M = 2/3·(R² − x₀²)^(3/2)

    Parameters
    ----------
    diameter : array [m]
        Of the cutter, 2R.
    deepest : array [m]
        Flat to the deep edge of the floor, along the bore, D; at or below zero the whole floor lies above the flat and nothing is cut.
    lean : array [rad]
        Of the cutter's axis from the bore, α.

    Returns
    -------
    array [m³]

    Notes
    -----
    NaN for a diameter below zero or a lean outside 0 to a right angle. What of the pocket lies beyond the crown's edge is counted too.

    References
    ----------
    Plane geometry, the hoof of a cylinder; derived above.

    Examples
    --------
    >>> round(float(pocket_volume(0.040, 0.003)) * 1e6, 4), round(float(pocket_volume(0.040, 0.003, np.radians(15.0))) * 1e6, 4)
    (3.7699, 0.3866)
    """
    d, D, alpha = floats(diameter), np.maximum(floats(deepest), 0.0), floats(lean)
    alpha = defined(alpha, (d >= 0.0) & (alpha >= 0.0) & (alpha < np.pi / 2.0), "a pocket leans by less than a right angle")
    R, sine = d / 2.0, np.sin(alpha)
    leaning = alpha > STRAIGHT
    start = np.clip(R - D / np.where(leaning, sine, 1.0), -R, R)
    start = np.where(leaning, start, -R)
    half = np.sqrt(np.maximum(R**2 - start**2, 0.0))
    area = R**2 * np.arccos(np.clip(start / np.where(R > 0.0, R, 1.0), -1.0, 1.0)) - start * half
    moment = 2.0 / 3.0 * half**3
    volume: FloatArray = ((D - R * sine) * area + sine * moment) / np.cos(alpha)
    return volume
