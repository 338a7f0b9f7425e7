"""The build sheet's entry in the OpenAPI document."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from apispec import APISpec

from borewright.calculations.base.registry import calculations
from borewright.sheet.sections import sheet_request
from borewright.web.bodies import JSON
from borewright.web.calculating.jobs import HTML, PDF
from borewright.web.document.headers import headers
from borewright.web.document.problems import REFUSED

PATH = "/v1/build-sheet"
OPERATION = "build_sheet"
OWN_HEADERS = ("Content-Disposition", "Borewright-Verdict", "Borewright-Input-Digest")
EXAMPLES = {
    "an eight-cylinder order, invented": {
        "units": "inch",
        "order": {"id": "HL-0001", "date": "2026-03-02", "shop": "Harrow Lane Machine (invented)", "notes": "Wants 10.5:1 on pump fuel."},
        "build": {
            "bore": "3.892 in ± 0.0005 in",
            "stroke": 3.36,
            "cylinders": 8,
            "chamber_volume": "57 cm3 ± 0.5 cm3",
            "gasket": {"bore": 3.962, "thickness": "0.040 in ± 0.001 in"},
            "deck_clearance": "0.015 in ± 0.002 in",
            "crown": {"recess": "5 cm3"},
            "target": "10.5 ± 0.1",
            "levers": {"head_mill": {"max": 0.03, "chamber_area": "68 cm2"}, "deck_cut": {"max": 0.015}},
            "duty": {"aspiration": "natural", "service": "street", "fuel": "gasoline"},
            "bore_material": "gray_iron",
            "alloy": "4032",
        },
    }
}


def describe_sheet(spec: APISpec) -> None:
    """Add the request, the answer and the operation."""
    spec.components.schema("BuildSheetRequest", schema=sheet_request())
    for name, schema in _parts(spec.components.schemas).items():
        spec.components.schema(name, schema)
    spec.components.schema("BuildSheetAnswer", _answer())
    data = {"schema": {"$ref": "#/components/schemas/BuildSheetAnswer"}}
    forms = {
        JSON: data,
        HTML: {"schema": {"type": "string", "description": "one self-contained page"}},
        # no type: bytes are no JSON (OpenAPI 3.1, working with binary data)
        PDF: {"schema": {"contentMediaType": PDF, "description": "the bytes of a tagged PDF"}},
    }
    operation = {
        "operationId": OPERATION,
        "summary": "How does the whole order stand, on one sheet?",
        "description": (
            "One call for a whole order: every section its fields allow, one verdict, and what is missing for the rest. "
            f"Accept picks the form: {JSON} (also where nothing is said), {HTML} (one self-contained page with drawings, ready to print) "
            f"or {PDF} (the same, tagged, with bookmarks). Page one leaves room for measured values and initials."
        ),
        "tags": ["calculations"],
        "requestBody": {
            "required": True,
            "content": {
                JSON: {
                    "schema": {"$ref": "#/components/schemas/BuildSheetRequest"},
                    "examples": {title: {"value": example} for title, example in EXAMPLES.items()},
                }
            },
        },
        "responses": {
            "200": {
                "description": "the sheet",
                "headers": headers(OWN_HEADERS),
                "content": forms,
            },
            **REFUSED,
        },
    }
    spec.path(PATH, operations={"post": operation})


def _parts(schemas: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """The objects of the sheet's answer: those of a single answer, each with the section it belongs to."""
    section = {"type": "string", "enum": list(calculations()), "description": "the section it belongs to"}
    several = {"type": "array", "items": {"type": "string", "enum": list(calculations())}, "description": "the sections that used it"}
    fields = {"type": "array", "items": {"type": "string"}, "description": "the fields of the build that would fill it"}
    kind = {
        "type": "string",
        "enum": ["/problems/invalid-request", "/problems/impossible-build"],
        "description": "the type of the problem that the calculation alone would answer",
    }
    errors = {"type": "array", "items": {"$ref": "#/components/schemas/FieldProblem"}, "description": "what is wrong with its fields"}
    pointers = {"type": "array", "items": {"type": "string"}, "description": "where they are"}
    stated = {"type": ["string", "number", "boolean", "object"]}
    values = {"type": "array", "items": stated, "description": "what is stated there, or calculated from it, in the same order"}
    unequal = {"pointers": pointers, "values": values, "detail": {"type": "string", "description": "what is wrong and what to do"}}
    order = schemas["OrderPart"]["properties"]
    check, assumption, share = (schemas[f"{name}Answer"]["properties"] for name in ("Check", "Assumption", "Sensitivity"))
    settles = {
        "section": section,
        "check": check["name"],
        "verdict": check["verdict"],
        "chance": {"type": "number", "format": "double", "description": "how likely the measurement is to change the verdict, 0 to 1"},
    }
    tolerance = {"anyOf": [{"$ref": "#/components/schemas/AnyFigure"}, {"type": "null"}]}
    texts = {"type": "array", "items": {"type": "string"}, "description": "where the build states it, or would"}
    measurement = {
        "measure": {"type": "string", "description": "what to measure, or to find out"},
        "how": {"type": "string", "description": "with what, as shops do"},
        "fields": texts,
        "tolerances": {
            "type": "array",
            "items": tolerance,
            "description": (
                "to within how much of each field, in the same order, so that what is stated, if it is confirmed, passes, "
                "with the measurements before it in the list as close in proportion; "
                "null where nothing is stated, or where no measurement passes it as stated"
            ),
        },
        "settles": _list("SettledCheck", "the checks whose verdict it may change, the likeliest first"),
        "expected": {
            "type": "number",
            "format": "double",
            "description": "how many verdicts it is expected to change: the sum of the chances",
        },
        "minutes": {"type": "number", "format": "double", "description": "what it takes, as shops reckon it"},
    }
    return {
        "SettledCheck": _object("A check that a measurement may settle.", settles),
        "Measurement": _object(
            "A measurement, or several to be taken together: chances are those of the tolerances taken as rectangles whose effects add up, "
            "given the measurements before it in the list.",
            measurement,
        ),
        "SheetOrder": _object("The work order, with the date of the sheet.", order, ("id", "date")),
        "SheetCheck": _object("One check, and the section it belongs to.", {"section": section, **check}),
        "SheetAssumption": _object(
            "One default, and the sections that used it; without them it holds for the whole sheet.",
            {**assumption, "sections": several},
            tuple(assumption),
        ),
        "SheetSensitivity": _object("One input's share of a variance, and the section of the result.", {"section": section, **share}),
        "MissingSection": _object("A section that the build does not allow yet.", {"section": section, "fields": fields}),
        "Disagreement": _object("Places of the build that say one thing differently, or what can't be true together.", unequal),
        "RefusedSection": _object("A section whose fields can't be as they are.", {"section": section, "type": kind, "errors": errors}),
    }


def _object(text: str, members: Mapping[str, Any], required: tuple[str, ...] | None = None) -> dict[str, Any]:
    """An object of an answer: closed; left out, all of its members are required."""
    return {
        "type": "object",
        "description": text,
        "properties": dict(members),
        "required": list(members if required is None else required),
        "additionalProperties": False,
    }


def _list(component: str, text: str) -> dict[str, Any]:
    return {"type": "array", "items": {"$ref": f"#/components/schemas/{component}"}, "description": text}


def _answer() -> dict[str, Any]:
    answers = {name: {"$ref": f"#/components/schemas/{calculation.answer.__name__}"} for name, calculation in calculations().items()}
    members = {
        "order": {"$ref": "#/components/schemas/SheetOrder", "description": "the work order"},
        "service_version": {"type": "string", "description": "the service's version"},
        "input_digest": {
            "type": "string",
            "pattern": "^[0-9a-f]{64}$",
            "description": "SHA-256 of the input's canonical JSON: the same input has the same digest",
        },
        "verdict": {
            "$ref": "#/components/schemas/Verdict",
            "description": "the worst verdict of all checks; fail where a section was refused or the build disagrees",
        },
        "sections": {
            "type": "object",
            "properties": answers,
            "additionalProperties": False,
            "description": "the answer of each calculation that the build allowed, by its name",
        },
        "missing": _list("MissingSection", "sections that lack fields, each with the fields that would fill it"),
        "refused": _list("RefusedSection", "sections whose fields can't be as they are, each with its errors"),
        "disagreements": _list("Disagreement", "places of the build that can't all be right; one fails the sheet"),
        "checks": _list("SheetCheck", "every section's checks, worst first"),
        "measure_next": _list("Measurement", "what to measure next, the most verdicts likely to be changed for the time first"),
        "cautions": {"type": "array", "items": {"type": "string"}, "description": "what can hurt people or parts"},
        "assumptions": _list("SheetAssumption", "each default that was used, once"),
        "sensitivity": _list("SheetSensitivity", "share of each tolerance in the variances; empty without tolerances"),
    }
    return _object("The sheet as data: a section for each calculation that the build allowed.", members)
