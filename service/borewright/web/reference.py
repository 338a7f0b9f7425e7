"""GET /v1/reference/…: every default and table with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha1
from types import MappingProxyType
from typing import Any

import orjson
from flask import Blueprint, Response, request

from borewright.practice.tables import Row, Table, table, table_names
from borewright.quantities import KINDS
from borewright.rules.vocabulary import checks_listed
from borewright.web.bodies import JSON
from borewright.web.problems import Problem

OWN_PAGES = ("materials", "fuels")
MAX_AGE = 3600


@dataclass(frozen=True)
class Page:
    """What the documentation says of a page.

    component : the shape of its answer in the OpenAPI document
    """

    text: str
    component: str


PAGES: Mapping[str, Page] = MappingProxyType(
    {
        "materials": Page("The materials and their properties, each with its source.", "ReferenceTable"),
        "fuels": Page("The fuels and their properties, each with its source.", "ReferenceTable"),
        "practice": Page(
            "Every other table that a calculation takes a default or a limit from, each row with its source.", "ReferenceTables"
        ),
        "checks": Page("Every check that an answer can carry: the kind of its value, and what holds where it passes.", "ReferenceChecks"),
        "units": Page("Every unit that a quantity may be written in, with its factor.", "ReferenceUnits"),
    }
)
TABLES = tuple(PAGES)


def contents(name: str) -> Mapping[str, Any]:
    """One reference page as data.

    >>> contents("units")["kinds"]["length"]["units"]["in"]
    {'factor': 0.0254, 'offset': 0.0}
    """
    if name == "units":
        return {
            "source": "NIST SP 811 (2008), Appendix B.8: SI value = value * factor + offset",
            "kinds": {
                kind.name: {
                    "metric": kind.metric,
                    "inch": kind.inch,
                    "units": {unit: {"factor": found.factor, "offset": found.offset} for unit, found in kind.units.items()},
                    "also": dict(kind.also),
                }
                for kind in KINDS.values()
            },
        }
    if name == "checks":
        return {"checks": {check["name"]: {"kind": check["kind"], "sentence": check["text"]} for check in checks_listed()}}
    if name in OWN_PAGES:
        return _table(table(name))
    return {"tables": {other: _table(table(other)) for other in table_names() if other not in OWN_PAGES}}


def _table(found: Table) -> dict[str, Any]:
    return {"title": found.title, "kinds": dict(found.kinds), "rows": {key: _row(row) for key, row in found.rows.items()}}


def _row(row: Row) -> dict[str, Any]:
    noted = {"note": row.note} if row.note else {}
    return {**row.values, "basis": row.basis, "source": row.source, **noted}


def blueprint() -> Blueprint:
    """GET /v1/reference/{materials,fuels,practice,checks,units} with ETag and Cache-Control."""
    routes = Blueprint("reference", __name__, url_prefix="/v1/reference")

    @routes.get("/<name>")
    def page(name: str) -> Response:
        if name not in TABLES:
            raise Problem("not-found", f"no such resource: there is no reference {name[:80]!r}: {', '.join(TABLES)}")
        return written(name).response()

    return routes


@cache
def written(name: str) -> Fixed:
    """A reference page as it is sent."""
    return Fixed(orjson.dumps(contents(name)), JSON)


class Fixed:
    """An answer that only a new version changes: written once, and sent again and again.

    >>> Fixed(b"{}", JSON).etag
    'bf21a9e8fbc5a3846fb05b4fa0859e0917b2202f'
    """

    def __init__(self, body: bytes, media_type: str) -> None:
        self.body, self.media_type = body, media_type
        self.etag = sha1(body, usedforsecurity=False).hexdigest()

    def response(self) -> Response:
        """It as an answer to the present request.

        Raises Problem (412) where the caller wants another page or none.
        """
        found = Response(self.body, mimetype=self.media_type)
        found.set_etag(self.etag)
        return cacheable(found)


def cacheable(response: Response) -> Response:
    """Give an answer that only a new version changes its ETag and its lifetime, and answer 304 where the caller has it.

    Raises Problem (412) where the caller wants another page or none.
    """
    if "ETag" not in response.headers:
        response.add_etag()
    response.cache_control.public = True
    response.cache_control.max_age = MAX_AGE
    response.make_conditional(request)
    if response.status_code == 412:
        raise Problem("precondition-failed", f"the ETag of this page is {response.headers['ETag']}")
    return response
