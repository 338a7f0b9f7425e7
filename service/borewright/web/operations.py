"""Routes of the calculations, from the registry alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from flask import Blueprint, Response, g

from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.web.bodies import Written, read_body
from borewright.web.calculating.calculators import Calculators
from borewright.web.calculating.jobs import Job, Kind
from borewright.web.server.room import Room
from borewright.web.settings import Settings

Take = Callable[[int], None]
LIGHT_BYTES = 16_384  # of a light calculation's request that is answered where it is read
LIGHT_BATCH_BYTES = 4096  # of a light calculation's batch that is: each of its rows may be a group that is calculated by itself
LIGHT_TOLERANCES = 8  # of one: the corners double with each
TOLERANCES = (b"\xc2\xb1", b"+/-", b'"tolerance"', b"\\u00b1", b"\\u00B1")


def is_light(calculation: Calculation, raw: bytes) -> bool:
    """Whether a request takes a moment.

    >>> is_light(calculations()["displacement"], b"{}"), is_light(calculations()["strength"], b"{}")
    (True, False)
    """
    return calculation.light and len(raw) <= LIGHT_BYTES and sum(map(raw.count, TOLERANCES)) <= LIGHT_TOLERANCES


def blueprint(settings: Settings, jobs: Mapping[str, Job], calculators: Calculators, room: Room) -> Blueprint:
    """POST /v1/<name> for every calculation and POST /v1/<name>/batch where it has one.

    jobs : what reads, calculates and writes, once the body is there; the light ones are done here
    calculators : what does the others
    room : what bounds the bodies and answers that are held
    """
    routes = Blueprint("operations", __name__, url_prefix="/v1")

    def single(calculation: Calculation) -> Callable[[], Response]:
        name, job = calculation.name, jobs[calculation.name]

        def made(take: Take) -> Response:
            raw = read_body(settings.body_bytes, take)
            found = job(raw) if is_light(calculation, raw) else calculators.run(name, raw)
            return Written(found.body)

        return lambda: room.answered(made)

    def batch(calculation: Calculation) -> Callable[[], Response]:
        name = f"{calculation.name}/batch"
        job = jobs[name]

        def made(take: Take) -> Response:
            raw = read_body(settings.batch_body_bytes, take)
            light = calculation.light and len(raw) <= LIGHT_BATCH_BYTES
            found = job(raw) if light else calculators.run(name, raw, Kind.BATCH)
            g.rows = found.rows
            return Written(found.body)

        return lambda: room.answered(made)

    for calculation in calculations().values():
        routes.add_url_rule(f"/{calculation.name}", calculation.name, single(calculation), methods=["POST"])
        if calculation.batch:
            name = f"{calculation.name}/batch"
            routes.add_url_rule(f"/{name}", name, batch(calculation), methods=["POST"])
    return routes
