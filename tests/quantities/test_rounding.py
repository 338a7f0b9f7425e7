"""Rounding to significant digits against the decimal module."""

from decimal import ROUND_HALF_EVEN, Context, Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from borewright.quantities import significant

ANY = st.floats(allow_nan=False, allow_infinity=False)
ROUNDED = st.floats(1e-280, 1e280) | st.floats(-1e280, -1e-280)
# within this span powers of ten are exact doubles, so the rounded number is the double nearest to its decimal
EXACT = st.floats(1e-10, 1e30) | st.floats(-1e30, -1e-10)


def by_decimal(value: float, digits: int = 12) -> Decimal:
    """The value rounded in decimal arithmetic."""
    return Context(prec=digits, rounding=ROUND_HALF_EVEN).create_decimal(Decimal(value))


@given(ROUNDED)
def test_within_half_a_unit_of_the_last_digit(value: float) -> None:
    """No rounded number is farther from the given one than half a unit of the twelfth digit (and the last bits of a double)."""
    rounded = float(significant(value)[0])
    unit = Decimal(10) ** (by_decimal(value).adjusted() - 11)
    assert abs(Decimal(rounded) - Decimal(value)) <= unit / 2 + abs(Decimal(value)) * Decimal("1e-15")


@given(EXACT)
def test_twelve_digits_at_most(value: float) -> None:
    """The rounded number is the double of a decimal of at most twelve digits, so that its shortest spelling has no more."""
    rounded = float(significant(value)[0])
    assert float(by_decimal(rounded)) == rounded
    assert len(Decimal(repr(rounded)).normalize().as_tuple().digits) <= 12


@given(st.integers(-(10**12) + 1, 10**12 - 1), st.integers(-20, 20))
def test_twelve_digit_decimals_stay(digits: int, exponent: int) -> None:
    """What has twelve digits already is not moved."""
    value = float(Decimal(digits).scaleb(exponent))
    assert float(significant(value)[0]) == pytest.approx(value, rel=3e-16, abs=0)


@given(ANY)
def test_idempotent(value: float) -> None:
    """Rounding twice is rounding once."""
    once = significant(value)
    np.testing.assert_array_equal(significant(once), once)


@given(hnp.arrays(np.float64, st.integers(1, 40), elements=st.floats()))
def test_scalar_is_element_of_array(values: np.ndarray) -> None:
    """A column is rounded as its entries are one by one; NaN and infinity stay."""
    alone = np.array([significant(value)[0] for value in values])
    np.testing.assert_array_equal(significant(values), alone)
    np.testing.assert_array_equal(np.isfinite(significant(values)), np.isfinite(values))


@given(EXACT)
def test_odd(value: float) -> None:
    """The sign takes no part."""
    assert significant(-value)[0] == -significant(value)[0]


@given(ANY, ANY)
def test_order_is_kept(first: float, second: float) -> None:
    """Rounding never turns two numbers round."""
    low, high = sorted((first, second))
    assert significant(low)[0] <= significant(high)[0]


@given(st.floats(-1e-281, 1e-281) | st.floats(1e281) | st.floats(max_value=-1e281))
def test_beyond_measure(value: float) -> None:
    """What lies beyond anything measurable stays as it is, without a warning."""
    assert significant(value)[0] == value


def test_what_the_twelfth_digit_is_for() -> None:
    """The noise of binary arithmetic goes, everything measurable stays."""
    assert significant(0.1 + 0.2)[0] == 0.3
    assert significant(5735.4724000000006)[0] == 5735.4724
    assert significant(1234.567890126)[0] == 1234.56789013
    assert significant(123456.0, 3)[0] == 123000.0
