"""Knock: trends, arrays against scalars, and the octane that makes the integral 1."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.gas.knock import douaud_eyzat_delay, knock_onset, livengood_wu_integral, oxygen_delay_factor

NoAnswer = Callable[[str, Callable[[], object]], None]

octanes = st.floats(70.0, 120.0)
pressures = st.floats(5e5, 150e5)
temperatures = st.floats(500.0, 1200.0)


@given(octanes, pressures, temperatures)
def test_delay_shortens_with_pressure_and_temperature_and_lengthens_with_octane(on: float, p: float, T: float) -> None:
    base = float(douaud_eyzat_delay(on, p, T))
    assert float(douaud_eyzat_delay(on, 1.1 * p, T)) < base
    assert float(douaud_eyzat_delay(on, p, 1.1 * T)) < base
    assert float(douaud_eyzat_delay(1.1 * on, p, T)) > base


def test_rows_are_independent() -> None:
    t = np.linspace(0.0, 8e-3, 400)
    delays = douaud_eyzat_delay(np.array([[90.0], [99.0]]), 30e5, 700.0 + 20e3 * t)
    together = livengood_wu_integral(t, delays)
    for row in range(2):
        assert together[row] == pytest.approx(livengood_wu_integral(t, delays[row]))
    onset, reached = knock_onset(t, together)
    assert reached.tolist() == [True, True]
    assert onset[0] < onset[1]


def test_no_onset() -> None:
    onset, reached = knock_onset([0.0, 1.0], [0.0, 0.4])
    assert not bool(reached)
    assert float(onset) == 1.0


@pytest.mark.parametrize("arguments", [(0.0, 1e6, 800.0), (95.0, 0.0, 800.0), (95.0, 1e6, -1.0), (float("nan"), 1e6, 800.0)])
def test_delay_refuses(arguments: tuple[float, float, float], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: douaud_eyzat_delay(*arguments))


def test_integral_refuses(no_answer: NoAnswer) -> None:
    no_answer("delay", lambda: livengood_wu_integral([0.0, 1.0], [1.0, 0.0]))
    no_answer("backward", lambda: livengood_wu_integral([1.0, 0.0], [1.0, 1.0]))
    with pytest.raises(ValueError, match="two steps"):
        knock_onset([0.0], [0.0])


def test_more_oxygen_shortens_the_delay(no_answer: NoAnswer) -> None:
    factors = oxygen_delay_factor([0.21, 0.25, 0.30], 0.21)
    assert np.all(np.diff(factors) < 0.0)
    assert float(factors[0]) == 1.0
    no_answer("oxygen", lambda: oxygen_delay_factor(0.0, 0.21))
