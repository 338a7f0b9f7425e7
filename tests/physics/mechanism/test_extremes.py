"""The search for extremes over a turn."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.mechanism import extremes


@given(phase=st.floats(min_value=-3.0, max_value=3.0), tenth=st.floats(min_value=-0.05, max_value=0.05))
def test_peak_of_a_wave_is_found_wherever_it_lies(phase: float, tenth: float) -> None:
    def wave(theta: np.ndarray) -> np.ndarray:
        return np.cos(theta - phase) + tenth * np.cos(10 * (theta - phase))

    _, value = extremes.maximum_over_turn(wave)
    assert value == pytest.approx(wave(np.linspace(-np.pi, np.pi, 100001)).max(), abs=1e-7)


def test_each_element_has_its_own_peak() -> None:
    phases = np.array([[0.1, 1.0, -2.0]])
    angle, value = extremes.maximum_over_turn(lambda theta: np.cos(theta - phases), phases.shape)
    np.testing.assert_allclose(angle, phases, atol=1e-6)
    np.testing.assert_allclose(value, 1.0, rtol=1e-12)


def test_minimum_along_an_axis() -> None:
    index, value = extremes.minimum_along([[3.0, 1.0], [0.0, 2.0]], axis=0)
    assert index.tolist() == [1, 0]
    assert value.tolist() == [0.0, 1.0]


def test_a_sample_that_is_none_is_found() -> None:
    index, value = extremes.minimum_along([[1.0, np.nan], [1.0, 2.0]])
    assert index.tolist() == [1, 0]
    np.testing.assert_array_equal(value, [np.nan, 1.0])


@pytest.mark.parametrize("samples", [[], 3.0])
def test_minimum_of_nothing_is_refused(samples: object) -> None:
    with pytest.raises(ValueError, match=r"sample"):
        extremes.minimum_along(samples)
