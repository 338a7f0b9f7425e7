"""What surface and a second direction of stress do to fatigue."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats


def surface_factor(ultimate_strength: ArrayLike, coefficient: ArrayLike, exponent: ArrayLike) -> FloatArray:
    """Share of the endurance limit that a surface leaves, k_a = a·S_u^b with S_u in MPa, at most 1.

    Parameters
    ----------
    ultimate_strength : array [Pa]
    coefficient, exponent : array [1]
        a and b of the finish: ground 1.58 and −0.085, machined 4.51 and −0.265.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a strength or a coefficient at or below zero.

    References
    ----------
    J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, surface factor of the endurance limit (from memory).

    Examples
    --------
    >>> round(float(surface_factor(400e6, 4.51, -0.265)), 3)
    0.922
    """
    S_u, a = floats(ultimate_strength), floats(coefficient)
    S_u = defined(S_u, (S_u > 0.0) & (a > 0.0), "strength and coefficient must be above zero")
    factor: FloatArray = np.minimum(a * (S_u / 1e6) ** floats(exponent), 1.0)
    return factor


def biaxial_equivalent_stress(first: ArrayLike, second: ArrayLike) -> FloatArray:
    """Equivalent tension of two normal stresses at right angles, √(σ₁² − σ₁·σ₂ + σ₂²), by von Mises.

    Parameters
    ----------
    first, second : array [Pa]
        Principal stresses at a free surface.

    Returns
    -------
    array [Pa]

    References
    ----------
    J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, distortion-energy theory, plane stress.

    Examples
    --------
    >>> round(float(biaxial_equivalent_stress(100.0, -100.0)), 3)
    173.205
    """
    one, other = floats(first), floats(second)
    equivalent: FloatArray = np.sqrt(one**2 - one * other + other**2)
    return equivalent
