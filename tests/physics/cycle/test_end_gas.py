"""The calibrated delay of the end gas: its terms, and the octane number that a resistance is worth."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.cycle.end_gas import (
    HIGHEST_OCTANE,
    end_gas_delay,
    mixture_delay_factor,
    octane_of_resistance,
    octane_resistance,
)

octanes = st.floats(40.0, 160.0)


@given(octanes)
def test_octane_and_resistance_are_each_other_s_inverse(octane: float) -> None:
    assert float(octane_of_resistance(octane_resistance(octane))) == pytest.approx(octane, rel=1e-12)


@given(octanes, st.floats(0.01, 5.0))
def test_a_better_fuel_resists_longer(octane: float, more: float) -> None:
    assert float(octane_resistance(octane + more)) > float(octane_resistance(octane))


def test_performance_numbers() -> None:
    """ASTM D909 (from memory): three performance numbers to an octane number above 100; 6 mL of lead to the gallon is PN 161 at 120.3."""
    performance = np.asarray(octane_resistance([100.0, 110.0, HIGHEST_OCTANE])) ** (1.0 / 1.7) * 100.0
    assert performance == pytest.approx([100.0, 130.0, 161.0], abs=0.1)


def test_below_100_it_agrees_with_the_performance_number_of_the_same_scale() -> None:
    """PN = 2800/(128 − ON) (from memory): the slope of ln PN^1.7 at ON 91 is 1.7/37 = 0.0459 an octane number."""
    slope = np.diff(np.log(octane_resistance([90.5, 91.5])))[0]
    assert slope == pytest.approx(1.7 / (128.0 - 91.0), rel=0.02)


def test_the_mixture_that_knocks_most_is_five_percent_rich() -> None:
    """H. P. Russ, SAE 960497 (abstract)."""
    phi = np.linspace(0.8, 1.3, 501)
    assert phi[np.argmin(mixture_delay_factor(phi))] == pytest.approx(1.05)


@given(st.floats(0.0, 0.3), st.floats(0.001, 0.1))
def test_residual_gas_lengthens_the_delay(share: float, more: float) -> None:
    one, other = (float(end_gas_delay(95.0, 30e5, 800.0, 1.1, each)) for each in (share, share + more))
    assert other > one


def test_refuses(no_answer: Callable[[str, Callable[[], object]], None]) -> None:
    no_answer("octane", lambda: octane_resistance(0.0))
    no_answer("resistance", lambda: octane_of_resistance(-1.0))
