"""The app factory."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from typing import TYPE_CHECKING, Any

from flask import Flask, Request, Response, request
from flask.sessions import NullSession, SessionInterface
from werkzeug.middleware.proxy_fix import ProxyFix

from borewright.calculations.base.limits import Limits, configure
from borewright.web import compression, headers, health, operations, pages, problems, reference, sheets
from borewright.web.access import admission, private, rate
from borewright.web.access.keys import KeyRing, ring_of
from borewright.web.bodies import JSON
from borewright.web.calculating.calculators import Calculators
from borewright.web.calculating.host import Host
from borewright.web.calculating.jobs import DOCUMENTS, jobs
from borewright.web.observing import metrics, observation
from borewright.web.observing.spans import Spans
from borewright.web.server.room import Room
from borewright.web.settings import Settings

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIEnvironment


class NoSessions(SessionInterface):
    """What keeps nothing between requests: Flask would make an empty session for each."""

    _none = NullSession()

    def open_session(self, app: Flask, request: Request) -> NullSession:
        """The one that is empty and refuses to be written."""
        return self._none


class Service(Flask):
    """Flask, believing as many proxies as it is told of who the caller is."""

    session_interface = NoSessions()

    def __init__(self, trusted_proxies: int) -> None:
        super().__init__("borewright", static_folder=None, template_folder="web/templates")
        app = super().wsgi_app
        self._within = ProxyFix(app, x_for=trusted_proxies, x_proto=0, x_host=0) if trusted_proxies else app

    def ensure_sync(self, func: Callable[..., Any]) -> Callable[..., Any]:
        """The function as it is: none here is a coroutine, and Flask would ask each of them at each request."""
        return func

    def wsgi_app(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        """The app as WSGI has it."""
        return self._within(environ, start_response)


def create_app(
    settings: Settings | None = None,
    readiness: health.Readiness | None = None,
    ring: KeyRing | None = None,
    host: Host | None = None,
) -> Flask:
    """Build the service: a Flask app with every route, that keeps nothing between requests.

    settings : left out, those of the environment
    readiness : left out, one of its own
    ring : left out, the keys of the file that the settings name
    host : where the processes come from that calculate; left out, all is calculated where it is asked

    Raises SettingError for settings that can't be used.

    >>> create_app().test_client().get("/health/live").json["status"]
    'live'
    """
    chosen = settings or Settings.from_environment()
    app = Service(chosen.trusted_proxies)
    app.url_map.merge_slashes = False  # else a doubled slash is answered with an HTML redirect
    app.url_map.strict_slashes = True
    app.extensions["borewright_readiness"] = ready = readiness or health.Readiness()
    known = jobs(chosen)
    calculators = Calculators(known, host, places=chosen.calculations_at_once, seconds=chosen.request_seconds)
    room = Room(chosen.held_bytes)
    configure(Limits(search_work=chosen.search_work))
    observation.register(app, Spans(chosen.otlp_endpoint) if chosen.otlp_endpoint else None)
    compression.register(app)
    headers.register(app)
    problems.register(app)
    private.register(app, chosen)
    admission.register(app, chosen, ring or ring_of(chosen))
    rate.register(app, chosen)
    app.register_blueprint(operations.blueprint(chosen, known, calculators, room))
    app.register_blueprint(sheets.blueprint(chosen, calculators, room))
    app.register_blueprint(reference.blueprint())
    app.register_blueprint(pages.blueprint())
    app.register_blueprint(health.blueprint(ready))
    app.register_blueprint(metrics.blueprint())

    @cache
    def document(*, whole: bool) -> reference.Fixed:
        return reference.Fixed(calculators.run(DOCUMENTS[whole], b"").body, JSON)

    @app.get("/v1/openapi.json")
    def openapi_json() -> Response:
        return document(whole=_whole_texts()).response()

    metrics.know(str(rule) for rule in app.url_map.iter_rules())
    return app


def _whole_texts() -> bool:
    """Whether the caller wants the document with whole texts.

    Raises Problem (400) for another wish than there is.
    """
    wishes = request.args.getlist("text")
    if wishes not in ([], ["full"]):
        raise problems.Problem("bad-request", "the texts of the document come short, where nothing is said, or whole, with text=full")
    return bool(wishes)
