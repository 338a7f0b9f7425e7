"""The batches in the OpenAPI document: a request of columns, and an answer whose columns are those of the single answer."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from apispec import APISpec

from borewright.calculations.base.answers import Count, Figure, Plain, Truth, Word
from borewright.calculations.base.batch import columns_of, columns_of_answer
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Quantity
from borewright.web.document.converter import quantity_reference

TITLE = "two rows"
SHARED: Mapping[str, Mapping[str, Any]] = MappingProxyType(
    {
        "Numbers": {
            "type": "array",
            "description": "A number a row, in the unit that `units` gives: null where the row failed or has no such figure.",
            "items": {"type": ["number", "null"], "format": "double"},
        },
        "Counts": {
            "type": "array",
            "description": "A whole number a row: null where the row failed or has no such count.",
            "items": {"type": ["integer", "null"]},
        },
        "Truths": {
            "type": "array",
            "description": "True or false, a row: null where the row failed.",
            "items": {"type": ["boolean", "null"]},
        },
        "Words": {
            "type": "array",
            "description": "A text a row: null where the row failed or has none.",
            "items": {"type": ["string", "null"]},
        },
        "Verdicts": {
            "type": "array",
            "description": "A verdict a row: null where the row was not judged so.",
            "items": {"anyOf": [{"$ref": "#/components/schemas/Verdict"}, {"type": "null"}]},
        },
        "ColumnUnits": {
            "type": "object",
            "description": "The unit of each column that has one.",
            "additionalProperties": {"type": "string"},
        },
        "BatchChecks": {
            "type": "object",
            "description": "A list of verdicts for each check, with an entry a row.",
            "additionalProperties": {"$ref": "#/components/schemas/Verdicts"},
        },
        "BatchFailures": {
            "type": "array",
            "description": "The rows that were refused, and why.",
            "items": {"$ref": "#/components/schemas/BatchFailure"},
        },
        "BatchFailure": {
            "type": "object",
            "description": "A row that was refused.",
            "properties": {
                "row": {"type": "integer", "minimum": 0, "description": "which row, counted from 0"},
                "errors": {
                    "type": "array",
                    "items": {"$ref": "#/components/schemas/FieldProblem"},
                    "description": "what is wrong with its fields",
                },
            },
            "required": ["row", "errors"],
            "additionalProperties": False,
        },
    }
)
_COLUMNS = ((Figure, "Numbers"), (Plain, "Numbers"), (Count, "Counts"), (Truth, "Truths"), (Word, "Words"))


def batch_example(calculation: Calculation) -> dict[str, Any]:
    """A batch request made from the calculation's first example: two rows of its first quantity.

    >>> from borewright.calculations.base.registry import calculations
    >>> sorted(batch_example(calculations()["displacement"]))
    ['columns', 'common', 'units']
    """
    example = next(iter(calculation.examples.values()))
    given = [(steps, field) for steps, field in columns_of(calculation.request_schema) if len(steps) == 1 and steps[0] in example]
    steps = next(steps for steps, _ in sorted(given, key=_rank))
    common = {name: _without_tolerance(value) for name, value in example.items() if name not in ("units", steps[0])}
    value = _without_tolerance(example[steps[0]])
    units = {"units": example["units"]} if "units" in example else {}
    return {**units, "common": common, "columns": {steps[0]: [value, value]}}


def _rank(column: tuple[tuple[str, ...], Any]) -> int:
    """Sizes first, then other quantities, then what is no number."""
    field = column[1]
    if type(field) is not Quantity:
        return 2
    return 0 if field.low > 0 and not field.signed else 1


def _without_tolerance(value: Any) -> Any:
    if isinstance(value, str):
        return value.split("±")[0].strip()
    if isinstance(value, Mapping):
        return {name: _without_tolerance(inner) for name, inner in value.items() if name != "tolerance"}
    if isinstance(value, list):
        return [_without_tolerance(inner) for inner in value]
    return value


def describe_batch(spec: APISpec, calculation: Calculation, most_rows: int) -> tuple[str, str]:
    """Add a batch's request and answer; the names of these components.

    most_rows : how many rows a request takes at most, where the calculation takes no fewer
    """
    for shared, schema in SHARED.items():
        if shared not in spec.components.schemas:
            spec.components.schema(shared, dict(schema))
    name = calculation.request.__name__.removesuffix("Request")
    spec.components.schema(f"{name}BatchRequest", _request(spec, calculation, rows_taken(calculation, most_rows)))
    spec.components.schema(f"{name}Columns", _columns(calculation))
    spec.components.schema(f"{name}BatchAnswer", _answer(f"{name}Columns"))
    return f"{name}BatchRequest", f"{name}BatchAnswer"


def rows_taken(calculation: Calculation, most_rows: int) -> int:
    """How many rows a batch of a calculation takes.

    >>> from borewright.calculations.base.registry import calculations
    >>> rows_taken(calculations()["displacement"], 500)
    500
    """
    return most_rows if calculation.most_rows is None else min(most_rows, calculation.most_rows)


def _request(spec: APISpec, calculation: Calculation, most_rows: int) -> dict[str, Any]:
    whole = spec.components.schemas[calculation.request.__name__]
    columns = {}
    for steps, field in columns_of(calculation.request_schema):
        columns[".".join(steps)] = _column(field, _property_at(spec, whole, steps), most_rows)
    common = {
        member: {key: value for key, value in described.items() if key not in ("description", "x-range")}
        for member, described in whole["properties"].items()
        if member != "units"
    }
    return {
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
                "description": "columns, one entry a row, by the name of the field: null where the row leaves it out",
                "properties": columns,
                "additionalProperties": False,
                "minProperties": 1,
            },
        },
        "required": ["columns"],
        "additionalProperties": False,
    }


def _column(field: Any, single: Mapping[str, Any], most_rows: int) -> dict[str, Any]:
    """A list of what the single request takes there, with null where a row leaves it out."""
    # a quantity by its kind, whose bare number a batch takes too: not the object that says more
    found = quantity_reference(field) if isinstance(field, Quantity) else single
    typed = {key: value for key, value in found.items() if key not in ("description", "x-range")}
    if "type" in typed:
        typed["type"] = [typed["type"], "null"]
        if "enum" in typed:
            typed["enum"] = [*typed["enum"], None]
    else:
        typed = {"anyOf": [typed, {"type": "null"}]}
    return {"type": "array", "items": typed, "minItems": 1, "maxItems": most_rows}


def _property_at(spec: APISpec, schema: Mapping[str, Any], steps: tuple[str, ...]) -> dict[str, Any]:
    found = schema["properties"][steps[0]]
    if len(steps) == 1:
        return dict(found)
    return _property_at(spec, spec.components.schemas[found["$ref"].rsplit("/", 1)[1]], steps[1:])


def _columns(calculation: Calculation) -> dict[str, Any]:
    found = {name: _column_of(field) for name, field in columns_of_answer(calculation.answer_schema)}
    return {
        "type": "object",
        "description": f"The results of {calculation.title.lower()}, an entry a row; named by their dotted place in the single answer.",
        "properties": found,
        "required": list(found),
        "additionalProperties": False,
    }


def _column_of(field: Any) -> dict[str, Any]:
    shared = next(name for kind, name in _COLUMNS if isinstance(field, kind))
    return {"$ref": f"#/components/schemas/{shared}"}


def _answer(columns: str) -> dict[str, Any]:
    members: dict[str, dict[str, Any]] = {
        "rows": {"type": "integer", "minimum": 1, "description": "how many rows there are"},
        "columns": {"$ref": f"#/components/schemas/{columns}"},
        "units": {"$ref": "#/components/schemas/ColumnUnits"},
        "failures": {"$ref": "#/components/schemas/BatchFailures"},
        "verdicts": {"$ref": "#/components/schemas/Verdicts", "description": "the worst verdict of each row: null where it failed"},
        "checks": {"$ref": "#/components/schemas/BatchChecks"},
        "cautions": {"$ref": "#/components/schemas/Cautions"},
        "assumptions": {"$ref": "#/components/schemas/Assumptions"},
    }
    return {
        "type": "object",
        "description": "Columns of results; a row that failed is null in all of them, and listed in failures.",
        "properties": members,
        "required": list(members),
        "additionalProperties": False,
    }
