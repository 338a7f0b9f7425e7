"""The document: what it says of operations, fields, alternatives, defaults and problems."""

import json
import re
from typing import Any

import pytest

from borewright import __version__
from borewright.calculations.base.registry import calculations
from borewright.quantities import KINDS, read_quantity, spelling_pattern
from borewright.web.app import create_app
from borewright.web.document.openapi import batch_example, openapi

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
    assert operation["operationId"] == name
    assert operation["summary"] == calculation.title
    assert all(source in operation["description"] for source in calculation.sources)
    sent = operation["requestBody"]["content"]["application/json"]
    assert [example["value"] for example in sent["examples"].values()] == list(calculation.examples.values())
    assert (f"/v1/{name}/batch" in DOCUMENT["paths"]) is calculation.batch


def test_every_field_of_a_request_is_described() -> None:
    bare = [
        (name, field)
        for name, schema in SCHEMAS.items()
        if schema.get("additionalProperties") is False and not name.endswith("BatchRequest") and "properties" in schema
        for field, found in schema["properties"].items()
        if not found.get("description")
    ]
    assert bare == []


def test_alternatives_are_written() -> None:
    assert SCHEMAS["GasketPart"]["allOf"] == [
        {"oneOf": [{"required": ["bore", "thickness"]}, {"required": ["area", "thickness"]}, {"required": ["volume"]}]}
    ]


def test_defaults_are_written() -> None:
    assert SCHEMAS["CrownPart"]["properties"]["dome"]["default"] == "0 cm3"
    assert SCHEMAS["DutyPart"]["properties"]["fuel"]["default"] == "gasoline"


def test_quantities_are_one_component_each() -> None:
    length = SCHEMAS["Length"]
    assert [branch["type"] for branch in length["oneOf"]] == ["string", "object", "number"]
    assert length["oneOf"][0]["pattern"] == spelling_pattern("length", signed=False)
    assert length["oneOf"][1]["properties"]["unit"]["enum"] == [*KINDS["length"].units, *KINDS["length"].also]
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
