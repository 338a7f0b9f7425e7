"""The GET operations in the OpenAPI document: the reference tables, the document itself, the service's health."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import islice
from typing import Any

from apispec import APISpec

from borewright import __version__
from borewright.practice.tables import BASES
from borewright.quantities import KINDS, SYSTEMS
from borewright.web.bodies import JSON
from borewright.web.document.converter import NUMBER
from borewright.web.document.headers import headers
from borewright.web.document.problems import BUSY, REFUSED_PAGE
from borewright.web.reference import PAGES, contents

MOST_ROWS = 2
UNCHANGED = {"304": {"$ref": "#/components/responses/unchanged"}}


def describe_pages(spec: APISpec) -> None:
    """Add every GET operation and the shapes of its answers."""
    spec.components.response("unchanged", {"description": "not changed since If-None-Match", "headers": headers(("ETag", "Vary"))})
    shapes = {"ReferenceChecks": _checks(), "ReferenceTable": _table(), "ReferenceTables": _tables(), "ReferenceUnits": _units()}
    for name, schema in (shapes | _own()).items():
        spec.components.schema(name, schema)
    _reference(spec)
    _document(spec)
    _health(spec)


def _reference(spec: APISpec) -> None:
    for name, page in PAGES.items():
        get = {
            "operationId": f"reference_{name}",
            "summary": f"Reference: {name}",
            "description": f"{page.text} It changes with the service's version alone.",
            "tags": ["reference"],
            "responses": {
                "200": _answer(page.component, _shown(contents(name)), ("ETag",)),
                **UNCHANGED,
                **REFUSED_PAGE,
            },
        }
        spec.path(f"/v1/reference/{name}", operations={"get": get})


def _document(spec: APISpec) -> None:
    shown = {"openapi": "3.1.0", "info": {"title": "Borewright", "version": __version__}, "paths": {}}
    document = {
        "operationId": "openapi_document",
        "summary": "This document",
        "description": "The OpenAPI document of the service that is asked: every operation, its shapes and examples. No key is needed.",
        "tags": ["service"],
        "parameters": [
            {
                "name": "text",
                "in": "query",
                "schema": {"type": "string", "enum": ["full"]},
                "description": "full: whole texts and every example; the types are the same",
            }
        ],
        "responses": {
            "200": _answer("OpenApiDocument", shown, ("ETag",)),
            **UNCHANGED,
            **REFUSED_PAGE,
        },
        "security": [],
    }
    spec.path("/v1/openapi.json", operations={"get": document})


def _health(spec: APISpec) -> None:
    for name, summary, text, refused in (
        (
            "live",
            "Whether the process lives",
            "Answers as long as the process can answer anything; one that does not is to be replaced.",
            {},
        ),
        (
            "ready",
            "Whether the process wants requests",
            "Answers 503 while the process ends what it has begun: a load balancer sends new requests elsewhere.",
            BUSY,
        ),
    ):
        get = {
            "operationId": f"health_{name}",
            "summary": summary,
            "description": f"{text} No key is needed, and nothing is counted. Where the operator gave the service a private address, "
            "it is answered there alone.",
            "tags": ["service"],
            "responses": {
                "200": _answer(f"{name.title()}Answer", {"status": name, "version": __version__}, ()),
                **REFUSED_PAGE,
                **refused,
            },
            "security": [],
        }
        spec.path(f"/health/{name}", operations={"get": get})


def _answer(component: str, example: Any, named: tuple[str, ...]) -> dict[str, Any]:
    return {
        "description": "answer",
        **({"headers": headers(named)} if named else {}),
        "content": {JSON: {"schema": {"$ref": f"#/components/schemas/{component}"}, "example": example}},
    }


def _shown(page: Mapping[str, Any]) -> dict[str, Any]:
    """A reference page with its first tables, kinds and rows alone."""
    if "tables" in page:
        return {"tables": {name: _shown(table) for name, table in _first(page["tables"]).items()}}
    long = next(name for name in ("rows", "kinds", "checks") if name in page)
    return {**page, long: _first(page[long])}


def _first(found: Mapping[str, Any]) -> dict[str, Any]:
    return dict(islice(found.items(), MOST_ROWS))


def _table() -> dict[str, Any]:
    text = {"type": "string"}
    row = {
        "type": "object",
        "description": "The values by the name of their column, and what they rest on; what is not known is left out.",
        "properties": {
            "basis": {"type": "string", "enum": list(BASES), "description": "what kind of knowledge it is"},
            "source": {"type": "string", "description": "where it comes from"},
            "note": {"type": "string", "description": "what else is to be known of it"},
        },
        "required": ["basis", "source"],
        "additionalProperties": {
            "description": "a quantity with its unit, or a text; or a list of them; or a count or a share, which is a number",
            "anyOf": [text, {"type": "array", "items": text}, dict(NUMBER)],
        },
    }
    return {
        "type": "object",
        "description": "A table of values, each row with its source.",
        "properties": {
            "title": {"type": "string", "description": "what the table is about"},
            "kinds": {
                "type": "object",
                "description": "of each column that holds quantities, their kind, as in /v1/reference/units; the others hold texts",
                "additionalProperties": {"type": "string", "enum": list(KINDS)},
            },
            "rows": {"type": "object", "description": "the rows by their key", "additionalProperties": row},
        },
        "required": ["title", "kinds", "rows"],
        "additionalProperties": False,
    }


def _checks() -> dict[str, Any]:
    check = {
        "type": "object",
        "description": "A check: what a shop can say of it in its own language, from its name and its values.",
        "properties": {
            "kind": {"type": "string", "enum": list(KINDS), "description": "the kind of its value and limits"},
            "sentence": {"type": "string", "description": "what holds where it passes"},
        },
        "required": ["kind", "sentence"],
        "additionalProperties": False,
    }
    return {
        "type": "object",
        "description": "Every check that an answer can carry.",
        "properties": {"checks": {"type": "object", "description": "the checks by their names", "additionalProperties": check}},
        "required": ["checks"],
        "additionalProperties": False,
    }


def _tables() -> dict[str, Any]:
    tables = {
        "type": "object",
        "description": "the tables by their name",
        "additionalProperties": {"$ref": "#/components/schemas/ReferenceTable"},
    }
    return {
        "type": "object",
        "description": "Several tables.",
        "properties": {"tables": tables},
        "required": ["tables"],
        "additionalProperties": False,
    }


def _units() -> dict[str, Any]:
    scale = {
        "type": "object",
        "description": "SI value = value * factor + offset",
        "properties": {
            "factor": {**NUMBER, "description": "how many of the SI unit one of it is"},
            "offset": {**NUMBER, "description": "what is added then; only temperatures have one"},
        },
        "required": ["factor", "offset"],
        "additionalProperties": False,
    }
    answered: dict[str, Any] = {system: {"type": "string", "description": f"the unit of {system} answers"} for system in SYSTEMS}
    units = {"type": "object", "description": "every unit, with its factor", "additionalProperties": scale}
    also = {
        "type": "object",
        "description": "further spellings that are read, each with its unit",
        "additionalProperties": {"type": "string"},
    }
    kind = {
        "type": "object",
        "description": "A kind of quantity.",
        "properties": {**answered, "units": units, "also": also},
        "required": [*SYSTEMS, "units", "also"],
        "additionalProperties": False,
    }
    return {
        "type": "object",
        "description": "Every unit that is read, by the kind of quantity.",
        "properties": {
            "source": {"type": "string", "description": "where the factors come from"},
            "kinds": {"type": "object", "description": "the kinds of quantities by their name", "additionalProperties": kind},
        },
        "required": ["source", "kinds"],
        "additionalProperties": False,
    }


def _own() -> dict[str, dict[str, Any]]:
    version = {"type": "string", "description": "the service's version"}
    health = {
        f"{name.title()}Answer": {
            "type": "object",
            "description": f"The process is {name}.",
            "properties": {"status": {"type": "string", "enum": [name], "description": "how it is"}, "version": version},
            "required": ["status", "version"],
            "additionalProperties": False,
        }
        for name in ("live", "ready")
    }
    document = {
        "type": "object",
        "description": "An OpenAPI document (https://spec.openapis.org/oas/v3.1.0).",
        "properties": {
            "openapi": {"type": "string", "description": "the version of OpenAPI that it follows"},
            "info": {
                "type": "object",
                "description": "what the service is",
                "properties": {"title": {"type": "string", "description": "its name"}, "version": version},
                "required": ["title", "version"],
            },
            "paths": {
                "type": "object",
                "description": "the operations by their path and method",
                "additionalProperties": {"type": "object", "description": "the operations of a path"},
            },
        },
        "required": ["openapi", "info", "paths"],
    }
    return {**health, "OpenApiDocument": document}
