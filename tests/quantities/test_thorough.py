"""Tolerances of functions that turn: bounds hold over points inside."""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from borewright.quantities import ThoroughPlan, TolerancePlan

WIDTHS = st.lists(st.floats(0.01, 1.0), min_size=1, max_size=3)


@settings(max_examples=600, deadline=None)
@example([1.0], 0.75, 1.0, -1.0, 0)
@given(WIDTHS, st.floats(-1.2, 1.2), st.floats(-3.0, 3.0), st.floats(-3.0, 3.0), st.integers(0, 2**32 - 1))
def test_a_kink_inside_is_held(widths: list[float], kink: float, before: float, after: float, seed: int) -> None:
    """Straight on either side of a place in the first input, and adding up with the others."""
    nominals = [1.0] * len(widths)

    def function(columns: list[npt.NDArray[np.float64]]) -> npt.NDArray[np.float64]:
        off = columns[0] - (1.0 + kink * widths[0])
        return np.where(off < 0.0, before * off, after * off) + np.sum(columns[1:], axis=0)

    plan = ThoroughPlan(nominals, widths)
    found = plan.summarize(function([plan.column(index) for index in range(plan.count)]))
    inside = np.random.default_rng(seed).uniform(-1.0, 1.0, (len(widths), 200)) * np.array(widths)[:, None] + 1.0
    tried = function(list(inside))
    assert found.low - 1e-9 <= tried.min()
    assert tried.max() <= found.high + 1e-9


@given(WIDTHS)
def test_a_product_is_bounded_as_by_every_corner(widths: list[float]) -> None:
    nominals = [2.0 + place for place in range(len(widths))]
    plans = ThoroughPlan(nominals, widths), TolerancePlan(nominals, widths)
    mine, full = (plan.summarize(np.prod([plan.column(index) for index in range(plan.count)], axis=0)) for plan in plans)
    assert mine.low == pytest.approx(full.low, rel=1e-12)
    assert mine.high == pytest.approx(full.high, rel=1e-12)
    assert mine.uncertainty == pytest.approx(full.uncertainty, rel=1e-9)


def test_many_inputs_add_up() -> None:
    plan = ThoroughPlan([1.0] * 6, [0.1] * 6)
    found = plan.summarize(np.sum([plan.column(index) for index in range(6)], axis=0))
    assert plan.size == 25
    assert (found.low, found.high) == pytest.approx((5.4, 6.6))


def test_one_sided() -> None:
    plan = ThoroughPlan([1.0, 1.0], [0.0, 0.1], [0.2, 0.0])
    found = plan.summarize(plan.column(0) + plan.column(1))
    assert (found.low, found.value, found.high) == pytest.approx((1.9, 2.0, 2.2))
