"""Invariants of the piston's speed and acceleration."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.mechanism import crank, piston_motion

NoAnswer = Callable[[str, Callable[[], object]], None]

angles = st.floats(min_value=-7.0, max_value=7.0)
strokes = st.floats(min_value=0.03, max_value=0.2)
rod_ratios = st.floats(min_value=1.1, max_value=3.0)
offset_shares = st.floats(min_value=-0.05, max_value=0.05)


@given(angle=angles, stroke=strokes, ratio=rod_ratios, share=offset_shares)
def test_speed_is_the_slope_of_travel(angle: float, stroke: float, ratio: float, share: float) -> None:
    linkage = (stroke, ratio * stroke, share * stroke)
    h = 1e-5
    slope = (crank.piston_travel(angle + h, *linkage) - crank.piston_travel(angle - h, *linkage)) / (2 * h)
    assert piston_motion.piston_speed(angle, stroke, ratio * stroke, 1.0, share * stroke) == pytest.approx(slope, abs=1e-7 * stroke)


@given(angle=angles, stroke=strokes, ratio=rod_ratios, share=offset_shares)
def test_acceleration_is_the_slope_of_speed(angle: float, stroke: float, ratio: float, share: float) -> None:
    h = 1e-5
    before, after = piston_motion.piston_speed(np.array([angle - h, angle + h]), stroke, ratio * stroke, 1.0, share * stroke)
    exact = piston_motion.piston_acceleration(angle, stroke, ratio * stroke, 1.0, share * stroke)
    assert exact == pytest.approx((after - before) / (2 * h), abs=1e-7 * stroke)


@given(stroke=strokes, ratio=rod_ratios)
def test_acceleration_at_the_dead_centers(stroke: float, ratio: float) -> None:
    r, L = stroke / 2, ratio * stroke
    assert piston_motion.piston_acceleration(0.0, stroke, L, 1.0) == pytest.approx(r * (1 + r / L), rel=1e-12)
    assert piston_motion.piston_acceleration(np.pi, stroke, L, 1.0) == pytest.approx(-r * (1 - r / L), rel=1e-9)


@given(stroke=strokes, ratio=rod_ratios, share=offset_shares, speed=st.floats(min_value=10.0, max_value=1500.0))
def test_peaks_bound_a_fine_scan_and_touch_it(stroke: float, ratio: float, share: float, speed: float) -> None:
    linkage = (stroke, ratio * stroke, speed, share * stroke)
    turn = np.linspace(0.0, 2 * np.pi, 20001)
    fastest = np.abs(piston_motion.piston_speed(turn, *linkage)).max()
    hardest = np.abs(piston_motion.piston_acceleration(turn, *linkage)).max()
    assert fastest * (1 - 1e-12) <= piston_motion.peak_piston_speed(*linkage) <= fastest * (1 + 1e-6)
    assert hardest * (1 - 1e-12) <= piston_motion.peak_acceleration(*linkage) <= hardest * (1 + 1e-6)


def test_peak_leaves_top_dead_center_for_a_rod_hardly_longer_than_the_throw() -> None:
    assert piston_motion.peak_acceleration(2.0, 1.02, 1.0) > 2.0 * (1.0 + 1.0 / 1.02)


def test_mean_of_the_speed_is_the_mean_piston_speed() -> None:
    middles = (np.arange(3600) + 0.5) * 2 * np.pi / 3600
    mean = np.abs(piston_motion.piston_speed(middles, 0.09, 0.15, 600.0)).mean()
    assert mean == pytest.approx(piston_motion.mean_piston_speed(0.09, 600.0), rel=1e-6)
    assert np.abs(piston_motion.speed_ratio(middles, 0.09, 0.15)).mean() == pytest.approx(1.0, rel=1e-6)


def test_scalars_are_elements_of_arrays() -> None:
    stroke, rod, offset = np.array([0.08, 0.1]), np.array([[0.13], [0.16], [0.17]]), 0.001
    for formula in (piston_motion.peak_acceleration, piston_motion.peak_piston_speed):
        table = formula(stroke, rod, 500.0, offset)
        assert table.shape == (3, 2)
        for i in range(3):
            for j in range(2):
                assert table[i, j] == pytest.approx(formula(stroke[j], rod[i, 0], 500.0, offset), rel=1e-14)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (piston_motion.peak_acceleration, ([0.1, 0.4], 0.15, 500.0)),
        (piston_motion.piston_speed, (0.0, 0.1, 0.05, 500.0)),
        (piston_motion.mean_piston_speed, (0.0, 500.0)),
    ],
)
def test_impossible_linkages_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))
