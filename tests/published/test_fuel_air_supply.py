"""Fuel and air for a power: the shop's rules, worked by hand, and the sizes that are in use."""

from typing import Any

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer


def ask(**body: Any) -> dict[str, Any]:
    return answer(calculations()["fuel-air-supply"], {"units": "inch", **body})


def test_the_shop_s_rule_of_injectors() -> None:
    """Common practice: lb/h of each = hp · lb/(hp·h) / (count · duty cycle); for 500 hp at 0.50, eight at 85 %: 36.8."""
    found = ask(target_power="500 hp", injectors={"count": 8})
    assert found["injector"]["flow"] == {"value": pytest.approx(500 * 0.50 / (8 * 0.85), rel=1e-9), "unit": "lb/h"}


def test_an_injector_at_another_pressure() -> None:
    """Common practice: flow goes as the root of the pressure. 30 lb/h at 43.5 psi is 34.6 at 58 psi."""
    body: dict[str, Any] = {"count": 8, "flow": "30 lb/h", "rated_pressure": "43.5 psi"}
    low, high = (ask(target_power="400 hp", injectors={**body, "fuel_pressure": psi})["injector"] for psi in ("43.5 psi", "58 psi"))
    assert low["duty_cycle"]["value"] / high["duty_cycle"]["value"] == pytest.approx(34.64 / 30.0, rel=1e-3)
    assert low["power_limit"]["value"] == pytest.approx(30 * 8 * 0.85 / 0.50, rel=1e-9)


def test_air_for_a_horsepower() -> None:
    """Common practice: a pound of air a minute for 9 to 10 hp, 1.4 to 1.6 ft3/min for one."""
    found = ask(target_power="500 hp")
    assert 9.0 < 500.0 / found["air_flow"]["value"] < 10.0
    assert 1.4 < found["air_volume_flow"]["value"] / 500.0 < 1.6


def test_a_pump() -> None:
    """Common practice: 250 lb/h of gasoline at 6.2 lb a gallon are 40 gal/h; a fifth in reserve makes 48."""
    found = ask(target_power="500 hp", fuel_pump={"flow": "50 gal/h"})
    assert found["pump"]["wanted"]["value"] == pytest.approx(1.2 * 250.0 / 6.217, rel=2e-3)
    assert found["checks"][0]["verdict"] == "pass"
    assert ask(target_power="500 hp", fuel_pump={"flow": "45 gal/h"})["checks"][0]["verdict"] == "fail"


def test_a_carburetor_of_its_rated_air() -> None:
    """Common practice: 750 ft3/min at 1.5 inHg have four throttle bores near 1.69 in, and feed 500 hp."""
    found = ask(target_power="500 hp", throttle={"count": 4})
    assert found["throttle"]["diameter"]["value"] == pytest.approx(1.69, abs=0.08)


@pytest.mark.parametrize(("fuel", "more"), [("ethanol", 1.6), ("methanol", 2.15)])
def test_alcohols_take_more(fuel: str, more: float) -> None:
    """By the heating values of J. B. Heywood, 1988, App. D (44.3 or 43.1 for gasoline, 26.9, 20.0 MJ/kg): 1.6 and 2.2 times the mass."""
    plain, other = (ask(target_power="300 hp", fuel={"name": name})["fuel_flow"]["value"] for name in ("gasoline", fuel))
    assert other / plain == pytest.approx(more, rel=0.04)


def test_main_jets_are_of_the_sizes_in_use() -> None:
    """Common practice: four main jets of 0.055 to 0.085 in for a V8 of 350 hp."""
    assert 0.055 < ask(target_power="350 hp", jets={"count": 4})["jet"]["diameter"]["value"] < 0.085
