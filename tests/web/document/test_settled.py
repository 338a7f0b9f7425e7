"""Figures of examples: the same on every processor."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.web.document.settled import NOISE, settled

SIZES = st.floats(1e-9, 1e9) | st.floats(-1e9, -1e-9)


@given(SIZES)
def test_six_digits(value: float) -> None:
    """What is written is off by half of its sixth digit at most, and writing it again changes nothing."""
    written = settled(value)
    assert abs(written - value) <= 0.5001 * 10.0 ** (math.floor(math.log10(abs(value))) - 5)
    assert settled(written) == written


@given(SIZES, st.floats(-0.9, 0.9))
def test_noise_moves_nothing_that_was_kept(value: float, share: float) -> None:
    """A figure on the edge between two last digits stays on the side on which it was written first."""
    kept = settled(value)
    assert settled(value * (1.0 + share * NOISE), kept) == kept


@given(SIZES)
def test_a_change_is_written(value: float) -> None:
    """What differs in the sixth digit is never kept as it was."""
    kept = settled(value)
    changed = value * (1.0 + 2e-5)
    assert settled(changed, kept) == settled(changed) != kept


@pytest.mark.parametrize("tie", [102.3745, 104.7765, 0.1234565, 1.0000005])
def test_a_tie_always_goes_the_same_way(tie: float) -> None:
    """Inch sizes in millimeters lie between two figures of six digits; noise does not decide which is written."""
    assert len({settled(tie * (1.0 + noise)) for noise in (-1e-11, -1e-15, 0.0, 1e-15, 1e-11)}) == 1


def test_everything_else_stays() -> None:
    """Words, whole numbers, truths and nulls are no figures; the noise of a zero is one."""
    assert settled({"a": [1, True, None, "1.23456789"], "b": 1.09e-15}, {"a": 1}) == {"a": [1, True, None, "1.23456789"], "b": 0.0}
    assert settled([1.0, 2.0], [1.0]) == [1.0, 2.0]
    assert settled({"a": 1.5}, ["no object"]) == {"a": 1.5}
