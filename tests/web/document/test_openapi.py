"""The document: what it says of operations, fields, alternatives, defaults and problems."""

import json
import re
from typing import Any

import pytest

from borewright import __version__
from borewright.calculations.base.registry import calculations
from borewright.quantities import KINDS, read_quantity, spelling_pattern
from borewright.web.app import create_app
from borewright.web.document.batches import batch_example
from borewright.web.document.lean import of_a_build
from borewright.web.document.openapi import openapi

DOCUMENT = openapi()
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
    operation = DOCUMENT["paths"][f"/v1/{name}"]["post"]
    assert operation["operationId"] == name.replace("-", "_")
    assert operation["summary"] == calculation.question
    assert all(source in operation["description"] for source in calculation.sources)
    sent = operation["requestBody"]["content"]["application/json"]
    assert [example["value"] for example in sent["examples"].values()] == list(calculation.examples.values())
    assert (f"/v1/{name}/batch" in DOCUMENT["paths"]) is calculation.batch


def test_every_field_of_a_request_is_described() -> None:
    bare = [
        (name, field)
        for name, schema in SCHEMAS.items()
        if name.endswith(("Request", "Part")) and not name.endswith("BatchRequest")
        for field, found in schema["properties"].items()
        if not found.get("description") and not _is_an_object(found) and found != {"$ref": "#/components/schemas/Units"}
    ]
    assert bare == []
    assert [name for name, schema in SCHEMAS.items() if not schema.get("description")] == []


def _is_an_object(found: dict[str, Any]) -> bool:
    """Whether it is a component that says what it is by itself."""
    return SCHEMAS.get(found.get("$ref", "").rsplit("/", 1)[-1], {}).get("type") == "object"


def test_each_field_of_a_build_is_described_there_or_where_a_calculation_takes_it() -> None:
    told = {
        member
        for name, schema in SCHEMAS.items()
        if not of_a_build(name)
        for member, found in schema.get("properties", {}).items()
        if found.get("description")
    }
    bare = [
        (name, member)
        for name, schema in SCHEMAS.items()
        if of_a_build(name)
        for member, found in schema["properties"].items()
        if not found.get("description") and not _is_an_object(found) and member not in told
    ]
    assert bare == []


def test_the_document_is_small_enough_to_load_in_one_go() -> None:
    """What grows with each operation is its own fields alone: answers are served apart, what is shared is there once."""
    size = len(json.dumps(DOCUMENT, ensure_ascii=False, separators=(",", ":")).encode())
    assert size < 20_000 * len(DOCUMENT["paths"])
    assert len(json.dumps(DOCUMENT["components"]["schemas"]["SignedLength"], ensure_ascii=False)) < 1_600


def test_alternatives_are_written() -> None:
    """With their types, as generators want them: a set of members of which exactly one is given is a type of its own."""
    (group,) = SCHEMAS["GasketPart"]["allOf"]
    assert [way["required"] for way in group["oneOf"]] == [["bore", "thickness"], ["area", "thickness"], ["volume"]]
    length, volume = ({"$ref": f"#/components/schemas/{kind}"} for kind in ("Length", "Volume"))
    assert group["oneOf"][0]["properties"] == {"bore": length, "thickness": length}
    assert group["oneOf"][2]["properties"] == {"volume": volume}


def test_defaults_are_written() -> None:
    """In words alone: a default as a member of the schema makes generated types demand the member of every caller."""
    assert SCHEMAS["CrownPart"]["properties"]["dome"]["description"].endswith("(default '0 cm3')")
    assert SCHEMAS["DutyPart"]["properties"]["fuel"]["description"].endswith("(default 'gasoline')")
    assert [name for name, schema in SCHEMAS.items() if '"default":' in json.dumps(schema)] == []


def test_ranges_and_row_limits_are_written() -> None:
    displacement = SCHEMAS["DisplacementRequest"]["properties"]["bore"]["x-range"]
    low, high = (read_quantity(spelled, "length").value for spelled in displacement)
    field = calculations()["displacement"].request_schema.fields["bore"]
    assert (low, high) == pytest.approx((field.low, field.high))
    for most_rows, name in ((1000, "Displacement"), (10**9, "DetonationMargin")):
        schemas = openapi(most_rows=most_rows)["components"]["schemas"]
        columns = schemas[f"{name}BatchRequest"]["properties"]["columns"]["properties"]
        limit = calculations()["displacement" if name == "Displacement" else "detonation-margin"].most_rows or most_rows
        told = [(schemas.get(column.get("$ref", "").rsplit("/", 1)[-1], {}) | column)["maxItems"] for column in columns.values()]
        assert set(told) == {limit}


def test_answers_have_every_member_and_numbers_are_doubles() -> None:
    """A member that may be null is there all the same, so generated types need no question marks."""
    for name, calculation in calculations().items():
        schema = SCHEMAS[calculation.answer.__name__]
        assert schema["required"] == list(schema["properties"]), name
        assert schema["additionalProperties"] is False, name
    assert SCHEMAS["LengthFigure"]["properties"]["value"] == {"type": "number", "format": "double"}
    assert SCHEMAS["CheckAnswer"]["properties"]["value"]["anyOf"][0] == {"$ref": "#/components/schemas/AnyFigure"}


def test_quantities_are_one_component_each() -> None:
    length = SCHEMAS["Length"]
    assert [branch["type"] for branch in length["oneOf"]] == ["string", "object", "number"]
    assert length["oneOf"][0]["pattern"] == spelling_pattern("length", signed=False)
    assert length["oneOf"][1]["properties"]["unit"]["enum"] == list(KINDS["length"].units)
    assert SCHEMAS["SignedLength"]["oneOf"][0]["pattern"] == spelling_pattern("length", signed=True)
    assert SCHEMAS["DisplacementRequest"]["properties"]["bore"]["$ref"] == "#/components/schemas/Length"


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
