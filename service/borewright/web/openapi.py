"""The OpenAPI 3.1 document, made by apispec from the registry."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from apispec import APISpec

from borewright import __version__
from borewright.calculations.base.batch import columns_of
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.web.bodies import JSON
from borewright.web.converter import Plugin
from borewright.web.openapi_sheet import describe_sheet
from borewright.web.problems import MEDIA_TYPE, PROBLEMS
from borewright.web.pruned import pruned
from borewright.web.reference import TABLES

DESCRIPTION = """The arithmetic of engine building: clean-up bore, displacement, compression, fits, gaps, strength and power.

Quantities are written with their unit ("4.030 in ± 0.0005 in"); bare numbers are taken only where the request says `units`.
Every answer carries its checks, cautions, assumptions and, where tolerances came in, what they contribute.
All figures are estimates: confirm them by measuring. Work on boosted, nitrous-fed or rotating parts, fuel systems and pressure
tests can injure: follow local codes and leave licensed work to those who hold the licence."""
POST_PROBLEMS = (
    "not-json",
    "unauthorized",
    "forbidden",
    "request-timeout",
    "too-large",
    "unsupported-media-type",
    "too-many-requests",
    "unavailable",
)
GET_PROBLEMS = ("unauthorized", "forbidden", "too-many-requests", "unavailable")


def openapi() -> dict[str, Any]:
    """The document as data, the same for the same version.

    >>> openapi()["openapi"]
    '3.1.0'
    """
    spec = APISpec(
        title="Borewright",
        version=__version__,
        openapi_version="3.1.0",
        info={"description": DESCRIPTION, "license": {"name": "MIT", "identifier": "MIT"}},
        servers=[{"url": "/"}],
        tags=[{"name": "calculations"}, {"name": "batches"}, {"name": "reference"}, {"name": "service"}],
        plugins=[Plugin()],
    )
    _problems(spec)
    spec.components.security_scheme("key", {"type": "http", "scheme": "bearer", "description": "only where the operator set keys"})
    for calculation in calculations().values():
        _single(spec, calculation)
        if calculation.batch:
            _batch(spec, calculation)
    describe_sheet(spec, _responses(POST_PROBLEMS, {}) | {"422": _unprocessable()})
    _pages(spec)
    return pruned(spec.to_dict())


def _problems(spec: APISpec) -> None:
    spec.components.schema(
        "Problem",
        {
            "type": "object",
            "description": "A problem document (RFC 9457).",
            "properties": {
                "type": {"type": "string", "enum": [f"/problems/{name}" for name in PROBLEMS]},
                "title": {"type": "string"},
                "status": {"type": "integer"},
                "detail": {"type": "string"},
                "request_id": {"type": "string"},
                "errors": {
                    "type": "array",
                    "items": {
                        "type": "object",
                        "properties": {"pointer": {"type": "string"}, "detail": {"type": "string"}},
                        "required": ["pointer", "detail"],
                    },
                },
            },
            "required": ["type", "title", "status", "detail"],
        },
    )
    for problem in PROBLEMS.values():
        spec.components.response(
            problem.name,
            {"description": problem.title, "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}},
        )


def _responses(names: tuple[str, ...], answer: Mapping[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = {"200": {"description": "the answer", "content": {JSON: {"schema": answer}}}}
    for name in names:
        found[str(PROBLEMS[name].status)] = {"$ref": f"#/components/responses/{name}"}
    return found


def _unprocessable() -> dict[str, Any]:
    return {
        "description": "invalid-request: the schema says no; impossible-build: schema-valid, but it can't exist",
        "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }


def _single(spec: APISpec, calculation: Calculation) -> None:
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
        "responses": _responses(POST_PROBLEMS, {"$ref": f"#/components/schemas/{answer}"}) | {"422": _unprocessable()},
        "security": [{}, {"key": []}],
    }
    spec.path(f"/v1/{calculation.name}", operations={"post": operation})


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


def _batch(spec: APISpec, calculation: Calculation) -> None:
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
                "common": {"type": "object", "properties": common, "additionalProperties": False},
                "columns": {"type": "object", "properties": columns, "additionalProperties": False, "minProperties": 1},
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
        "description": "A failed row is null in the columns and listed in failures; it fails no other. Tolerances are not taken here.",
        "tags": ["batches"],
        "requestBody": {
            "required": True,
            "content": {
                JSON: {
                    "schema": {"$ref": f"#/components/schemas/{name}BatchRequest"},
                    "examples": {"two rows": {"value": batch_example(calculation)}},
                }
            },
        },
        "responses": _responses(POST_PROBLEMS, {"$ref": "#/components/schemas/BatchAnswer"}) | {"422": _unprocessable()},
        "security": [{}, {"key": []}],
    }
    spec.path(f"/v1/{calculation.name}/batch", operations={"post": operation})


def _property_at(spec: APISpec, schema: Mapping[str, Any], steps: tuple[str, ...]) -> dict[str, Any]:
    found = schema["properties"][steps[0]]
    if len(steps) == 1:
        return dict(found)
    return _property_at(spec, spec.components.schemas[found["$ref"].rsplit("/", 1)[1]], steps[1:])


def _batch_answer() -> dict[str, Any]:
    column = {"type": "array", "items": {"type": ["number", "string", "boolean", "null"]}}
    failure = {
        "type": "object",
        "properties": {"row": {"type": "integer", "minimum": 0}, "errors": {"$ref": "#/components/schemas/Problem/properties/errors"}},
        "required": ["row", "errors"],
    }
    verdicts = {"type": "array", "items": {"enum": ["pass", "watch", "fail", "unknown", None]}}
    return {
        "type": "object",
        "description": "Columns of results; each name is the dotted place of the figure in the single answer.",
        "properties": {
            "rows": {"type": "integer", "minimum": 1},
            "columns": {"type": "object", "additionalProperties": column},
            "units": {"type": "object", "additionalProperties": {"type": "string"}},
            "failures": {"type": "array", "items": failure},
            "checks": {"type": "object", "additionalProperties": verdicts},
            "cautions": {"type": "array", "items": {"type": "string"}},
            "assumptions": {"type": "array", "items": {"$ref": "#/components/schemas/AssumptionAnswer"}},
        },
        "required": ["rows", "columns", "units", "failures", "checks", "cautions", "assumptions"],
        "additionalProperties": True,
    }


def _pages(spec: APISpec) -> None:
    thing = {"type": "object"}
    for name in TABLES:
        get = {
            "operationId": f"reference_{name}",
            "summary": f"Reference: {name}",
            "tags": ["reference"],
            "responses": _responses((*GET_PROBLEMS, "precondition-failed"), thing) | {"304": {"description": "not changed since the ETag"}},
            "security": [{}, {"key": []}],
        }
        spec.path(f"/v1/reference/{name}", operations={"get": get})
    for path, operation, summary in (
        ("/v1/openapi.json", "openapi", "This document"),
        ("/health/live", "live", "Whether the process lives"),
        ("/health/ready", "ready", "Whether the process wants requests"),
    ):
        get = {
            "operationId": operation,
            "summary": summary,
            "tags": ["service"],
            "responses": _responses(("unavailable", "too-many-requests", "precondition-failed"), thing)
            | {"304": {"description": "not changed since the ETag"}},
        }
        spec.path(path, operations={"get": get})
