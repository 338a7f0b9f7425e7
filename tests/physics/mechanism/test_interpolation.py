"""The smooth curve against SciPy's, and by its shape."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from borewright.physics.mechanism.interpolation import monotone_cubic, polynomial_through

HEIGHTS = st.integers(-3000, 3000).map(lambda value: value / 1000.0) | st.sampled_from([0.0, 1.0, 1.0, -1.0])
SHARES = st.lists(st.floats(0, 1), min_size=1, max_size=9)


@given(st.lists(st.tuples(st.floats(0.01, 2.0), HEIGHTS, HEIGHTS), min_size=2, max_size=12), SHARES)
def test_it_is_the_curve_of_another_hand(points: list[tuple[float, float, float]], shares: list[float]) -> None:
    knots = np.cumsum([step for step, _, _ in points])
    heights = np.array([pair for _, *pair in points])
    position = knots[0] + np.array([0.0, 1.0, *shares]) * (knots[-1] - knots[0])
    position = np.clip(position, knots[0], knots[-1])
    for given_heights in (heights, heights[:, 0]):
        expected = PchipInterpolator(knots, given_heights, axis=0)(position)
        np.testing.assert_allclose(monotone_cubic(position, knots, given_heights), expected, rtol=1e-13, atol=1e-13)


@given(st.lists(st.floats(0.001, 1.0), min_size=2, max_size=8), st.lists(st.floats(0, 1), min_size=2, max_size=8))
def test_it_rises_where_the_points_rise(rises: list[float], shares: list[float]) -> None:
    knots, heights = np.arange(len(rises) + 1.0), np.cumsum([0.0, *rises])
    found = monotone_cubic(np.sort(np.array(shares)) * len(rises), knots, heights)
    assert (np.diff(found) >= -1e-12).all()
    np.testing.assert_allclose(monotone_cubic(knots, knots, heights), heights, rtol=1e-13)


def test_shapes_are_those_of_the_position_and_then_of_a_height() -> None:
    assert monotone_cubic(np.zeros((3, 2)), [0.0, 1.0, 2.0], np.ones((3, 4))).shape == (3, 2, 4)
    assert monotone_cubic(0.5, [0.0, 1.0], [0.0, 1.0]) == 0.5
    assert np.isnan(monotone_cubic(np.nan, [0.0, 1.0], [0.0, 1.0]))


@pytest.mark.parametrize(("knots", "heights"), [([0.0], [1.0]), ([0.0, 0.0], [1.0, 1.0]), ([0.0, 1.0], [1.0])])
def test_what_is_no_curve_is_refused(knots: list[float], heights: list[float]) -> None:
    with pytest.raises(ValueError, match="curve must"):
        monotone_cubic(0.0, knots, heights)


@given(st.integers(1, 5), st.integers(0, 10**6))
def test_the_polynomial_is_the_one_of_another_hand(points: int, seed: int) -> None:
    draw = np.random.default_rng(seed)
    knots = draw.uniform(0.0, 0.5, (3, points)) + np.arange(points)
    heights, position = draw.normal(size=(3, points)), draw.uniform(-1.0, points + 1.0, 6)
    for found, x, y in zip(polynomial_through(position, knots, heights), knots, heights, strict=True):
        np.testing.assert_allclose(found, np.polyval(np.polyfit(x, y, points - 1), position), rtol=1e-7, atol=1e-7)
        np.testing.assert_allclose(polynomial_through(x, x, y), y, rtol=1e-9, atol=1e-12)
