"""Connecting rod shank: direct stress, and the load it buckles at."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats

STEEL_RANKINE_CONSTANT = 1.0 / 7500.0  # both ends hinged; R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32


def direct_stress(force: ArrayLike, area: ArrayLike) -> FloatArray:
    """Mean stress of a section, F/A; it carries the force's sign.

    Parameters
    ----------
    force : array [N]
    area : array [m²]

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for an area at or below zero.

    Examples
    --------
    >>> float(direct_stress(50e3, 250e-6)) / 1e6
    200.0
    """
    A = floats(area)
    A = defined(A, A > 0.0, "section area must be above zero")
    return floats(force) / A


def _shank(area: ArrayLike, length: ArrayLike, radius_of_gyration: ArrayLike) -> tuple[FloatArray, FloatArray]:
    A, L, k = floats(area), floats(length), floats(radius_of_gyration)
    A = defined(A, (A > 0.0) & (L > 0.0) & (k > 0.0), "section area, length and radius of gyration must be above zero")
    return A, L / k


def rankine_load(
    area: ArrayLike,
    crushing_strength: ArrayLike,
    length: ArrayLike,
    radius_of_gyration: ArrayLike,
    constant: ArrayLike = STEEL_RANKINE_CONSTANT,
) -> FloatArray:
    """Buckling load of a strut by Rankine, σ_c·A/(1 + a·(L/k)²).

    Parameters
    ----------
    area : array [m²]
    crushing_strength : array [Pa]
    length, radius_of_gyration : array [m]
        Length between the pins; about the axis that buckles.
    constant : array [1]
        a, 1/7500 for steel hinged at both ends.

    Returns
    -------
    array [N]

    Notes
    -----
    NaN for a size, a strength or a constant at or below zero.

    References
    ----------
    R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32.

    Examples
    --------
    >>> round(float(rankine_load(539e-6, 320e6, 0.380, 0.01246)))
    153450
    """
    A, slenderness = _shank(area, length, radius_of_gyration)
    sigma, a = floats(crushing_strength), floats(constant)
    sigma = defined(sigma, (sigma > 0.0) & (a > 0.0), "crushing strength and the constant of Rankine must be above zero")
    return sigma * A / (1.0 + a * slenderness**2)


def johnson_load(
    area: ArrayLike,
    yield_strength: ArrayLike,
    length: ArrayLike,
    radius_of_gyration: ArrayLike,
    elastic_modulus: ArrayLike,
    end_fixity: ArrayLike = 1.0,
) -> FloatArray:
    """Buckling load of a strut by J. B. Johnson's parabola, and by Euler past where the two touch, at half the yield strength.

    A·(S_y − (S_y·λ/(2π))²/(C·E)) up to λ = L/k = √(2π²·C·E/S_y), then A·C·π²·E/λ².

    Parameters
    ----------
    area : array [m²]
    yield_strength : array [Pa]
    length, radius_of_gyration : array [m]
        Length between the pins; about the axis that buckles.
    elastic_modulus : array [Pa]
    end_fixity : array [1]
        C, one for both ends hinged.

    Returns
    -------
    array [N]

    Notes
    -----
    NaN for anything at or below zero.

    References
    ----------
    J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, columns with central loading.

    Examples
    --------
    >>> round(float(johnson_load(250e-6, 700e6, 0.14235, 0.006, 207e9)))
    166562
    """
    A, slenderness = _shank(area, length, radius_of_gyration)
    S_y, E, C = floats(yield_strength), floats(elastic_modulus), floats(end_fixity)
    E = defined(E, (S_y > 0.0) & (E > 0.0) & (C > 0.0), "yield strength, elastic modulus and end fixity must be above zero")
    parabola = S_y - (S_y * slenderness / (2.0 * np.pi)) ** 2 / (C * E)
    euler = C * np.pi**2 * E / slenderness**2
    stress: FloatArray = np.where(slenderness**2 <= 2.0 * np.pi**2 * C * E / S_y, parabola, euler)
    return A * stress
