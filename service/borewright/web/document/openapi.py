"""The OpenAPI 3.1 document, made by apispec from the registry."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from apispec import APISpec

from borewright import __version__
from borewright.calculations.base.batch import columns_of
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.outcome import VERDICTS
from borewright.calculations.base.registry import calculations
from borewright.web.bodies import JSON
from borewright.web.document.answers import kept_answers, with_example
from borewright.web.document.converter import Plugin
from borewright.web.document.headers import COUNTED, describe_headers, headers
from borewright.web.document.pages import describe_pages
from borewright.web.document.problems import describe_problems, refusals
from borewright.web.document.pruned import pruned
from borewright.web.document.sheet import describe_sheet

DESCRIPTION = """The arithmetic of engine building: clean-up bore, displacement, compression, fits, gaps, strength and power.

Quantities are written with their unit ("4.030 in ± 0.0005 in"); bare numbers are taken only where the request says `units`.
Every answer carries its checks, cautions, assumptions and, where tolerances came in, what they contribute.
All figures are estimates: confirm them by measuring. Work on boosted, nitrous-fed or rotating parts, fuel systems and pressure
tests can injure: follow local codes and leave licensed work to those who hold the licence."""
TAGS = {
    "calculations": "One build a request: every figure with its tolerance band, checks, cautions and assumptions.",
    "batches": "Many rows of one calculation a request, as columns; a row that is refused fails no other.",
    "reference": "The tables that defaults and limits come from, each row with its source, and the units that are read.",
    "service": "This document, and how the process is.",
}
BATCH_TITLE = "two rows"
REFUSALS = (
    "unreadable",
    "unauthorized",
    "forbidden",
    "method-not-allowed",
    "request-timeout",
    "too-large",
    "unsupported-media-type",
    "unprocessable",
    "too-many-requests",
    "unavailable",
)


def openapi(answers: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """The document as data, the same for the same version.

    answers : what each path answers to the first example of its request; left out, what the package came with

    >>> openapi()["openapi"]
    '3.1.0'
    """
    shown = kept_answers() if answers is None else answers
    spec = APISpec(
        title="Borewright",
        version=__version__,
        openapi_version="3.1.0",
        info={"description": DESCRIPTION, "license": {"name": "MIT", "identifier": "MIT"}},
        servers=[{"url": "..", "description": "where this document was served: its address less v1/openapi.json"}],
        tags=[{"name": name, "description": text} for name, text in TAGS.items()],
        plugins=[Plugin()],
    )
    describe_headers(spec)
    describe_problems(spec)
    spec.components.security_scheme("key", {"type": "http", "scheme": "bearer", "description": "only where the operator set keys"})
    for calculation in calculations().values():
        _single(spec, calculation, shown)
        if calculation.batch:
            _batch(spec, calculation, shown)
    describe_sheet(spec, refusals(REFUSALS), shown)
    describe_pages(spec)
    return pruned(spec.to_dict())


def _responses(component: str, title: str, example: Any) -> dict[str, Any]:
    described = with_example(title, example, {"schema": {"$ref": f"#/components/schemas/{component}"}})
    return {"200": {"description": "the answer", "headers": headers(COUNTED), "content": {JSON: described}}, **refusals(REFUSALS)}


def _single(spec: APISpec, calculation: Calculation, shown: Mapping[str, Any]) -> None:
    path = f"/v1/{calculation.name}"
    request, answer = calculation.request.__name__, calculation.answer.__name__
    spec.components.schema(request, schema=calculation.request)
    if answer not in spec.components.schemas:
        spec.components.schema(answer, schema=calculation.answer)
    operation = {
        "operationId": calculation.name,
        "summary": calculation.title,
        "description": f"{calculation.text}\n\nSources: {'; '.join(calculation.sources)}.",
        "tags": ["calculations"],
        "requestBody": {
            "required": True,
            "content": {
                JSON: {
                    "schema": {"$ref": f"#/components/schemas/{request}"},
                    "examples": {title: {"value": example} for title, example in calculation.examples.items()},
                }
            },
        },
        "responses": _responses(answer, next(iter(calculation.examples)), shown.get(path)),
        "security": [{}, {"key": []}],
    }
    spec.path(path, operations={"post": operation})


def batch_example(calculation: Calculation) -> dict[str, Any]:
    """A batch request made from the calculation's first example: two rows of its first column.

    >>> sorted(batch_example(calculations()["displacement"]))
    ['columns', 'common', 'units']
    """
    example = next(iter(calculation.examples.values()))
    steps = next(steps for steps, _ in columns_of(calculation.request_schema) if len(steps) == 1 and steps[0] in example)
    common = {name: _without_tolerance(value) for name, value in example.items() if name not in ("units", steps[0])}
    value = _without_tolerance(example[steps[0]])
    units = {"units": example["units"]} if "units" in example else {}
    return {**units, "common": common, "columns": {steps[0]: [value, value]}}


def _without_tolerance(value: Any) -> Any:
    if isinstance(value, str):
        return value.split("±")[0].strip()
    if isinstance(value, Mapping):
        return {name: _without_tolerance(inner) for name, inner in value.items() if name != "tolerance"}
    if isinstance(value, list):
        return [_without_tolerance(inner) for inner in value]
    return value


# null leaves the field out; anything else is taken too, since a wrong entry fails its own row and no other
_ANY_ENTRY = {
    "type": ["null", "string", "number", "boolean", "object", "array"],
    "description": "null leaves the field out of the row; an entry that can't be read fails its row alone",
}


def _batch(spec: APISpec, calculation: Calculation, shown: Mapping[str, Any]) -> None:
    path = f"/v1/{calculation.name}/batch"
    name = calculation.request.__name__.removesuffix("Request")
    whole = spec.components.schemas[calculation.request.__name__]
    columns = {}
    for steps, _ in columns_of(calculation.request_schema):
        item = _property_at(spec, whole, steps)
        columns[".".join(steps)] = {
            "type": "array",
            "items": {"anyOf": [{key: value for key, value in item.items() if key not in ("description", "default")}, _ANY_ENTRY]},
            "minItems": 1,
        }
    common = {member: value for member, value in whole["properties"].items() if member != "units"}
    spec.components.schema(
        f"{name}BatchRequest",
        {
            "type": "object",
            "description": f"Many rows of {calculation.title.lower()}: common holds for all; columns are equally long; null leaves out.",
            "properties": {
                "units": whole["properties"]["units"],
                "common": {
                    "type": "object",
                    "description": "the fields that all rows share, as in the single request; no tolerances",
                    "properties": common,
                    "additionalProperties": False,
                },
                "columns": {
                    "type": "object",
                    "description": "lists by the name of the field, one entry a row: null where the row has none",
                    "properties": columns,
                    "additionalProperties": False,
                    "minProperties": 1,
                },
            },
            "required": ["columns"],
            "additionalProperties": False,
        },
    )
    if "BatchAnswer" not in spec.components.schemas:
        spec.components.schema("BatchAnswer", _batch_answer())
    operation = {
        "operationId": f"{calculation.name}_batch",
        "summary": f"{calculation.title}, many rows",
        "description": "A failed row is null in the columns and listed in failures; it fails no other. Tolerances are not taken here."
        + (f" A request takes {calculation.most_rows} rows at most." if calculation.most_rows else ""),
        "tags": ["batches"],
        "requestBody": {
            "required": True,
            "content": {
                JSON: {
                    "schema": {"$ref": f"#/components/schemas/{name}BatchRequest"},
                    "examples": {BATCH_TITLE: {"value": batch_example(calculation)}},
                }
            },
        },
        "responses": _responses("BatchAnswer", BATCH_TITLE, shown.get(path)),
        "security": [{}, {"key": []}],
    }
    spec.path(path, operations={"post": operation})


def _property_at(spec: APISpec, schema: Mapping[str, Any], steps: tuple[str, ...]) -> dict[str, Any]:
    found = schema["properties"][steps[0]]
    if len(steps) == 1:
        return dict(found)
    return _property_at(spec, spec.components.schemas[found["$ref"].rsplit("/", 1)[1]], steps[1:])


def _batch_answer() -> dict[str, Any]:
    row = {"type": "integer", "minimum": 0, "description": "which row, counted from 0"}
    errors = {"type": "array", "items": {"$ref": "#/components/schemas/FieldProblem"}, "description": "what is wrong with its fields"}
    members: dict[str, dict[str, Any]] = {
        "rows": {"type": "integer", "minimum": 1, "description": "how many rows there are"},
        "columns": {
            "type": "object",
            "description": "a list for each figure, with an entry a row: null where the row failed or has no such figure",
            "additionalProperties": {"type": "array", "items": {"type": ["number", "string", "boolean", "null"]}},
        },
        "units": {
            "type": "object",
            "description": "the unit of each column that has one",
            "additionalProperties": {"type": "string"},
        },
        "failures": {
            "type": "array",
            "description": "the rows that were refused, and why",
            "items": {
                "type": "object",
                "description": "A row that was refused.",
                "properties": {"row": row, "errors": errors},
                "required": ["row", "errors"],
            },
        },
        "checks": {
            "type": "object",
            "description": "a list of verdicts for each check, with an entry a row: null where the row was not judged so",
            "additionalProperties": {"type": "array", "items": {"enum": [*VERDICTS, None]}},
        },
        "cautions": {"type": "array", "description": "what can hurt people or parts in any of the rows", "items": {"type": "string"}},
        "assumptions": {
            "type": "array",
            "description": "each default that was used in any of the rows",
            "items": {"$ref": "#/components/schemas/AssumptionAnswer"},
        },
    }
    return {
        "type": "object",
        "description": "Columns of results; each name is the dotted place of the figure in the single answer.",
        "properties": members,
        "required": list(members),
        "additionalProperties": True,
    }
