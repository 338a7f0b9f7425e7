"""The U.S. Standard Atmosphere 1976 up to 20 km of geopotential altitude, and its inverse for density.

U.S. Standard Atmosphere, 1976, NOAA/NASA/USAF, NOAA-S/T 76-1562: the constants of its tables 2 and 4 (from memory).
"""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats

GRAVITY = 9.80665  # m/s²
GAS_CONSTANT = 8.31432  # J/(mol·K), the standard's own value, not today's
MOLAR_MASS_DRY_AIR = 28.9644e-3  # kg/mol
SPECIFIC_GAS_CONSTANT_DRY_AIR = GAS_CONSTANT / MOLAR_MASS_DRY_AIR  # J/(kg·K)
EARTH_RADIUS = 6356766.0  # m, the standard's, for geopotential altitude
SEA_LEVEL_TEMPERATURE = 288.15  # K
STANDARD_ATMOSPHERE = 101325.0  # Pa, NIST SP 811, exact
SEA_LEVEL_PRESSURE = STANDARD_ATMOSPHERE
LAPSE_RATE = 0.0065  # K/m
TROPOPAUSE = 11000.0  # m
LOWEST, HIGHEST = -5000.0, 20000.0  # m

_EXPONENT = GRAVITY / (SPECIFIC_GAS_CONSTANT_DRY_AIR * LAPSE_RATE)
_TROPOPAUSE_TEMPERATURE = SEA_LEVEL_TEMPERATURE - LAPSE_RATE * TROPOPAUSE
_TROPOPAUSE_PRESSURE = SEA_LEVEL_PRESSURE * (_TROPOPAUSE_TEMPERATURE / SEA_LEVEL_TEMPERATURE) ** _EXPONENT
_SEA_LEVEL_DENSITY = SEA_LEVEL_PRESSURE / (SPECIFIC_GAS_CONSTANT_DRY_AIR * SEA_LEVEL_TEMPERATURE)
_TROPOPAUSE_DENSITY = _TROPOPAUSE_PRESSURE / (SPECIFIC_GAS_CONSTANT_DRY_AIR * _TROPOPAUSE_TEMPERATURE)
_SCALE_HEIGHT = SPECIFIC_GAS_CONSTANT_DRY_AIR * _TROPOPAUSE_TEMPERATURE / GRAVITY


def _altitude(altitude: ArrayLike) -> FloatArray:
    H = floats(altitude)
    return defined(H, (H >= LOWEST) & (H <= HIGHEST), "altitude must be between -5 and 20 km")


def geopotential_altitude(altitude: ArrayLike) -> FloatArray:
    """Geopotential altitude of a geometric one, H = r·Z/(r + Z).

    Parameters
    ----------
    altitude : array [m]
        Above mean sea level, as a map gives it.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for an altitude beyond -5 to 20 km or so.

    References
    ----------
    U.S. Standard Atmosphere, 1976, eq. 18.

    Examples
    --------
    >>> round(float(geopotential_altitude(3000.0)), 2)
    2998.58
    """
    Z = floats(altitude)
    Z = defined(Z, (Z >= LOWEST) & (Z <= 1.01 * HIGHEST), "altitude must be between -5 and 20 km")
    return EARTH_RADIUS * Z / (EARTH_RADIUS + Z)


def standard_temperature(altitude: ArrayLike) -> FloatArray:
    """Temperature of the standard atmosphere, T₀ − λ·H up to 11 km, then 216.65 K.

    Parameters
    ----------
    altitude : array [m]
        Geopotential.

    Returns
    -------
    array [K]

    Notes
    -----
    NaN for an altitude outside -5 to 20 km.

    Examples
    --------
    >>> round(float(standard_temperature(1000.0)), 2)
    281.65
    """
    return SEA_LEVEL_TEMPERATURE - LAPSE_RATE * np.minimum(_altitude(altitude), TROPOPAUSE)


def standard_pressure(altitude: ArrayLike) -> FloatArray:
    """Pressure of the standard atmosphere, p₀·(T/T₀)^(g/(R·λ)) up to 11 km, then falling exponentially.

    Parameters
    ----------
    altitude : array [m]
        Geopotential.

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for an altitude outside -5 to 20 km.

    References
    ----------
    U.S. Standard Atmosphere, 1976, eqs. 33a and 33b.

    Examples
    --------
    >>> round(float(standard_pressure(1000.0)), 1)
    89874.6
    """
    H = _altitude(altitude)
    troposphere = SEA_LEVEL_PRESSURE * (standard_temperature(H) / SEA_LEVEL_TEMPERATURE) ** _EXPONENT
    return troposphere * np.exp(-np.maximum(H - TROPOPAUSE, 0.0) / _SCALE_HEIGHT)


def station_pressure(sea_level_pressure: ArrayLike, elevation: ArrayLike) -> FloatArray:
    """Air pressure on the spot from a weather report's, which is reduced to sea level: p^k = p_report^k − p₀^k·λ·H/T₀, k = R·λ/g,
    H the geopotential altitude of the elevation.

    The report's is the altimeter setting: what an altimeter is set to so that it shows the elevation of the place.

    Parameters
    ----------
    sea_level_pressure : array [Pa]
    elevation : array [m]
        Of the place above mean sea level.

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for an elevation outside -1 to 9 km or a pressure at or below zero.

    References
    ----------
    Definition of the altimeter setting in the U.S. Standard Atmosphere, 1976.

    Examples
    --------
    >>> round(float(station_pressure(101325.0, 1609.3)))
    83432
    """
    report, Z = floats(sea_level_pressure), floats(elevation)
    report = defined(report, report > 0.0, "pressure must be above zero")
    Z = defined(Z, (Z >= -1000.0) & (Z <= 9000.0), "elevation must be between -1 and 9 km")
    k = 1.0 / _EXPONENT
    column = SEA_LEVEL_PRESSURE**k * LAPSE_RATE * geopotential_altitude(Z) / SEA_LEVEL_TEMPERATURE
    return floats((report**k - column) ** _EXPONENT)


def standard_density(altitude: ArrayLike) -> FloatArray:
    """Density of the standard atmosphere, ρ = p/(R·T).

    Parameters
    ----------
    altitude : array [m]
        Geopotential.

    Returns
    -------
    array [kg/m³]

    Notes
    -----
    NaN for an altitude outside -5 to 20 km.

    Examples
    --------
    >>> round(float(standard_density(0.0)), 4)
    1.225
    """
    return standard_pressure(altitude) / (SPECIFIC_GAS_CONSTANT_DRY_AIR * standard_temperature(altitude))


def density_altitude(density: ArrayLike) -> FloatArray:
    """Geopotential altitude at which the standard atmosphere has a density: the inverse of `standard_density`.

    H = T₀/λ·(1 − (ρ/ρ₀)^(1/(g/(R·λ) − 1))) up to 11 km, H₁₁ − R·T₁₁/g·ln(ρ/ρ₁₁) above.

    Parameters
    ----------
    density : array [kg/m³]
        Of the air as it is, moisture included.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a density the standard atmosphere has nowhere between -5 and 20 km.

    Examples
    --------
    >>> round(float(density_altitude(1.0466)))
    1610
    """
    rho = floats(density)
    rho = defined(rho, rho > 0.0, "density must be above zero")
    lower = SEA_LEVEL_TEMPERATURE / LAPSE_RATE * (1.0 - (rho / _SEA_LEVEL_DENSITY) ** (1.0 / (_EXPONENT - 1.0)))
    upper = TROPOPAUSE - _SCALE_HEIGHT * np.log(rho / _TROPOPAUSE_DENSITY)
    H = np.where(rho >= _TROPOPAUSE_DENSITY, lower, upper)
    H = defined(H, (H >= LOWEST) & (H <= HIGHEST), "density must be one the standard atmosphere has between -5 and 20 km")
    return H[()]
