"""Pages for a person: the way in, the API reference, and an explanation of each problem."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import flask_swagger_ui
from flask import Blueprint, Response, make_response, render_template, request

from borewright import __version__
from borewright.calculations.base.mistakes import MISTAKES
from borewright.calculations.base.problems import InvalidRequest
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.rules.glossary import GLOSSARY
from borewright.web.bodies import JSON, json_response
from borewright.web.document.answers import kept_answer, kept_answers
from borewright.web.licenses import notices
from borewright.web.negotiation import wanted_form
from borewright.web.problems import PROBLEMS, Problem, document
from borewright.web.reference import TABLES, Fixed, cacheable

HERE = Path(__file__).parent
REFERENCE_UI = Path(flask_swagger_ui.__file__).parent / "dist"
UI_FILES = ("swagger-ui-bundle.js", "swagger-ui.css")
OWN_FILES = ("docs.js", "pages.css", "reference.css")
MEDIA_TYPES = {".js": "text/javascript", ".css": "text/css"}
HTML = "text/html"
FORMS = (JSON, HTML)
NEGOTIATED = ("pages.root", "pages.glossary", "pages.problems", "pages.problem")
PAGE_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
LINKS = '</v1/openapi.json>; rel="service-desc"; type="application/json", </docs>; rel="service-doc"; type="text/html"'  # RFC 8631
ENTRY = {
    "name": "borewright",
    "version": __version__,
    "openapi": "/v1/openapi.json",
    "docs": "/docs",
    "glossary": "/glossary",
    "problems": "/problems",
    "reference": {name: f"/v1/reference/{name}" for name in TABLES},
}


def page(template: str, **values: object) -> Response:
    """A page of ours under its strict policy."""
    # Links are relative, so that they hold behind a proxy that serves all this under a path of its own.
    root = "../" * (request.path.count("/") - 1) or "./"
    response = make_response(render_template(template, version=__version__, root=root, **values))
    response.headers["Content-Security-Policy"] = PAGE_POLICY
    return cacheable(response)


@cache
def file(path: Path) -> Fixed:
    """A file that a page uses."""
    return Fixed(path.read_bytes(), MEDIA_TYPES[path.suffix])


@cache
def example_problem() -> str:
    """A problem document as a caller sees it, to show on the page.

    >>> json.loads(example_problem())["errors"][0]["pointer"]
    '#/bore'
    """
    shown: dict[str, Any] = {}
    try:
        answer(calculations()["displacement"], {"bore": "3.9 kg", "stroke": "3.36 in", "cylinders": 8})
    except InvalidRequest as refusal:
        (error,) = refusal.errors
        shown = document(Problem("invalid-request", f"{error.pointer}: {error.detail}", [error]))
    return json.dumps({**shown, "request_id": "7c9e6679f4f84d7f"}, indent=2, ensure_ascii=False)


def blueprint() -> Blueprint:
    """GET /, /docs, /glossary and /problems/<name>."""
    routes = Blueprint("pages", __name__)

    @routes.get("/")
    def root() -> Response:
        if wanted_form(FORMS) == HTML:
            response = page("root.html", calculations=calculations().values(), tables=TABLES)
        else:
            response = cacheable(json_response(ENTRY))
        response.headers["Link"] = LINKS
        return response

    @routes.get("/docs")
    def docs() -> Response:
        return page("docs.html")

    @routes.get("/docs/code")
    def code() -> Response:
        from borewright.web.client_code.snippets import shown  # with the document, which takes long to make: for who asks for it

        return page("code.html", operations=shown())

    @routes.get("/docs/examples.json")
    def docs_examples() -> Response:
        return cacheable(json_response(dict(kept_answers())))

    @routes.get("/docs/<name>")
    def docs_file(name: str) -> Response:
        if name in UI_FILES:
            return file(REFERENCE_UI / name).response()
        if name == "licenses.txt":
            return cacheable(Response(notices(), mimetype="text/plain"))
        if name in OWN_FILES:
            return file(HERE / "static" / name).response()
        raise Problem("not-found", f"no such resource: nothing is served at /docs/{name[:80]}")

    @routes.get("/docs/examples/<operation>.json")
    def docs_example(operation: str) -> Response:
        answer = kept_answer(operation)
        if answer is None:
            raise Problem(
                "not-found", f"no such resource: there is no example of {operation[:80]!r}: operations are named in /v1/openapi.json"
            )
        return cacheable(json_response(answer))

    @routes.get("/glossary")
    def glossary() -> Response:
        if wanted_form(FORMS) == HTML:
            return page("glossary.html", glossary=GLOSSARY)
        return cacheable(json_response(GLOSSARY))

    @routes.get("/problems")
    def problems() -> Response:
        if wanted_form(FORMS) == HTML:
            kinds = sorted(PROBLEMS.values(), key=lambda kind: kind.status)
            return page("problems.html", problems=kinds, mistakes=MISTAKES, example=example_problem())
        return cacheable(json_response({name: f"/problems/{name}" for name in PROBLEMS}))

    @routes.get("/problems/<name>")
    def problem(name: str) -> Response:
        found = PROBLEMS.get(name)
        if found is None:
            raise Problem("not-found", f"no such resource: there is no problem type {name[:80]!r}: {', '.join(PROBLEMS)}")
        if wanted_form(FORMS) == HTML:
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

    @routes.after_request
    def vary(response: Response) -> Response:
        if request.endpoint in NEGOTIATED:  # a refusal depends on Accept as the page does
            response.vary.add("Accept")
        return response

    return routes
