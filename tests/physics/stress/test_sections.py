"""Invariants of sections and curved bars."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from borewright.physics import stress

NoAnswer = Callable[[str, Callable[[], object]], None]

shares = st.floats(min_value=0.0, max_value=0.95)


@given(outer=st.floats(min_value=0.01, max_value=0.1), share=shares)
def test_tube_is_solid_less_its_core(outer: float, share: float) -> None:
    inner = outer * share
    assert stress.tube_area(outer, inner) == pytest.approx(np.pi / 4 * (outer**2 - inner**2), rel=1e-9)
    second_moment = stress.tube_section_modulus(outer, inner) * outer / 2
    assert second_moment == pytest.approx(np.pi / 64 * (outer**4 - inner**4), rel=1e-12)


@given(inner=st.floats(min_value=0.005, max_value=0.05), ratio=st.floats(min_value=1.05, max_value=5.0))
def test_curved_bar_stress_balances_the_moment(inner: float, ratio: float) -> None:
    """The hyperbolic distribution between the two surface stresses carries no net force and exactly the moment."""
    outer = inner * ratio
    inside, outside = stress.curved_bar_stress(2.0, inner, outer, 0.01)
    # σ = k·(1 − r_n/r)·const passes through both surface values; fit its two constants to them
    constant, pole = np.linalg.solve([[1.0, 1.0 / inner], [1.0, 1.0 / outer]], [inside, outside])
    force, _ = integrate.quad(lambda r: (constant + pole / r) * 0.01, inner, outer)
    moment, _ = integrate.quad(lambda r: (constant + pole / r) * 0.01 * r, inner, outer)
    assert force == pytest.approx(0.0, abs=1e-6 * abs(inside) * 0.01 * (outer - inner))
    assert -moment == pytest.approx(2.0, rel=1e-6)


def test_a_slightly_curved_bar_is_a_straight_one() -> None:
    inside, outside = stress.curved_bar_stress(1.0, 10.0, 10.01, 0.01)
    straight = 6.0 / (0.01 * 0.01**2)
    assert inside == pytest.approx(straight, rel=1e-3)
    assert outside == pytest.approx(-straight, rel=1e-3)


def test_equivalent_stress_of_pure_shear() -> None:
    np.testing.assert_allclose(stress.equivalent_stress([0.0, 3.0], [1.0, 0.0]), [np.sqrt(3.0), 3.0])


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (stress.tube_area, (0.02, 0.02)),
        (stress.tube_area, (0.02, -0.001)),
        (stress.tube_section_modulus, (np.nan, 0.0)),
        (stress.curved_bar_stress, (1.0, 0.0, 0.01, 0.01)),
        (stress.curved_bar_stress, (1.0, 0.02, 0.01, 0.01)),
    ],
)
def test_impossible_sections_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))
