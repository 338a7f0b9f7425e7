"""Routes of the calculations, from the registry alone."""

from __future__ import annotations

from collections.abc import Callable

from flask import Blueprint, Response

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.web.bodies import json_response, read_json
from borewright.web.settings import Settings
from borewright.web.strict_json import StrictDecoder


def blueprint(settings: Settings) -> Blueprint:
    """POST /v1/<name> for every calculation and POST /v1/<name>/batch where it has one."""
    routes = Blueprint("operations", __name__, url_prefix="/v1")
    decoder = StrictDecoder(nesting=settings.nesting, digits=settings.digits)
    for calculation in calculations().values():
        routes.add_url_rule(f"/{calculation.name}", calculation.name, _single(calculation, decoder, settings), methods=["POST"])
        if calculation.batch:
            name = f"{calculation.name}/batch"
            routes.add_url_rule(f"/{name}", name, _batch(calculation, decoder, settings), methods=["POST"])
    return routes


def _single(calculation: Calculation, decoder: StrictDecoder, settings: Settings) -> Callable[[], Response]:
    def view() -> Response:
        return json_response(answer(calculation, read_json(decoder, settings.body_bytes)))

    return view


def _batch(calculation: Calculation, decoder: StrictDecoder, settings: Settings) -> Callable[[], Response]:
    def view() -> Response:
        return json_response(answer_batch(calculation, read_json(decoder, settings.batch_body_bytes), most_rows=settings.batch_rows))

    return view
