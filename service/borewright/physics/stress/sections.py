"""Cross-sections and curved bars: the pieces of strength of materials the parts share."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats


def tube(outer: ArrayLike, inner: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Take a tube's diameters, refusing those that leave no wall.

    Parameters
    ----------
    outer, inner : array [m]

    Returns
    -------
    (array [m], array [m])

    Notes
    -----
    NaN unless 0 <= inner < outer.

    Examples
    --------
    >>> [float(diameter) for diameter in tube(0.022, 0.012)]
    [0.022, 0.012]
    """
    D, d = floats(outer), floats(inner)
    D = defined(D, (d >= 0.0) & (d < D) & np.isfinite(D), "a tube must have 0 <= inner diameter < outer diameter")
    return D, d


def tube_area(outer: ArrayLike, inner: ArrayLike) -> FloatArray:
    """Area of a tube's cross-section, π/4·(D² − d²).

    Parameters
    ----------
    outer, inner : array [m]

    Returns
    -------
    array [m²]

    Notes
    -----
    NaN unless 0 <= inner < outer.

    Examples
    --------
    >>> round(float(tube_area(0.022, 0.012)) * 1e6, 3)
    267.035
    """
    D, d = tube(outer, inner)
    return np.pi / 4.0 * (D - d) * (D + d)


def tube_section_modulus(outer: ArrayLike, inner: ArrayLike) -> FloatArray:
    """Section modulus of a tube in bending, Z = π·(D⁴ − d⁴)/(32·D).

    Parameters
    ----------
    outer, inner : array [m]

    Returns
    -------
    array [m³]

    Notes
    -----
    NaN unless 0 <= inner < outer.

    References
    ----------
    R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32.

    Examples
    --------
    >>> round(float(tube_section_modulus(0.0349, 0.02094)) * 1e9, 1)
    3632.4
    """
    D, d = tube(outer, inner)
    return np.pi * (D**4 - d**4) / (32.0 * D)


def curved_bar_stress(
    moment: ArrayLike, inner_radius: ArrayLike, outer_radius: ArrayLike, width: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Bending stress of a curved rectangular bar at its inside and its outside, by Winkler and Bach.

    σ_i = M·(r_n − r_i)/(A·e·r_i), σ_o = −M·(r_o − r_n)/(A·e·r_o), r_n = h/ln(r_o/r_i), e = r_c − r_n, A = h·b.

    Parameters
    ----------
    moment : array [N·m]
        Above zero where it straightens the bar.
    inner_radius, outer_radius, width : array [m]

    Returns
    -------
    (array [Pa], array [Pa])
        At the inner and at the outer surface, tension above zero.

    Notes
    -----
    NaN unless 0 < inner radius < outer radius and the width is above zero.

    References
    ----------
    J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, sec. on curved beams in bending.

    Examples
    --------
    >>> inside, outside = curved_bar_stress(1.0, 0.02, 0.06, 0.01)
    >>> round(float(inside) / 1e6, 3), round(float(outside) / 1e6, 3)
    (0.571, -0.274)
    """
    M, r_i, r_o, b = floats(moment), floats(inner_radius), floats(outer_radius), floats(width)
    M = defined(M, (r_i > 0.0) & (r_i < r_o) & (b > 0.0), "a curved bar must have 0 < inner radius < outer radius and a width above zero")
    h = r_o - r_i
    r_n = h / np.log(r_o / r_i)
    e = (r_i + r_o) / 2.0 - r_n
    A = h * b
    inside: FloatArray = M * (r_n - r_i) / (A * e * r_i)
    outside: FloatArray = -M * (r_o - r_n) / (A * e * r_o)
    return inside, outside


def equivalent_stress(normal: ArrayLike, shear: ArrayLike) -> FloatArray:
    """Equivalent tension of a normal and a shear stress at one point, √(σ² + 3·τ²), by von Mises.

    Parameters
    ----------
    normal, shear : array [Pa]

    Returns
    -------
    array [Pa]

    References
    ----------
    J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, distortion-energy theory.

    Examples
    --------
    >>> float(equivalent_stress(100.0, 0.0))
    100.0
    """
    equivalent: FloatArray = np.sqrt(floats(normal) ** 2 + 3.0 * floats(shear) ** 2)
    return equivalent
