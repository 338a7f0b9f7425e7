"""fuel-air-supply: behavior and invariants."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest
from borewright.calculations.base.single import answer
from borewright.calculations.combustion.fuel_air_supply import CALCULATION


def ask(**body: Any) -> dict[str, Any]:
    return answer(CALCULATION, {"target_power": "300 kW", **body})


@given(st.floats(20.0, 1500.0), st.floats(1.05, 2.0))
def test_more_power_takes_more_of_everything(power: float, times: float) -> None:
    parts: dict[str, Any] = {"injectors": {"count": 8}, "jets": {"count": 4}, "throttle": {"count": 2}}
    less, more = (ask(target_power=f"{each} kW", **parts) for each in (power, power * times))
    for name, part in (("injector", "flow"), ("pump", "wanted"), ("jet", "flow")):
        assert more[name][part]["value"] / less[name][part]["value"] == pytest.approx(times, rel=1e-9)
    for name in ("jet", "throttle"):
        assert more[name]["diameter"]["value"] / less[name]["diameter"]["value"] == pytest.approx(times**0.5, rel=1e-9)


def test_the_injector_wanted_runs_at_the_duty_allowed() -> None:
    wanted = ask(injectors={"count": 6})["injector"]["flow"]
    found = ask(injectors={"count": 6, "flow": f"{wanted['value']} {wanted['unit']}"})
    assert found["injector"]["duty_cycle"]["value"] == pytest.approx(85.0)
    assert found["injector"]["power_limit"]["value"] == pytest.approx(300.0)
    assert found["checks"][0]["name"] == "injector-duty"
    small = ask(injectors={"count": 6, "flow": f"{0.9 * wanted['value']} {wanted['unit']}"})
    assert small["verdict"] == "fail"


def test_the_throttle_wanted_drops_what_is_usual() -> None:
    wanted = ask(throttle={"count": 1})["throttle"]["diameter"]
    found = ask(throttle={"count": 1, "diameter": f"{wanted['value']} {wanted['unit']}"})
    assert found["throttle"]["drop"]["value"] == pytest.approx(5.0796, rel=1e-4)  # 1.5 inHg
    assert ask(throttle={"count": 1, "diameter": "40 mm"})["verdict"] == "watch"


def test_a_stated_consumption_goes_before_practice() -> None:
    found = ask(brake_specific_fuel_consumption="250 g/kWh")
    assert found["fuel_flow"]["value"] == pytest.approx(300 * 0.25)
    assert "brake_specific_fuel_consumption" not in {each["name"] for each in found["assumptions"]}


def test_a_blend_lies_between_its_parts() -> None:
    flows = [ask(fuel=fuel)["fuel_flow"]["value"] for fuel in ({}, {"blend": {"gasoline": 15, "ethanol": 85}}, {"name": "ethanol"})]
    assert flows[0] < flows[1] < flows[2]
    with pytest.raises(ImpossibleBuild):
        ask(fuel={"blend": {"ethanol": 0}})
    with pytest.raises(InvalidRequest):
        ask(fuel={"name": "ethanol", "blend": {"gasoline": 1}})


def test_thin_air_wants_a_larger_throttle() -> None:
    low, high = (ask(throttle={"count": 1}, ambient={"pressure": f"{kpa} kPa"})["throttle"]["diameter"]["value"] for kpa in (80, 100))
    assert low > high


def test_tolerances() -> None:
    found = ask(target_power="300 ± 10 kW")
    assert found["fuel_flow"]["low"] / found["fuel_flow"]["value"] == pytest.approx(29 / 30)
    assert found["sensitivity"][0]["input"] == "#/target_power"
