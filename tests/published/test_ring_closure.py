"""Thermal closure of a ring's gap with expansion from the literature."""

import pytest

from borewright.physics.fits import thermal


def test_gray_iron_ring_in_a_gray_iron_bore() -> None:
    """Expansion of gray iron 11.4e-6/K: W. D. Callister, Fundamentals of Materials Science and Engineering, 3rd ed., table B.6.
    100 mm bore, ring 200 K up, bore 80 K up: π·100·11.4e-6·120 = 0.42977 mm by hand."""
    assert thermal.ring_closure(0.100, 11.4e-6, 200.0, 11.4e-6, 80.0) == pytest.approx(0.42977e-3, abs=5e-9)
