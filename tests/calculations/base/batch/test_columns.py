"""Columns read at once are what their entries are one by one, and rows that fail are told as ever."""

from collections import defaultdict
from typing import Any
from unittest import mock

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.batch import answering as batch
from borewright.calculations.base.batch.failures import Failures
from borewright.calculations.base.batch.spelled import spelled_column
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import FieldError, InvalidRequest
from borewright.calculations.base.registry import calculations

NUMBERS = (
    st.floats(0, 8, allow_nan=False) | st.integers(0, 9) | st.none() | st.sampled_from([10**400, -1.0, 1e300, True, "4 in", "4.5 in", "4"])
)
STRINGS = st.sampled_from(
    ["3.89 in", "4.0in", "4 in", "4. in", ".5 in", "102 mm", "4  in", "4 kg", "4.0.3 in", " in", "4 1/32 in", "1e1 in", ". in", "4 in 4 in"]
)
ALIKE = st.floats(0.5, 20, allow_nan=False).map(lambda value: f"{value:.4f} in") | st.sampled_from(
    ["4 in", "00004.03 in", "1234567890.123456789012 in"]
)
MIXED = ALIKE | st.sampled_from(
    ["102 mm", "102mm", ".1 m", "4 in", "4in", None, "4 furlong", "4, in", "4 in\0004 in", "\ud800 in", "4 inch", " in", ""]
)
OBJECTS = st.fixed_dictionaries({"value": st.floats(0.5, 20) | st.integers(1, 9), "unit": st.sampled_from(["in", "mm"])}) | st.sampled_from(
    [
        None,
        {"value": 4.0, "unit": "in"},
        {"value": 4.0, "unit": "kg"},
        {"value": 4.0, "unit": "inch"},
        {"value": True, "unit": "in"},
        {"value": 10**400, "unit": "in"},
        {"value": 1e308, "unit": "ft"},
        {"value": 4.0},
        {"value": 4.0, "units": "in"},
        {"value": 4.0, "unit": None},
        {"value": 4.0, "unit": "in", "tolerance": 0},
        {"value": 4.0, "unit": "in", "tolerance": 0.1},
        "4 in",
    ]
)
PLAIN_OBJECTS = st.sampled_from([{"value": 4, "unit": "in"}, {"value": 102.5, "unit": "mm"}, {"value": 0.1, "unit": "m"}, None])
WHOLES = st.integers(-3, 30) | st.sampled_from([8.0, 8.5, None, 10**400, "8", True, 1e300, -0.0])


def slowly() -> Any:
    """Every entry by itself."""
    return mock.patch.multiple(batch, spelled_column=lambda *_: None, _scaled=lambda *_: None)


def told(bore: list[Any], cylinders: list[Any], units: str | None) -> Any:
    body = {"common": {"stroke": "3.36 in"}, "columns": {"bore": bore, "cylinders": cylinders}} | ({"units": units} if units else {})
    try:
        found = answer_batch(calculations()["displacement"], body, most_rows=100)
    except InvalidRequest as refusal:
        return refusal.errors
    numbers = {name: column.tobytes() for name, column in found.pop("columns").items()}
    return numbers, found


@given(
    column=st.one_of(*(st.lists(one, min_size=1, max_size=8) for one in (NUMBERS, STRINGS, ALIKE, MIXED, OBJECTS, PLAIN_OBJECTS))),
    units=st.sampled_from(["inch", "metric", None]),
)
def test_a_column_is_read_as_its_entries_are(column: list[Any], units: str | None) -> None:
    cylinders = [8] * len(column)
    quick = told(column, cylinders, units)
    with slowly():
        assert quick == told(column, cylinders, units)


@pytest.mark.parametrize(
    ("column", "inches"),
    [
        (["4 in", "4.5 in"], [4.0, 4.5]),
        ([".040in", "4. in".replace(" ", "")], [0.04, 4.0]),
        (["4 in", "101.6 mm", None, "4in"], [4.0, 4.0, None, 4.0]),
        ([None, {"value": 4, "unit": "in"}, {"value": 0.1016, "unit": "m"}], [None, 4.0, 4.0]),
    ],
)
def test_what_is_written_alike_takes_the_quick_way(column: list[Any], inches: list[float | None]) -> None:
    found = spelled_column("length", column)
    assert found is not None
    np.testing.assert_allclose(found, [np.nan if size is None else size * 0.0254 for size in inches], rtol=1e-15)


@pytest.mark.parametrize(
    "column",
    [[None], ["4"], ["4 in", 4.0], ["4 in", "4,5 in"], ["4 in", "4 1/2 in"], [{"value": 4.0}], [{"value": 4.0, "unit": "kg"}], [[]]],
)
def test_what_is_not_is_read_by_itself(column: list[Any]) -> None:
    assert spelled_column("length", column) is None


@given(st.lists(WHOLES, min_size=1, max_size=8))
def test_whole_numbers_are_read_as_one_by_one(column: list[Any]) -> None:
    together = told([4.0] * len(column), column, "inch")
    alone = [told([4.0], [entry], "inch") for entry in column]
    for row, (_, one) in enumerate(alone):
        assert [failure["errors"] for failure in together[1]["failures"] if failure["row"] == row] == [
            failure["errors"] for failure in one["failures"]
        ]


@pytest.mark.parametrize("column", [["3.892 in", "4 in"], ["102.5 mm"], ["3.892in", "3in"]])
def test_strings_of_one_unit_are_read_at_once(column: list[str]) -> None:
    with mock.patch.object(batch, "read_quantity", side_effect=AssertionError("read one by one")):
        numbers, _ = told(column, [8] * len(column), None)
    assert len(numbers["displacement"]) == 8 * len(column)


@given(st.lists(st.tuples(st.lists(st.integers(0, 9), min_size=1, max_size=5, unique=True), st.integers(1, 3)), max_size=6))
def test_failures_keep_the_order_of_rows_and_of_what_is_said(entered: list[tuple[list[int], int]]) -> None:
    failures, expected = Failures(10), defaultdict(list)
    for number, (rows, count) in enumerate(entered):
        errors = [FieldError(f"#/{number}", str(place), Code.IMPOSSIBLE) for place in range(count)]
        failures.add(np.array(rows), *errors)
        for row in rows:
            expected[row] += [error.shown() for error in errors]
    assert failures.listed() == [{"row": row, "errors": expected[row]} for row in sorted(expected)]
    assert np.flatnonzero(failures.failed).tolist() == sorted(expected)


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
