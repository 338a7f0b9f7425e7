"""Sizes that change with temperature. Expansion coefficients are means over the rise they are used with."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats


def free_expansion(length: ArrayLike, expansion: ArrayLike, rise: ArrayLike) -> FloatArray:
    """Growth of an unrestrained length, ΔL = L·α·ΔT.

    Parameters
    ----------
    length : array [m]
    expansion : array [1/K]
        Mean coefficient of linear expansion over the rise.
    rise : array [K]

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a length below zero or a value that is not finite.

    References
    ----------
    W. D. Callister, Fundamentals of Materials Science and Engineering, eq. for the linear coefficient of thermal expansion.

    Examples
    --------
    >>> round(float(free_expansion(0.1, 20e-6, 100.0)) * 1e3, 6)
    0.2
    """
    L, alpha, dT = floats(length), floats(expansion), floats(rise)
    L = defined(L, (L >= 0.0) & np.isfinite(L), "length must be finite and not below zero")
    alpha = defined(alpha, np.isfinite(alpha) & np.isfinite(dT), "expansion and temperature rise must be finite")
    return L * alpha * dT


def ring_closure(
    bore: ArrayLike, ring_expansion: ArrayLike, ring_rise: ArrayLike, bore_expansion: ArrayLike, bore_rise: ArrayLike
) -> FloatArray:
    """How much a ring's end gap closes from cold to hot, ΔG = π·D·(α_r·ΔT_r − α_b·ΔT_b).

    The ring grows along its circumference, the bore it lies against grows and gives some of it back.

    Parameters
    ----------
    bore : array [m]
        Diameter, cold.
    ring_expansion, bore_expansion : array [1/K]
    ring_rise, bore_rise : array [K]
        Above the temperature at which the gap was measured.

    Returns
    -------
    array [m]
        Below zero where the gap opens.

    Notes
    -----
    NaN for a bore below zero or a value that is not finite.

    Examples
    --------
    >>> round(float(ring_closure(0.1, 11.4e-6, 200.0, 11.4e-6, 80.0)) * 1e3, 5)
    0.42977
    """
    return np.pi * (free_expansion(bore, ring_expansion, ring_rise) - free_expansion(bore, bore_expansion, bore_rise))


def hot_diametral_clearance(
    bore: ArrayLike,
    skirt: ArrayLike,
    bore_expansion: ArrayLike,
    bore_rise: ArrayLike,
    skirt_expansion: ArrayLike,
    skirt_rise: ArrayLike,
) -> FloatArray:
    """Clearance across the skirt when hot, C = D·(1 + α_b·ΔT_b) − d·(1 + α_s·ΔT_s).

    Parameters
    ----------
    bore, skirt : array [m]
        Diameters, cold.
    bore_expansion, skirt_expansion : array [1/K]
    bore_rise, skirt_rise : array [K]

    Returns
    -------
    array [m]
        Below zero where the piston would seize.

    Notes
    -----
    NaN for a diameter below zero or a value that is not finite.

    Examples
    --------
    >>> round(float(hot_diametral_clearance(0.1, 0.09992, 11.4e-6, 80.0, 20e-6, 100.0)) * 1e3, 5)
    -0.02864
    """
    D = floats(bore) + free_expansion(bore, bore_expansion, bore_rise)
    d = floats(skirt) + free_expansion(skirt, skirt_expansion, skirt_rise)
    return D - d
