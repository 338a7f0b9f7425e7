"""Batches: every row answers as the single calculation does, and no row harms another.

The first half runs over every calculation of the registry that has a batch route.
"""

import copy
import math
import re
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from marshmallow import Schema

from borewright.calculations.base.answers import Answer, Count, Figure, Truth, Word
from borewright.calculations.base.batch import answer_batch, columns_of
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Label, Many, Part, Quantity, QuantityOrPart, Request, Whole
from borewright.calculations.base.outcome import Check, Outcome
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest, Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.quantities import KINDS, Reading, from_si, read_quantity
from borewright.rules.cautions import CAUTIONS, ESTIMATE

ROWS = 8
# Closed forms answer the same to the last digit. Where small matrices are multiplied (gas properties), the library's order of summation
# depends on the number of rows, and a value may land on the other side of a rounding boundary: one unit of the twelfth digit.
CLOSED_FORMS = ("compression", "displacement", "ring-gap", "skirt-clearance")
LAST_DIGIT = 1e-11
OF_A_HUNDRED = 1e-11  # a margin is what two octane numbers near 100 leave, each good to 14 digits
CASES = [
    pytest.param(calculation, title, id=f"{name}: {title}")
    for name, calculation in calculations().items()
    if calculation.batch
    for title in calculation.examples
]


def run(calculation: Calculation, body: Any, most_rows: int = 1000) -> dict[str, Any]:
    """A batch's answer with lists for columns and None for null, as it goes over the wire."""
    found = answer_batch(calculation, body, most_rows=most_rows)
    for name, column in found["columns"].items():
        if isinstance(column, np.ndarray):
            found["columns"][name] = [None if math.isnan(value) else value for value in column.tolist()]
    return found


def leaves(schema: Schema, body: Mapping[str, Any], path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any, Any]]:
    """Every field of a body that can be a column: path, field, value."""
    for name, value in body.items():
        field = schema.fields[name]
        if isinstance(field, Part):
            yield from leaves(field.schema, value, (*path, name))
        elif name != "units" and not isinstance(field, Many) and not (isinstance(field, QuantityOrPart) and field.holds_part(value)):
            yield (*path, name), field, value


def place(body: dict[str, Any], path: tuple[str, ...], value: Any) -> None:
    """Set a nested value."""
    for step in path[:-1]:
        body = body[step]
    body[path[-1]] = value


def remove(body: dict[str, Any], path: tuple[str, ...]) -> None:
    """Take a nested value out; its object stays."""
    for step in path[:-1]:
        body = body[step]
    del body[path[-1]]


def exact(body: Any) -> Any:
    """A body without tolerances: batches take none."""
    if isinstance(body, Mapping):
        return {name: exact(inner) for name, inner in body.items() if name != "tolerance"}
    if isinstance(body, list):
        return [exact(inner) for inner in body]
    return re.sub(r"\s*(?:±|\+/-).*", "", body) if isinstance(body, str) else body


def flat(answered: Mapping[str, Any], prefix: str = "") -> Iterator[tuple[str, Any]]:
    """The results of a single answer under the names of a batch's columns."""
    for name, value in answered.items():
        if isinstance(value, Mapping) and "value" in value and "unit" in value:
            yield prefix + name, value["value"]
        elif isinstance(value, Mapping):
            yield from flat(value, f"{prefix}{name}.")
        elif not isinstance(value, list):
            yield prefix + name, value


def unit_of(field: Quantity, units: str | None) -> str:
    """The unit in which a varied quantity is spelled."""
    return KINDS[field.kind].answer_unit("inch" if units == "inch" else "metric")


def varied(
    calculation: Calculation, body: Mapping[str, Any], random: np.random.Generator, spread: float
) -> dict[tuple[str, ...], list[Any]]:
    """Columns of values scaled at random around those of an example; a value may leave its range, as in life."""
    columns: dict[tuple[str, ...], list[Any]] = {}
    units = body.get("units")
    for path, field, value in leaves(calculation.request_schema, body):
        factors = random.uniform(1 - spread, 1 + spread, ROWS)
        if isinstance(field, Quantity):
            unit = unit_of(field, units)
            si = read_quantity(value, field.kind, units).value
            columns[path] = [f"{from_si(si * float(factor), unit, field.kind)!r} {unit}" for factor in factors]
        elif isinstance(field, Whole) and field.numeric:
            columns[path] = [max(1, round(value * float(factor))) for factor in factors]
    return columns


def single(calculation: Calculation, body: Mapping[str, Any]) -> tuple[dict[str, Any], list[dict[str, str]]]:
    """The results and verdicts of a single answer, or its errors."""
    try:
        answered = answer(calculation, body)
    except Refusal as refusal:
        return {}, [error.shown() for error in refusal.errors]
    results = {name: value for name, value in answered.items() if name not in ("checks", "cautions", "assumptions", "sensitivity")}
    return {**dict(flat(results)), "checks": {check["name"]: check["verdict"] for check in answered["checks"]}}, []


def same(one: Mapping[str, Any], other: Mapping[str, Any], calculation: Calculation) -> None:
    """Two sets of results are equal: words and closed forms exactly, other figures to the last digit shown."""
    assert one.keys() == other.keys()
    for name, value in one.items():
        if isinstance(value, float) and other[name] is not None and calculation.name not in CLOSED_FORMS:
            assert other[name] == pytest.approx(value, rel=LAST_DIGIT, abs=OF_A_HUNDRED), name
        else:
            assert other[name] == value, name


@pytest.mark.parametrize(("calculation", "title"), CASES)
@pytest.mark.parametrize("spread", [0.0, 0.02, 0.4])
def test_a_row_is_the_single_answer(calculation: Calculation, title: str, spread: float) -> None:
    """Every row's figures, words, verdicts and errors are exactly those of the single calculation for the same row."""
    example = exact(calculation.examples[title])
    random = np.random.default_rng(round(1000 * spread) + len(title))
    columns = varied(calculation, example, random, spread)
    common = copy.deepcopy(example)
    common.pop("units", None)
    for path in columns:
        remove(common, path)
    units = {"units": example["units"]} if "units" in example else {}
    found = run(calculation, {**units, "common": common, "columns": {".".join(path): values for path, values in columns.items()}})
    assert found["rows"] == ROWS
    failed = {failure["row"]: failure["errors"] for failure in found["failures"]}
    for row in range(ROWS):
        body = copy.deepcopy(example)
        for path, values in columns.items():
            place(body, path, values[row])
        expected, errors = single(calculation, body)
        assert sorted(map(str, failed.get(row, []))) == sorted(map(str, errors))
        verdicts = expected.pop("checks", {})
        answered = {name: column[row] for name, column in found["columns"].items()}
        # a batch has the figures and words that stand alone; lists stay with the single calculation
        shown = {name: value for name, value in answered.items() if value is not None or name in expected}
        same({name: value for name, value in expected.items() if name in answered}, shown, calculation)
        if not errors:
            assert answered
            assert {name: column[row] for name, column in found["checks"].items() if column[row] is not None} == verdicts
            assert found["verdicts"][row] == expected["verdict"]
        else:
            assert set(answered.values()) <= {None}
            assert found["verdicts"][row] is None
    assert spread > 0.0 or not failed


def one_column(calculation: Calculation, example: dict[str, Any]) -> tuple[dict[str, Any], str, Any]:
    """A batch of an example whose first quantity is to be a column: what rows share, the column's name, and its value."""
    path, value = next((path, value) for path, field, value in leaves(calculation.request_schema, example) if isinstance(field, Quantity))
    common = copy.deepcopy(example)
    units = {name: common.pop(name) for name in ("units",) if name in common}
    remove(common, path)
    return {**units, "common": common}, ".".join(path), value


@pytest.mark.parametrize(("calculation", "title"), CASES)
def test_every_figure_that_stands_alone_is_a_column_with_its_unit(calculation: Calculation, title: str) -> None:
    """Nothing of the single answer outside lists is lost in a batch, and each unit is told."""
    example = exact(calculation.examples[title])
    envelope, varied, value = one_column(calculation, example)
    found = run(calculation, {**envelope, "columns": {varied: [value]}})
    expected, errors = single(calculation, example)
    assert not errors
    del expected["checks"]
    assert {name for name, value in expected.items() if isinstance(value, float) and name not in found["columns"]} == set()
    answered = answer(calculation, example)
    for name, unit in found["units"].items():
        figure: Any = answered
        for step in name.split("."):
            figure = None if figure is None else figure.get(step)
        assert figure is None or figure["unit"] == unit
    assert found["assumptions"] == answered["assumptions"]
    assert found["cautions"] == answered["cautions"]


@pytest.mark.parametrize(("calculation", "title"), CASES)
def test_a_bad_row_harms_no_other(calculation: Calculation, title: str) -> None:
    """The good rows answer the same whatever stands beside them."""
    envelope, varied, value = one_column(calculation, exact(calculation.examples[title]))
    alone = run(calculation, {**envelope, "columns": {varied: [value]}})
    bad: list[Any] = ["3 nonsense", value, [], {"value": "x"}, True, "1e30 mm", 10**400, value]
    mixed = run(calculation, {**envelope, "columns": {varied: bad}})
    assert [failure["row"] for failure in mixed["failures"]] == [0, 2, 3, 4, 5, 6]
    for name, column in mixed["columns"].items():
        same({"1": column[1], "7": column[7]}, dict.fromkeys("17", alone["columns"][name][0]), calculation)
        assert {column[row] for row in (0, 2, 3, 4, 5, 6)} == {None}


DISPLACEMENT, COMPRESSION = calculations()["displacement"], calculations()["compression"]
SHARED = {"bore": "84.3 mm", "stroke": "85.3 mm", "cylinders": 4, "chamber_volume": "41 cm3", "deck_clearance": "0.2 mm"}


class TestColumns:
    """Grouping, nulls, words."""

    def test_nulls_leave_a_field_out_of_a_row(self) -> None:
        """null means absent in that row alone: alternatives, defaults and optional results follow row by row."""
        found = run(
            COMPRESSION,
            {
                "common": SHARED,
                "columns": {
                    "gasket.thickness": ["1.1 mm", None, "1.1 mm", "1.1 mm"],
                    "gasket.bore": ["85.3 mm", None, None, "85.3 mm"],
                    "gasket.volume": [None, "6.5 cm3", None, "6.5 cm3"],
                    "rod_length": ["142.35 mm", None, "142.35 mm", None],
                    "intake_closing": ["60 deg", "60 deg", "60 deg", None],
                },
            },
        )
        assert [failure["row"] for failure in found["failures"]] == [2, 3]
        assert found["failures"][0]["errors"][0]["pointer"] == "#/gasket"
        assert "one of these is needed" in found["failures"][0]["errors"][0]["detail"]
        assert "only one of these" in found["failures"][1]["errors"][0]["detail"]
        assert [value is None for value in found["columns"]["compression_ratio"]] == [False, False, True, True]
        assert [value is None for value in found["columns"]["squish"]] == [False, True, True, True]
        assert [value is None for value in found["columns"]["dynamic_compression_ratio"]] == [False, True, True, True]
        assert found["checks"]["squish"] == ["pass" if found["columns"]["squish"][0] >= 0.889 else "watch", "unknown", None, None]

    def test_words_split_rows_and_wrong_words_fail_theirs(self) -> None:
        """Rows with different words are computed apart; a wrong word fails its row with the words there are."""
        found = run(
            COMPRESSION,
            {
                "common": {**SHARED, "gasket": {"bore": "85.3 mm", "thickness": "1.1 mm"}},
                "columns": {"duty.aspiration": ["natural", "boost", None, "natural", "trubo", 5, ["natural"], {}]},
            },
        )
        assert [failure["row"] for failure in found["failures"]] == [4, 5, 6, 7]
        for failure in found["failures"]:
            assert failure["errors"][0]["pointer"] == "#/duty/aspiration"
            assert failure["errors"][0]["detail"].startswith("this must be one of 'natural', 'boost', 'nitrous'")
        assert len(set(found["columns"]["compression_ratio"][:4])) == 1
        assert found["checks"]["compression-for-duty"][1] != found["checks"]["compression-for-duty"][0]
        assert found["checks"]["compression-for-duty"][2] is None  # without a duty there is no such check
        assert found["checks"]["compression-for-duty"][4:] == [None] * 4

    @given(st.lists(st.tuples(st.floats(2, 6) | st.none(), st.floats(2, 6), st.integers(-1, 30) | st.none()), min_size=1, max_size=12))
    def test_any_mixture_of_good_bad_and_missing(self, rows: list[tuple[float | None, float, int | None]]) -> None:
        """Every row stands alone: as its own single request."""
        bores, strokes, counts = (list(column) for column in zip(*rows, strict=True))
        found = run(DISPLACEMENT, {"units": "inch", "columns": {"bore": bores, "stroke": strokes, "cylinders": counts}})
        failed = {failure["row"] for failure in found["failures"]}
        for row, (bore, stroke, count) in enumerate(rows):
            body = {"units": "inch", "bore": bore, "stroke": stroke, "cylinders": count}
            expected, errors = single(DISPLACEMENT, {name: value for name, value in body.items() if value is not None})
            assert (row in failed) == bool(errors)
            assert found["columns"]["displacement"][row] == expected.get("displacement")

    @pytest.mark.parametrize("number", [10**400, -(10**400), math.inf, math.nan])
    def test_numbers_no_double_can_hold(self, number: float) -> None:
        """They fail their row."""
        found = run(DISPLACEMENT, {"units": "inch", "columns": {"bore": [4, number, 4], "stroke": [4, 4, 4], "cylinders": [8, 8, number]}})
        assert [failure["row"] for failure in found["failures"]] == [1, 2]
        assert found["columns"]["displacement"][0] == pytest.approx(128 * math.pi, rel=1e-11)

    def test_limits_are_told_in_the_units_of_the_request(self) -> None:
        """An inch request is answered in inches, as the single one."""
        body = {"units": "inch", "bore": 40.0, "stroke": 4.0, "cylinders": 8}
        found = run(DISPLACEMENT, {"units": "inch", "columns": {name: [body[name]] for name in ("bore", "stroke", "cylinders")}})
        assert found["failures"][0]["errors"] == single(DISPLACEMENT, body)[1]
        assert found["failures"][0]["errors"][0]["detail"].endswith(" in")

    def test_where_every_row_fails_the_columns_are_there(self) -> None:
        """Null, with their units: a caller finds the column asked for."""
        found = run(DISPLACEMENT, {"columns": {"bore": ["4 m", "5 m"], "stroke": ["4 in", "4 in"], "cylinders": [8, 8]}})
        assert found["columns"]["displacement"] == [None, None]
        assert found["units"]["displacement"] == "cm3"


class TestEnvelope:
    """What can't be used as a whole."""

    @staticmethod
    def refusal(body: Any, expected: type[Refusal], calculation: Calculation = DISPLACEMENT, most_rows: int = 10) -> dict[str, str]:
        """The errors by pointer."""
        with pytest.raises(expected) as refused:
            answer_batch(calculation, body, most_rows=most_rows)
        assert type(refused.value) is expected
        return {error.pointer: error.detail for error in refused.value.errors}

    def test_everything_wrong_at_once(self) -> None:
        """Unknown members, unknown columns, columns that are no lists."""
        errors = self.refusal(
            {"unit": "inch", "units": "imperial", "common": [], "columns": {"bor": [4], "stroke": 4, "cylinders": [], "units": ["inch"]}},
            InvalidRequest,
        )
        assert errors == {
            "#/unit": "there is no member 'unit' here; a batch has units, common and columns",
            "#/units": "this must be one of 'metric', 'inch'",
            "#/common": "this must be an object with the fields that all rows share",
            "#/columns/bor": "there is no column 'bor' here; did you mean 'bore'?",
            "#/columns/stroke": "a column must be a list with one entry a row",
            "#/columns/cylinders": "a column must be a list with one entry a row",
            "#/columns/units": "there is no column 'units' here; the columns are bore, stroke, cylinders",
        }

    @pytest.mark.parametrize("body", [None, [], "x", 5])
    def test_a_body_must_be_an_object(self, body: Any) -> None:
        """Anything else is refused as a whole."""
        assert set(self.refusal(body, InvalidRequest)) == {"#"}

    @pytest.mark.parametrize("columns", [None, {}, [], "bore"])
    def test_columns_are_needed(self, columns: Any) -> None:
        """At least one."""
        assert set(self.refusal({"columns": columns}, InvalidRequest)) == {"#/columns"}

    def test_an_object_in_common_is_whole_but_for_what_columns_put_inside(self) -> None:
        """What it lacks is told once, not for every row; what a column brings is not missed, however deep."""
        margin = calculations()["detonation-margin"]
        common = {"bore": 100, "stroke": 90, "cylinders": 8, "compression_ratio": 10}
        body: dict[str, Any] = {"units": "metric", "common": {**common, "fuel": {"octane": {"scale": "ron"}}, "nitrous": {}}}
        body["columns"] = {"speed": [3000, 5000]}
        assert set(self.refusal(body, InvalidRequest, margin)) == {"#/common/fuel/octane", "#/common/nitrous"}
        fuels: list[dict[str, Any]] = [{"octane": {}}, {}]
        for fuel in fuels:
            filled = {**body, "common": {**common, "fuel": fuel, "nitrous": {"power": 0}}}
            filled["columns"] = {"speed": [3000, 5000], "fuel.octane.rating": [91, 98], "fuel.octane.scale": ["ron", "ron"]}
            assert run(margin, filled)["failures"] == []

    def test_unequal_columns(self) -> None:
        """The lengths are told."""
        errors = self.refusal({"units": "inch", "columns": {"bore": [4, 4], "stroke": [4], "cylinders": [8, 8]}}, InvalidRequest)
        assert errors == {"#/columns": "all columns must be equally long: bore 2, stroke 1, cylinders 2"}

    def test_too_many_rows(self) -> None:
        """The limit is told, and it is inclusive."""
        columns = {"bore": [3.862] * 11, "stroke": [3.36] * 11, "cylinders": [8] * 11}
        assert "at most 10" in self.refusal({"units": "inch", "columns": columns}, InvalidRequest)["#/columns"]
        assert run(DISPLACEMENT, {"units": "inch", "columns": columns}, most_rows=11)["rows"] == 11

    def test_errors_in_common_are_told_once(self) -> None:
        """Not once a row, and with their place."""
        body = {"common": {"stroke": "4 kg", "bor": 1}, "columns": {"bore": ["4 in"] * 3}}
        errors = self.refusal(body, InvalidRequest)
        assert set(errors) == {"#/common/stroke", "#/common/bor"}
        assert set(self.refusal({"common": {"stroke": "4 m"}, "columns": {"bore": ["4 in"]}}, ImpossibleBuild)) == {"#/common/stroke"}
        assert set(self.refusal({"common": {"units": "inch"}, "columns": {"bore": ["4 in"]}}, InvalidRequest)) == {"#/common/units"}

    def test_bare_numbers_need_units_here_too(self) -> None:
        """No silent guess: in common the request is refused, in a column the row fails."""
        assert "no unit" in self.refusal({"common": {"stroke": 4}, "columns": {"bore": ["4 in"]}}, InvalidRequest)["#/common/stroke"]
        found = run(DISPLACEMENT, {"common": {"stroke": "4 in", "cylinders": 8}, "columns": {"bore": ["4 in", 4.0]}})
        assert [failure["row"] for failure in found["failures"]] == [1]
        assert "no unit" in found["failures"][0]["errors"][0]["detail"]

    def test_tolerances_are_refused(self) -> None:
        """In common as a whole, in a column for the row: never dropped in silence."""
        said = "tolerances are calculated by the single calculation, not in a batch: leave this one out"
        errors = self.refusal({"common": {"stroke": "4 in ± 0.1 in"}, "columns": {"bore": ["4 in"]}}, InvalidRequest)
        assert errors == {"#/common/stroke": said}
        found = run(DISPLACEMENT, {"common": {"stroke": "4 in", "cylinders": 8}, "columns": {"bore": ["4 in ± 0.1 in", "4 in"]}})
        assert found["failures"] == [{"row": 0, "errors": [{"pointer": "#/bore", "detail": said, "code": "tolerance-not-taken"}]}]

    def test_a_field_is_given_once(self) -> None:
        """A field both in common and as a column is refused: neither silently wins."""
        common = {**SHARED, "gasket": {"bore": "85.3 mm", "thickness": "1.1 mm"}}
        errors = self.refusal({"common": common, "columns": {"gasket.thickness": ["1 mm"], "bore": ["4 in"]}}, InvalidRequest, COMPRESSION)
        assert errors == dict.fromkeys(("#/common/gasket/thickness", "#/common/bore"), "this is given as a column too: give it once")


class SortRequest(Request):
    """A label, a size and a count."""

    number = Label(1, 9, "a number that names", required=True)
    size = Quantity("length", "0 mm", "100 mm", "a size", required=True)
    pieces = Whole(1, 5, "how many", required=True)


class SortAnswer(Answer):
    """Every kind of result that a column can have."""

    number = Count("its number")
    root = Figure("ratio", "lost at zero")
    maybe = Figure("ratio", "lost at zero, and may be", nullable=True)
    large = Truth("whether it is large")
    word = Word("how it is")


def sort(request: dict[str, Any]) -> Outcome:
    """Division by a size that can be zero."""
    size = request["size"]
    lost = 1e-3 / size
    lost[size == 0] = np.nan
    root = np.where(size < 0.05, lost, 1.0) if "pieces" in request else lost
    checks = [Check("factor", "ratio", lost, 0.05, None, "", "common practice", "the shop")]
    values = {
        "number": np.array([request["number"]]),
        "maybe": lost,
        "root": root,
        "large": size > 0.05,
        "word": np.where(size > 0.05, "large", "small"),
    }
    return Outcome(values, checks, ["instructions", "instructions"])


SORT = Calculation(
    name="sort",
    title="Sort",
    text="Sorts.",
    request=SortRequest,
    answer=SortAnswer,
    compute=sort,
    headline=("root",),
    examples={},
    sources=("arithmetic",),
    published=(),
    cautions=("lifting",),
    batch=True,
)


def test_labels_truths_words_and_lost_numbers() -> None:
    """A label belongs to its own row; a figure that comes out as no number fails its row as it does alone; a check on it is unknown."""
    columns = {"number": [3, 4.0, 4, 12, 5], "size": ["1 mm", "100 mm", "0 mm", "1 mm", "40 mm"], "pieces": [1, 2, 3, 4, 5]}
    found = run(SORT, {"columns": columns})
    assert [failure["row"] for failure in found["failures"]] == [2, 3]
    assert found["columns"]["number"] == [3, 4, None, None, 5]
    assert found["columns"]["root"] == [1.0, 1.0, None, None, 0.025]
    assert found["columns"]["large"] == [False, True, None, None, False]
    assert found["columns"]["word"] == ["small", "large", None, None, "small"]
    assert found["checks"]["factor"] == ["pass", "fail", None, None, "fail"]
    assert found["verdicts"] == ["pass", "fail", None, None, "fail"]
    assert found["cautions"] == [CAUTIONS["lifting"], CAUTIONS["instructions"], ESTIMATE]
    for row in range(5):
        expected, errors = single(SORT, {name: values[row] for name, values in columns.items()})
        assert [failure["errors"] for failure in found["failures"] if failure["row"] == row] == ([errors] if errors else [])
        assert {name: column[row] for name, column in found["columns"].items() if column[row] is not None} == {
            name: value for name, value in expected.items() if name not in ("verdict", "checks") and value is not None
        }


def test_lists_are_no_columns() -> None:
    """Every column of every calculation is a single value, named by its path."""
    for calculation in calculations().values():
        names = [".".join(steps) for steps, _ in columns_of(calculation.request_schema)]
        assert len(names) == len(set(names))
        assert "units" not in names
        assert not any(isinstance(field, Many | Part) for _, field in columns_of(calculation.request_schema))


def test_a_reading_is_what_a_column_holds() -> None:
    """The frame's short way for columns takes nothing that a body could spell: a Reading is no JSON."""
    assert answer(DISPLACEMENT, {"bore": Reading(0.1), "stroke": "100 mm", "cylinders": 1})["bore_stroke_ratio"]["value"] == 1.0
