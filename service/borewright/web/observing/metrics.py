"""Prometheus metrics, right over all workers of an instance.

Each worker writes its figures to files in the folder that the server makes before it starts one; whichever worker is asked adds up
those of all, of the ended ones too. Without the folder (one process, as in tests) the process has its own.
"""

from __future__ import annotations

import os

from flask import Blueprint, Response, request
from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram
from prometheus_client.exposition import choose_encoder
from prometheus_client.multiprocess import MultiProcessCollector

from borewright.web.observing.metrics_folder import FOLDER

BUCKETS = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)
METHODS = ("GET", "HEAD", "POST", "OPTIONS", "PUT", "DELETE", "PATCH")
UNMATCHED = "unmatched"  # any other path or method: what callers make up must not make new series

_registry = CollectorRegistry()
_requests = Counter("borewright_requests", "requests answered", ("operation", "method", "status"), registry=_registry)
_seconds = Histogram(
    "borewright_request_seconds", "time from the request's head to its answer", ("operation", "status"), buckets=BUCKETS, registry=_registry
)
_refused = Counter("borewright_refused", "requests refused, by the name of the problem", ("reason",), registry=_registry)
_overdue = Gauge(
    "borewright_calculations_overdue", "calculations that go on though nobody waits", multiprocess_mode="livesum", registry=_registry
)


def answered(operation: str | None, method: str, status: int, seconds: float) -> None:
    """Count an answer.

    operation : the route as it is written in the app, None where there is none
    seconds : how long it took
    """
    route = operation or UNMATCHED
    _requests.labels(route, method if method in METHODS else UNMATCHED, str(status)).inc()
    _seconds.labels(route, str(status)).observe(seconds)


def refused(reason: str) -> None:
    """Count a refusal by the name of its problem."""
    _refused.labels(reason).inc()


def overdue(number: int) -> None:
    """Tell how many calculations of this process outlived their time and still run."""
    _overdue.set(number)


def exposed(accept: str) -> tuple[bytes, str]:
    """The metrics in the form that is asked for, and its media type.

    >>> b"borewright_requests_total" in exposed("text/plain")[0]
    True
    """
    registry = _registry
    if FOLDER in os.environ:
        registry = CollectorRegistry()
        MultiProcessCollector(registry)
    encoder, media_type = choose_encoder(accept)
    return encoder(registry), media_type


def blueprint() -> Blueprint:
    """GET /metrics."""
    routes = Blueprint("metrics", __name__)

    @routes.get("/metrics")
    def metrics() -> Response:
        body, media_type = exposed(request.headers.get("Accept", ""))
        return Response(body, content_type=media_type)

    return routes
