"""Invariants of milling: straight lines between pours, and the intake face from first principles."""

from collections.abc import Callable
from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.mechanism import milling

NoAnswer = Callable[[str, Callable[[], object]], None]

angles = st.floats(min_value=20.0, max_value=120.0)


def test_straight_lines_between_points_against_numpy() -> None:
    knots, heights = [0.0, 0.4, 0.8, 1.5], [43.0, 41.2, 39.7, 37.5]
    positions = np.linspace(-0.5, 2.0, 101)
    np.testing.assert_allclose(milling.piecewise_linear(positions, knots, heights), np.interp(positions, knots, heights), rtol=1e-13)


def test_points_may_differ_from_state_to_state() -> None:
    knots = np.array([[0.0, 1.0, 2.0], [0.0, 1.5, 2.0]])
    heights = np.array([[10.0, 8.0, 7.0], [11.0, 8.0, 7.5]])
    both = milling.piecewise_linear([1.2, 1.2], knots, heights)
    assert both.tolist() == [milling.piecewise_linear(1.2, knots[i], heights[i]) for i in (0, 1)]


def test_lines_need_rising_points(no_answer: NoAnswer) -> None:
    no_answer("rise", lambda: milling.piecewise_linear(0.5, [0.0, 0.0], [1.0, 2.0]))
    with pytest.raises(ValueError, match="two points"):
        milling.piecewise_linear(0.5, [0.0], [1.0])


@given(bank=angles, lean=st.floats(min_value=5.0, max_value=90.0), drop=st.floats(min_value=-1e-3, max_value=3e-3))
def test_ports_meet_again_when_everything_is_moved_as_said(bank: float, lean: float, drop: float) -> None:
    """Move head and manifold as points and measure: the ports must be in line and the joint closed."""
    half = np.radians(bank) / 2
    face = half + np.radians(lean)
    axis = np.array([np.sin(half), np.cos(half)])  # up along the right bank's cylinders
    deck = np.array([np.cos(half), -np.sin(half)])  # outward along its deck face
    along = deck * np.cos(face) + axis * np.sin(face)  # up along the intake face, turned from the deck through the metal
    out_of_face = np.array([-along[1], along[0]])
    if out_of_face[0] > 0:
        out_of_face = -out_of_face
    port_on_head = -drop * axis
    port_on_manifold = np.array([0.0, -float(milling.intake_rail_cut(drop, np.radians(bank), face))])
    assert along @ port_on_head == pytest.approx(along @ port_on_manifold, abs=1e-12)
    overlap = out_of_face @ (port_on_head - port_on_manifold)
    assert overlap == pytest.approx(float(milling.intake_face_cut(drop, np.radians(bank), face)), abs=1e-12)


def test_heads_in_line_need_nothing_off_their_faces() -> None:
    assert milling.intake_face_cut(1e-3, 0.0, np.pi / 2) == 0.0
    assert milling.intake_rail_cut(1e-3, 0.0, np.pi / 2) == pytest.approx(1e-3)


@pytest.mark.parametrize("formula", [milling.intake_face_cut, milling.intake_rail_cut])
def test_faces_that_lie_flat_or_overhang_are_refused(formula: object, no_answer: NoAnswer) -> None:
    assert callable(formula)
    for face in (40.0, 45.0, 140.0):
        no_answer("stand up", partial(formula, 1e-3, np.radians(90.0), np.radians(face)))
