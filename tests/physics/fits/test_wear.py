"""Invariants of bore wear and its clean-up."""

from collections.abc import Callable
from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from borewright.physics.fits import wear

NoAnswer = Callable[[str, Callable[[], object]], None]

readings = arrays(np.float64, (3, 4, 2), elements=st.floats(min_value=0.0999, max_value=0.1009))


@given(readings=readings)
def test_spreads_against_a_plain_loop(readings: np.ndarray) -> None:
    for i, cylinder in enumerate(readings):
        levels = [max(row) - min(row) for row in cylinder.tolist()]
        directions = [max(column) - min(column) for column in cylinder.T.tolist()]
        assert wear.out_of_round(readings)[i] == max(levels) == wear.out_of_round(cylinder)
        assert wear.taper(readings)[i] == max(directions) == wear.taper(cylinder)
        assert wear.largest(readings)[i] == cylinder.max() == wear.largest(cylinder)


@given(readings=readings, offset=st.floats(min_value=-1e-4, max_value=1e-4))
def test_a_gauge_set_wrong_moves_only_the_largest(readings: np.ndarray, offset: float) -> None:
    np.testing.assert_allclose(wear.out_of_round(readings + offset), wear.out_of_round(readings), atol=1e-15)
    np.testing.assert_allclose(wear.taper(readings + offset), wear.taper(readings), atol=1e-15)
    np.testing.assert_allclose(wear.largest(readings + offset), wear.largest(readings) + offset, rtol=1e-14)


def test_a_reading_not_taken_counts_for_nothing() -> None:
    readings = [[0.1002, 0.1001], [0.1001, np.nan], [np.nan, np.nan]]
    measured = np.isfinite(readings)
    assert wear.out_of_round(readings, measured) == pytest.approx(1e-4)
    assert wear.taper(readings, measured) == pytest.approx(1e-4)
    assert wear.largest(readings, measured) == 0.1002
    assert wear.out_of_round([[0.1002], [0.1001]]) == 0.0


@given(wear_depth=st.floats(min_value=0.0, max_value=1e-3), stock=st.floats(min_value=0.0, max_value=2e-4))
def test_bored_circle_covers_a_worn_circle_pushed_to_one_side(wear_depth: float, stock: float) -> None:
    """All wear on one side: the surface lies at R + wear there; the bored radius must pass it by the stock."""
    nominal = 0.1
    bored = wear.cleanup_diameter_original(nominal, nominal + wear_depth, stock)
    assert bored / 2 - (nominal / 2 + wear_depth) == pytest.approx(stock, abs=1e-15)
    assert bored >= wear.cleanup_diameter_follow(nominal + wear_depth, stock)


def test_a_cylinder_under_nominal_still_gives_up_the_stock() -> None:
    assert wear.cleanup_diameter_original(0.1, 0.09998, 5e-5) == pytest.approx(0.1001)


def test_walls_lose_half_the_growth_and_the_shift() -> None:
    np.testing.assert_allclose(wear.wall_left([0.006, 0.005], 0.1, 0.1015, [2e-4, -2e-4]), [0.00505, 0.00445], rtol=1e-9)
    assert wear.wall_left(0.0005, 0.1, 0.102) < 0.0


def test_impossible_readings_are_refused(no_answer: NoAnswer) -> None:
    with pytest.raises(ValueError, match="levels and angles"):
        wear.largest([0.1, 0.1])
    for bad in ([[np.nan, 0.1]], [[-0.1, 0.1]], [[0.0, 0.1]]):
        no_answer("must", partial(wear.largest, bad))
    no_answer("at least one reading", lambda: wear.taper([[[0.1]], [[0.1]]], [[[True]], [[False]]]))
    no_answer("stock", lambda: wear.cleanup_diameter_original(0.1, 0.1001, -1e-5))
    no_answer("stock", lambda: wear.cleanup_diameter_follow(0.1001, -1e-5))
    no_answer("above zero", lambda: wear.wall_left(0.0, 0.1, 0.101))
