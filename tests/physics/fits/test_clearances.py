"""Invariants of fits and of what comes near at bottom dead center."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.fits import clearances as fits
from borewright.physics.mechanism import crank

NoAnswer = Callable[[str, Callable[[], object]], None]

strokes = st.floats(min_value=0.05, max_value=0.13)


@given(stroke=strokes, depth=st.floats(min_value=-0.001, max_value=0.003), offset=st.floats(min_value=-0.002, max_value=0.002))
def test_deck_clearance_and_travel_add_up(stroke: float, depth: float, offset: float) -> None:
    rod, height = 1.7 * stroke, 0.035
    deck = depth + height + np.sqrt((rod + stroke / 2) ** 2 - offset**2)
    assert fits.deck_clearance(deck, stroke, rod, height, offset) == pytest.approx(depth, abs=1e-14)
    # the skirt's edge ends one travel, the crown's depth and the piston's length below the deck
    below = depth + crank.travel_extent(stroke, rod, offset) + height + 0.03
    assert fits.skirt_exposure(deck, 0.12, stroke, rod, 0.03, offset) == pytest.approx(below - 0.12, abs=1e-14)


@given(
    stroke=strokes,
    below=st.floats(min_value=0.0, max_value=0.15),
    half_width=st.floats(min_value=0.0, max_value=0.05),
    offset=st.floats(min_value=-0.002, max_value=0.002),
)
def test_counterweight_clearance_is_the_least_of_a_scan(stroke: float, below: float, half_width: float, offset: float) -> None:
    rod, radius = 1.6 * stroke, 0.08
    theta = np.linspace(0.0, 2 * np.pi, 40001)
    distance = np.hypot(half_width, crank.pin_height(theta, stroke, rod, offset) - below) - radius
    assert fits.counterweight_clearance(stroke, rod, below, radius, half_width, offset) == pytest.approx(distance.min(), abs=2e-5)


@given(hole=st.floats(min_value=0.01, max_value=0.03), shaft=st.floats(min_value=0.01, max_value=0.03))
def test_a_hole_changed_as_told_has_the_wanted_clearance(hole: float, shaft: float) -> None:
    changed = hole + fits.hole_change(hole, shaft, 1.2e-5)
    assert fits.diametral_clearance(changed, shaft) == pytest.approx(1.2e-5, abs=1e-15)


@given(size=st.floats(min_value=0.0181, max_value=0.18))
def test_coarser_grades_are_wider(size: float) -> None:
    widths = [float(fits.tolerance_width(size, grade)) for grade in (5, 6, 7, 8, 9)]
    assert widths == sorted(set(widths))


def test_scalars_are_elements_of_arrays() -> None:
    sizes = np.array([0.02, 0.05, 0.0500001, 0.1])
    widths = fits.tolerance_width(sizes, 6)
    np.testing.assert_allclose(widths, [fits.tolerance_width(size, 6) for size in sizes], rtol=1e-14)
    strokes_, radii = np.array([0.08, 0.09]), np.array([[0.07], [0.08]])
    table = fits.counterweight_clearance(strokes_, 0.15, 0.02, radii)
    assert table[1, 0] == pytest.approx(fits.counterweight_clearance(0.08, 0.15, 0.02, 0.08), rel=1e-12)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (fits.deck_clearance, (0.0, 0.08, 0.14, 0.03)),
        (fits.diametral_clearance, (0.0, 0.02)),
        (fits.standard_tolerance_factor, (0.6,)),
        (fits.tolerance_width, (0.018, 7)),
        (fits.tolerance_width, (0.181, 7)),
        (fits.counterweight_clearance, (0.08, 0.14, 0.02, 0.0)),
        (fits.skirt_exposure, (0.2, 0.0, 0.08, 0.14, 0.03)),
    ],
)
def test_impossible_fits_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))


def test_an_unknown_grade_is_refused() -> None:
    with pytest.raises(ValueError, match="IT5 to IT9"):
        fits.tolerance_width(0.1, 4)
