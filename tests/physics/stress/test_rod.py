"""Invariants of struts."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics import stress

NoAnswer = Callable[[str, Callable[[], object]], None]


@given(length=st.floats(min_value=0.05, max_value=3.0))
def test_struts_never_stand_more_than_their_crushing_load(length: float) -> None:
    assert 0.0 < stress.johnson_load(3e-4, 700e6, length, 0.006, 207e9) < 700e6 * 3e-4
    assert 0.0 < stress.rankine_load(3e-4, 320e6, length, 0.006) < 320e6 * 3e-4


def test_johnson_meets_euler_at_half_the_yield_and_smoothly() -> None:
    k, S_y, E = 0.006, 700e6, 207e9
    meeting = k * np.sqrt(2 * np.pi**2 * E / S_y)
    around = meeting * np.array([1 - 1e-6, 1.0, 1 + 1e-6])
    load = stress.johnson_load(1.0, S_y, around, k, E)
    assert load[1] == pytest.approx(S_y / 2, rel=1e-12)
    assert (load[0] - load[1]) == pytest.approx(load[1] - load[2], rel=1e-3)


def test_a_long_strut_buckles_as_euler_says() -> None:
    area, k, E, length = 3e-4, 0.006, 207e9, 2.0
    assert stress.johnson_load(area, 700e6, length, k, E) == pytest.approx(np.pi**2 * E * area * k**2 / length**2, rel=1e-12)
    assert stress.johnson_load(area, 700e6, length, k, E, 4.0) == pytest.approx(4 * np.pi**2 * E * area * k**2 / length**2, rel=1e-12)


def test_scalars_are_elements_and_signs_carry() -> None:
    np.testing.assert_array_equal(stress.direct_stress([1e4, -2e4], 1e-4), [1e8, -2e8])
    lengths = np.array([0.1, 0.15, 2.0])
    expected = [stress.johnson_load(3e-4, 700e6, length, 0.006, 207e9) for length in lengths]
    np.testing.assert_allclose(stress.johnson_load(3e-4, 700e6, lengths, 0.006, 207e9), expected, rtol=1e-14)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (stress.direct_stress, (1.0, 0.0)),
        (stress.rankine_load, (1e-4, 0.0, 0.1, 0.006)),
        (stress.rankine_load, (1e-4, 320e6, 0.1, 0.0)),
        (stress.johnson_load, (1e-4, 700e6, 0.1, 0.006, 0.0)),
        (stress.johnson_load, (1e-4, np.nan, 0.1, 0.006, 207e9)),
    ],
)
def test_impossible_rods_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))
