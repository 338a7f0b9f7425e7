"""What moving masses weigh at the crank."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.mechanism.inertia import effective_inertia, spin_up_power

NoAnswer = Callable[[str, Callable[[], object]], None]


@given(st.floats(0.05, 0.12), st.floats(1.4, 2.2))
def test_a_rod_of_usual_length_adds_its_square_law(stroke: float, rods: float) -> None:
    """dx/dθ = r·sin θ·(1 + λ·cos θ/√(1 − λ²·sin² θ)); to the fourth order its mean square is r²/2·(1 + λ²/4 + λ⁴/8)."""
    r, ratio = stroke / 2.0, 1.0 / (2.0 * rods)
    exact = float(effective_inertia(stroke, rods * stroke, 1.0, 0.0))
    assert exact == pytest.approx(r**2 / 2.0 * (1.0 + ratio**2 / 4.0 + ratio**4 / 8.0), rel=5e-4)


def test_energy_of_a_turning_mass() -> None:
    assert float(effective_inertia(0.1, 0.15, 0.0, 2.0)) == pytest.approx(2.0 * 0.05**2)
    speeds = np.linspace(100.0, 200.0, 1001)
    energy = 0.5 * 0.3 * speeds**2
    power = spin_up_power(0.3, speeds, 50.0)
    assert np.trapezoid(power, speeds / 50.0) == pytest.approx(energy[-1] - energy[0])


def test_rows() -> None:
    found = effective_inertia([0.08, 0.1], 0.15, [1.0, 2.0], 0.5)
    assert found.shape == (2,)
    assert float(found[1]) == pytest.approx(float(effective_inertia(0.1, 0.15, 2.0, 0.5)))


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("stroke", lambda: effective_inertia(0.1, 0.04, 1.0, 1.0))
    no_answer("masses", lambda: effective_inertia(0.1, 0.15, -1.0, 1.0))
    no_answer("inertia", lambda: spin_up_power(-0.1, 100.0, 1.0))
