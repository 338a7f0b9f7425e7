"""Air cycles against textbook examples."""

import pytest

from borewright.physics.gas.otto import air_cycle, air_standard_efficiency


def test_cold_air_efficiency() -> None:
    # M. J. Moran, H. N. Shapiro, Fundamentals of Engineering Thermodynamics, Ex. 9.1 (from memory): 56.5 % at r 8
    assert float(air_standard_efficiency(8.0)) == pytest.approx(0.565, abs=5e-4)


def test_closed_form() -> None:
    # 1 − r^(1−1.4), evaluated independently
    assert air_standard_efficiency([9.0, 10.0, 11.0, 12.0]) == pytest.approx([0.58476, 0.60189, 0.61678, 0.62989], abs=5e-6)


def test_variable_heats() -> None:
    # Y. A. Cengel, M. A. Boles, Thermodynamics, Ex. 9-2 (inputs seen, results from memory, its air tables are another fit)
    cycle = air_cycle(8.0, 800e3, 290.15, 100e3)
    assert float(cycle.temperature_2) == pytest.approx(652.4, rel=2e-3)
    assert float(cycle.temperature_3) == pytest.approx(1575.1, rel=2e-3)
    assert float(cycle.pressure_3) == pytest.approx(4.345e6, rel=2e-3)
    assert float(cycle.work) == pytest.approx(418.17e3, rel=2e-3)
    assert float(cycle.efficiency) == pytest.approx(0.523, abs=5e-4)
    assert float(cycle.mean_effective_pressure) == pytest.approx(574e3, rel=2e-3)
