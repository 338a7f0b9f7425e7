"""The one comparison: what is equal to a limit in a shop's decimals is inside, what is off by anything that counts is not."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.outcome import VERDICTS, Check
from borewright.rules.judging import NOTHING, inside, misses, outside, slack, without_residue

INCH = 0.0254
LEAST = 0.035
DECKS = [thousandths / 1000.0 for thousandths in range(-30, 31)]
UNITS = {"in": INCH, "mm": 1e-3}


@pytest.mark.parametrize("unit", UNITS)
def test_sums_of_decimals_that_meet_a_limit_are_inside(unit: str) -> None:
    """Every pair of a gasket and a deck in thousandths that adds up to the limit, in either unit, and the two ends of a range."""
    scale, judged = UNITS[unit], 0
    for deck, limit in itertools.product(DECKS, (0.030, LEAST, 0.040, 0.060)):
        gasket = round(limit - deck, 3)
        value = gasket * scale + deck * scale
        assert outside(value, limit * scale, None) == 0.0
        assert outside(value, None, limit * scale) == 0.0
        assert inside(value, limit * scale, limit * scale)
        judged += 1
    assert judged > 200


def test_a_stack_that_comes_to_a_limit_is_inside() -> None:
    """Four lengths of a third of a meter and less, added up in any order."""
    for compression_height in np.arange(1.000, 1.300, 0.001).round(3):
        lengths = [round(9.140 + compression_height - 1.125, 3) * INCH, -3.36 / 2 * INCH, -6.16 * INCH, -float(compression_height) * INCH]
        wanted = round(9.140 + compression_height - 1.125 - 1.68 - 6.16 - compression_height, 3) * INCH
        for order in itertools.permutations(lengths):
            assert inside(sum(order), wanted, wanted)


@given(limit=st.floats(-0.5, 0.5), by=st.floats(2e-12, 1e-3), kind=st.sampled_from(("length",)))
def test_what_can_be_measured_is_not_forgiven(limit: float, by: float, kind: str) -> None:
    """Two picometers beyond a length's limit are beyond it, and by as much as they are."""
    assert outside(limit - by, limit, None, kind) == pytest.approx(by, rel=1e-3)
    assert outside(limit + by, None, limit, kind) == pytest.approx(by, rel=1e-3)


@given(limit=st.floats(1e3, 1e7), kind=st.sampled_from(("ratio", "pressure", "stress", "speed", "mass", "angle", "temperature")))
def test_other_kinds_are_relative(limit: float, kind: str) -> None:
    """Thousandths of a millionth of the limit."""
    assert inside(limit * (1 - 1e-12), limit, None, kind)
    assert not inside(limit * (1 - 1e-7), limit, None, kind)
    assert float(slack(kind, limit)) < 1e-8 * limit


def test_what_is_not_known_is_not_inside() -> None:
    """NaN is neither inside nor a miss of any size; an open side is no limit."""
    assert np.isnan(outside(np.nan, 0.0, 1.0))
    assert not inside(np.nan, None, None)
    assert np.isnan(outside(0.5, np.nan, None))
    assert outside([-1e9, 1e9], -np.inf, np.inf).tolist() == [0.0, 0.0]


@pytest.mark.parametrize(("soft", "verdicts"), [(False, "fail fail"), (True, "watch watch"), ("low", "watch fail"), ("high", "fail watch")])
def test_a_side_is_soft_by_itself(soft, verdicts: str) -> None:
    """What lies beyond a soft side is watched, beyond the other it fails."""
    check = Check("squish", "length", [0.8e-3, 1.8e-3, 1.0e-3, np.nan], 0.9e-3, 1.5e-3, "", "common practice", "", soft=soft)
    assert " ".join(VERDICTS[code] for code in check.codes()) == f"{verdicts} pass unknown"


def test_corners_on_a_limit_pass() -> None:
    """The corner of a tolerance that meets its limit is inside it, as the nominal size is."""
    value = np.array([0.040 * INCH, 0.059 * INCH - 0.024 * INCH])
    assert Check("squish", "length", value, LEAST * INCH, None, "", "common practice", "").judge(lambda points: points) == "pass"


@pytest.mark.parametrize(("kind", "residue", "real"), [("length", 1.09e-15, 1e-9), ("force", 1e-12, 1e-6), ("volume", 1e-20, 1e-12)])
def test_residues_are_nothing_and_small_values_are_kept(kind: str, residue: float, real: float) -> None:
    """A nanometer, a micronewton and a thousandth of a cubic millimeter are still something."""
    assert without_residue([residue, -residue, real, -real], kind).tolist() == [0.0, 0.0, real, -real]


SOME = st.floats(-2.0, 2.0) | st.sampled_from(
    [0.0, 1.0, 1.0 + 1e-13, 1.0 - 1e-13, 1.0 + 1e-9, np.nan, np.inf, -np.inf, 1e6, 1e6 * (1.0 + 1e-10)]
)


@given(
    value=SOME,
    low=st.none() | SOME,
    high=st.none() | SOME,
    kind=st.sampled_from(("length", "ratio", "stress")),
    soft=st.sampled_from((False, True, "low", "high")),
)
def test_one_value_is_judged_as_many(value: float, low: float | None, high: float | None, kind: str, soft) -> None:
    """The way of a single request, without arrays, comes to what the rows of a batch come to."""
    check = Check("squish", kind, [value, 0.5], low, high, "", "common practice", "", soft=soft)
    with np.errstate(invalid="ignore"):
        assert check.judge() == VERDICTS[check.codes()[0]]
    for side, limit in (("low", low), ("high", high)):
        if limit is not None and not np.isinf(value):
            limits = (limit, None) if side == "low" else (None, limit)
            assert misses(value, limit, side, kind) == bool(outside(value, *limits, kind) > 0.0)


def beyond(value: float, low: float | None, high: float | None, kind: str) -> float:
    """How far a value lies outside its limits, in plain numbers."""
    found = 0.0
    for limit, by in ((low, None if low is None else low - value), (high, None if high is None else value - high)):
        if limit is not None and by is not None:
            allowed = 1e-12 if kind == "length" else (1e-9 * abs(limit) if math.isfinite(limit) else 0.0) + NOTHING.get(kind, 0.0)
            short = 0.0 if by <= allowed else by
            found = short if short > found or math.isnan(short) else found
    return math.nan if math.isnan(value) else found


@given(
    values=st.lists(SOME, min_size=1, max_size=6),
    low=st.none() | SOME,
    high=st.none() | SOME,
    kind=st.sampled_from(("length", "ratio", "stress", "angle", "time")),
)
def test_arrays_are_judged_as_plain_numbers(values: list[float], low: float | None, high: float | None, kind: str) -> None:
    """To the last bit, with limits as numbers and as arrays."""
    wanted = [beyond(value, low, high, kind) for value in values]
    with np.errstate(invalid="ignore"):
        np.testing.assert_array_equal(outside(values, low, high, kind), wanted)
        given_low, given_high = (None if limit is None else np.full(len(values), limit) for limit in (low, high))
        np.testing.assert_array_equal(outside(values, given_low, given_high, kind), wanted)


NUMBERS = st.floats(-2.0, 2.0) | st.sampled_from([0.0, 1.0, 1.0 + 1e-13, 1.0 - 1e-13, 1.0 + 1e-9])


@given(
    values=st.lists(NUMBERS, min_size=2, max_size=6),
    low=st.none() | SOME | st.lists(NUMBERS, min_size=1, max_size=1),
    high=st.none() | SOME | st.lists(NUMBERS, min_size=1, max_size=1),
    kind=st.sampled_from(("length", "ratio")),
    soft=st.sampled_from((False, True, "low", "high")),
)
def test_the_ends_of_the_corners_say_what_all_of_them_say(values: list[float], low, high, kind: str, soft) -> None:
    """The quick way over the least and the most of a value, against every corner."""
    check = Check("squish", kind, np.array(values), low, high, "", "common practice", "", soft=soft)
    with np.errstate(invalid="ignore"):
        every = check.judge(lambda points: points)
        assert check.judge(lambda points: points, (min(values), max(values))) == every
        assert every == ("watch" if check.codes()[0] == 0 and check.codes().any() else VERDICTS[check.codes()[0]])
        alone = Check("squish", kind, np.array(values[:1]), low, high, "", "common practice", "", soft=soft)
        assert alone.judge(lambda points: points) == VERDICTS[alone.codes()[0]]
