"""POST /v1/build-sheet: the whole order in one call."""

from __future__ import annotations

from flask import Blueprint, Response

from borewright.sheet.sections import build_sheet
from borewright.web.bodies import json_response, read_json
from borewright.web.settings import Settings
from borewright.web.strict_json import StrictDecoder


def blueprint(settings: Settings) -> Blueprint:
    """The build sheet's route."""
    routes = Blueprint("sheets", __name__, url_prefix="/v1")
    decoder = StrictDecoder(nesting=settings.nesting, digits=settings.digits)

    @routes.post("/build-sheet")
    def sheet() -> Response:
        return json_response(build_sheet(read_json(decoder, settings.body_bytes)))

    return routes
