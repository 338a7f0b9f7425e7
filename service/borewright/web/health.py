"""Liveness and readiness, apart: a draining instance lives and is not ready."""

from __future__ import annotations

import mmap

from flask import Blueprint, Response

from borewright import __version__
from borewright.web.bodies import json_response
from borewright.web.problems import Problem


class Readiness:
    """Whether this instance wants new requests: memory that the workers forked from a process share with it, and with one another."""

    def __init__(self) -> None:
        self._shared = mmap.mmap(-1, 1)

    @property
    def draining(self) -> bool:
        """Whether it is about to stop."""
        return self._shared[0] != 0

    @draining.setter
    def draining(self, value: bool) -> None:
        self._shared[0] = int(value)


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
