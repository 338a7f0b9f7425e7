"""I-sections against their parts and against the textbook's proportions."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.stress.shank import i_section_area, i_section_gyration

NoAnswer = Callable[[str, Callable[[], object]], None]


@given(st.floats(1e-3, 20e-3))
def test_textbook_proportions(t: float) -> None:
    """R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32: 5t by 4t has 11·t², I_xx 419/12·t⁴ and I_yy 131/12·t⁴."""
    sizes = 5 * t, 4 * t, t, t
    area = i_section_area(*sizes)
    swing, side = i_section_gyration(*sizes)
    assert area == pytest.approx(11 * t**2, rel=1e-12)
    assert area * swing**2 == pytest.approx(419 / 12 * t**4, rel=1e-12)
    assert area * side**2 == pytest.approx(131 / 12 * t**4, rel=1e-12)


@given(st.floats(5e-3, 60e-3), st.floats(5e-3, 60e-3), st.floats(0.05, 1.0), st.floats(0.02, 0.5))
def test_sum_of_rectangles(height: float, width: float, web_share: float, flange_share: float) -> None:
    """Web and two flanges, their second moments shifted to the common axis (Steiner)."""
    web, flange = web_share * width, flange_share * height
    between = height - 2 * flange
    area = web * between + 2 * width * flange
    about_x = web * between**3 / 12 + 2 * (width * flange**3 / 12 + width * flange * ((height - flange) / 2) ** 2)
    about_y = between * web**3 / 12 + 2 * flange * width**3 / 12
    assert i_section_area(height, width, web, flange) == pytest.approx(area, rel=1e-9)
    swing, side = i_section_gyration(height, width, web, flange)
    assert swing == pytest.approx(np.sqrt(about_x / area), rel=1e-9)
    assert side == pytest.approx(np.sqrt(about_y / area), rel=1e-9)


@pytest.mark.parametrize(
    "sizes", [(0.03, 0.02, 0.021, 0.004), (0.03, 0.02, 0.005, 0.016), (0.03, 0.02, 0.0, 0.004), (0.03, 0.02, 0.005, 0.0)]
)
def test_what_is_no_section_is_refused(sizes: tuple[float, ...], no_answer: NoAnswer) -> None:
    no_answer("I-section", lambda: i_section_area(*sizes))
    no_answer("I-section", lambda: i_section_gyration(*sizes))


def test_arrays_as_elements() -> None:
    heights = np.array([0.03, 0.04])
    swing, _ = i_section_gyration(heights, 0.02, 0.004, 0.005)
    assert swing.tolist() == [float(i_section_gyration(height, 0.02, 0.004, 0.005)[0]) for height in heights]
