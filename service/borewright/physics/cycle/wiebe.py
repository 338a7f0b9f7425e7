"""How fast the charge burns: the Wiebe function."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats

COMPLETENESS = 5.0
"""Wiebe's a: 99.33 % burned at the end. J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 9.2 (from memory)."""

FORM = 2.0
"""Wiebe's m: the exponent is m + 1. J. B. Heywood, 1988, ch. 9.2 (from memory)."""


def wiebe_fraction(progress: ArrayLike, completeness: ArrayLike = COMPLETENESS, form: ArrayLike = FORM) -> FloatArray:
    """Mass fraction burned, x = 1 − exp(−a·y^(m+1)).

    Parameters
    ----------
    progress : array [1]
        y, crank angle since the start of burning over its duration; before the start x is 0, after y = 1 it holds its value there.
    completeness : array [1]
        a, above zero.
    form : array [1]
        m, above −1.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a at or below 0 or m at or below −1.

    References
    ----------
    I. I. Wiebe, 1956; J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 9.30.

    Examples
    --------
    >>> np.round(wiebe_fraction([0.25, 0.5, 0.75]), 5).tolist()
    [0.07515, 0.46474, 0.87869]
    """
    a, m = floats(completeness), floats(form)
    a = defined(a, (a > 0.0) & (m > -1.0), "Wiebe's completeness must be above 0 and its form above −1")
    y = np.clip(floats(progress), 0.0, 1.0)
    return -np.expm1(-a * y ** (m + 1.0))


def wiebe_progress(fraction: ArrayLike, completeness: ArrayLike = COMPLETENESS, form: ArrayLike = FORM) -> FloatArray:
    """Progress at which a mass fraction has burned, y = (−ln(1 − x)/a)^(1/(m+1)).

    Parameters
    ----------
    fraction : array [1]
        0 up to, not including, 1.
    completeness, form : array [1]

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a fraction outside its range, a at or below 0 or m at or below −1.

    References
    ----------
    The inverse of `wiebe_fraction`.

    Examples
    --------
    >>> round(float(wiebe_progress(0.5)), 4)
    0.5175
    """
    x, a, m = floats(fraction), floats(completeness), floats(form)
    x = defined(x, (x >= 0.0) & (x < 1.0), "the fraction burned must lie from 0 up to but not including 1")
    a = defined(a, (a > 0.0) & (m > -1.0), "Wiebe's completeness must be above 0 and its form above −1")
    return (-np.log1p(-x) / a) ** (1.0 / (m + 1.0))
