"""Reading quantities: every spelling of the contract, every refusal with its remedy, and the published pattern."""

import json
import math
import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.quantities import KINDS, QuantityError, Reading, from_si, read_quantity, spelling_pattern, to_si
from borewright.quantities.reading import BARE_KINDS, MAX_SPELLING
from borewright.sheet.showing import number, sign, with_unit

NoHang = Callable[[], AbstractContextManager[None]]
EVERY_UNIT = [(kind.name, unit) for kind in KINDS.values() for unit in kind.units]
EVERY_SPELLING = [(kind.name, unit) for kind in KINDS.values() for unit in (*kind.units, *kind.also)]
INCH = 0.0254
LISTED = "mm, cm, m, um, µm, in, thou, ft"
WANTED = f'write a length with its unit, like "1.5 in" or "1.5 in ± 0.1 in" (units: {LISTED})'
ONE_NUMBER = '"tolerance" must be a number of the same unit, zero or more, or {"plus": …, "minus": …}'
SIDES = 'a one-sided "tolerance" has "plus" and "minus", each a number of the same unit, zero or more'
SIZES = st.floats(1e-6, 1e9)


@pytest.mark.parametrize(
    ("given_as", "value", "tolerance"),
    [
        ("3.905 in", 3.905 * INCH, 0),
        ("3.905in", 3.905 * INCH, 0),
        ("  3.905\tin \n", 3.905 * INCH, 0),
        (".905 in", 0.905 * INCH, 0),
        ("4. in", 4 * INCH, 0),
        ("+4 in", 4 * INCH, 0),
        ("-4 in", -4 * INCH, 0),
        ("3905e-3 in", 3.905 * INCH, 0),
        ("3.905E+0 in", 3.905 * INCH, 0),
        ("0.051 in ± 0.001 in", 0.051 * INCH, 0.001 * INCH),
        ("0.051 ± 0.001 in", 0.051 * INCH, 0.001 * INCH),
        ("0.051±0.001in", 0.051 * INCH, 0.001 * INCH),
        ("0.051 in +/- 0.001 in", 0.051 * INCH, 0.001 * INCH),
        ("0.051+/-0.001 in", 0.051 * INCH, 0.001 * INCH),
        ("51 thou ± 25.4 um", 0.051 * INCH, 25.4e-6),
        ("51 thou ± 25.4 µm", 0.051 * INCH, 25.4e-6),
        ("0.051 in ± 0 in", 0.051 * INCH, 0),
        ({"value": 3.905, "unit": "in"}, 3.905 * INCH, 0),
        ({"value": 4, "unit": "in", "tolerance": 0.0005}, 4 * INCH, 0.0005 * INCH),
        ({"value": 4, "unit": "in", "tolerance": 0}, 4 * INCH, 0),
        ('3.892"', 3.892 * INCH, 0),
        ("3.892″", 3.892 * INCH, 0),
        ("3.892 inch", 3.892 * INCH, 0),
        ("3.892 inches", 3.892 * INCH, 0),
        ("3.892 in.", 3.892 * INCH, 0),
        ("4 1/32 in", 4.03125 * INCH, 0),
        ('4-1/32"', 4.03125 * INCH, 0),
        ("-4 1/32 in", -4.03125 * INCH, 0),
        ("1/64 in", INCH / 64, 0),
        ("4 1/32 ± 1/64 in", 4.03125 * INCH, INCH / 64),
        ("0.5 mil", 0.0005 * INCH, 0),
        ("51 mils", 0.051 * INCH, 0),
        ("−0.024 in", -0.024 * INCH, 0),
        ("1e−3 m", 1e-3, 0),
        ("0.051 +/− 0.001 in", 0.051 * INCH, 0.001 * INCH),
        ("25 μm", 25e-6, 0),
    ],
)
def test_spellings_of_a_length(given_as: object, value: float, tolerance: float) -> None:
    """Every spelling the contract names, and blanks where people put them."""
    reading = read_quantity(given_as, "length")
    assert (reading.value, reading.tolerance) == pytest.approx((value, tolerance), rel=1e-15, abs=0)


@pytest.mark.parametrize(
    ("given_as", "below", "above"),
    [
        ("3.892 in +0.001/-0.000 in", 0, 0.001),
        ("3.892 in +0.001/−0.000 in", 0, 0.001),
        ("3.892 +0.001/-0.002 in", 0.002, 0.001),
        ('3.892" +.001/-.002"', 0.002, 0.001),
        ("3.892 in -0.002/+0.001 in", 0.002, 0.001),
        ("3.892 in + 0.001 in - 0.002 in", 0.002, 0.001),
        ("3.892 in +1/64/-0 in", 0, 1 / 64),
        ("3.892 in +1 thou/-2 thou", 0.002, 0.001),
        ({"value": 3.892, "unit": "in", "tolerance": {"plus": 0.001, "minus": 0}}, 0, 0.001),
    ],
)
def test_one_sided_tolerances(given_as: object, below: float, above: float) -> None:
    """Each side reaches as far as it says, however the two are written."""
    reading = read_quantity(given_as, "length")
    assert (reading.below, reading.above) == pytest.approx((below * INCH, above * INCH), rel=1e-14, abs=0)
    assert (reading.low, reading.high) == pytest.approx(((3.892 - below) * INCH, (3.892 + above) * INCH), rel=1e-15)
    assert reading.tolerance == pytest.approx((below + above) / 2 * INCH, rel=1e-14)


@pytest.mark.parametrize(
    ("kind", "spelled", "plain"),
    [
        ("volume", "64 ml", "64 mL"),
        ("volume", "57 cm³", "57 cm3"),
        ("displacement", "320 in³", "320 in3"),
        ("displacement", "320 cid", "320 in3"),
        ("area", "68 cm²", "68 cm2"),
        ("angle", "60°", "60 deg"),
        ("ratio", "10.5:1", "10.5"),
        ("ratio", "10.5 : 1", "10.5"),
        ("ratio", "10.5 to 1", "10.5"),
        ("ratio", "10.5 ± 0.1:1", "10.5 ± 0.1"),
        ("torque", "100 ft-lb", "100 lbf·ft"),
        ("torque", "100 lb·ft", "100 lbf·ft"),
        ("temperature_difference", "9 delta_degF", "5 K"),
        ("temperature_difference", "5 delta_degC", "5 K"),
        ("temperature", "77 °F ± 9 delta_degF", "77 degF ± 9 degF"),
        ("temperature", "77 °F +9/-0 °F", "77 degF +5/-0 K"),
        ("expansion", "11.5 10⁻⁶/K", "11.5 1e-6/K"),
    ],
)
def test_what_the_trade_writes(kind: str, spelled: str, plain: str) -> None:
    """A spelling of the trade or of the sheet means what the plain one does."""
    found, meant = read_quantity(spelled, kind), read_quantity(plain, kind)
    assert (found.value, found.below, found.above) == pytest.approx((meant.value, meant.below, meant.above), rel=1e-15, abs=0)


@pytest.mark.parametrize(("kind", "unit"), EVERY_UNIT)
@settings(max_examples=30)  # of each unit
@given(value=st.floats(-1e12, 1e12) | st.floats(-10, 10), decimals=st.integers(0, 4))
def test_what_the_sheet_prints_can_be_typed_back(kind: str, unit: str, value: float, decimals: int) -> None:
    """A figure with the signs and the minus of the printed page is read as the number that stands there."""
    printed = with_unit(number(value, decimals), unit)
    written = float(number(value, decimals).replace("−", "-"))
    if kind in BARE_KINDS or sign(unit):
        assert read_quantity(printed, kind).value == pytest.approx(to_si(written, unit, kind), rel=1e-14, abs=1e-300)
    else:  # a bare "4" of a percentage is no quantity, on paper either
        assert unit == "1"


def test_bare_numbers() -> None:
    """A bare number means what the request's units say, in the unit of that kind's answer."""
    assert read_quantity(4, "length", "inch").value == 4 * INCH
    assert read_quantity(101.6, "length", "metric").value == pytest.approx(4 * INCH, rel=1e-15)
    assert read_quantity(350.0, "displacement", "inch").value == pytest.approx(350 * INCH**3, rel=1e-15)
    assert read_quantity(64, "volume", "inch").value == pytest.approx(64e-6, rel=1e-15)  # chambers are poured in cm3 everywhere
    assert read_quantity(77, "temperature", "inch").value == pytest.approx(298.15, rel=1e-15)


@pytest.mark.parametrize("units", [None, "metric", "inch"])
def test_a_ratio_needs_no_unit(units: Any) -> None:
    """A ratio is its own unit, as a number and as a string, whatever the request says."""
    for spelling in (10.5, "10.5", "10.5 1", {"value": 10.5, "unit": "1"}):
        assert read_quantity(spelling, "ratio", units) == Reading(10.5)
    assert read_quantity("10.5 ± 0.1", "ratio", units) == Reading(10.5, 0.1, 0.1)
    assert read_quantity("50 %", "ratio", units) == Reading(0.5)


def test_a_bare_percentage_is_not_guessed() -> None:
    """4 could be 4 % or 400 %: without `units` it is refused, with them it is what the answer uses, percent."""
    for bare in (4, "4", 0.04):
        with pytest.raises(QuantityError, match="has no unit"):
            read_quantity(bare, "percentage")
    assert read_quantity(4, "percentage", "metric") == read_quantity(4, "percentage", "inch") == Reading(0.04)
    assert read_quantity("4 %", "percentage") == read_quantity("0.04 1", "percentage") == Reading(0.04)


def test_a_tolerance_of_a_temperature_is_a_difference() -> None:
    """The zero of a scale takes no part in a tolerance."""
    reading = read_quantity("77 degF ± 9 degF", "temperature")
    assert (reading.value, reading.tolerance) == pytest.approx((298.15, 5.0), rel=1e-14)


@pytest.mark.parametrize(
    ("given_as", "remedy"),
    [
        (None, f"null is not a quantity: {WANTED}"),
        (True, f"true is not a quantity: {WANTED}"),
        (False, f"false is not a quantity: {WANTED}"),
        ([4, "in"], f"this is not a quantity: {WANTED}"),
        (3.905, '3.905 has no unit: write it with one, like "3.905 in" or "3.905 mm", or say "units": "inch" or "metric" in the request'),
        (float("nan"), "the number must be finite"),
        (float("inf"), "the number must be finite"),
        (10**400, "the number must be finite"),
        ("1e999 in", "the number must be finite"),
        ("1 in ± 1e999 in", "the tolerance must be finite"),
        ("", f"'' can't be read as a quantity: {WANTED}"),
        ("four in", f"'four in' can't be read as a quantity: {WANTED}"),
        ("nan in", f"'nan in' can't be read as a quantity: {WANTED}"),
        ("１ in", f"'１ in' can't be read as a quantity: {WANTED}"),
        ("1_000 in", f"'1_000 in' can't be read as a quantity: {WANTED}"),
        ("1,5 in", f"'1,5 in' can't be read as a quantity: a comma is not taken, neither for decimals nor for thousands; {WANTED}"),
        (
            "3.892 in +0.001 in",
            f"'3.892 in +0.001 in' can't be read as a quantity: a one-sided tolerance is written with both its sides, "
            f"like +0.001/-0.000 in; {WANTED}",
        ),
        (
            "3.892 in +0.003/+0.001 in",
            "the tolerance in '3.892 in +0.003/+0.001 in' has two sides of one sign: write it around the size, like +0.001/-0.000 in",
        ),
        ("3.892 in +0.001/-0", f"the tolerance in '3.892 in +0.001/-0' has no unit: {WANTED}"),
        ({"value": 4, "unit": "in", "tolerance": {"plus": 1}}, SIDES),
        ({"value": 4, "unit": "in", "tolerance": {"plus": 1, "minus": -1}}, SIDES),
        ({"value": 4, "unit": "in", "tolerance": {"plus": 1, "minus": 1, "x": 1}}, SIDES),
        ({"value": 4, "unit": "in", "tolerance": {"plus": 10**400, "minus": 1}}, "the tolerance must be finite"),
        ("1/0 in", f"'1/0 in' can't be read as a quantity: {WANTED}"),
        ("4 in ± -1 in", f"'4 in ± -1 in' can't be read as a quantity: {WANTED}"),
        ("4 in ± 1 in ± 1 in", f"'4 in ± 1 in ± 1 in' can't be read as a quantity: {WANTED}"),
        ("3.905", f"'3.905' has no unit: {WANTED}"),
        ("3.905 ± 0.1", f"'3.905 ± 0.1' has no unit: {WANTED}"),
        ("3.905 in ± 0.1", f"the tolerance in '3.905 in ± 0.1' has no unit: {WANTED}"),
        ("4 kg", f"'kg' is a unit of mass, and this must be a length: one of {LISTED}"),
        ("4 in ± 1 kg", f"'kg' is a unit of mass, and this must be a length: one of {LISTED}"),
        ("4 IN", f"'IN' is not a known unit of length: did you mean 'in'? Accepted are {LISTED}"),
        ("4 furlong", f"'furlong' is not a known unit of length: accepted are {LISTED}"),
        ("4'", f"\"'\" is not a known unit of length: did you mean 'ft'? Accepted are {LISTED}"),
        ("4 in" + " " * MAX_SPELLING, f"204 characters are too many for a quantity: at most {MAX_SPELLING}"),
        ({"value": 4}, f'"unit" must name a unit: one of {LISTED}'),
        ({"value": 4, "unit": None}, f'"unit" must name a unit: one of {LISTED}'),
        ({"unit": "in"}, '"value" must be a number, like {"value": 3.905, "unit": "in"}'),
        ({"value": "4", "unit": "in"}, '"value" must be a number, like {"value": 3.905, "unit": "in"}'),
        ({"value": True, "unit": "in"}, '"value" must be a number, like {"value": 3.905, "unit": "in"}'),
        ({"value": 10**400, "unit": "in"}, "the number must be finite"),
        ({"value": 4, "unit": "in", "tolerance": -1}, ONE_NUMBER),
        ({"value": 4, "unit": "in", "tolerance": None}, ONE_NUMBER),
        ({"value": 4, "unit": "in", "tolerance": True}, ONE_NUMBER),
        ({"value": 4, "unit": "in", "tolerance": float("nan")}, ONE_NUMBER),
        ({"value": 4, "unit": "in", "tolerance": 10**400}, "the tolerance must be finite"),
        ({"value": 4, "units": "in"}, '\'units\' is not part of a quantity: it has "value", "unit" and, if known, "tolerance"'),
    ],
)
def test_refusals_say_what_to_do(given_as: object, remedy: str) -> None:
    """Each way to be wrong has its own message, and the message holds the remedy."""
    with pytest.raises(QuantityError) as refused:
        read_quantity(given_as, "length")
    assert str(refused.value) == remedy


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("number", [float("nan"), float("inf"), -float("inf"), 10**400])
def test_bare_numbers_must_be_finite(number: float, units: Any) -> None:
    """Also where a bare number would be taken."""
    with pytest.raises(QuantityError, match="must be finite"):
        read_quantity(number, "length", units)


def test_one_unit_in_both_systems_is_suggested_once() -> None:
    """Speeds of rotation have one unit: it is not offered twice."""
    with pytest.raises(QuantityError, match=r'^6000 has no unit: write it with one, like "6000 rpm", or say'):
        read_quantity(6000, "rotation")


@pytest.mark.parametrize("kind", KINDS)
def test_the_kind_is_named_in_plain_words(kind: str) -> None:
    """The remedy is grammar a person would write, and its own examples are accepted."""
    with pytest.raises(QuantityError) as refused:
        read_quantity(None, kind)
    article, noun = re.findall(r"write (an?) ([a-z ]+?) with its unit", str(refused.value))[0]
    assert (article == "an") == (noun[0] in "aeiou")
    assert "_" not in noun
    for example in re.findall(r'"([^"]+)"', str(refused.value)):
        assert read_quantity(example, kind).value == pytest.approx(to_si(1.5, KINDS[kind].inch, kind), rel=1e-15)


@pytest.mark.parametrize(("kind", "unit"), EVERY_UNIT)
@given(value=SIZES, tolerance=SIZES)
def test_all_spellings_agree(kind: str, unit: str, value: float, tolerance: float) -> None:
    """The string, the string with one unit and the object mean the same, in every unit of every kind."""
    long = read_quantity(f"{value!r} {unit} ± {tolerance!r} {unit}", kind)
    assert long == read_quantity(f"{value!r} ± {tolerance!r} {unit}", kind)
    assert long == read_quantity({"value": value, "unit": unit, "tolerance": tolerance}, kind)
    assert long.value == to_si(value, unit, kind)
    assert long.tolerance == tolerance * KINDS[kind].units[unit].factor
    back = from_si(long.value, unit, kind)
    assert back == pytest.approx(value, rel=1e-14, abs=1e-12 if KINDS[kind].units[unit].offset else 0)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_shortest_spelling_of_a_double_is_read(value: float) -> None:
    """What json.dumps or repr writes for a double comes back as the same double; 1e-4·(1 + ε) takes twenty decimals."""
    assert read_quantity(json.dumps(value) + " m", "length").value == value
    assert read_quantity(f"1 ± {abs(value)!r} m", "length").tolerance == abs(value)


@given(st.floats(1e-99, 1e99) | st.floats(-1e99, -1e-99) | st.just(0.0))
def test_the_pattern_admits_the_spelling_of_every_sensible_double(value: float) -> None:
    """All that a program could print for a size, but not exponents of three digits, which may be infinite."""
    assert re.fullmatch(spelling_pattern("length", signed=True), f"{value!r} m")
    assert not re.fullmatch(spelling_pattern("length", signed=True), f"{value!r}e100 m")


@pytest.mark.parametrize("signed", [False, True])
@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=30)  # of each pattern: to draw by one takes long
@given(data=st.data())
def test_what_the_pattern_matches_is_read(kind: str, signed: bool, data: st.DataObject) -> None:
    """Nothing that the OpenAPI document's pattern admits is refused, and an unsigned pattern admits nothing negative."""
    spelling = data.draw(st.from_regex(spelling_pattern(kind, signed=signed), fullmatch=True))
    reading = read_quantity(spelling, kind)
    assert math.isfinite(reading.value)
    assert reading.tolerance >= 0
    assert signed or re.match(r"[0-9.]", spelling)


@pytest.mark.parametrize(("kind", "unit"), EVERY_SPELLING)
def test_the_pattern_matches_the_usual_spellings(kind: str, unit: str) -> None:
    """The pattern admits every unit, with and without a tolerance, and a sign only where it is said."""
    strict, signed = spelling_pattern(kind, signed=False), spelling_pattern(kind, signed=True)
    scale = KINDS[kind].read(unit)
    assert scale is not None
    equal = (f"1.5 {unit} ± 0.1 {unit}", f"1.5 ± 0.1 {unit}", f"1.5 +/- 0.1 {unit}")
    one_sided = (f"1.5 {unit} +0.1/-0 {unit}", f"1.5 +0.1/−0.2 {unit}")
    for spelling in (f"1.5 {unit}", f".5 {unit}", f"15e-1 {unit}", f"1 1/2 {unit}", *equal, *one_sided):
        assert read_quantity(spelling, kind).value == pytest.approx((0.5 if spelling[0] == "." else 1.5) * scale.factor + scale.offset)
        assert re.fullmatch(strict, spelling)
        assert re.fullmatch(signed, spelling)
        assert not re.fullmatch(strict, "-" + spelling)
        assert re.fullmatch(signed, "-" + spelling)
        assert re.fullmatch(signed, "−" + spelling)
    assert bool(re.fullmatch(strict, "1.5")) == (kind in BARE_KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_the_pattern_is_common_to_python_and_ecma(kind: str) -> None:
    """No construct that ECMA regular expressions with the u flag refuse: only syntax characters are escaped, groups are plain."""
    pattern = spelling_pattern(kind, signed=True)
    assert set(re.findall(r"\\(.)", pattern)) <= set("^$\\.*+?()[]{}|/")
    assert not re.search(r"\(\?(?!:)", pattern)
    assert pattern.startswith("^")
    assert pattern.endswith("$")


def finite_or_refused(given_as: Any, kind: str, units: Any = None) -> bool:
    """Whether a value is read as finite numbers or refused with a remedy; any other exception is the test's failure."""
    try:
        reading = read_quantity(given_as, kind, units)
    except QuantityError as refused:
        return any(word in str(refused) for word in ("write", "must", "known unit", "a unit of", "too many", "part of a quantity"))
    return math.isfinite(reading.value) and 0 <= reading.tolerance < math.inf


@pytest.mark.parametrize("kind", ["length", "torque", "expansion", "ratio", "temperature"])
@given(text=st.text(max_size=220) | st.text("0123456789.eE+-±/ inmKµ%°", max_size=60))
def test_any_text_is_read_or_refused(kind: str, text: str) -> None:
    """No text raises anything but QuantityError, for kinds with blanks, digits or signs in their units."""
    assert finite_or_refused(text, kind)


MEMBERS = st.sampled_from(["value", "unit", "tolerance", "x"])
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(MEMBERS, inner | st.just("in"), max_size=3),
    max_leaves=5,
)


@given(JSON)
def test_any_json_is_read_or_refused(given_as: Any) -> None:
    """No JSON value raises anything but QuantityError."""
    assert finite_or_refused(given_as, "length", "inch")


NONSENSE = ("1" + " " * 198 + "x", "1" + " a" * 99, "1±" * 100, "1 in" + " " * 190 + "±", "1" * 200, "1 ± " + "1" * 190)


@pytest.mark.parametrize("spelling", NONSENSE)
def test_long_nonsense_is_refused_at_once(spelling: str, no_hang: NoHang) -> None:
    """No spelling within the allowed length sends the reader into backtracking."""
    with no_hang(), pytest.raises(QuantityError):
        read_quantity(spelling[:MAX_SPELLING], "length")
