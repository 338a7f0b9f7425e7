"""Pages for a person: the way in, the API reference, and an explanation of each problem."""

from __future__ import annotations

from pathlib import Path

import flask_swagger_ui
from flask import Blueprint, Response, make_response, render_template, request, send_from_directory

from borewright import __version__
from borewright.web.bodies import json_response
from borewright.web.problems import PROBLEMS, Problem
from borewright.web.reference import cacheable

HERE = Path(__file__).parent
REFERENCE_UI = Path(flask_swagger_ui.__file__).parent / "dist"
UI_FILES = ("swagger-ui-bundle.js", "swagger-ui.css", "favicon-32x32.png")
OWN_FILES = ("docs.js", "pages.css")
PAGE_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


def wants_html() -> bool:
    """Whether the caller would rather have a page than data."""
    best = request.accept_mimetypes.best_match(["application/json", "text/html"], default="application/json")
    return best == "text/html" and request.accept_mimetypes["text/html"] > request.accept_mimetypes["application/json"]


def page(template: str, **values: object) -> Response:
    """A page of ours under its strict policy."""
    response = make_response(render_template(template, version=__version__, **values))
    response.headers["Content-Security-Policy"] = PAGE_POLICY
    return cacheable(response)


def blueprint() -> Blueprint:
    """GET /, /docs and /problems/<name>."""
    routes = Blueprint("pages", __name__)

    @routes.get("/")
    def root() -> Response:
        if wants_html():
            return page("root.html")
        return json_response({"name": "borewright", "version": __version__, "openapi": "/v1/openapi.json", "docs": "/docs"})

    @routes.get("/docs")
    def docs() -> Response:
        return page("docs.html")

    @routes.get("/docs/<name>")
    def docs_file(name: str) -> Response:
        if name in UI_FILES:
            return cacheable(send_from_directory(REFERENCE_UI, name))
        if name in OWN_FILES:
            return cacheable(send_from_directory(HERE / "static", name))
        raise Problem("not-found", f"nothing is served at /docs/{name[:80]}")

    @routes.get("/problems")
    def problems() -> Response:
        if wants_html():
            return page("problems.html", problems=PROBLEMS.values())
        return cacheable(json_response({name: f"/problems/{name}" for name in PROBLEMS}))

    @routes.get("/problems/<name>")
    def problem(name: str) -> Response:
        found = PROBLEMS.get(name)
        if found is None:
            raise Problem("not-found", f"there is no problem type {name[:80]!r}: {', '.join(PROBLEMS)}")
        if wants_html():
            return page("problem.html", problem=found)
        return cacheable(
            json_response(
                {
                    "type": f"/problems/{name}",
                    "title": found.title,
                    "status": found.status,
                    "meaning": found.meaning,
                    "remedy": found.remedy,
                }
            )
        )

    return routes
