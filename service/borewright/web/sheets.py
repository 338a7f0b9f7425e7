"""POST /v1/build-sheet: the whole order in one call, as data, as a page or as a PDF."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from flask import Blueprint, Response

from borewright.sheet.content import content
from borewright.sheet.page import POLICY, page
from borewright.sheet.paper import paper
from borewright.sheet.sections import Worked, worked
from borewright.web.bodies import JSON, json_response, read_body
from borewright.web.negotiation import wanted_form
from borewright.web.problems import Problem
from borewright.web.server.room import Room
from borewright.web.server.time_limit import Calculators
from borewright.web.settings import Settings
from borewright.web.strict_json import decoder

HTML = "text/html"
PDF = "application/pdf"
ENDINGS = {JSON: "json", HTML: "html", PDF: "pdf"}
FORMS = tuple(ENDINGS)
AT_ONCE = 1  # sheets drawn at the same time in one process: drawing keeps a core busy, and the other requests want one too
PATIENCE = 10.0  # seconds that a sheet waits for its turn
RETRY_AFTER = 5  # seconds
NAME_DIGITS = 16

_turns = threading.BoundedSemaphore(AT_ONCE)


def blueprint(settings: Settings, calculators: Calculators, room: Room) -> Blueprint:
    """The build sheet's route.

    calculators : what works the sheet out and draws it; the wait for a turn to draw holds none of their places
    room : what bounds the bodies and answers that are held
    """
    routes = Blueprint("sheets", __name__, url_prefix="/v1")
    decode = decoder(settings).decode
    most = min(settings.body_bytes, settings.decompressed_bytes)

    @routes.post("/build-sheet")
    def sheet() -> Response:
        return room.answered(made)

    def made(take: Callable[[int], None]) -> Response:
        form = wanted_form(FORMS)
        raw = read_body(settings.body_bytes, most, take)
        found = calculators.run(lambda: worked(decode(raw)))
        response = json_response(found.sheet) if form == JSON else drawn(found, form, calculators)
        response.headers["Content-Disposition"] = f'inline; filename="{file_name(found, form)}"'
        return response

    @routes.after_request
    def vary(response: Response) -> Response:
        response.vary.add("Accept")
        return response

    return routes


def file_name(found: Worked, form: str) -> str:
    """A name for a file of the sheet: made of its digest, and of nothing that the caller wrote."""
    return f"build-sheet-{found.sheet['input_digest'][:NAME_DIGITS]}.{ENDINGS[form]}"


def drawn(found: Worked, form: str, calculators: Calculators) -> Response:
    """The sheet as a page or as a PDF.

    Raises Problem (503) where too many others are being drawn.
    """
    with turn():
        if form == PDF:
            return Response(calculators.run(lambda: paper(content(found))), mimetype=PDF)
        response = Response(calculators.run(lambda: page(content(found))), mimetype=HTML)
        response.headers["Content-Security-Policy"] = POLICY
        return response


@contextmanager
def turn(patience: float = PATIENCE) -> Iterator[None]:
    """Wait for a turn to draw, so that sheets never take all of a process from its other requests.

    Raises Problem (503) after a wait.
    """
    if not _turns.acquire(timeout=patience):
        raise Problem(
            "unavailable", "other sheets are being drawn: try again, or ask for the data", headers={"Retry-After": str(RETRY_AFTER)}
        )
    try:
        yield
    finally:
        _turns.release()
