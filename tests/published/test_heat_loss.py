"""Woschni's correlation: SAE 670931; J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eqs. 12.18-12.19 (from memory)."""

import pytest

from borewright.physics.cycle.heat_loss import COMBUSTION_SPEED_FACTOR, woschni_coefficient, woschni_speed


def test_compression() -> None:
    w = woschni_speed(8.6)
    assert float(w) == pytest.approx(19.608, abs=5e-4)
    assert float(woschni_coefficient(0.086, 1e6, 700.0, w)) == pytest.approx(393.97, abs=5e-3)


def test_combustion() -> None:
    w = woschni_speed(8.6, COMBUSTION_SPEED_FACTOR, 1.0, 350.0, 120e3, 2e6)
    assert float(w) == pytest.approx(38.508, abs=5e-4)
    assert float(woschni_coefficient(0.086, 4e6, 2200.0, w)) == pytest.approx(1091.6, abs=0.05)
