"""What watches the service, on an address of its own where the operator gave one."""

from __future__ import annotations

from flask import Flask, request

from borewright.web.problems import Problem
from borewright.web.settings import Settings

PRIVATE_BLUEPRINTS = ("health", "metrics")


def register(app: Flask, settings: Settings) -> None:
    """With a private address, answer health and metrics there and nowhere else, and nothing else there."""
    if settings.private_address is None:
        return
    port = str(settings.private_address[1])

    @app.before_request
    def _apart() -> None:
        # the port of the socket that took the request: gunicorn does not take it from a header
        asked_in_private = request.environ.get("SERVER_PORT") == port
        if asked_in_private != (request.blueprint in PRIVATE_BLUEPRINTS):
            raise Problem("not-found", f"no such resource: nothing is served at {request.path[:200]} on this address")
