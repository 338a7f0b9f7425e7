"""Invariants of valve to piston clearance."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.mechanism import valve

NoAnswer = Callable[[str, Callable[[], object]], None]

lengths = st.floats(min_value=0.0, max_value=0.01)
leans = st.floats(min_value=-1.0, max_value=1.0)


@given(depth=lengths, gasket=lengths, lift=lengths, relief=lengths, drop=lengths, lean=leans, cut=lengths)
def test_a_cut_along_the_bore_closes_by_its_cosine(
    depth: float, gasket: float, lift: float, relief: float, drop: float, lean: float, cut: float
) -> None:
    before = valve.axial_clearance(depth, gasket, lift, relief, drop, lean)
    milled_head = valve.axial_clearance(depth, gasket, lift, relief, drop - cut, lean)
    cut_deck = valve.axial_clearance(depth - cut, gasket, lift, relief, drop, lean)
    loss = cut * np.cos(lean)
    assert before - milled_head == pytest.approx(loss, abs=1e-15)
    assert before - cut_deck == pytest.approx(loss, abs=1e-15)


@given(lean=leans, depth=lengths, lift=lengths, relief=lengths)
def test_clearance_is_the_distance_of_two_parallel_planes(lean: float, depth: float, lift: float, relief: float) -> None:
    """Plane geometry: valve face and relief floor both square to the valve's axis; distance by projection on that axis."""
    axis = np.array([np.sin(lean), -np.cos(lean)])
    valve_point = np.array([0.02, 0.0]) + lift * axis
    floor_point = np.array([0.02, -(depth + relief)])
    distance = (floor_point - valve_point) @ axis
    assert valve.axial_clearance(depth, 0.0, lift, relief, 0.0, lean) == pytest.approx(distance, abs=1e-15)


@given(angle=st.floats(min_value=0.0, max_value=0.3))
def test_lift_between_samples_stays_between_them(angle: float) -> None:
    known = np.array([0.0, 0.1, 0.2, 0.3])
    lift = np.array([0.0, 0.0, 0.002, 0.0021])
    value = float(valve.lift_between(angle, known, lift))
    i = min(int(np.searchsorted(known, angle, side="right")) - 1, 2)
    assert lift[i] - 1e-15 <= value <= lift[i + 1] + 1e-15
    np.testing.assert_array_equal(valve.lift_between(known, known, lift), lift)


def test_radial_clearance_loses_the_offset() -> None:
    np.testing.assert_allclose(valve.radial_clearance(0.05, 0.046, [0.0, 0.0005, 0.003]), [0.002, 0.0015, -0.001], atol=1e-15)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (valve.axial_clearance, (0.001, 0.001, -0.001, 0.001, 0.001, 0.0)),
        (valve.axial_clearance, (0.001, 0.001, 0.001, 0.001, 0.001, 1.6)),
        (valve.lift_between, (0.4, [0.0, 0.3], [0.0, 0.001])),
        (valve.lift_between, (0.1, [0.0, 0.3], [0.0, -0.001])),
        (valve.radial_clearance, (0.05, 0.0)),
    ],
)
def test_impossible_valves_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))


@pytest.mark.parametrize(("angles", "lifts"), [([0.0, 0.0], [0.0, 0.001]), ([0.0], [0.0])])
def test_a_lift_of_no_curve_is_refused(angles: list[float], lifts: list[float]) -> None:
    with pytest.raises(ValueError, match="must"):
        valve.lift_between(0.0, angles, lifts)


def test_one_impossible_lift_leaves_the_others() -> None:
    lifts = [[0.0, 0.0], [0.001, -0.001], [0.002, 0.002]]
    found = valve.lift_between(0.05, [0.0, 0.1, 0.2], lifts)
    np.testing.assert_array_equal(found, [valve.lift_between(0.05, [0.0, 0.1, 0.2], [0.0, 0.001, 0.002]), np.nan])
