"""Invariants of gas and inertia forces."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics import stress
from borewright.physics.mechanism import crank, piston_motion

NoAnswer = Callable[[str, Callable[[], object]], None]

TURN = np.linspace(0.0, 2 * np.pi, 721)


@given(mass=st.floats(min_value=0.1, max_value=2.0), speed=st.floats(min_value=10.0, max_value=1200.0))
def test_inertia_does_no_work_over_a_turn(mass: float, speed: float) -> None:
    force = stress.inertia_force(mass, TURN, 0.09, 0.15, speed, 0.001)
    velocity = piston_motion.piston_speed(TURN, 0.09, 0.15, speed, 0.001)
    assert np.trapezoid(force * velocity, TURN) == pytest.approx(0.0, abs=1e-9 * mass * speed**3)


def test_inertia_is_mass_times_acceleration_and_scalars_are_elements() -> None:
    mass = np.array([[0.4], [0.6]])
    force = stress.inertia_force(mass, TURN, 0.09, 0.15, 600.0)
    assert force.shape == (2, 721)
    assert force[1, 0] == pytest.approx(-0.6 * 600.0**2 * 0.045 * (1.0 + 0.045 / 0.15), rel=1e-12)  # at top dead center, upward
    assert force[1, 30] == pytest.approx(stress.inertia_force(0.6, TURN[30], 0.09, 0.15, 600.0), rel=1e-13)


def test_gas_force_is_the_pressure_difference_on_the_bore() -> None:
    np.testing.assert_allclose(stress.gas_force([2e5, 5e4], 0.1, 1e5), np.array([1e5, -5e4]) * np.pi * 0.05**2, rtol=1e-12)


@given(angle=st.floats(min_value=-7.0, max_value=7.0), force=st.floats(min_value=-1e5, max_value=1e5))
def test_rod_holds_the_piston_along_the_bore(angle: float, force: float) -> None:
    lean = stress.rod_angle(angle, 0.09, 0.15, 0.001)
    assert stress.rod_force(force, lean) * np.cos(lean) == pytest.approx(force, rel=1e-12, abs=1e-9)
    # the rod's length closes the linkage
    height = crank.pin_height(angle, 0.09, 0.15, 0.001)
    assert height == pytest.approx(0.045 * np.cos(angle) + 0.15 * np.cos(lean), rel=1e-12)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (stress.gas_force, (np.nan, 0.1)),
        (stress.gas_force, (1e6, -0.1)),
        (stress.inertia_force, (-0.1, 0.0, 0.09, 0.15, 600.0)),
        (stress.inertia_force, (0.1, 0.0, 0.09, 0.04, 600.0)),
        (stress.rod_angle, (0.0, 0.09, 0.04)),
        (stress.rod_force, (1.0, 1.6)),
        (stress.rod_angle, (0.0, -0.09, 0.15)),
    ],
)
def test_impossible_loads_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))
