"""Moist air, the standard atmosphere and power correction against published values and reference libraries run live."""

import fluids
import numpy as np
import pytest

from borewright.physics.gas import air, atmosphere


@pytest.mark.parametrize(
    ("celsius", "kilopascal"),
    [
        (0.01, 0.6117),
        (5, 0.8725),
        (10, 1.2281),
        (15, 1.7057),
        (20, 2.3392),
        (25, 3.1698),
        (30, 4.2469),
        (35, 5.6291),
        (40, 7.3851),
        (60, 19.947),
        (95, 84.609),
    ],
)
def test_saturation_against_steam_tables(celsius: float, kilopascal: float) -> None:
    """Y. A. Cengel and M. A. Boles, Thermodynamics, table A-4 (from memory); half a unit of the last digit printed, and a hair."""
    digits = 3 if kilopascal > 10.0 else 4
    assert air.saturation_vapor_pressure(celsius + 273.15) / 1e3 == pytest.approx(kilopascal, abs=0.6 * 10.0**-digits)


@pytest.mark.parametrize("temperature", [243.15, 253.15, 263.15, 273.15, 293.15, 313.15])
def test_saturation_against_murphy_and_koop(temperature: float) -> None:
    """D. M. Murphy and T. Koop, Q. J. R. Meteorol. Soc. 131, 2005, eq. 10, liquid and supercooled water (from memory); the two
    formulations spread by about half a percent thirty degrees below freezing."""
    T = temperature
    logarithm = (
        54.842763
        - 6763.22 / T
        - 4.210 * np.log(T)
        + 0.000367 * T
        + np.tanh(0.0415 * (T - 218.8)) * (53.878 - 1331.22 / T - 9.44523 * np.log(T) + 0.014025 * T)
    )
    assert air.saturation_vapor_pressure(T) == pytest.approx(np.exp(logarithm), rel=5e-4 if T >= 273.15 else 5e-3)


@pytest.mark.parametrize(("hectopascal", "percent", "celsius"), [(1013.25, 50, 20), (950, 20, 15), (1000, 80, 27), (1050, 0, 10)])
def test_density_against_the_metrologists_formula(hectopascal: float, percent: float, celsius: float) -> None:
    """OIML R 111-1:2004, eq. E.3-1, itself within 2e-4 of CIPM (from memory). Ours leaves out air's compressibility, some 4e-4."""
    expected = (0.34848 * hectopascal - 0.009 * percent * np.exp(0.061 * celsius)) / (273.15 + celsius)
    assert air.moist_air_density(100 * hectopascal, 273.15 + celsius, percent / 100) == pytest.approx(expected, rel=6e-4)


@pytest.mark.parametrize("altitude", [-300.0, 0.0, 1000.0, 1609.3, 3000.0, 8000.0, 12000.0])
def test_standard_atmosphere_against_fluids(altitude: float) -> None:
    """U.S. Standard Atmosphere 1976 as the fluids library carries it, by geometric altitude."""
    reference = fluids.ATMOSPHERE_1976(altitude)
    height = atmosphere.geopotential_altitude(altitude)
    assert atmosphere.standard_temperature(height) == pytest.approx(reference.T, rel=1e-6)
    assert atmosphere.standard_pressure(height) == pytest.approx(reference.P, rel=1e-5)
    assert atmosphere.standard_density(height) == pytest.approx(reference.rho, rel=1e-5)


@pytest.mark.parametrize(
    ("altitude", "kelvin", "pascal", "density"),
    [(1000.0, 281.65, 89876.0, 1.1117), (1609.3, 277.69, 83432.0, 1.0467), (3000.0, 268.66, 70121.0, 0.90925)],
)
def test_standard_atmosphere_table(altitude: float, kelvin: float, pascal: float, density: float) -> None:
    """U.S. Standard Atmosphere 1976, by geometric altitude; half a unit of the last digit given."""
    height = atmosphere.geopotential_altitude(altitude)
    assert atmosphere.standard_temperature(height) == pytest.approx(kelvin, abs=0.005)
    assert atmosphere.standard_pressure(height) == pytest.approx(pascal, abs=0.5)
    assert atmosphere.standard_density(height) == pytest.approx(density, abs=0.00005)
    assert atmosphere.density_altitude(density) == pytest.approx(height, abs=1.0)


def test_power_factors_on_a_hot_day() -> None:
    """35 °C, dry pressure 960 mbar: SAE J1349 (1990 form) 1.0571 (secondary source); ISO 1585 for spark ignition 1.0584 (from memory)."""
    assert air.sae_j1349_factor(96e3, 308.15) == pytest.approx(1.0571, abs=5e-5)
    assert air.iso_1585_factor(96e3, 308.15) == pytest.approx(1.0584, abs=5e-5)


def test_din_factor() -> None:
    """DIN 70020 (withdrawn), from memory: (1013 mbar/p)·√((t + 273)/293), worked by hand for 950 mbar and 30 °C."""
    assert air.din_70020_factor(95e3, 303.15) == pytest.approx(1.0663158 * 1.0169215, rel=1e-6)
