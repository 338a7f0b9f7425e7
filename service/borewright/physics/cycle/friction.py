"""Friction mean effective pressure by published correlations."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats


def barnes_moss_friction(speed: ArrayLike) -> FloatArray:
    """Motoring friction, fmep[bar] = 0.97 + 0.15·(N/1000) + 0.05·(N/1000)², N in rev/min; wide-open pumping included.

    Fitted to four-cylinder spark-ignition engines of 0.85 to 2 L of the 1970s. Gas load does not enter.

    Parameters
    ----------
    speed : array [rad/s]
        Of the crank, not negative.

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for a negative speed.

    References
    ----------
    M. Barnes-Moss, A designer's viewpoint, Passenger Car Engines, IMechE C343, 1975; as J. B. Heywood, Internal Combustion Engine
    Fundamentals, 1988, ch. 13 gives it (coefficients as quoted by others, and from memory).

    Examples
    --------
    >>> round(float(barnes_moss_friction(523.598775598)) / 1e5, 3)
    2.97
    """
    omega = floats(speed)
    omega = defined(omega, omega >= 0.0, "speed must not be negative")
    n = omega * (60.0 / (2.0 * np.pi)) / 1000.0
    return 1e5 * (0.97 + 0.15 * n + 0.05 * n**2)


def chen_flynn_friction(peak_pressure: ArrayLike, mean_piston_speed: ArrayLike) -> FloatArray:
    """Rubbing friction with the gas load in it, fmep[bar] = 0.137 + p_max/200 + 0.162·Sp, p_max in bar, Sp in m/s.

    Fitted to one single-cylinder diesel, so absolute figures are high for a spark-ignition engine; the share of the peak
    pressure is what it adds to `barnes_moss_friction`.

    Parameters
    ----------
    peak_pressure : array [Pa]
    mean_piston_speed : array [m/s]

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for a negative pressure or speed.

    References
    ----------
    S. K. Chen, P. F. Flynn, SAE 650733, 1965 (from memory).

    Examples
    --------
    >>> round(float(chen_flynn_friction(80e5, 15.0)) / 1e5, 3)
    2.967
    """
    p, Sp = floats(peak_pressure), floats(mean_piston_speed)
    p = defined(p, (p >= 0.0) & (Sp >= 0.0), "pressure and piston speed must not be negative")
    return 1e5 * 0.137 + p / 200.0 + 1e5 * 0.162 * Sp
