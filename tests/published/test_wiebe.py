"""The Wiebe function: J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 9.30 (from memory)."""

import pytest

from borewright.physics.cycle.wiebe import wiebe_fraction


def test_values() -> None:
    # x = 1 − exp(−5 y³)
    assert wiebe_fraction([0.25, 0.5, 0.75]) == pytest.approx([0.075151, 0.46474, 0.87869], abs=5e-6)
