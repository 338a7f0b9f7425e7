"""The codes of refused fields: each refusal in the code states one of the list, and marshmallow's own are told by their keys."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from marshmallow import Schema, ValidationError
from marshmallow import fields as plain

import borewright
from borewright.calculations.base import fields
from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.mistakes import BEYOND_SCHEMA, MISTAKES, Code
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest, Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.quantities import QuantityError

GOOD = {"bore": "94 mm", "stroke": "88 mm", "cylinders": 4}
SOURCES = sorted(Path(borewright.__file__).parent.rglob("*.py"))
PLACE_OF_CODE = {"FieldError": 2, "refuse_where": 3, "wrong": 1, "Said": 1}  # among the arguments


def codes(name: str, body: Any) -> set[Code]:
    with pytest.raises(Refusal) as caught:
        answer(calculations()[name], body)
    return {error.code for error in caught.value.errors}


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"bore": None}, "wrong-type"),
        ({"bor": "1 mm"}, "unknown-field"),
        ({"bore": 94}, "no-unit"),
        ({"bore": "94"}, "no-unit"),
        ({"bore": "94 kg"}, "unit-of-another-kind"),
        ({"bore": "94 furlongs"}, "unknown-unit"),
        ({"bore": {"value": 94}}, "unknown-unit"),
        ({"bore": "wide"}, "unreadable-quantity"),
        ({"bore": [94]}, "unreadable-quantity"),
        ({"bore": "4 m"}, "out-of-range"),
        ({"bore": "-4 mm"}, "out-of-range"),
        ({"bore": "1e99 mm"}, "out-of-range"),
        ({"cylinders": 4.5}, "wrong-type"),
        ({"cylinders": 400}, "out-of-range"),
        ({"units": "imperial"}, "not-an-option"),
        ({"bore": "9" * 300 + " mm"}, "wrong-length"),
    ],
)
def test_of_a_field(changes: dict[str, Any], code: str) -> None:
    assert codes("displacement", {**GOOD, **changes}) == {code}


def test_of_what_is_left_out_and_given_twice() -> None:
    assert codes("displacement", {"bore": "94 mm"}) == {"missing"}
    build = {**GOOD, "chamber_volume": "52 cm3", "gasket": {"bore": "95 mm", "thickness": "1 mm"}}
    assert codes("compression", build) == {"missing"}
    twice = {"deck_clearance": "0 mm", "stack": {"deck_height": "230 mm", "rod_length": "145 mm", "compression_height": "40 mm"}}
    assert codes("compression", {**build, **twice}) == {"given-twice"}
    assert codes("compression", {**build, "deck_clearance": "0 mm", "crown": {"dome": "300 cm3"}}) == {"impossible"}
    assert codes("compression", {**build, "gasket": []}) == {"wrong-type", "missing"}


@pytest.mark.parametrize(
    ("columns", "code"),
    [({"bore": ["94 mm"], "stroke": ["88 mm", "89 mm"]}, "unequal-columns"), ({"bore": ["94 mm"] * 11}, "wrong-length")],
)
def test_of_a_batch(columns: dict[str, list[str]], code: str) -> None:
    with pytest.raises(InvalidRequest) as caught:
        answer_batch(calculations()["displacement"], {"columns": columns}, most_rows=10)
    assert [error.code for error in caught.value.errors] == [code]


def test_of_a_row() -> None:
    found = answer_batch(calculations()["displacement"], {"common": {"cylinders": 4}, "columns": {"bore": ["9 kg"]}}, most_rows=10)
    (failure,) = found["failures"]
    assert "unit-of-another-kind" in {error["code"] for error in failure["errors"]}


def test_each_has_a_sentence() -> None:
    assert list(MISTAKES) == list(Code)
    assert all(mistake.sentence.endswith(".") for mistake in MISTAKES.values())
    assert Code.IMPOSSIBLE not in BEYOND_SCHEMA


def test_what_can_not_exist_is_no_invalid_request_and_the_other_way_round() -> None:
    """What the schema says no to goes with it: then the request is to be mended first."""
    gap = {"bore": "100 mm", "measured": [{"cylinder": 1, "top": "0.4 mm"}, {"cylinder": 1, "top": "0.5 mm"}]}
    with pytest.raises(InvalidRequest):
        answer(calculations()["ring-gap"], gap)
    build = {**GOOD, "chamber_volume": "52 cm3", "gasket": {"bore": "95 mm", "thickness": "1 mm"}, "deck_clearance": "-9 mm"}
    with pytest.raises(ImpossibleBuild):
        answer(calculations()["compression"], build)
    with pytest.raises(InvalidRequest):
        answer(calculations()["displacement"], {**GOOD, "bore": "4 m", "stroke": "3 kg"})


class TestEveryRefusalOfTheCode:
    """No refusal is made without its code, and none has one that the list does not."""

    def test_each_call_states_a_code(self) -> None:
        found = 0
        for path in SOURCES:
            tree = ast.parse(path.read_text())
            for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)):
                for call, name in refusals(function):
                    stated = stated_code(call, PLACE_OF_CODE[name])
                    assert stated is not None, f"{path}:{call.lineno} states no code"
                    assert is_code(stated, function), f"{path}:{call.lineno}: {ast.unparse(stated)} is no code of the list"
                    found += 1
        assert found > 120  # so that a renamed method does not leave the test without work

    def test_marshmallows_errors_are_made_in_one_place(self) -> None:
        """An error made elsewhere would carry a plain text."""
        made = [
            (path.name, call.lineno)
            for path in SOURCES
            for call in ast.walk(ast.parse(path.read_text()))
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "ValidationError"
        ]
        assert {name for name, _ in made} == {"fields.py"}
        assert len(made) == 2, made  # `wrong`, and the errors of a schema that are handed on

    def test_each_kind_of_unreadable_quantity_has_one(self) -> None:
        for kind in (QuantityError, *QuantityError.__subclasses__()):
            assert fields.code_of(kind("")) in Code
        assert QuantityError.__subclasses__(), "no kinds"

    def test_each_message_of_marshmallow_has_one(self) -> None:
        """Also those of fields that take nested values: their keys are marshmallow's, the texts ours."""

        class Hole(fields.RequestPart):
            depth = fields.Quantity("length", "1 mm", "9 mm", "its depth", required=True)

        class Plate(fields.RequestPart):
            holes = fields.Many(fields.Part(Hole, "a hole"), "the holes")
            hole = fields.Part(Hole, "a hole")

        for body, code in (
            ({"holes": {}}, Code.WRONG_TYPE),
            ({"holes": [None]}, Code.WRONG_TYPE),
            ({"holes": [3]}, Code.WRONG_TYPE),
            ({"holes": []}, Code.WRONG_LENGTH),
            ({"hole": []}, Code.WRONG_TYPE),
            ({"hole": {}}, Code.MISSING),
            ({"hole": {"depth": None}}, Code.WRONG_TYPE),
            ({"hol": {}}, Code.UNKNOWN_FIELD),
        ):
            with pytest.raises(ValidationError) as caught:
                Plate().load(body)
            said = list(leaves(caught.value.messages))
            assert [one.code for one in said] == [code], body

    def test_every_field_of_every_request_is_ours(self) -> None:
        """A field of marshmallow's own would answer in its words, without a code."""

        def fields_of(schema: Schema) -> Iterator[plain.Field[Any]]:
            for field in schema.fields.values():
                yield field
                inner = getattr(field, "inner", field)
                yield inner
                if isinstance(inner, fields.Part | fields.QuantityOrPart):
                    yield from fields_of(inner.schema)

        seen = [field for calculation in calculations().values() for field in fields_of(calculation.request_schema)]
        assert len(seen) > 500
        assert all(type(field).make_error is fields.Quantity.make_error for field in seen)


def leaves(messages: Any) -> Iterator[Any]:
    if isinstance(messages, dict | list):
        for inner in messages.values() if isinstance(messages, dict) else messages:
            yield from leaves(inner)
    else:
        yield messages


def refusals(function: ast.FunctionDef) -> Iterator[tuple[ast.Call, str]]:
    for node in ast.walk(function):
        if isinstance(node, ast.Call):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if name in PLACE_OF_CODE:
                yield node, name


def stated_code(call: ast.Call, place: int) -> ast.expr | None:
    named = [keyword.value for keyword in call.keywords if keyword.arg == "code"]
    return named[0] if named else call.args[place] if len(call.args) > place else None


def is_code(node: ast.expr, function: ast.FunctionDef) -> bool:
    """Code.X of the list, a choice among them, one handed on, or looked up in a table of codes."""
    if isinstance(node, ast.IfExp):
        return is_code(node.body, function) and is_code(node.orelse, function)
    if isinstance(node, ast.Attribute):
        return node.attr in Code.__members__ if ast.unparse(node.value) == "Code" else node.attr == "code"
    if isinstance(node, ast.Call):
        return ast.unparse(node.func) in ("Code", "code_of")
    if isinstance(node, ast.Subscript):
        return ast.unparse(node.value) == "_OF_MARSHMALLOW"
    if isinstance(node, ast.Name):
        taken = {argument.arg: argument.annotation for argument in function.args.args}
        if node.id in taken:
            return ast.unparse(taken[node.id] or node) == "Code"
        given = [one for one in ast.walk(function) if isinstance(one, ast.Assign) and ast.unparse(one.targets[0]) == node.id]
        loops = [one for one in ast.walk(function) if isinstance(one, ast.For | ast.comprehension) and node.id in ast.unparse(one.target)]
        return all(is_code(one.value, function) for one in given) and bool(given or loops)
    return False
