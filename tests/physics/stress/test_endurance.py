"""Surface factor and plane stress."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.stress import equivalent_stress
from borewright.physics.stress.endurance import biaxial_equivalent_stress, surface_factor

NoAnswer = Callable[[str, Callable[[], object]], None]

STRESS = st.floats(-1e9, 1e9)


def test_surface_factor_of_machined_steel() -> None:
    """J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, example (from memory): machined, 520 MPa, k_a = 0.860."""
    assert surface_factor(520e6, 4.51, -0.265) == pytest.approx(0.860, abs=0.001)


def test_no_surface_strengthens() -> None:
    assert surface_factor([50e6, 1000e6], 4.51, -0.265).tolist() == [1.0, pytest.approx(0.723, abs=0.001)]


@pytest.mark.parametrize(("strength", "coefficient"), [(0.0, 4.51), (-1.0, 4.51), (1e9, 0.0), (np.nan, 1.0)])
def test_impossible_surfaces(strength: float, coefficient: float, no_answer: NoAnswer) -> None:
    no_answer("above zero", lambda: surface_factor(strength, coefficient, -0.265))


@given(STRESS, STRESS)
def test_biaxial_is_the_energy_of_distortion(first: float, second: float) -> None:
    """Of the three principal stresses σ₁, σ₂, 0, by the definition of von Mises."""
    three = np.array([first, second, 0.0])
    defined = np.sqrt(((three - np.roll(three, 1)) ** 2).sum() / 2)
    assert biaxial_equivalent_stress(first, second) == pytest.approx(defined, rel=1e-9, abs=1e-3)


@given(STRESS)
def test_pure_shear_is_two_opposite_stresses(shear: float) -> None:
    assert biaxial_equivalent_stress(shear, -shear) == pytest.approx(equivalent_stress(0.0, shear), rel=1e-12)
