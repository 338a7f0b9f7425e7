"""Routes of the calculations, from the registry alone."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from flask import Blueprint, Response

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.web.bodies import json_response, read_body
from borewright.web.problems import Problem
from borewright.web.server.room import Room
from borewright.web.server.time_limit import Calculators
from borewright.web.settings import Settings
from borewright.web.strict_json import decoder

Take = Callable[[int], None]


@contextmanager
def turn(batches: threading.Semaphore) -> Iterator[None]:
    """Hold one of the threads that batches may hold: the others are for what is answered in a moment.

    Raises Problem (503) where as many batches wait as may.
    """
    if not batches.acquire(blocking=False):
        raise Problem("unavailable", "too many batches wait: try again", headers={"Retry-After": "1"})
    try:
        yield
    finally:
        batches.release()


def blueprint(settings: Settings, calculators: Calculators, room: Room) -> Blueprint:
    """POST /v1/<name> for every calculation and POST /v1/<name>/batch where it has one.

    calculators : what reads, calculates and writes, once the body is there
    room : what bounds the bodies and answers that are held
    """
    routes = Blueprint("operations", __name__, url_prefix="/v1")
    decode = decoder(settings).decode
    most = min(settings.body_bytes, settings.decompressed_bytes)
    batches = threading.BoundedSemaphore(settings.threads // 2)

    def single(calculation: Calculation) -> Callable[[], Response]:
        def made(take: Take) -> Response:
            raw = read_body(settings.body_bytes, most, take)
            return calculators.run(lambda: json_response(answer(calculation, decode(raw))))

        return lambda: room.answered(made)

    def batch(calculation: Calculation) -> Callable[[], Response]:
        def made(take: Take) -> Response:
            raw = read_body(settings.batch_body_bytes, settings.decompressed_bytes, take)
            with turn(batches):
                return calculators.run(
                    lambda: json_response(answer_batch(calculation, decode(raw), most_rows=settings.batch_rows)), large=True
                )

        return lambda: room.answered(made)

    for calculation in calculations().values():
        routes.add_url_rule(f"/{calculation.name}", calculation.name, single(calculation), methods=["POST"])
        if calculation.batch:
            name = f"{calculation.name}/batch"
            routes.add_url_rule(f"/{name}", name, batch(calculation), methods=["POST"])
    return routes
