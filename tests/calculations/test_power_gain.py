"""power-gain: what it answers beyond the published figures."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

CALCULATION = calculations()["power-gain"]
ratios = st.floats(6.0, 15.0)


def ask(before: float, after: float, power: str = "100 kW") -> dict:
    return answer(CALCULATION, {"from": before, "to": after, "baseline_power": power})


@given(ratios)
def test_no_change_gains_nothing(ratio: float) -> None:
    found = ask(ratio, ratio)
    for method in ("practice", "air_standard", "fuel_air"):
        assert found[method]["gain"]["value"] == pytest.approx(0.0, abs=1e-9)
        assert found[method]["power"]["value"] == pytest.approx(100.0)


@given(ratios, st.floats(0.1, 3.0))
def test_more_compression_gains_by_every_method_and_the_band_holds_them(ratio: float, points: float) -> None:
    found = ask(ratio, ratio + points)
    gains = [found[method]["gain"]["value"] for method in ("practice", "air_standard", "fuel_air")]
    assert min(gains) > 0
    band = found["estimate"]
    assert band["low"]["gain"]["value"] == min(gains)
    assert band["high"]["gain"]["value"] == max(gains)
    assert min(gains) <= band["value"]["gain"]["value"] <= max(gains)


@given(ratios, ratios)
def test_cycle_gains_there_and_back_cancel(one: float, other: float) -> None:
    there, back = ask(one, other), ask(other, one)
    for method in ("air_standard", "fuel_air"):
        product = (1 + there[method]["gain"]["value"] / 100) * (1 + back[method]["gain"]["value"] / 100)
        assert product == pytest.approx(1.0, rel=1e-9)


def test_units_of_power_do_not_matter() -> None:
    metric, inch = ask(9.5, 10.5, "372.849935786 kW"), ask(9.5, 10.5, "500 hp")
    assert metric["estimate"]["value"]["power_gain"]["value"] == pytest.approx(inch["estimate"]["value"]["power_gain"]["value"], rel=1e-9)


def test_far_changes_are_watched() -> None:
    assert ask(8, 12)["checks"][0]["verdict"] == "watch"
    assert ask(10, 11)["checks"][0]["verdict"] == "pass"
