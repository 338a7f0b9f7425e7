"""Invariants of the slider-crank."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.mechanism import crank

NoAnswer = Callable[[str, Callable[[], object]], None]

angles = st.floats(min_value=-7.0, max_value=7.0)
strokes = st.floats(min_value=0.03, max_value=0.2)
rod_ratios = st.floats(min_value=1.1, max_value=3.0)
offset_shares = st.floats(min_value=-0.05, max_value=0.05)


@given(stroke=strokes, ratio=rod_ratios, share=offset_shares)
def test_travel_runs_from_zero_to_its_extent(stroke: float, ratio: float, share: float) -> None:
    linkage = (stroke, ratio * stroke, share * stroke)
    extent = crank.travel_extent(*linkage)
    assert crank.piston_travel(crank.top_angle(*linkage), *linkage) == pytest.approx(0.0, abs=1e-12)
    assert crank.piston_travel(crank.bottom_angle(*linkage), *linkage) == pytest.approx(extent, rel=1e-12)
    turn = crank.piston_travel(np.linspace(0.0, 2 * np.pi, 721), *linkage)
    assert turn.min() >= -1e-12
    assert turn.max() <= extent + 1e-12
    assert extent >= stroke * (1 - 1e-12)


def test_offset_toward_the_thrust_side_tops_out_early_and_mirrors() -> None:
    assert crank.top_angle(0.09, 0.15, 0.001) < 0.0 < crank.top_angle(0.09, 0.15, -0.001)
    theta = np.linspace(0.0, 6.0, 31)
    mirrored = crank.piston_travel(-theta, 0.09, 0.15, -0.001)
    np.testing.assert_allclose(crank.piston_travel(theta, 0.09, 0.15, 0.001), mirrored, rtol=1e-13, atol=1e-16)


def test_scalars_are_elements_of_arrays() -> None:
    stroke, rod, offset = np.array([0.08, 0.1]), np.array([[0.13], [0.16], [0.17]]), 0.001
    for formula in (crank.travel_extent, crank.top_angle, crank.bottom_angle):
        table = formula(stroke, rod, offset)
        assert table.shape == (3, 2)
        for i in range(3):
            for j in range(2):
                assert table[i, j] == pytest.approx(formula(stroke[j], rod[i, 0], offset), rel=1e-14)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (crank.piston_travel, (0.0, 0.1, 0.05)),
        (crank.piston_travel, (0.0, 0.1, 0.051, 0.002)),
        (crank.piston_travel, (0.0, 0.1, np.nan)),
        (crank.travel_extent, (-0.1, 0.15)),
        (crank.rod_ratio, (0.1, 0.0)),
        (crank.cylinder_volume, (0.0, 0.1, 0.1, 0.15, -1e-6)),
    ],
)
def test_impossible_linkages_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))
