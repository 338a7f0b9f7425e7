"""The app factory."""

from __future__ import annotations

from flask import Flask, Response

from borewright.web import headers, health, operations, pages, problems, reference, sheets
from borewright.web.bodies import json_response
from borewright.web.openapi import openapi
from borewright.web.settings import Settings


def create_app(settings: Settings | None = None) -> Flask:
    """Build the service: a Flask app with every route, that keeps nothing between requests.

    >>> create_app().test_client().get("/health/live").json["status"]
    'live'
    """
    chosen = settings or Settings.from_environment()
    app = Flask("borewright", static_folder=None, template_folder="web/templates")
    app.url_map.merge_slashes = False  # else a doubled slash is answered with an HTML redirect
    app.url_map.strict_slashes = True
    app.extensions["borewright_readiness"] = readiness = health.Readiness()
    headers.register(app)
    problems.register(app)
    app.register_blueprint(operations.blueprint(chosen))
    app.register_blueprint(sheets.blueprint(chosen))
    app.register_blueprint(reference.blueprint())
    app.register_blueprint(pages.blueprint())
    app.register_blueprint(health.blueprint(readiness))
    document = openapi()

    @app.get("/v1/openapi.json")
    def openapi_json() -> Response:
        return reference.cacheable(json_response(document))

    return app
