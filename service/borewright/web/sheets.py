"""POST /v1/build-sheet: the whole order in one call, as data, as a page or as a PDF."""

from __future__ import annotations

from collections.abc import Callable

from flask import Blueprint, Response

from borewright.web.bodies import read_body
from borewright.web.calculating.calculators import Calculators
from borewright.web.calculating.jobs import FORMS, HTML, JSON, PDF, SHEET, Kind
from borewright.web.negotiation import wanted_form
from borewright.web.server.room import Room
from borewright.web.settings import Settings

ENDINGS = {JSON: "json", HTML: "html", PDF: "pdf"}
NAME_DIGITS = 16


def blueprint(settings: Settings, calculators: Calculators, room: Room) -> Blueprint:
    """The build sheet's route.

    calculators : what works the sheet out and draws it
    room : what bounds the bodies and answers that are held
    """
    routes = Blueprint("sheets", __name__, url_prefix="/v1")

    @routes.post("/build-sheet")
    def sheet() -> Response:
        return room.answered(made)

    def made(take: Callable[[int], None]) -> Response:
        form = wanted_form(FORMS)
        found = calculators.run(f"{SHEET} {form}", read_body(settings.body_bytes, take), Kind.SHEET, draws=form != JSON)
        response = Response(found.body, mimetype=form)
        response.headers["Content-Disposition"] = f'inline; filename="{file_name(found.facts["digest"], form)}"'
        response.headers["Borewright-Verdict"] = found.facts["verdict"]
        response.headers["Borewright-Input-Digest"] = found.facts["digest"]
        if form == HTML:
            response.headers["Content-Security-Policy"] = found.facts["policy"]
        return response

    @routes.after_request
    def vary(response: Response) -> Response:
        response.vary.add("Accept")
        return response

    return routes


def file_name(digest: str, form: str) -> str:
    """A name for a file of the sheet: made of its digest, and of nothing that the caller wrote.

    >>> file_name("0123456789abcdef0123", PDF)
    'build-sheet-0123456789abcdef.pdf'
    """
    return f"build-sheet-{digest[:NAME_DIGITS]}.{ENDINGS[form]}"
