"""What the trade expects a point of compression to be worth. Common practice: no published source."""

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer


def test_a_point_is_worth_about_four_percent_so_500_hp_gains_about_20() -> None:
    """Common practice: one point of compression is roughly 4 % of power."""
    found = answer(calculations()["power-gain"], {"units": "inch", "from": 10, "to": 11, "baseline_power": 500})
    assert found["practice"]["power_gain"] == {"value": pytest.approx(20.0), "unit": "hp"}
    assert found["practice"]["gain"] == {"value": pytest.approx(4.0), "unit": "%"}


@pytest.mark.parametrize(("before", "gain"), [(8, 4.39), (9, 3.66), (10, 3.11), (11, 2.69)])
def test_fuel_air_gain_of_a_point(before: int, gain: float) -> None:
    """Cantera equilibrium, isooctane, equivalence ratio 1, 350 K, 1 atm: computed with the reference library."""
    found = answer(calculations()["power-gain"], {"from": before, "to": before + 1, "baseline_power": "100 kW"})
    assert found["fuel_air"]["gain"]["value"] == pytest.approx(gain, abs=0.01)
