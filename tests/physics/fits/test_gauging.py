"""Bounds of a spread against every pair of readings."""

import itertools
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.fits import gauging

NoAnswer = Callable[[str, Callable[[], object]], None]

reading = st.tuples(st.integers(0, 20), st.integers(0, 5)).map(lambda pair: (float(pair[0]), float(pair[1])))


@given(st.lists(reading, min_size=2, max_size=4))
def test_bounds_are_reached_by_readings_inside_their_tolerances_and_never_passed(readings: list[tuple[float, float]]) -> None:
    choices = [np.linspace(value - tolerance, value + tolerance, int(4 * tolerance) + 1) for value, tolerance in readings]
    spreads = [
        max(chosen) - min(chosen) for chosen in itertools.product(*(np.unique(choice[:: max(1, len(choice) // 11)]) for choice in choices))
    ]
    low = np.array([value - tolerance for value, tolerance in readings])
    high = np.array([value + tolerance for value, tolerance in readings])
    least, most = gauging.spread_bounds(low, high)
    assert least <= min(spreads) + 1e-12
    assert most >= max(spreads) - 1e-12
    pairs = [high[i] - low[j] for i, j in itertools.permutations(range(len(readings)), 2)]
    assert most == pytest.approx(max(pairs))
    together = np.clip(np.full(len(readings), (low.max() + high.min()) / 2), low, high)
    assert least == pytest.approx(together.max() - together.min(), abs=1e-12)


def test_without_a_tolerance_the_bounds_are_the_spread() -> None:
    values = [[1.0, 3.0, 2.5], [4.0, 4.0, 1.0]]
    least, most = gauging.spread_bounds(values, values)
    assert least.tolist() == most.tolist() == [2.0, 3.0]


def test_what_was_not_taken_counts_for_nothing() -> None:
    low, high = [[1.0, 9.0, 2.0], [1.0, 9.0, 2.0]], [[1.1, 9.1, 2.1], [1.1, 9.1, 2.1]]
    least, most = gauging.spread_bounds(low, high, [[True, False, True], [True, False, False]])
    np.testing.assert_allclose(least, [0.9, 0.0])
    np.testing.assert_allclose(most, [1.1, 0.0])
    least, most = gauging.spread_bounds([[1.0]], [[2.0]])
    assert (least.tolist(), most.tolist()) == ([0.0], [0.0])


def test_crossed_tolerances_are_refused(no_answer: NoAnswer) -> None:
    no_answer("low", lambda: gauging.spread_bounds([2.0, 1.0], [1.0, 2.0]))
