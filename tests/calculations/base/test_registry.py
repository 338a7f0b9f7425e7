"""What every calculation of the registry owes: examples that answer, sources, outside checks, texts, defaults with their origin."""

import ast
import json
import math
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from marshmallow import Schema, fields, missing

from borewright.calculations.base.answers import COMMON_FIELDS, Figure, Table
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Choice, Flag, Label, Many, Part, Price, Quantity, Text, Whole
from borewright.calculations.base.outcome import VERDICTS
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.practice.tables import BASES, EVERY_BASIS, table, table_names
from borewright.quantities import KINDS, SYSTEMS, QuantityError, read_quantity
from borewright.rules.cautions import CAUTIONS, ESTIMATE

PUBLISHED = Path(__file__).parents[2] / "published"
CALCULATIONS = [pytest.param(calculation, id=name) for name, calculation in calculations().items()]
EXAMPLES = [
    pytest.param(calculation, title, id=f"{name}: {title}")
    for name, calculation in calculations().items()
    for title in calculation.examples
]


def request_fields(schema: Schema, path: str = "") -> Iterator[tuple[str, fields.Field[Any]]]:
    """Every field of a request with its dotted path, objects and list entries included."""
    for name, field in schema.fields.items():
        yield path + name, field
        inner = field.inner if isinstance(field, Many) else field
        if inner is not field and not isinstance(inner, Part):
            yield f"{path}{name}[]", inner
        if isinstance(inner, Part):
            yield from request_fields(inner.schema, f"{path}{name}.")


def answer_fields(schema: Schema, path: str = "") -> Iterator[tuple[str, fields.Field[Any]]]:
    """Every field of an answer with its dotted path."""
    for name, field in schema.fields.items():
        if path or name not in COMMON_FIELDS:
            yield path + name, field
            inner = field.inner if isinstance(field, fields.List | Table) else field
            if isinstance(inner, fields.Nested):
                yield from answer_fields(inner.schema, f"{path}{name}.")


REQUEST_FIELDS = [
    pytest.param(field, id=f"{name}: {path}")
    for name, calculation in calculations().items()
    for path, field in request_fields(calculation.request_schema)
]
ANSWER_FIELDS = [
    pytest.param(field, id=f"{name}: {path}")
    for name, calculation in calculations().items()
    for path, field in answer_fields(calculation.answer_schema)
]
ROWS = [pytest.param(name, key, id=f"{name}.{key}") for name in table_names() for key in table(name).rows]


@pytest.mark.parametrize("calculation", CALCULATIONS)
class TestCalculation:
    """Each calculation as a piece of data."""

    def test_name_and_words(self, calculation: Calculation) -> None:
        """A name that is a path segment and the module's; a title and a sentence."""
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", calculation.name)
        assert calculation.compute.__module__.rpartition(".")[2] == calculation.name.replace("-", "_")
        assert calculation.title[0].isupper()
        assert calculation.text.endswith(".")
        assert calculation.examples
        assert calculation.sources
        assert all(source.strip() for source in calculation.sources)

    def test_outside_checks_exist(self, calculation: Calculation) -> None:
        """It is held against the outside, and the modules it names are there and hold tests."""
        assert calculation.published
        for name in calculation.published:
            tree = ast.parse((PUBLISHED / f"{name}.py").read_text(encoding="utf-8"))
            tests = [node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")]
            assert tests, name
            assert ast.get_docstring(tree), f"{name} must name its sources"

    def test_headline_names_figures(self, calculation: Calculation) -> None:
        """The results whose variance is shared out are figures of the answer."""
        assert calculation.headline
        known = dict(answer_fields(calculation.answer_schema))
        for name in calculation.headline:
            assert isinstance(known[name], Figure), name

    def test_no_field_is_named_like_a_common_one(self, calculation: Calculation) -> None:
        """checks, cautions, assumptions and sensitivity are the frame's own at the top of every answer."""
        own = [name for name in type(calculation.answer_schema).__dict__ if name in COMMON_FIELDS]
        assert own == []


@pytest.mark.parametrize("field", REQUEST_FIELDS)
class TestRequestField:
    """Each field of each request."""

    def test_it_is_strict_and_has_a_text(self, field: fields.Field[Any]) -> None:
        """Only the frame's own field types, each with a text of its own."""
        assert isinstance(field, Quantity | Whole | Label | Price | Choice | Text | Flag | Part | Many)
        assert isinstance(field.text, str)
        assert field.text.strip()
        assert field.text == field.text.strip()
        assert not field.allow_none

    def test_its_default_says_where_it_comes_from(self, field: fields.Field[Any]) -> None:
        """A default has a basis and a source, and the field itself would take it; a field with one is not required."""
        assumed = getattr(field, "assumed", None)
        if assumed is not None:
            assert assumed.basis in BASES
            assert assumed.source.strip()
            assert not field.required
            assert field.deserialize(assumed.value) is not None
        assert field.load_default is missing, "a default that no answer would name"

    def test_its_range_is_a_range(self, field: fields.Field[Any]) -> None:
        """Lower below upper, in a known kind; lists of sensible length; choices that differ."""
        if isinstance(field, Quantity):
            assert field.kind in KINDS
            assert field.low < field.high
        elif isinstance(field, Whole):
            assert field.low < field.high
        elif isinstance(field, Many):
            assert 0 <= field.shortest <= field.longest <= 10000
        elif isinstance(field, Choice):
            assert len(set(field.options)) == len(field.options) >= 2


@pytest.mark.parametrize("field", ANSWER_FIELDS)
def test_each_answer_field_has_a_text(field: fields.Field[Any]) -> None:
    """And figures are of a known kind."""
    text = getattr(field, "text", None) or field.metadata.get("text")
    assert text
    assert not isinstance(field, Figure) or field.kind in KINDS


def holes(schema: Schema, answered: Mapping[str, Any], path: str = "") -> Iterator[str]:
    """Where an answer departs from its schema: unknown names, nulls that may not be, quantities of a wrong shape or order."""
    for name, value in answered.items():
        if not path and name in COMMON_FIELDS:
            continue
        if name not in schema.fields:
            yield f"{path}{name} is not in the schema"
            continue
        field = schema.fields[name]
        entries = value if isinstance(field, fields.List) else list(value.values()) if isinstance(field, Table) and value else [value]
        inner = field.inner if isinstance(field, fields.List | Table) else field
        for entry in entries:
            if entry is None:
                if not inner.allow_none:
                    yield f"{path}{name} is null"
            elif isinstance(inner, Figure):
                yield from (f"{path}{name}: {wrong}" for wrong in wrong_figure(entry, inner.kind))
            elif isinstance(inner, fields.Nested):
                yield from holes(inner.schema, entry, f"{path}{name}.")


def wrong_figure(figure: Mapping[str, Any], kind: str) -> Iterator[str]:
    """What is wrong with a quantity of an answer."""
    if figure["unit"] not in {KINDS[kind].answer_unit(system) for system in SYSTEMS}:
        yield f"unit {figure['unit']}"
    if not all(isinstance(number, float) and math.isfinite(number) for name, number in figure.items() if name != "unit"):
        yield f"no number in {figure}"
    if "low" in figure and not figure["low"] <= figure["value"] <= figure["high"]:
        yield f"out of order {figure}"
    if figure.get("uncertainty", 0.0) < 0:
        yield "negative uncertainty"


@pytest.mark.parametrize(("calculation", "title"), EXAMPLES)
class TestExample:
    """Each example of each calculation."""

    def test_it_answers_as_its_schema_says(self, calculation: Calculation, title: str) -> None:
        """An answer in JSON, whole and finite, in the schema's shape, with the frame's own parts."""
        example = calculation.examples[title]
        assert json.loads(json.dumps(example)) == example
        answered = answer(calculation, example)
        assert json.loads(json.dumps(answered, allow_nan=False)) == answered
        assert list(holes(calculation.answer_schema, answered)) == []
        assert set(COMMON_FIELDS) <= set(answered)
        assert answered["cautions"][-1] == ESTIMATE
        assert {CAUTIONS[key] for key in calculation.cautions} <= set(answered["cautions"])
        assert len(set(answered["cautions"])) == len(answered["cautions"])

    def test_checks_and_assumptions_are_founded(self, calculation: Calculation, title: str) -> None:
        """Every check has a verdict, a reason, a basis and a source; so does every assumption, and none is told twice."""
        answered = answer(calculation, calculation.examples[title])
        for check in answered["checks"]:
            assert check["verdict"] in VERDICTS
            assert check["basis"] in EVERY_BASIS
            assert (check["value"] is None) <= (check["verdict"] == "unknown")
            assert all(check[name].strip() for name in ("name", "reason", "source"))
        for assumption in answered["assumptions"]:
            assert assumption["basis"] in EVERY_BASIS
            assert assumption["name"].strip()
            assert assumption["source"].strip()
            assert assumption["value"] is not None
        names = [assumption["name"] for assumption in answered["assumptions"]]
        assert len(set(names)) == len(names)

    def test_sensitivity_shares_out_one(self, calculation: Calculation, title: str) -> None:
        """Shares add up to one, largest first, of inputs that are there; without tolerances there are none."""
        example = calculation.examples[title]
        shares = answer(calculation, example)["sensitivity"]
        contributions = [share["contribution"] for share in shares]
        assert contributions == sorted(contributions, reverse=True)
        assert not shares or sum(contributions) == pytest.approx(1, rel=1e-10)
        toleranced = re.search(r"±|\+/-|tolerance", json.dumps(example, ensure_ascii=False)) is not None
        assert toleranced or not shares
        for share in shares:
            assert share["output"] in calculation.headline
            holder: Any = example
            for step in share["input"].removeprefix("#/").split("/"):
                holder = holder[int(step)] if isinstance(holder, list) else holder[step]

    def test_both_systems_say_the_same(self, calculation: Calculation, title: str) -> None:
        """The same request answered in the other units has the same verdicts and, in SI, the same figures."""
        example = dict(calculation.examples[title])
        if example.pop("units", None) is not None and has_bare_numbers(calculation.request_schema, example):
            example = spelled_out(calculation.request_schema, example, calculation.examples[title]["units"])
        metric, inch = (answer(calculation, {**example, "units": system}) for system in SYSTEMS)
        assert [check["verdict"] for check in metric["checks"]] == [check["verdict"] for check in inch["checks"]]
        pairs = list(zip(figures(metric), figures(inch), strict=True))
        assert pairs
        for (path, one), (_, other) in pairs:
            kind = dict(answer_fields(calculation.answer_schema)).get(path)
            if isinstance(kind, Figure):
                first, second = (si(figure, kind.kind) for figure in (one, other))
                assert first == pytest.approx(second, rel=2e-11, abs=1e-15), path


def figures(tree: Any, path: str = "") -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every quantity of an answer's own results with its dotted path (list positions left out)."""
    if isinstance(tree, Mapping):
        if set(tree) >= {"value", "unit"}:
            yield path, tree
            return
        for name, inner in tree.items():
            if path or name not in COMMON_FIELDS:
                yield from figures(inner, f"{path}.{name}" if path else name)
    elif isinstance(tree, list):
        for inner in tree:
            yield from figures(inner, path)


def si(figure: Mapping[str, Any], kind: str) -> float:
    """A figure in SI."""
    return read_quantity({"value": figure["value"], "unit": figure["unit"]}, kind).value


def has_bare_numbers(schema: Schema, body: Mapping[str, Any]) -> bool:
    """Whether a request leans on its units to read a bare number."""
    try:
        for _ in spell(schema, body, None):
            pass
    except QuantityError:
        return True
    return False


def spell(schema: Schema, body: Mapping[str, Any], units: Any) -> Iterator[tuple[str, Any]]:
    """The members of a request with each bare quantity spelled out in SI units' terms of its kind."""
    for name, value in body.items():
        yield name, spelled_value(schema.fields[name], value, units)


def spelled_value(field: fields.Field[Any], value: Any, units: Any) -> Any:
    """One value, with bare quantities spelled out."""
    if isinstance(field, Part):
        return dict(spell(field.schema, value, units))
    if isinstance(field, Many):
        return [spelled_value(field.inner, entry, units) for entry in value]
    if isinstance(field, Quantity) and isinstance(value, int | float):
        read_quantity(value, field.kind, units)
        return {"value": value, "unit": KINDS[field.kind].bare_means[units] if units else "1"}
    return value


def spelled_out(schema: Schema, body: Mapping[str, Any], units: Any) -> dict[str, Any]:
    """A request without bare quantities."""
    return dict(spell(schema, body, units))


@pytest.mark.parametrize(("name", "key"), ROWS)
def test_each_row_of_each_table_is_founded(name: str, key: str) -> None:
    """A basis and a source, never both empty words; quantities read; no column that nobody explains."""
    row = table(name).row(key)
    assert row.basis in BASES
    assert row.source.strip()
    assert row.basis != "common practice" or "common practice" in row.source, "a trade rule says that it is one"
    for column, kind in row.kinds.items():
        if row.has(column):
            value = row.values[column]
            for one in value if isinstance(value, list) else [value]:
                assert math.isfinite(read_quantity(one, kind).value)
