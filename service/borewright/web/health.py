"""Liveness and readiness, apart: a draining instance lives and is not ready."""

from __future__ import annotations

from flask import Blueprint, Response

from borewright import __version__
from borewright.web.bodies import json_response
from borewright.web.problems import Problem


class Readiness:
    """Whether this process wants new requests."""

    def __init__(self) -> None:
        self.draining = False


def blueprint(readiness: Readiness) -> Blueprint:
    """GET /health/live and /health/ready."""
    routes = Blueprint("health", __name__, url_prefix="/health")

    @routes.get("/live")
    def live() -> Response:
        return json_response({"status": "live", "version": __version__})

    @routes.get("/ready")
    def ready() -> Response:
        if readiness.draining:
            raise Problem("unavailable", "this instance is shutting down", headers={"Retry-After": "1"})
        return json_response({"status": "ready", "version": __version__})

    return routes
