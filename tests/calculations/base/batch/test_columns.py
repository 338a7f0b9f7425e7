"""Columns read at once are what their entries are one by one, and rows that fail are told as ever."""

from collections import defaultdict
from typing import Any
from unittest import mock

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.calculations.base.batch import answer_batch, answering, spelled
from borewright.calculations.base.batch import columns as reading
from borewright.calculations.base.batch.failures import Failures
from borewright.calculations.base.batch.spelled import all_left, spelled_column
from borewright.calculations.base.fields import Choice, Quantity, Text
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import FieldError, InvalidRequest
from borewright.calculations.base.registry import calculations
from borewright.quantities import KINDS

KIND = ("length", "volume", "temperature", "ratio", "percentage", "expansion", "torque", "pressure", "angle", "fuel_volume_flow")
EVERY_UNIT = sorted({unit for kind in KINDS.values() for unit in (*kind.units, *kind.also)})
SIGNED = [
    "4",
    "-4",
    "+4",
    "−4",
    "- 4",
    "--4",
    "4.",
    ".5",
    ".",
    "",
    "-",
    "4.0.3",
    "4 5",
    "4,5",
    "4\t",
    "1_0",
    "0x4",
    "nan",
    "inf",
    "٣",
    "１２",
]
LONG = ["00004.03", "1234567890.123456789", "1e308", "1e-320", "1e0001", "5e", "e5", "5 e4", "4 1/32", "1/64", "4-1/2", "7 0/5"]
NUMBER = st.one_of(
    st.floats(0.5, 20).map(lambda value: f"{value:.4f}"),
    st.floats(allow_nan=False, allow_infinity=False).map(repr),
    st.from_regex(r"\A[+-]?([0-9]{1,4}(\.[0-9]{0,4})?|\.[0-9]{1,3})([eE][+-]?[0-9]{1,4})?\Z"),
    st.sampled_from(SIGNED + LONG),
)
PLAIN = [
    "",
    " in",
    "in",
    " mm",
    " %",
    ":1",
    " 1",
    " kg",
    " furlong",
    " e9",
    "e9",
    " 0/5 in",
    " 1/32 in",
    "/5 lb",
    "-1/2 lb",
    " in in",
    " .in",
]
HOSTILE = [" IN", " in\0004 in", " in\x01", "\x01", " in\x02 mm", " \ud800", "٣ in", " cu  in", " cu" + " " * 14 + "in"]
EQUAL = [" in ± 0.1 in", " in ± 0.1 lb", " in +/- 1e-320 in", " ± 0.1 in", " in ± 0.1", " in ± -0.1 in", " in ± 0 in"]
SIDES = [" in +0.1/-0.1 in", " in +0.1 -0.1 in", "+0.1-0.1in", " degC ± 1 degC", " degC ± 1 K"]
BLANK = st.sampled_from(["", " ", "  ", "\t", "\xa0"])
SUFFIX = st.one_of(
    st.tuples(BLANK, st.sampled_from(EVERY_UNIT), st.sampled_from(["", "", " ", "\n"])).map("".join),
    st.sampled_from(PLAIN + HOSTILE + EQUAL + SIDES),
)
OBJECT = st.fixed_dictionaries(
    {"value": st.floats(0.5, 20) | st.integers(1, 9), "unit": st.sampled_from(["in", "mm", "inch", "kg", "furlong", "degC", "1"])}
) | st.sampled_from(
    [
        {"value": True, "unit": "in"},
        {"value": 10**400, "unit": "in"},
        {"value": 1e308, "unit": "ft"},
        {"value": 4.0},
        {},
        {"value": 4.0, "units": "in"},
        {"value": 4.0, "unit": None},
        {"value": 4.0, "unit": "in", "tolerance": 0},
        {"value": 4.0, "unit": "in", "tolerance": -0.0},
        {"value": 4.0, "unit": "in", "tolerance": False},
        {"value": 4.0, "unit": "in", "tolerance": -1},
        {"value": 4.0, "unit": "in", "tolerance": {}},
        {"value": 4.0, "unit": "in", "tolerances": 0},
        {"value": 4.0, "tolerance": 0},
        {"value": 4.0, "unit": "in", "tolerance": 0.1},
        {"value": 4.0, "unit": "in ", "tolerance": "much"},
        {"value": "4", "unit": "in"},
        {"value": 4.0, "unit": ["in"]},
        {"value": 4.0, "unit": "\ud800"},
    ]
)
BARE = st.floats() | st.integers(-9, 9) | st.sampled_from([10**400, -1.0, 1e300, -0.0])
ODD = st.sampled_from([None, True, False, [], [4.0], "", "4", "4 in", "\0", "x" * 300, "4 in" + " " * 300])
PLAIN_OBJECTS = st.sampled_from([{"value": 4, "unit": "in"}, {"value": 102.5, "unit": "mm"}, {"value": 0.1, "unit": "m"}, None])
WHOLES = st.integers(-3, 30) | st.sampled_from([8.0, 8.5, None, 10**400, "8", True, 1e300, -0.0])


@st.composite
def columns(draw: st.DrawFn) -> list[Any]:
    """A column whose texts are written in a few ways, with a few entries of another sort among them."""
    suffixes = st.sampled_from(draw(st.lists(SUFFIX, min_size=1, max_size=4)))
    texts = st.tuples(NUMBER, suffixes).map("".join)
    entries = draw(st.sampled_from([texts, texts, texts | st.none(), OBJECT, OBJECT | st.none(), BARE, texts | OBJECT | BARE | ODD]))
    return draw(st.lists(entries, min_size=1, max_size=40))


def slowly() -> Any:
    """Every entry by itself."""
    return mock.patch.object(reading, "_together", lambda kind, given, units: [(np.arange(len(given)), all_left(given))])


def read(kind: str, column: list[Any], units: Any) -> Any:
    failures = Failures(len(column))
    limits = (f"{limit} {KINDS[kind].metric}" for limit in (-1000, 1000))
    found = reading.read_column(Quantity(kind, *limits, ""), column, ("gasket", "bore"), units, failures)
    assert found.numbers is not None
    return found.numbers.tobytes(), failures.listed()


def told(bore: list[Any], cylinders: list[Any], units: str | None) -> Any:
    body = {"common": {"stroke": "3.36 in"}, "columns": {"bore": bore, "cylinders": cylinders}} | ({"units": units} if units else {})
    try:
        found = answer_batch(calculations()["displacement"], body, most_rows=100)
    except InvalidRequest as refusal:
        return refusal.errors
    numbers = {name: column.tobytes() for name, column in found.pop("columns").items()}
    return numbers, found


@given(kind=st.sampled_from(KIND), column=columns(), units=st.sampled_from(["inch", "metric", None]), few=st.sampled_from([0, 1, 16]))
@settings(max_examples=400)
def test_a_column_is_read_as_its_entries_are(kind: str, column: list[Any], units: str | None, few: int) -> None:
    with (
        mock.patch.multiple(spelled, FEW=few, LOOKED_AT=2, BLOCK=3),
        mock.patch.object(reading, "ALONE", 0),
    ):  # so that a short column is one of units that were not seen at first
        quick = read(kind, column, units)
    with mock.patch.object(reading, "ALONE", 0):
        assert quick == read(kind, column, units)
    with slowly():
        assert quick == read(kind, column, units)


@pytest.mark.parametrize(
    ("column", "inches"),
    [
        (["4 in", "4.5 in"], [4.0, 4.5]),
        ([".040in", "4. in".replace(" ", "")], [0.04, 4.0]),
        (["4 in", "101.6 mm", "4in", '4"', "4 inches", "-5e-3 in", "+4  in "], [4.0, 4.0, 4.0, 4.0, 4.0, -0.005, 4.0]),
        ([*["4 in"] * 500, *["101.6 mm"] * 500], [4.0] * 1000),
    ],
)
def test_what_is_written_alike_takes_the_quick_way(column: list[str], inches: list[float]) -> None:
    found = spelled_column("length", column)
    assert not found.left.size
    np.testing.assert_allclose(found.numbers, np.array(inches) * 0.0254, rtol=1e-15)


def test_ratios_and_degrees_take_it_too() -> None:
    assert not spelled_column("ratio", ["10.5:1", "10.5", "1050 %", "10.5 1", "10.5 to 1"]).left.size
    assert not spelled_column("temperature", ["25 °C", "77 degF", "−5 °C", "300 K"]).left.size
    assert not spelled_column("expansion", ["11 1e-6/K", "6.1 1e-6/degF", "11 10⁻⁶/K"]).left.size


def test_a_few_odd_entries_keep_no_other_from_it() -> None:
    column = ["4 in", "4 1/32 in", "101.6 mm", "4,5 in", "four in", "4 kg"] * 40
    found = spelled_column("length", column)
    assert set((found.left % 6).tolist()) == {1, 3, 4}
    assert [set((some % 6).tolist()) for some in found.alike] == [{5}]


@pytest.mark.parametrize("column", [["4"], ["4 in ± 0.1"], ["4,5 in"], ["4 1/2 in"], ["4 in\x01"], ["4 in\0004 in"]])
def test_what_is_not_is_read_by_itself(column: list[str]) -> None:
    assert spelled_column("length", column).left.tolist() == [0]


@pytest.mark.parametrize(
    "written", ["4 in ± 0.1 in", "4in+/-0.1mm", "4 in ± 1 kg", "4 in ± 0 in", "4 in ± -1 in", "4 in ± 0.1", "four ± 0.1 in"]
)
def test_tolerances_are_told_together_where_nothing_else_is_wrong(written: str) -> None:
    column = [written] * 30
    told = spelled_column("length", column)
    right = written in ("4 in ± 0.1 in", "4in+/-0.1mm")
    assert (sum(some.size for some in told.toleranced), told.left.size) == ((30, 0) if right else (0, 30))


def test_rows_of_one_mistake_share_its_words_and_are_not_read_again() -> None:
    column = ["4 in", "4 furlong", "5 furlong"] * 100
    with mock.patch.object(reading, "read_quantity", side_effect=reading.read_quantity) as asked:
        _, failures = read("length", column, None)
    assert asked.call_count == 1
    assert [failure["row"] for failure in failures] == [row for row in range(300) if row % 3]


@given(st.lists(WHOLES, min_size=1, max_size=8))
def test_whole_numbers_are_read_as_one_by_one(column: list[Any]) -> None:
    together = told([4.0] * len(column), column, "inch")
    alone = [told([4.0], [entry], "inch") for entry in column]
    for row, (_, one) in enumerate(alone):
        assert [failure["errors"] for failure in together[1]["failures"] if failure["row"] == row] == [
            failure["errors"] for failure in one["failures"]
        ]


@pytest.mark.parametrize(
    "column",
    [["3.892 in", "4 in"], ["102.5 mm"], ["3.892in", "3 in", None], [{"value": 4, "unit": "in", "tolerance": 0}, None], [4.0, None]],
)
def test_a_column_of_one_sort_is_read_at_once(column: list[Any]) -> None:
    column = column * 17
    with mock.patch.object(reading, "read_quantity", side_effect=AssertionError("read one by one")):
        numbers, _ = told(column, [8] * len(column), "inch")
    assert len(numbers["displacement"]) == 8 * len(column)


@given(st.lists(st.tuples(st.lists(st.integers(0, 9), min_size=1, max_size=5, unique=True), st.integers(1, 3)), max_size=6))
def test_failures_keep_the_order_of_rows_and_of_what_is_said(entered: list[tuple[list[int], int]]) -> None:
    failures, expected = Failures(10), defaultdict(list)
    for number, (rows, count) in enumerate(entered):
        errors = [FieldError(f"#/{number}", str(place), Code.IMPOSSIBLE) for place in range(count)]
        if count == 1:  # each with an error of its own
            failures.each({row: FieldError(f"#/{number}", str(row), Code.IMPOSSIBLE) for row in rows})
        else:
            failures.add(np.array(rows), *errors)
        for row in rows:
            expected[row] += [{**error.shown(), "detail": str(row)} if count == 1 else error.shown() for error in errors]
    assert failures.listed() == [{"row": row, "errors": expected[row]} for row in sorted(expected)]
    assert np.flatnonzero(failures.failed).tolist() == sorted(expected)


WORDS = st.sampled_from(["street", "race", "sport", None, "stret", "", "none", "'street'", True, 1, 1.0, [], ["street"], {}, "\ud800"])


@given(st.lists(WORDS, min_size=1, max_size=12))
def test_words_are_read_as_one_by_one(column: list[Any]) -> None:
    field = Choice(("street", "race", "sport"), "service")
    together = Failures(len(column))
    read = reading.read_column(field, column, ("duty", "service"), None, together)
    told = {failure["row"]: failure["errors"] for failure in together.listed()}
    for row, entry in enumerate(column):
        alone = Failures(1)
        reading.read_column(field, [entry], ("duty", "service"), None, alone)
        assert told.get(row, []) == [error for failure in alone.listed() for error in failure["errors"]]
    codes = np.zeros(len(column)) if read.codes is None else read.codes
    assert all((codes[row] == codes[0]) == (repr(entry) == repr(column[0])) for row, entry in enumerate(column))


@given(st.lists(st.tuples(*(st.sampled_from(["a", "b", None]),) * 4), min_size=1, max_size=30), st.sampled_from([1, 4, 2**16]))
def test_rows_with_the_same_words_are_one_group_whatever_their_number(rows: list[tuple[str | None, ...]], most: int) -> None:
    failures = Failures(len(rows))
    columns = {
        (str(place),): reading.read_column(Text(9, ""), list(words), (), None, failures)
        for place, words in enumerate(zip(*rows, strict=True))
    }
    expected: dict[tuple[str | None, ...], list[int]] = defaultdict(list)
    for row, words in enumerate(rows):
        expected[words].append(row)
    with mock.patch.object(answering, "MOST_CODES", most):
        assert [group.tolist() for group in answering._groups(columns, len(rows), failures)] == list(expected.values())


def test_rows_of_words_and_nulls_are_put_together_by_kind() -> None:
    """Each row comes out as it does alone, whatever stands beside it; a wrong word fails its rows and no other."""
    columns = {
        "bore": [3.862, 3.892, 3.922, 3.862, None, 3.962],
        "duty.service": ["street", "race", None, "street", "street", "stret"],
        "duty.aspiration": ["natural", "boost", "natural", "natural", "boost", "natural"],
    }
    calculation = calculations()["ring-gap"]

    def asked(chosen: list[int]) -> Any:
        return answer_batch(
            calculation,
            {"units": "inch", "columns": {name: [column[row] for row in chosen] for name, column in columns.items()}},
            most_rows=9,
        )

    together = asked(list(range(6)))
    assert [failure["row"] for failure in together["failures"]] == [4, 5]
    for row in range(6):
        alone = asked([row])
        for name, column in alone["columns"].items():
            np.testing.assert_array_equal(np.asarray(together["columns"][name])[row], np.asarray(column)[0])
        for name, verdicts in alone["checks"].items():
            assert together["checks"][name][row] == verdicts[0]
        assert [failure["errors"] for failure in alone["failures"]] == [f["errors"] for f in together["failures"] if f["row"] == row]
