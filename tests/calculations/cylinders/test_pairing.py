"""The ordered pairing against every permutation."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.cylinders.skirt_clearance.pairing import pair_in_order, pick_and_pair

sizes = st.integers(min_value=0, max_value=40).map(lambda step: 0.0843 + step * 5e-6)


@st.composite
def rows(draw: st.DrawFn) -> tuple[list[float], list[float]]:
    count = draw(st.integers(min_value=1, max_value=6))
    return (draw(st.lists(sizes, min_size=count, max_size=count)), draw(st.lists(sizes, min_size=count, max_size=count)))


@given(both=rows(), wanted=st.floats(min_value=-1e-4, max_value=3e-4))
def test_no_permutation_has_a_smaller_worst_deviation_nor_a_smaller_sum(both: tuple[list[float], list[float]], wanted: float) -> None:
    bores, skirts = map(np.asarray, both)
    paired = pair_in_order(bores, skirts)
    assert sorted(paired.tolist()) == list(range(len(bores)))
    deviations = [np.abs(bores - skirts[list(order)] - wanted) for order in permutations(range(len(bores)))]
    ours = np.abs(bores - skirts[paired] - wanted)
    assert ours.max() == pytest.approx(min(each.max() for each in deviations), abs=1e-15)
    assert ours.sum() == pytest.approx(min(each.sum() for each in deviations), abs=1e-14)


def test_equal_sizes_keep_their_order() -> None:
    assert pair_in_order([3.0, 3.0, 3.0], [1.0, 1.0, 1.0]).tolist() == [0, 1, 2]


def test_rows_of_different_length_are_refused() -> None:
    with pytest.raises(ValueError, match="equally long"):
        pair_in_order([1.0, 2.0], [1.0])


@st.composite
def more_skirts(draw: st.DrawFn) -> tuple[list[float], list[float]]:
    count = draw(st.integers(min_value=1, max_value=4))
    more = draw(st.integers(min_value=count, max_value=6))
    return (draw(st.lists(sizes, min_size=count, max_size=count)), draw(st.lists(sizes, min_size=more, max_size=more)))


@given(both=more_skirts(), wanted=st.floats(min_value=-1e-4, max_value=3e-4))
def test_no_choice_of_skirts_has_a_smaller_worst_deviation_nor_then_a_smaller_sum(
    both: tuple[list[float], list[float]], wanted: float
) -> None:
    bores, skirts = map(np.asarray, both)
    chosen = pick_and_pair(bores, skirts, wanted)
    assert len(set(chosen.tolist())) == len(bores)
    every = [np.abs(bores - skirts[list(order)] - wanted) for order in permutations(range(len(skirts)), len(bores))]
    ours = np.abs(bores - skirts[chosen] - wanted)
    least = min(each.max() for each in every)
    assert ours.max() == pytest.approx(least, abs=1e-15)
    assert ours.sum() == pytest.approx(min(each.sum() for each in every if each.max() <= least + 1e-15), abs=1e-14)


def test_eight_of_ten_as_a_machinist_would() -> None:
    """Ten pistons for eight bores alike, 0.08 mm wanted: the largest and the smallest, both far off, stay on the shelf."""
    skirts = [84.215, 84.218, 84.220, 84.150, 84.221, 84.222, 84.290, 84.219, 84.223, 84.217]
    chosen = pick_and_pair([84.3] * 8, skirts, 0.08)
    assert sorted(set(range(10)) - set(chosen.tolist())) == [3, 6]


def test_too_few_skirts_are_refused() -> None:
    with pytest.raises(ValueError, match="as many skirts as bores"):
        pick_and_pair([1.0, 2.0], [1.0], 0.1)
