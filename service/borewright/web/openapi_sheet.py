"""The build sheet's entry in the OpenAPI document."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from apispec import APISpec

from borewright.calculations.base.registry import calculations
from borewright.sheet.sections import sheet_request
from borewright.web.bodies import JSON
from borewright.web.sheets import HTML, PDF

VERDICTS = {"enum": ["pass", "watch", "fail", "unknown"]}
THINGS = {"type": "array", "items": {"type": "object"}}
TEXT = {"schema": {"type": "string"}}
EXAMPLES = {
    "an eight-cylinder order, invented": {
        "units": "inch",
        "order": {"id": "HL-0001", "shop": "Harrow Lane Machine (invented)", "notes": "Wants 10.5:1 on pump fuel."},
        "build": {
            "bore": "4.030 in ± 0.0005 in",
            "stroke": 3.48,
            "cylinders": 8,
            "chamber_volume": "64 cm3 ± 0.5 cm3",
            "gasket": {"bore": 4.1, "thickness": "0.040 in ± 0.001 in"},
            "deck_clearance": "0.015 in ± 0.002 in",
            "crown": {"recess": "5 cm3"},
            "target": "10.5 ± 0.1",
            "levers": {"head_mill": {"max": 0.03, "chamber_area": "68 cm2"}, "deck_cut": {"max": 0.015}},
            "duty": {"aspiration": "natural", "service": "street", "fuel": "gasoline"},
            "bore_material": "grey_iron",
            "alloy": "4032",
        },
    }
}


def describe_sheet(spec: APISpec, responses: Mapping[str, Any]) -> None:
    """Add the request, the answer and the operation.

    responses : what every operation with a body may answer
    """
    spec.components.schema("BuildSheetRequest", schema=sheet_request())
    spec.components.schema("BuildSheetAnswer", _answer())
    forms = {JSON: {"schema": {"$ref": "#/components/schemas/BuildSheetAnswer"}}, HTML: TEXT, PDF: {"schema": {}}}
    headers = {
        "Content-Disposition": {"description": "a file name made of the digest", "required": True, **TEXT},
        "Vary": {"description": "the answer depends on Accept", "required": True, **TEXT},
    }
    operation = {
        "operationId": "build_sheet",
        "summary": "Build sheet",
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
            **responses,
            "200": {"description": "the sheet", "headers": headers, "content": forms},
            "406": {"$ref": "#/components/responses/not-acceptable"},
        },
        "security": [{}, {"key": []}],
    }
    spec.path("/v1/build-sheet", operations={"post": operation})


def _answer() -> dict[str, Any]:
    answers = {name: {"$ref": f"#/components/schemas/{calculation.answer.__name__}"} for name, calculation in calculations().items()}
    return {
        "type": "object",
        "description": "The sheet as data: a section for each calculation that the build allowed.",
        "properties": {
            "order": {"type": "object"},
            "service_version": {"type": "string"},
            "input_digest": {
                "type": "string",
                "description": "SHA-256 of the input's canonical JSON: the same input has the same digest",
            },
            "verdict": {**VERDICTS, "description": "the worst verdict of all checks; fail where a section was refused"},
            "sections": {"type": "object", "properties": answers},
            "missing": {**THINGS, "description": "sections that lack fields, each with the fields that would fill it"},
            "refused": {**THINGS, "description": "sections whose fields can't be as they are, each with its errors"},
            "checks": {**THINGS, "description": "every section's checks, worst first"},
            "cautions": {"type": "array", "items": {"type": "string"}},
            "assumptions": THINGS,
            "sensitivity": THINGS,
        },
        "required": ["order", "verdict", "sections", "missing", "refused", "checks", "cautions"],
        "additionalProperties": True,
    }
