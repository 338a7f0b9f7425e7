"""Invariants of fatigue factors and of strength at temperature."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics import stress

NoAnswer = Callable[[str, Callable[[], object]], None]

stresses = st.floats(min_value=1e5, max_value=1e9)


@given(alternating=stresses, mean=stresses, fatigue=stresses, extra=st.floats(min_value=1.0, max_value=3.0))
def test_loads_scaled_by_the_factor_lie_on_the_criterion(alternating: float, mean: float, fatigue: float, extra: float) -> None:
    strength = fatigue * extra
    n = stress.goodman_factor(alternating, mean, fatigue, strength)
    assert n * alternating / fatigue + n * mean / strength == pytest.approx(1.0, rel=1e-12)
    n = stress.gerber_factor(alternating, mean, fatigue, strength)
    assert n * alternating / fatigue + (n * mean / strength) ** 2 == pytest.approx(1.0, rel=1e-9)
    assert stress.gerber_factor(alternating, mean, fatigue, strength) >= stress.goodman_factor(alternating, mean, fatigue, strength)


@given(alternating=stresses, mean=stresses)
def test_mean_compression_gives_no_credit(alternating: float, mean: float) -> None:
    for factor in (stress.goodman_factor, stress.gerber_factor):
        assert factor(alternating, -mean, 1e8, 4e8) == pytest.approx(1e8 / alternating, rel=1e-12)


@given(first=st.floats(min_value=-1e9, max_value=1e9), second=st.floats(min_value=-1e9, max_value=1e9))
def test_mean_and_alternating_give_the_extremes_back(first: float, second: float) -> None:
    mean, alternating = stress.mean_and_alternating(first, second)
    assert mean + alternating == pytest.approx(max(first, second), abs=1e-6)
    assert mean - alternating == pytest.approx(min(first, second), abs=1e-6)


def test_yield_factor_counts_compression() -> None:
    np.testing.assert_allclose(stress.yield_factor([1e8, 1e8], [1e8, -1e8], 4e8), [2.0, 2.0])


@given(temperature=st.floats(min_value=200.0, max_value=700.0))
def test_strength_is_known_inside_the_table_only(temperature: float) -> None:
    strength, known = stress.strength_at_temperature(temperature, [300.0, 400.0, 500.0], [400e6, 300e6, 90e6])
    assert bool(known) == (300.0 <= temperature <= 500.0)
    if known:
        assert 90e6 <= strength <= 400e6
    else:
        assert np.isnan(strength)
        assert np.isnan(stress.goodman_factor(1e6, 1e6, strength, 4e8))


def test_strength_hits_its_knots() -> None:
    strength, known = stress.strength_at_temperature([300.0, 400.0, 450.0, 500.0], [300.0, 400.0, 500.0], [400e6, 300e6, 90e6])
    np.testing.assert_allclose(strength, [400e6, 300e6, 195e6, 90e6])
    assert known.all()
    assert not stress.strength_at_temperature(np.nan, [300.0, 400.0], [2.0, 1.0])[1]


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (stress.goodman_factor, (-1.0, 1.0, 1e8, 4e8)),
        (stress.goodman_factor, (0.0, -1.0, 1e8, 4e8)),
        (stress.gerber_factor, (1.0, 1.0, 0.0, 4e8)),
        (stress.goodman_factor, (np.inf, 1.0, 1e8, 4e8)),
        (stress.yield_factor, (0.0, 0.0, 4e8)),
    ],
)
def test_impossible_strengths_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))


@pytest.mark.parametrize(("knots", "strengths"), [([300.0], [1.0]), ([300.0, 300.0], [1.0, 1.0]), ([300.0, 400.0], [1.0, np.nan])])
def test_tables_that_are_none_are_refused(knots: list[float], strengths: list[float]) -> None:
    with pytest.raises(ValueError, match="strength"):
        stress.strength_at_temperature(300.0, knots, strengths)
