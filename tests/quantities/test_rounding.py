"""Rounding to significant digits against the decimal module."""

import math
from decimal import ROUND_HALF_EVEN, Context, Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from borewright.quantities import rounded, significant
from borewright.quantities.rounding import BLOCK

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


@given(
    st.lists(st.floats(1e-12, 1e12) | st.sampled_from([999.9999999999999, 1000.0, 1000.0000000000001, 1e-11, 0.0, math.nan]), max_size=6),
    st.floats(1e-10, 1e10),
    st.floats(0.0, 1.5),
    st.sampled_from([1.0, -1.0]),
    st.sampled_from([65, BLOCK, BLOCK + 1, 2 * BLOCK + 7]),
)
def test_long_columns_are_rounded_as_one_number_after_the_other(
    odd: list[float], least: float, decades: float, sign: float, size: int
) -> None:
    """To the last bit, wherever blocks begin, whether numbers lie between two powers of ten or not, whatever stands among them."""
    column = sign * least * 10.0 ** np.linspace(0.0, decades, size)
    if odd:
        column[:: max(1, size // len(odd))][: len(odd)] = odd
    some = np.unique(np.r_[0 : size : max(1, size // 300), np.flatnonzero(np.isin(column, odd) | np.isnan(column)), size - 1])
    found = significant(column)
    alone = np.array([rounded(value) for value in column[some].tolist()])
    assert found.shape == column.shape
    np.testing.assert_array_equal(found[some], alone)


@pytest.mark.parametrize("exponent", [*range(-12, 35, 3), 11, 12, 13])
def test_columns_at_a_power_of_ten(exponent: int) -> None:
    """A hundred doubles on either side of it, on each side by themselves too."""
    steps = np.arange(1, 100)
    power = float(f"1e{exponent}")
    below, above = power * (1.0 - steps * 1.2e-16), power * (1.0 + steps * 2.3e-16)
    for column in (below, above, np.r_[below, above], np.r_[power, above, power * 9.9999999999999], power * (1.0 + steps / 20.0)):
        np.testing.assert_array_equal(significant(column), [rounded(value) for value in column.tolist()])
