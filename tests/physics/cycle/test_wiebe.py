"""The Wiebe function: limits and inverse."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.cycle.wiebe import wiebe_fraction, wiebe_progress

NoAnswer = Callable[[str, Callable[[], object]], None]


@given(st.floats(0.0, 0.999), st.floats(1.0, 10.0), st.floats(0.0, 5.0))
def test_inverse(x: float, a: float, m: float) -> None:
    y = float(wiebe_progress(x, a, m))
    if y <= 1.0:
        assert float(wiebe_fraction(y, a, m)) == pytest.approx(x, abs=1e-9)


def test_never_outside_the_burn() -> None:
    assert wiebe_fraction([-3.0, 0.0, 1.0, 7.0]) == pytest.approx([0.0, 0.0, 1.0 - np.exp(-5.0), 1.0 - np.exp(-5.0)])


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("completeness", lambda: wiebe_fraction(0.5, -1.0))
    no_answer("fraction burned", lambda: wiebe_progress(1.0))
    no_answer("completeness", lambda: wiebe_progress(0.5, 5.0, -1.0))
