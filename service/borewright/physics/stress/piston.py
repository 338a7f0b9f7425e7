"""Stresses of a piston: pressure in the pin bosses, ring lands as rings clamped at their root, the crown as a clamped plate."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats

ALUMINUM_POISSON_RATIO = 0.33  # W. D. Callister, Fundamentals of Materials Science and Engineering, table B.3 (from memory)


def bearing_pressure(force: ArrayLike, diameter: ArrayLike, length: ArrayLike) -> FloatArray:
    """Mean pressure of a pin on the area it projects, F/(d·l).

    Parameters
    ----------
    force : array [N]
    diameter, length : array [m]
        Length is the whole that bears: both bosses together, or the rod's small end.

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for a size at or below zero.

    References
    ----------
    R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32.

    Examples
    --------
    >>> round(float(bearing_pressure(39275.0, 0.0349, 0.045)) / 1e6, 2)
    25.01
    """
    d, length_ = floats(diameter), floats(length)
    d = defined(d, (d > 0.0) & (length_ > 0.0), "bearing diameter and length must be above zero")
    return floats(force) / (d * length_)


def boss_bearing_length(pin_length: ArrayLike, boss_span: ArrayLike) -> FloatArray:
    """Length of pin both bosses hold together, L − s.

    Parameters
    ----------
    pin_length, boss_span : array [m]
        Span is the gap between the bosses' inner faces.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN unless 0 < span < length.

    Examples
    --------
    >>> round(float(boss_bearing_length(0.060, 0.024)) * 1e3, 6)
    36.0
    """
    L, s = floats(pin_length), floats(boss_span)
    L = defined(L, (s > 0.0) & (s < L), "a pin must be longer than the span between the bosses")
    return L - s


def _land(land_diameter: ArrayLike, root_diameter: ArrayLike, height: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    a, b, h = floats(land_diameter) / 2.0, floats(root_diameter) / 2.0, floats(height)
    a = defined(a, (b > 0.0) & (b < a) & (h > 0.0), "a ring land must have 0 < root diameter < land diameter and a height above zero")
    return a, b, h


def land_shear_stress(pressure_difference: ArrayLike, land_diameter: ArrayLike, root_diameter: ArrayLike, height: ArrayLike) -> FloatArray:
    """Largest shear stress at the root of a ring land, 3/2·Δp·(a² − b²)/(2·b·h).

    The gas above the land less that below, on the whole ring from root b to edge a, sheared off at the root over its height h;
    3/2 raises the mean of a rectangle to its peak.

    Parameters
    ----------
    pressure_difference : array [Pa]
        Between the land's faces.
    land_diameter, root_diameter, height : array [m]
        Root is the bottom of the groove.

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN unless 0 < root < land diameter and the height is above zero.

    References
    ----------
    Equilibrium of the ring; W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, shear of a rectangular section.

    Examples
    --------
    >>> round(float(land_shear_stress(6e6, 0.0995, 0.0915, 0.005)) / 1e6, 3)
    7.515
    """
    a, b, h = _land(land_diameter, root_diameter, height)
    return 1.5 * floats(pressure_difference) * (a - b) * (a + b) / (2.0 * b * h)


def land_bending_stress(
    pressure_difference: ArrayLike,
    land_diameter: ArrayLike,
    root_diameter: ArrayLike,
    height: ArrayLike,
    poisson_ratio: ArrayLike = ALUMINUM_POISSON_RATIO,
) -> FloatArray:
    """Radial bending stress at the root of a ring land, 6·M/h², the land a flat ring clamped at its root and free at its edge.

    M = Δp·a²/C₈·[C₉/(2·a·b)·(a² − b²) − L₁₇]. The notch of the groove's corner is not in it.

    Parameters
    ----------
    pressure_difference : array [Pa]
        Between the land's faces.
    land_diameter, root_diameter, height : array [m]
        Root is the bottom of the groove.
    poisson_ratio : array [1]

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN unless 0 < root < land diameter, the height is above zero and the ratio lies in 0 to 0.5.

    References
    ----------
    W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, table 11.2, case 2l (from memory; the test solves the
    plate's differential equation anew).

    Examples
    --------
    >>> round(float(land_bending_stress(6e6, 0.0995, 0.0915, 0.005)) / 1e6, 3)
    12.058
    """
    a, b, h = _land(land_diameter, root_diameter, height)
    nu = floats(poisson_ratio)
    nu = defined(nu, (nu >= 0.0) & (nu <= 0.5), "the ratio of Poisson must be between 0 and 0.5")
    k = b / a
    C_8 = 0.5 * (1.0 + nu + (1.0 - nu) * k**2)
    C_9 = k * ((1.0 + nu) / 2.0 * np.log(1.0 / k) + (1.0 - nu) / 4.0 * (1.0 - k**2))
    L_17 = 0.25 * (1.0 - (1.0 - nu) / 4.0 * (1.0 - k**4) - k**2 * (1.0 + (1.0 + nu) * np.log(1.0 / k)))
    moment = floats(pressure_difference) * a**2 / C_8 * (C_9 / (2.0 * k) * (1.0 - k**2) - L_17)
    stress: FloatArray = 6.0 * moment / h**2
    return stress


def crown_stress(pressure: ArrayLike, bore: ArrayLike, thickness: ArrayLike) -> FloatArray:
    """Bending stress of a flat crown, a plate clamped at its rim, 3·p·D²/(16·t²).

    Parameters
    ----------
    pressure : array [Pa]
        Above the crankcase's.
    bore, thickness : array [m]

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for a size at or below zero.

    References
    ----------
    R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32, t = √(3·p·D²/(16·σ)), solved for the stress.

    Examples
    --------
    >>> round(float(crown_stress(6e6, 0.1, 0.009)) / 1e6, 2)
    138.89
    """
    D, t = floats(bore), floats(thickness)
    D = defined(D, (D > 0.0) & (t > 0.0), "bore and crown thickness must be above zero")
    return 3.0 * floats(pressure) * D**2 / (16.0 * t**2)


def crown_thickness(pressure: ArrayLike, bore: ArrayLike, stress: ArrayLike) -> FloatArray:
    """Thickness of a flat crown for an allowed stress, √(3·p·D²/(16·σ)).

    Parameters
    ----------
    pressure : array [Pa]
        Above the crankcase's.
    bore : array [m]
    stress : array [Pa]

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a pressure below zero, or a bore or a stress at or below zero.

    References
    ----------
    R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32.

    Examples
    --------
    >>> round(float(crown_thickness(6e6, 0.1, 138.8889e6)) * 1e3, 4)
    9.0
    """
    p, D, sigma = floats(pressure), floats(bore), floats(stress)
    p = defined(p, (p >= 0.0) & (D > 0.0) & (sigma > 0.0), "pressure must not be below zero, bore and stress must be above zero")
    thickness: FloatArray = np.sqrt(3.0 * p * D**2 / (16.0 * sigma))
    return thickness
