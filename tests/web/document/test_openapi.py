"""The document: what it says of operations, fields, alternatives, defaults and problems."""

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest

from borewright import __version__
from borewright.calculations.base.batch import columns_of
from borewright.calculations.base.fields import Choice, Flag, Many, Quantity
from borewright.calculations.base.registry import calculations
from borewright.quantities import KINDS, read_quantity, spelling_pattern
from borewright.web.app import create_app
from borewright.web.document.batches import batch_example
from borewright.web.document.converter import component_name, quantity_range
from borewright.web.document.openapi import openapi

DOCUMENT = openapi()
WHOLE = openapi(whole=True)
SCHEMAS: dict[str, Any] = DOCUMENT["components"]["schemas"]


def test_it_is_the_served_document_and_the_same_each_time() -> None:
    served = create_app().test_client().get("/v1/openapi.json").get_json()
    assert json.dumps(served, sort_keys=True) == json.dumps(DOCUMENT, sort_keys=True)
    assert json.dumps(openapi()) == json.dumps(DOCUMENT)
    assert (DOCUMENT["openapi"], DOCUMENT["info"]["version"]) == ("3.1.0", __version__)


def test_every_route_that_is_data_is_in_it() -> None:
    rules = {str(rule) for rule in create_app().url_map.iter_rules()}
    written = {path for path in DOCUMENT["paths"] if not path.startswith("/v1/reference/")}
    assert written <= rules
    assert {rule for rule in rules if rule.startswith(("/v1/", "/health/"))} - {"/v1/reference/<name>"} <= written


@pytest.mark.parametrize("name", calculations())
def test_each_calculation(name: str) -> None:
    calculation = calculations()[name]
    operation, short = (document["paths"][f"/v1/{name}"]["post"] for document in (WHOLE, DOCUMENT))
    assert operation["operationId"] == short["operationId"] == name.replace("-", "_")
    assert operation["summary"] == short["summary"] == calculation.question
    assert all(source in operation["description"] for source in calculation.sources)
    sent = operation["requestBody"]["content"]["application/json"]
    assert [example["value"] for example in sent["examples"].values()] == list(calculation.examples.values())
    assert short["requestBody"]["content"]["application/json"]["example"] in calculation.examples.values()
    assert (f"/v1/{name}/batch" in DOCUMENT["paths"]) is calculation.batch


def test_whole_texts_stand_beside_the_same_types() -> None:
    assert _types(DOCUMENT) == _types(WHOLE)
    assert len(json.dumps(WHOLE)) > 1.3 * len(json.dumps(DOCUMENT))


def _types(part: Any, *, members: bool = False) -> Any:
    """A part of the document without its texts and examples."""
    if isinstance(part, dict):
        untyped = () if members else ("description", "example", "examples")
        return {name: _types(inner, members=name == "properties" and not members) for name, inner in part.items() if name not in untyped}
    return [_types(inner) for inner in part] if isinstance(part, list) else part


@pytest.mark.parametrize("wish", ["short", "", "FULL", "full&text=full"])
def test_the_texts_come_short_or_whole_and_in_no_other_way(wish: str) -> None:
    client = create_app().test_client()
    assert client.get("/v1/openapi.json?text=full").get_json() == WHOLE
    refused = client.get(f"/v1/openapi.json?text={wish}")
    assert (refused.status_code, refused.get_json()["type"]) == (400, "/problems/bad-request")
    assert "text=full" in refused.get_json()["detail"]


def test_every_member_is_described_where_texts_are_whole() -> None:
    schemas = WHOLE["components"]["schemas"]
    told = {member for schema in schemas.values() for member, found in _inner_members(schema) if found.get("description")}
    bare = [
        (name, member)
        for name, schema in schemas.items()
        for member, found in _inner_members(schema)
        # a component says what it is by itself; units and what a figure is made of are said once
        if not found.get("description") and "$ref" not in found and (member not in told or not name.startswith("Build"))
    ]
    assert {member for _, member in bare} <= {"unit", "value", "low", "high", "uncertainty", "plus", "minus"}


def _inner_members(schema: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every member told of inside a schema, but those of sets of alternatives, which are told of beside them."""
    if isinstance(schema, dict):
        for member, found in schema.get("properties", {}).items():
            yield member, found
            yield from _inner_members(found)
        for name, inner in schema.items():
            if name not in ("properties", "oneOf"):
                yield from _inner_members(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from _inner_members(inner)


def test_the_document_is_small_enough_to_load_in_one_go() -> None:
    assert len(create_app().test_client().get("/v1/openapi.json").data) < 300_000
    texts = [text for schema in SCHEMAS.values() for text in _texts(schema)]
    assert max(map(len, texts)) <= 120
    assert len(texts) > 800, "names alone do not say what a caller has to measure"


def _texts(schema: Any, *, members: bool = False) -> Iterator[str]:
    if isinstance(schema, dict):
        for name, inner in schema.items():
            if name == "description" and isinstance(inner, str):
                yield inner
            else:
                yield from _texts(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from _texts(inner)


def test_no_member_can_be_anything() -> None:
    typed = ("$ref", "type", "enum", "anyOf", "oneOf", "allOf")
    loose = [
        (name, member)
        for name, schema in SCHEMAS.items()
        for member, found in _inner_members(schema)
        if not any(key in found for key in typed) or (found.get("type") == "array" and not found["items"])
    ]
    assert loose == []


@pytest.mark.parametrize("name", calculations())
def test_every_quantity_has_its_kind_and_its_range(name: str) -> None:
    """Where a build may state it too, the range stands at the calculation."""
    calculation = calculations()[name]
    assert (
        list(_astray(calculation.request_schema.fields, _members({"$ref": f"#/components/schemas/{calculation.request.__name__}"}))) == []
    )


def _astray(given: dict[str, Any], members: dict[str, Any], at: str = "") -> Iterator[str]:
    assert set(given) == set(members), at
    for name, field in given.items():
        inner = field.inner if isinstance(field, Many) else field
        described = _resolved(members[name])
        found = _resolved(described["items"]) if isinstance(field, Many) else described
        if isinstance(inner, Quantity):
            kinds = {component_name(inner.kind, signed=inner.signed)}
            if found.get("x-range") != quantity_range(inner) or not kinds & set(found["named"]):
                yield f"{at}/{name}: {found}"
        if getattr(inner, "schema", None) is not None and not isinstance(inner, Quantity):
            yield from _astray(inner.schema.fields, _members(found), f"{at}/{name}")


def _members(schema: dict[str, Any]) -> dict[str, Any]:
    """The members of an object, with those of the bases that it stands on."""
    resolved = _resolved(schema)
    return resolved["members"] if isinstance(resolved["members"], dict) else {}


def _resolved(schema: dict[str, Any]) -> dict[str, Any]:
    """A schema with all that it refers to; `named` has the components on the way, `members` all that it is made of."""
    found: dict[str, Any] = {"named": [], "members": {}}
    held = [schema[key] for key in ("$ref",) if key in schema]
    parts = [SCHEMAS[reference.rsplit("/", 1)[1]] for reference in held]
    parts += [*schema.get("allOf", ()), *schema.get("anyOf", ())]
    for part in parts:
        inner = _resolved(part)
        members = {**found["members"], **inner["members"]}
        found = {**found, **inner, "named": [*found["named"], *inner["named"]], "members": members}
    found["named"] += [reference.rsplit("/", 1)[1] for reference in held]
    found["members"] = {**found["members"], **schema.get("properties", {})}
    return {**found, **{key: inner for key, inner in schema.items() if key not in ("$ref", "allOf", "anyOf", "properties")}}


def test_alternatives_are_written() -> None:
    """With their types, as generators want them: a set of members of which exactly one is given is a type of its own."""
    (group,) = SCHEMAS["GasketPart"]["allOf"]
    assert [way["required"] for way in group["oneOf"]] == [["bore", "thickness"], ["area", "thickness"], ["volume"]]
    length, volume = ({"$ref": f"#/components/schemas/{kind}"} for kind in ("Length", "Volume"))
    assert group["oneOf"][0]["properties"] == {"bore": length, "thickness": length}
    assert group["oneOf"][2]["properties"] == {"volume": volume}


def test_defaults_are_written() -> None:
    """In words alone: a default as a member of the schema makes generated types demand the member of every caller."""
    schemas = WHOLE["components"]["schemas"]
    assert schemas["Dome"]["description"].endswith("(default '0 cm3')")
    assert schemas["DutyPart"]["properties"]["fuel"]["description"].endswith("(default 'gasoline')")
    assert [name for name, schema in SCHEMAS.items() if '"default":' in json.dumps(schema)] == []


def test_ranges_and_row_limits_are_written() -> None:
    displacement = SCHEMAS["Bore"]["x-range"]
    low, high = (read_quantity(spelled, "length").value for spelled in displacement)
    field = calculations()["displacement"].request_schema.fields["bore"]
    assert (low, high) == pytest.approx((field.low, field.high))
    for most_rows, name in ((1000, "Displacement"), (10**9, "DetonationMargin")):
        schemas = openapi(most_rows=most_rows)["components"]["schemas"]
        calculation = calculations()["displacement" if name == "Displacement" else "detonation-margin"]
        columns = schemas[f"{name}BatchRequest"]["properties"]["columns"]["properties"]
        for column in columns.values():
            whole = schemas[column["$ref"].rsplit("/", 1)[1]] | column if "$ref" in column else column
            assert whole["maxItems"] == (calculation.most_rows or most_rows)


@pytest.mark.parametrize("name", [name for name, calculation in calculations().items() if calculation.batch])
def test_each_column_of_a_request_is_typed_as_the_single_field(name: str) -> None:
    """By its own name, closed, and an entry is what the single request takes there, or null: a column of another kind is refused."""
    calculation = calculations()[name]
    request = _resolved({"$ref": f"#/components/schemas/{calculation.request.__name__.replace('Request', 'BatchRequest')}"})
    columns = _resolved(request["members"]["columns"])
    assert False in (columns.get("additionalProperties"), columns.get("unevaluatedProperties"))
    fields = {".".join(steps): field for steps, field in columns_of(calculation.request_schema)}
    assert set(columns["members"]) == set(fields)
    for column, field in fields.items():
        found = _resolved(columns["members"][column])
        items = found["items"]
        assert (found["type"], found["minItems"]) == ("array", 1)
        if isinstance(field, Quantity):
            kind = {"$ref": f"#/components/schemas/{component_name(field.kind, signed=field.signed)}"}
            assert items == {"anyOf": [kind, {"type": "null"}]}, column
        elif isinstance(field, Choice):
            words, nothing = items["anyOf"]
            assert (SCHEMAS[words["$ref"].rsplit("/", 1)[1]] if "$ref" in words else words)["enum"] == list(field.options), column
            assert nothing == {"type": "null"}
        else:
            assert items["type"] == [{Flag: "boolean"}.get(type(field), "integer"), "null"], column


def test_answers_have_every_member_and_numbers_are_doubles() -> None:
    """A member that may be null is there all the same, so generated types need no question marks."""
    for calculation in calculations().values():
        parts = SCHEMAS[calculation.answer.__name__]["allOf"]
        assert {"$ref": "#/components/schemas/AnyAnswer"} in parts
        for part in parts:
            schema = SCHEMAS[part["$ref"].rsplit("/", 1)[1]] if "$ref" in part else part
            assert schema.get("required", []) == list(schema["properties"]), calculation.name
        assert SCHEMAS[calculation.answer.__name__]["unevaluatedProperties"] is False
    assert SCHEMAS["AnyFigure"]["properties"]["value"] == {"type": "number", "format": "double"}
    base, own = SCHEMAS["LengthFigure"]["allOf"]
    assert base == {"$ref": "#/components/schemas/AnyFigure"}
    assert own["properties"] == {"unit": {"type": "string", "enum": ["mm", "in"]}}
    assert _members(SCHEMAS["CheckAnswer"])["value"]["anyOf"][0] == {"$ref": "#/components/schemas/AnyFigure"}


def test_quantities_are_one_component_each() -> None:
    length = SCHEMAS["Length"]
    assert [branch.get("type", branch.get("allOf")) for branch in length["oneOf"]] == [
        "string",
        [{"$ref": "#/components/schemas/Value"}],
        "number",
    ]
    assert length["oneOf"][0]["pattern"] == spelling_pattern("length", signed=False)
    assert length["oneOf"][1]["properties"]["unit"]["enum"] == list(KINDS["length"].units)
    assert SCHEMAS["SignedLength"]["oneOf"][0]["pattern"] == spelling_pattern("length", signed=True)
    assert SCHEMAS["Bore"]["allOf"] == [{"$ref": "#/components/schemas/Length"}]
    assert SCHEMAS["DisplacementFields"]["properties"]["bore"] == {"$ref": "#/components/schemas/Bore"}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("signed", [False, True])
def test_the_pattern_of_a_quantity_says_what_is_read(kind: str, signed: bool) -> None:
    pattern = re.compile(spelling_pattern(kind, signed=signed))
    for unit in KINDS[kind].units:
        for spelled in (f"1.5 {unit}", f"0.5 {unit} ± 0.1 {unit}", f"2 ± 1 {unit}", f"1e2 {unit} +/- 1 {unit}"):
            assert pattern.search(spelled), spelled
            read_quantity(spelled, kind)
        assert bool(pattern.search(f"-1.5 {unit}")) is signed
    for wrong in ("", "1.5 nothing", "mm", "1,5 mm", "1.5 mm 2", "± 1 mm", "NaN mm"):
        assert not pattern.search(wrong)


@pytest.mark.parametrize("name", [name for name, calculation in calculations().items() if calculation.batch])
def test_batch_example_has_no_tolerance_and_two_rows(name: str) -> None:
    example = batch_example(calculations()[name])
    assert "±" not in json.dumps(example, ensure_ascii=False)
    assert "tolerance" not in json.dumps(example)
    assert {len(column) for column in example["columns"].values()} == {2}
