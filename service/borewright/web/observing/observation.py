"""What is told of each request: one line in the log, its figures in the metrics, its span in the trace."""

from __future__ import annotations

import logging
import time
from typing import TYPE_CHECKING, NamedTuple

from flask import Flask, Response, g, request

from borewright.web.observing import metrics
from borewright.web.observing.spans import Spans
from borewright.web.observing.tracing import HEADER, Trace, traced

if TYPE_CHECKING:
    from opentelemetry.trace import Span

log = logging.getLogger("borewright.request")


class _Seen(NamedTuple):
    """A request since it came."""

    begun: float
    span: Span | None
    trace: Trace


def register(app: Flask, spans: Spans | None) -> None:
    """Observe every request. To be registered before anything else: it sees the request first and the answer last.

    spans : where spans are recorded, None for nowhere
    """

    @app.before_request
    def _begin() -> None:
        given = request.environ.get("HTTP_TRACEPARENT")
        span = spans.begin(given) if spans else None
        g.seen = _Seen(time.perf_counter(), span, spans.trace_of(span) if spans and span else traced(given))

    @app.after_request
    def _end(response: Response) -> Response:
        told, method, rule, status = vars(g), request.method, request.url_rule, response.status_code
        seen: _Seen = told["seen"]
        seconds = time.perf_counter() - seen.begun
        route = rule.rule if rule else None
        response.headers[HEADER] = seen.trace.header
        metrics.answered(route, method, status, seconds)
        reason = told.get("reason")
        if reason:
            metrics.refused(reason)
        if spans and seen.span:
            spans.end(seen.span, method, route, status)
        if log.isEnabledFor(logging.INFO):
            fields = {
                "request_id": told.get("request_id"),
                "trace_id": seen.trace.trace_id,
                "method": method if method in metrics.METHODS else metrics.UNMATCHED,
                "route": route,
                "status": status,
                "ms": round(seconds * 1000.0, 3),
                "bytes": response.calculate_content_length() if response.content_length is None else response.content_length,
                "key": told.get("key_name"),
            }
            # as log.info does it, but for looking up which line of the program it is that says so: always this one
            extra = {"fields": {**fields, "reason": reason} if reason else fields}
            log.handle(log.makeRecord(log.name, logging.INFO, "", 0, "request", (), None, "_end", extra))
        return response
