"""Invariants of shaking forces: the phasors against sums of forces cylinder by cylinder, and against the exact crank."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.mechanism import balance, piston_motion
from borewright.physics.mechanism.balance_layouts import LAYOUTS

NoAnswer = Callable[[str, Callable[[], object]], None]

angle_lists = st.integers(min_value=1, max_value=6).flatmap(
    lambda n: st.tuples(*(st.lists(st.floats(min_value=-3.2, max_value=3.2), min_size=n, max_size=n) for _ in range(3)))
)
TURN = np.linspace(0.0, 2 * np.pi, 721)


@given(geometry=angle_lists, share=st.floats(min_value=0.0, max_value=1.0))
def test_primary_is_the_sum_over_cylinders(geometry: tuple[list[float], list[float], list[float]], share: float) -> None:
    throws, banks, arms = geometry
    expected = np.zeros_like(TURN, dtype=complex)
    for phi, beta, arm in zip(throws, banks, arms, strict=True):
        expected += arm * (np.cos(TURN + phi - beta) * np.exp(1j * beta) - share * np.exp(1j * (TURN + phi)))
    forward, backward = balance.primary_resultants(throws, banks, arms, share)
    np.testing.assert_allclose(balance.resultant_at(TURN, forward, backward, 1), expected, atol=1e-12)
    largest = balance.largest_resultant(forward, backward)
    assert np.abs(expected).max() <= largest + 1e-12
    assert np.abs(expected).max() == pytest.approx(largest, rel=1e-4, abs=1e-12)


@given(geometry=angle_lists)
def test_secondary_is_the_sum_over_cylinders(geometry: tuple[list[float], list[float], list[float]]) -> None:
    throws, banks, arms = geometry
    expected = np.zeros_like(TURN, dtype=complex)
    for phi, beta, arm in zip(throws, banks, arms, strict=True):
        expected += arm * np.cos(2 * (TURN + phi - beta)) * np.exp(1j * beta)
    forward, backward = balance.secondary_resultants(throws, banks, arms)
    np.testing.assert_allclose(balance.resultant_at(TURN, forward, backward, 2), expected, atol=1e-12)
    assert np.abs(expected).max() == pytest.approx(balance.largest_resultant(forward, backward), rel=4e-4, abs=1e-12)


@pytest.mark.parametrize("name", sorted(LAYOUTS))
def test_two_orders_leave_only_the_higher_ones_of_the_exact_crank(name: str) -> None:
    """Exact accelerations summed over the layout differ from the two orders by terms of (r/l)³ at most."""
    layout = LAYOUTS[name]
    throws, banks = layout.throws, layout.banks
    r, ratio = 1.0, 0.25
    past_top = TURN[:, None] + throws - banks
    exact = (piston_motion.piston_acceleration(past_top, 2 * r, r / ratio, 1.0) * np.exp(1j * banks)).sum(axis=1)
    first = balance.resultant_at(TURN, *balance.primary_resultants(throws, banks), 1)
    second = balance.resultant_at(TURN, *balance.secondary_resultants(throws, banks), 2)
    assert np.abs(exact - first - ratio * second).max() <= len(throws) * ratio**3


@pytest.mark.parametrize("name", sorted(LAYOUTS))
def test_layouts_are_whole_and_centered(name: str) -> None:
    layout = LAYOUTS[name]
    assert len(layout.throw_degrees) == len(layout.bank_degrees) == len(layout.positions)
    assert sum(layout.positions) == 0.0


@pytest.mark.parametrize(
    ("name", "interval"),
    [
        ("inline-2-360", 360.0),
        ("inline-3", 240.0),
        ("inline-4", 180.0),
        ("inline-5", 144.0),
        ("inline-6", 120.0),
        ("v6-60", 120.0),
        ("v6-90-split-pin", 120.0),
        ("v8-90-cross-plane", 90.0),
        ("v8-90-flat-plane", 90.0),
        ("flat-4", 180.0),
        ("flat-6", 120.0),
    ],
)
def test_even_layouts_can_fire_evenly(name: str, interval: float) -> None:
    """Each top dead center comes twice in a four-stroke cycle; there must be one choice a cylinder that spaces them evenly."""
    layout = LAYOUTS[name]
    tops = np.round((np.array(layout.bank_degrees) - np.array(layout.throw_degrees)) % 360.0, 6)
    slots = np.round((tops[0] + np.arange(0.0, 720.0, interval)) % 360.0, 6)
    assert sorted(tops) == sorted(slots)


def test_stacked_layouts_and_scalars_agree() -> None:
    throws = np.array([[0.0, np.pi], [0.0, 0.0]])
    forward, backward = balance.primary_resultants(throws, np.zeros(2))
    assert forward.shape == (2,)
    for row in range(2):
        one = balance.primary_resultants(throws[row], np.zeros(2))
        assert (forward[row], backward[row]) == pytest.approx(one, abs=1e-14)
    assert balance.secondary_unit([0.4, 0.5], 0.09, 0.15, 600.0)[1] == balance.secondary_unit(0.5, 0.09, 0.15, 600.0)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (balance.bob_weight, (-0.1, 0.5, 2, 0.5)),
        (balance.bob_weight, (0.4, 0.5, 0, 0.5)),
        (balance.bob_weight, (0.4, 0.5, 2, 1.1)),
        (balance.primary_unit, (0.5, 0.0, 600.0)),
        (balance.primary_unit, (np.nan, 0.1, 600.0)),
        (balance.secondary_unit, (0.5, 0.1, 0.05, 600.0)),
    ],
)
def test_impossible_masses_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))
