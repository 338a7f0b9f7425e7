"""Octane ratings and what they mean in an engine."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.gas.octane import anti_knock_index, octane_index, octane_number

NoAnswer = Callable[[str, Callable[[], object]], None]

ratings = st.floats(60.0, 120.0)
spans = st.floats(0.0, 25.0)


@given(ratings, spans)
def test_the_index_is_the_mean_of_the_methods(ron: float, span: float) -> None:
    """ASTM D4814: the anti-knock index is (RON + MON)/2, a motor weight of one half."""
    assert float(octane_index(ron, ron - span, 0.5)) == pytest.approx(float(anti_knock_index(ron, ron - span)))


@given(ratings, spans, st.floats(-0.5, 1.0))
def test_one_fuel_rated_three_ways_has_one_number(ron: float, span: float, weight: float) -> None:
    mon = ron - span
    by_scale = octane_number([ron, mon, float(anti_knock_index(ron, mon))], [0.0, 1.0, 0.5], span, weight)
    assert by_scale == pytest.approx(np.full(3, float(octane_index(ron, mon, weight))))


def test_reference_fuels_have_the_same_number_everywhere() -> None:
    assert octane_number(95.0, [0.0, 0.5, 1.0], 0.0, 0.3).tolist() == [95.0, 95.0, 95.0]


@pytest.mark.parametrize(
    "call", [lambda: anti_knock_index(0.0, 90.0), lambda: octane_index(95.0, -1.0, 0.5), lambda: octane_number(0.0, 0.0, 9.0, 0.0)]
)
def test_refuses(call: Callable[[], object], no_answer: NoAnswer) -> None:
    no_answer("above zero", lambda: call())
