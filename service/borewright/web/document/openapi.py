"""The OpenAPI 3.1 document, made by apispec from the registry."""

from __future__ import annotations

from typing import Any

from apispec import APISpec

from borewright import __version__
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.sheet.sections import order_of_work
from borewright.web.bodies import JSON
from borewright.web.document.batches import TITLE as BATCH_TITLE
from borewright.web.document.batches import batch_example, describe_batch, rows_taken
from borewright.web.document.compact import compact
from borewright.web.document.compact.pruned import pruned
from borewright.web.document.converter import Plugin
from borewright.web.document.headers import describe_headers
from borewright.web.document.pages import describe_pages
from borewright.web.document.problems import REFUSED, describe_problems
from borewright.web.document.sheet import describe_sheet
from borewright.web.settings import Settings

DESCRIPTION = """The arithmetic of engine building: clean-up bore, displacement, compression, fits, gaps, strength and power.

Quantities are written with their unit ("3.892 in ± 0.0005 in"); bare numbers are taken only where the request says `units`.
Every answer carries its checks, cautions, assumptions and, where tolerances came in, what they contribute.
Texts are short here; /v1/openapi.json?text=full has them whole, and every example, beside the same types.
What an operation answers to its first example is at /docs/examples/<operationId>.json, to six digits, its long lists cut to one entry.
All figures are estimates: confirm them by measuring. Work on boosted, nitrous-fed or rotating parts, fuel systems and pressure
tests can injure: follow local codes and leave licensed work to those who hold the license.

Within /v1 nothing is taken away and nothing changes its meaning. A later version may add operations, optional fields of requests,
members of answers, checks, error codes and problem types: validate answers leniently, and make types anew from the new document
when you want what is new. What is to go is announced a year ahead: the operation is `deprecated` here, its answers carry
Deprecation (RFC 9745) and Sunset (RFC 8594) with the dates, and a Link to what takes its place; a change that breaks callers
comes as /v2 beside /v1."""
TAGS = {
    "calculations": "One build a request: every figure with its tolerance band, checks, cautions and assumptions.",
    "batches": "Many rows of one calculation a request, as columns; a row that is refused fails no other.",
    "reference": "The tables that defaults and limits come from, each row with its source, and the units that are read.",
    "service": "This document, and how the process is.",
}
SERVERS = (
    {
        "url": "http://127.0.0.1:8080",
        "description": "a service on this machine, as `borewright serve` starts it: put your own address here",
    },
    {"url": "..", "description": "where this document was served: its address less v1/openapi.json"},
)
MOST_ROWS = Settings().batch_rows
CONTACT = {"name": "Borewright's maintainers", "url": "https://borewright.example/support"}
OPEN_OR_KEYED: list[dict[str, list[str]]] = [{}, {"key": []}]


def openapi(*, most_rows: int = MOST_ROWS, whole: bool = False) -> dict[str, Any]:
    """The document as data, the same for the same version.

    most_rows : most rows of a batch, as the operator set it
    whole : with whole texts and every example; its structure is the same

    >>> openapi()["openapi"]
    '3.1.0'
    """
    return compact(outspoken(most_rows=most_rows), whole=whole)


def outspoken(*, most_rows: int = MOST_ROWS) -> dict[str, Any]:
    """The document with everything where it stands, told whole: what docstrings are made of.

    most_rows : most rows of a batch, as the operator set it

    >>> outspoken()["paths"].keys() == openapi()["paths"].keys()
    True
    """
    spec = APISpec(
        title="Borewright",
        version=__version__,
        openapi_version="3.1.0",
        info={"description": DESCRIPTION, "contact": CONTACT, "license": {"name": "MIT", "identifier": "MIT"}},
        servers=[dict(server) for server in SERVERS],
        tags=[{"name": name, "description": text} for name, text in TAGS.items()],
        security=OPEN_OR_KEYED,
        plugins=[Plugin()],
    )
    describe_headers(spec)
    describe_problems(spec)
    spec.components.security_scheme("key", {"type": "http", "scheme": "bearer", "description": "only where the operator set keys"})
    for calculation in in_order_of_work():
        _single(spec, calculation)
        if calculation.batch:
            _batch(spec, calculation, most_rows)
    describe_sheet(spec)
    describe_pages(spec)
    return pruned(spec.to_dict())


def in_order_of_work() -> list[Calculation]:
    """The calculations in the order of a job; those that are no section of the sheet come last.

    >>> in_order_of_work()[0].name
    'bore-cleanup'
    """
    every = calculations()
    return [every[name] for name in dict.fromkeys((*order_of_work(), *every))]


def operation_id(name: str) -> str:
    """The id of an operation: a name that any language takes, in one style.

    >>> operation_id("air-correction")
    'air_correction'
    """
    return name.replace("-", "_")


def _responses(component: str) -> dict[str, Any]:
    described = {"schema": {"$ref": f"#/components/schemas/{component}"}}
    return {
        "200": {"description": "answer", "content": {JSON: described}},
        **REFUSED,
    }


def _single(spec: APISpec, calculation: Calculation) -> None:
    path = f"/v1/{calculation.name}"
    request, answer = calculation.request.__name__, calculation.answer.__name__
    spec.components.schema(request, schema=calculation.request)
    if answer not in spec.components.schemas:
        spec.components.schema(answer, schema=calculation.answer)
    operation = {
        "operationId": operation_id(calculation.name),
        "summary": calculation.question,
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
        "responses": _responses(answer),
    }
    spec.path(path, operations={"post": operation})


def _batch(spec: APISpec, calculation: Calculation, most_rows: int) -> None:
    path = f"/v1/{calculation.name}/batch"
    request, answer = describe_batch(spec, calculation, most_rows)
    operation = {
        "operationId": operation_id(f"{calculation.name}_batch"),
        "summary": f"{calculation.title}, many rows",
        "description": f"Many rows at once: a request takes {rows_taken(calculation, most_rows)} rows at most. "
        "A failed row is null in the columns and listed in failures; it fails no other. Tolerances are not taken here.",
        "tags": ["batches"],
        "requestBody": {
            "required": True,
            "content": {
                JSON: {
                    "schema": {"$ref": f"#/components/schemas/{request}"},
                    "examples": {BATCH_TITLE: {"value": batch_example(calculation)}},
                }
            },
        },
        "responses": _responses(answer),
    }
    spec.path(path, operations={"post": operation})
