"""air-correction against the standards' own figures, steam tables and the 1976 standard atmosphere, named beside each check."""

from typing import Any

import fluids
import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.physics.gas.air import ISO_1585_FACTOR_RANGE
from borewright.physics.gas.atmosphere import geopotential_altitude
from borewright.practice.tables import table


def ask(standard: str, celsius: float, kilopascal: float, humidity: float = 0.0, power: str = "100 kW") -> dict[str, Any]:
    return answer(
        calculations()["air-correction"],
        {
            "standard": standard,
            "air_temperature": f"{celsius} degC",
            "pressure": f"{kilopascal} kPa",
            "humidity": f"{humidity} %",
            "observed_power": power,
        },
    )


@pytest.mark.parametrize(("standard", "factor"), [("sae-j1349", 1.0571), ("iso-1585", 1.0584)])
def test_hot_day(standard: str, factor: float) -> None:
    """35 °C, dry pressure 960 mbar: SAE J1349 in its 1990 form (secondary source); ISO 1585 for spark ignition (from memory)."""
    found = ask(standard, 35.0, 96.0)
    assert found["factor"]["value"] == pytest.approx(factor, abs=5e-5)
    assert found["corrected_power"]["value"] == pytest.approx(100 * factor, abs=5e-3)


def test_din_on_the_whole_pressure() -> None:
    """DIN 70020 (withdrawn), from memory: (1013 mbar/p)·√((t + 273)/293), worked by hand for 950 mbar and 30 °C, at any humidity."""
    for humidity in (0.0, 50.0, 100.0):
        assert ask("din-70020", 30.0, 95.0, humidity)["factor"]["value"] == pytest.approx(1.0663158 * 1.0169215, rel=1e-6)


@pytest.mark.parametrize(("standard", "celsius", "kilopascal"), [("sae-j1349", 25, 99), ("iso-1585", 25, 99), ("din-70020", 20, 101.3)])
def test_standard_air_changes_nothing(standard: str, celsius: float, kilopascal: float) -> None:
    """By definition of each standard: at its own temperature and (dry) pressure the factor is one."""
    assert ask(standard, celsius, kilopascal)["factor"]["value"] == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(("celsius", "kilopascal"), [(5, 0.8725), (25, 3.1698), (40, 7.3851)])
def test_vapor_pressure_of_saturated_air(celsius: float, kilopascal: float) -> None:
    """Y. A. Cengel and M. A. Boles, Thermodynamics, table A-4 (from memory)."""
    found = ask("iso-1585", celsius, 100.0, 100.0)
    assert found["vapor_pressure"]["value"] == pytest.approx(kilopascal, abs=1e-4)
    assert found["dry_pressure"]["value"] == pytest.approx(100.0 - kilopascal, abs=1e-4)


@pytest.mark.parametrize("altitude", [-300.0, 0.0, 1000.0, 1609.3, 3000.0, 5000.0])
def test_density_altitude_of_standard_air(altitude: float) -> None:
    """U.S. Standard Atmosphere 1976 as the fluids library carries it: in its air, the density altitude is the (geopotential) altitude."""
    reference = fluids.ATMOSPHERE_1976(altitude)
    found = ask("sae-j1349", reference.T - 273.15, reference.P / 1e3)
    assert found["air_density"]["value"] == pytest.approx(reference.rho, rel=1e-5)
    assert found["density_altitude"] == {"value": pytest.approx(float(geopotential_altitude(altitude)), abs=0.2), "unit": "m"}


@pytest.mark.parametrize(
    ("celsius", "pascal", "density", "altitude"),
    [(8.50, 89876, 1.1117, 1000.0), (4.54, 83432, 1.0467, 1609.3), (-4.49, 70121, 0.90925, 3000.0)],
)
def test_table_of_the_standard_atmosphere(celsius: float, pascal: float, density: float, altitude: float) -> None:
    """U.S. Standard Atmosphere 1976, by geometric altitude, temperatures as printed to a hundredth of a kelvin."""
    found = ask("iso-1585", celsius, pascal / 1e3)
    assert found["air_density"]["value"] == pytest.approx(density, abs=1e-4)
    assert found["density_altitude"]["value"] == pytest.approx(float(geopotential_altitude(altitude)), abs=1.5)


def test_range_in_which_iso_holds() -> None:
    """ISO 1585 and UN Regulation 85, annex 5 (from memory): the factor must lie from 0.93 to 1.07. At 25 °C it is (99/p)^1.2."""
    row = table("power_correction").row("iso-1585")
    assert (row.si("factor_low"), row.si("factor_high")) == ISO_1585_FACTOR_RANGE == (0.93, 1.07)
    for factor, verdict in ((0.929, "fail"), (0.931, "pass"), (1.069, "pass"), (1.071, "fail")):
        check = ask("iso-1585", 25.0, 99.0 / factor ** (1 / 1.2))["checks"][0]
        assert check["value"]["value"] == pytest.approx(factor, rel=1e-9)
        assert (check["name"], check["verdict"], check["basis"]) == ("factor", verdict, "published")


def test_j607_on_a_hot_day() -> None:
    """SAE J607 (superseded), from memory: (29.92 inHg/p_d)·√((t + 460)/520), worked by hand for 28.50 inHg dry and 95 °F."""
    inch = {"standard": "sae-j607", "units": "inch", "observed_power": 100, "humidity": 0, "pressure": "28.50 inHg"}
    found = answer(calculations()["air-correction"], {**inch, "air_temperature": 95})
    assert found["factor"]["value"] == pytest.approx(1.0498246 * 1.0331054, rel=1e-5)


def test_j607_is_some_four_percent_over_its_successor() -> None:
    """Common practice: a figure by J607 is 4 to 5 % over one by J1349, whose air is of 77 °F and 29.23 inHg dry."""
    of_the_same_day = [ask(standard, 25.0, 99.0, 0.0)["factor"]["value"] for standard in ("sae-j607", "sae-j1349")]
    assert 1.035 < of_the_same_day[0] / of_the_same_day[1] < 1.05


@pytest.mark.parametrize("elevation", [0.0, 500.0, 1609.3, 2500.0])
def test_a_report_of_standard_air_is_standard_air(elevation: float) -> None:
    """U.S. Standard Atmosphere 1976 as the fluids library carries it, at a geometric altitude."""
    air = {"standard": "sae-j1349", "observed_power": "100 kW", "air_temperature": "15 degC", "humidity": "0 %"}
    report = {"sea_level_pressure": "101.325 kPa", "elevation": f"{elevation} m"}
    found = answer(calculations()["air-correction"], {**air, **report})
    assert found["station_pressure"]["value"] * 1e3 == pytest.approx(fluids.ATMOSPHERE_1976(elevation).P, rel=2e-5)


@pytest.mark.parametrize(("dry", "wet", "humidity"), [(20.0, 15.0, 59.0), (30.0, 20.0, 39.5), (25.0, 20.0, 63.5), (10.0, 7.0, 66.5)])
def test_psychrometric_table(dry: float, wet: float, humidity: float) -> None:
    """Tables of a ventilated psychrometer at 1000 hPa, as schoolbooks print them to a percent or so (from memory)."""
    air = {"standard": "sae-j1349", "observed_power": "100 kW", "pressure": "100 kPa"}
    found = answer(calculations()["air-correction"], {**air, "air_temperature": f"{dry} degC", "wet_bulb": f"{wet} degC"})
    assert found["relative_humidity"]["value"] == pytest.approx(humidity, abs=1.2)
