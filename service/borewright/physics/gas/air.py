"""Moist air, and the factors that carry an observed power to standard conditions."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.gas.atmosphere import GAS_CONSTANT, SPECIFIC_GAS_CONSTANT_DRY_AIR

MOLAR_MASS_WATER = 18.01528e-3  # kg/mol
COLDEST, HOTTEST = 233.15, 373.15  # K, of the saturation formula as used here
ISO_1585_FACTOR_RANGE = (0.93, 1.07)  # the standard's own limits for spark ignition (from memory)

J607_PRESSURE = 29.92 * 3386.389  # Pa, conventional inch of mercury: NIST SP 811

# The power standards write kelvins as °C + 273; taken so, 25 °C and 99 kPa give a factor of exactly one.
_ROUNDED_ZERO = 0.15


def saturation_vapor_pressure(temperature: ArrayLike) -> FloatArray:
    """Pressure of water vapor in equilibrium with liquid water, by Wagner and Pruss (1993).

    ln(p/p_c) = T_c/T·(a₁τ + a₂τ^1.5 + a₃τ³ + a₄τ^3.5 + a₅τ⁴ + a₆τ^7.5), τ = 1 − T/T_c.
    Stated from 273.16 K; below, it is carried on over supercooled water, as humidity is reckoned there too.

    Parameters
    ----------
    temperature : array [K]
        From 233.15 to 373.15.

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for a temperature outside the range.

    References
    ----------
    W. Wagner and A. Pruss, International equations for the saturation properties of ordinary water substance, revised according to
    the International Temperature Scale of 1990, J. Phys. Chem. Ref. Data 22, 1993, eq. 1 (coefficients from memory).

    Examples
    --------
    >>> round(float(saturation_vapor_pressure(298.15)), 1)
    3169.8
    """
    T = floats(temperature)
    T = defined(T, (T >= COLDEST) & (T <= HOTTEST), "air temperature must be between -40 and 100 degC")
    T_c, p_c = 647.096, 22.064e6
    tau = 1.0 - T / T_c
    terms = (
        -7.85951783 * tau
        + 1.84408259 * tau**1.5
        - 11.7866497 * tau**3
        + 22.6807411 * tau**3.5
        - 15.9618719 * tau**4
        + 1.80122502 * tau**7.5
    )
    pressure: FloatArray = p_c * np.exp(T_c / T * terms)
    return pressure


def vapor_pressure(temperature: ArrayLike, relative_humidity: ArrayLike) -> FloatArray:
    """Partial pressure of water vapor, φ·p_s(T).

    Parameters
    ----------
    temperature : array [K]
    relative_humidity : array [1]
        From 0 to 1, over liquid water.

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for a humidity or a temperature outside its range.

    Examples
    --------
    >>> round(float(vapor_pressure(298.15, 0.5)), 1)
    1584.9
    """
    phi = floats(relative_humidity)
    phi = defined(phi, (phi >= 0.0) & (phi <= 1.0), "relative humidity must be between 0 and 1")
    return phi * saturation_vapor_pressure(temperature)


def dry_pressure(pressure: ArrayLike, temperature: ArrayLike, relative_humidity: ArrayLike) -> FloatArray:
    """Pressure of the dry part of the air, p_d = p − φ·p_s(T).

    Parameters
    ----------
    pressure : array [Pa]
        As a barometer on the spot reads it, not reduced to sea level.
    temperature : array [K]
    relative_humidity : array [1]

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for a pressure no higher than the vapor's, or a humidity or a temperature outside its range.

    Examples
    --------
    >>> round(float(dry_pressure(100e3, 298.15, 0.5)), 1)
    98415.1
    """
    p_d = floats(pressure) - vapor_pressure(temperature, relative_humidity)
    return defined(p_d, (p_d > 0.0) & np.isfinite(p_d), "air pressure must be finite and above the water vapor's")


def moist_air_density(pressure: ArrayLike, temperature: ArrayLike, relative_humidity: ArrayLike) -> FloatArray:
    """Density of moist air as a mixture of ideal gases, ρ = p_d/(R_d·T) + p_v/(R_v·T).

    Parameters
    ----------
    pressure : array [Pa]
    temperature : array [K]
    relative_humidity : array [1]

    Returns
    -------
    array [kg/m³]

    Notes
    -----
    NaN as `dry_pressure`.

    Examples
    --------
    >>> round(float(moist_air_density(101325.0, 293.15, 0.5)), 4)
    1.1989
    """
    T = floats(temperature)
    dry = dry_pressure(pressure, T, relative_humidity) / (SPECIFIC_GAS_CONSTANT_DRY_AIR * T)
    return dry + vapor_pressure(T, relative_humidity) * MOLAR_MASS_WATER / (GAS_CONSTANT * T)


def _standard_state(pressure: ArrayLike, temperature: ArrayLike) -> tuple[FloatArray, FloatArray]:
    p, T = floats(pressure), floats(temperature)
    p = defined(p, (p > 0.0) & np.isfinite(p), "air pressure must be finite and above zero")
    T = defined(T, (T >= COLDEST) & (T <= HOTTEST), "air temperature must be between -40 and 100 degC")
    return p, T - _ROUNDED_ZERO


def sae_j1349_factor(dry: ArrayLike, temperature: ArrayLike) -> FloatArray:
    """Correction factor of SAE J1349 in its 1990 form, 1.180·(99 kPa/p_d)·√((t + 273)/298) − 0.18.

    It corrects indicated power and takes the mechanical efficiency as 85 %.

    Parameters
    ----------
    dry : array [Pa]
        Dry air pressure, p_d.
    temperature : array [K]
        Of the intake air.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a pressure at or below zero or a temperature outside -40 to 100 degC.

    References
    ----------
    SAE J1349, Engine power test code, 1990.

    Examples
    --------
    >>> round(float(sae_j1349_factor(96e3, 308.15)), 4)
    1.0571
    """
    p_d, T = _standard_state(dry, temperature)
    return 1.180 * (99e3 / p_d) * np.sqrt(T / 298.0) - 0.18


def iso_1585_factor(dry: ArrayLike, temperature: ArrayLike) -> FloatArray:
    """Correction factor of ISO 1585 for spark ignition, (99 kPa/p_d)^1.2·(T/298)^0.6; the standard holds it good from 0.93 to 1.07.

    Parameters
    ----------
    dry : array [Pa]
        Dry air pressure, p_d.
    temperature : array [K]
        Of the intake air.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a pressure at or below zero or a temperature outside -40 to 100 degC.

    References
    ----------
    ISO 1585, Road vehicles: engine test code, net power; the same in UN Regulation 85, annex 5.

    Examples
    --------
    >>> round(float(iso_1585_factor(96e3, 308.15)), 4)
    1.0584
    """
    p_d, T = _standard_state(dry, temperature)
    return (99e3 / p_d) ** 1.2 * (T / 298.0) ** 0.6


def sae_j607_factor(dry: ArrayLike, temperature: ArrayLike) -> FloatArray:
    """Correction factor of SAE J607 (superseded), (29.92 inHg/p_d)·√((t + 460)/520), t in °F: to dry air of 60 °F.

    It corrects all of the power, friction as well, to cooler and denser air than its successors: the figure is some 4 % higher.

    Parameters
    ----------
    dry : array [Pa]
        Dry air pressure, p_d.
    temperature : array [K]
        Of the intake air.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a pressure at or below zero or a temperature outside -40 to 100 degC.

    References
    ----------
    SAE J607, Small spark ignition engine test code (superseded; from memory).

    Examples
    --------
    >>> round(float(sae_j607_factor(101320.75, 288.7055556)), 4)
    1.0
    """
    p_d, _ = _standard_state(dry, temperature)
    fahrenheit = 1.8 * floats(temperature) - 459.67
    return (J607_PRESSURE / p_d) * np.sqrt((fahrenheit + 460.0) / 520.0)


def din_70020_factor(pressure: ArrayLike, temperature: ArrayLike) -> FloatArray:
    """Correction factor of DIN 70020 (withdrawn), (101.3 kPa/p)·√(T/293), on the whole air pressure.

    Parameters
    ----------
    pressure : array [Pa]
        Barometric, moisture included.
    temperature : array [K]
        Of the intake air.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a pressure at or below zero or a temperature outside -40 to 100 degC.

    References
    ----------
    DIN 70020, Kraftfahrzeugbau: Motorleistung (withdrawn; from memory).

    Examples
    --------
    >>> round(float(din_70020_factor(101.3e3, 293.15)), 6)
    1.0
    """
    p, T = _standard_state(pressure, temperature)
    return (101.3e3 / p) * np.sqrt(T / 293.0)
