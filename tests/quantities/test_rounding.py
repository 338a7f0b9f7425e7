"""Rounding to significant digits against the decimal module."""

from decimal import ROUND_HALF_EVEN, Context, Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from borewright.quantities import rounded, significant

ANY = st.floats(allow_nan=False, allow_infinity=False)
ROUNDED = st.floats(1e-290, 1e307) | st.floats(-1e307, -1e-290)
NEAR_POWERS = st.builds(
    lambda exponent, steps: float(f"1e{exponent}") * (1.0 + steps * 2.2e-16), st.integers(-14, 35), st.integers(-40, 40)
)


def by_decimal(value: float, digits: int = 12) -> Decimal:
    """The value rounded in decimal arithmetic."""
    return Context(prec=digits, rounding=ROUND_HALF_EVEN).create_decimal(Decimal(value))


@given(ROUNDED)
def test_within_half_a_unit_of_the_last_digit(value: float) -> None:
    """No rounded number is farther from the given one than half a unit of the twelfth digit (and the last bits of a double)."""
    found = float(significant(value)[0])
    unit = Decimal(10) ** (by_decimal(value).adjusted() - 11)
    assert abs(Decimal(found) - Decimal(value)) <= unit / 2 + abs(Decimal(value)) * Decimal("1e-15")


@given(ROUNDED)
def test_twelve_digits_at_most(value: float) -> None:
    """The rounded number is the double of a decimal of at most twelve digits, so that its shortest spelling has no more."""
    found = float(significant(value)[0])
    assert float(by_decimal(found)) == found
    assert len(Decimal(repr(found)).normalize().as_tuple().digits) <= 12


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


@given(ROUNDED)
def test_odd(value: float) -> None:
    """The sign takes no part."""
    assert significant(-value)[0] == -significant(value)[0]


@given(ANY, ANY)
def test_order_is_kept(first: float, second: float) -> None:
    """Rounding never turns two numbers round."""
    low, high = sorted((first, second))
    assert significant(low)[0] <= significant(high)[0]


@given(st.floats() | NEAR_POWERS | st.floats(1e-12, 1e-10) | st.floats(1e31, 1e34))
def test_one_number_is_rounded_as_a_column(value: float) -> None:
    """To the last bit, the sign of zero included; NaN stays NaN."""
    alone, column = rounded(value), float(significant([value, 1.0])[0])
    assert np.array([alone]).tobytes() == np.array([column]).tobytes()
    assert isinstance(alone, float)
