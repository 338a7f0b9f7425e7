"""Invariants of thermal growth."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.fits import thermal

NoAnswer = Callable[[str, Callable[[], object]], None]

expansions = st.floats(min_value=5e-6, max_value=30e-6)
rises = st.floats(min_value=-60.0, max_value=400.0)
bores = st.floats(min_value=0.02, max_value=0.3)


@given(bore=bores, expansion=expansions, rise=rises)
def test_a_ring_that_grows_with_its_bore_keeps_its_gap(bore: float, expansion: float, rise: float) -> None:
    assert thermal.ring_closure(bore, expansion, rise, expansion, rise) == pytest.approx(0.0, abs=1e-15)


@given(bore=bores, ring=expansions, ring_rise=rises, wall=expansions, wall_rise=rises)
def test_closure_is_the_difference_of_two_circumferences(bore: float, ring: float, ring_rise: float, wall: float, wall_rise: float) -> None:
    ring_length = np.pi * bore * (1 + ring * ring_rise)
    bore_length = np.pi * bore * (1 + wall * wall_rise)
    assert thermal.ring_closure(bore, ring, ring_rise, wall, wall_rise) == pytest.approx(ring_length - bore_length, abs=1e-14)


@given(bore=bores, wanted=st.floats(min_value=0.0, max_value=2e-4), wall=expansions, wall_rise=rises, skirt=expansions, skirt_rise=rises)
def test_a_skirt_made_for_a_hot_clearance_has_it(
    bore: float, wanted: float, wall: float, wall_rise: float, skirt: float, skirt_rise: float
) -> None:
    cold = (bore * (1.0 + wall * wall_rise) - wanted) / (1.0 + skirt * skirt_rise)
    assert thermal.hot_diametral_clearance(bore, cold, wall, wall_rise, skirt, skirt_rise) == pytest.approx(wanted, abs=1e-14)


def test_cold_clearance_is_the_plain_difference() -> None:
    assert thermal.hot_diametral_clearance(0.1, 0.0999, 11e-6, 0.0, 20e-6, 0.0) == pytest.approx(1e-4, rel=1e-10)


def test_scalars_are_elements_of_arrays() -> None:
    bore, rise = np.array([0.08, 0.1]), np.array([[100.0], [200.0]])
    table = thermal.ring_closure(bore, 12e-6, rise, 11e-6, 80.0)
    assert table.shape == (2, 2)
    assert table[1, 0] == thermal.ring_closure(0.08, 12e-6, 200.0, 11e-6, 80.0)


@pytest.mark.parametrize("arguments", [(-0.1, 1e-5, 10.0), (np.inf, 1e-5, 10.0), (0.1, np.nan, 10.0), (0.1, 1e-5, np.inf)])
def test_growth_of_nothing_sensible_is_refused(arguments: tuple[float, float, float], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: thermal.free_expansion(*arguments))
