"""What is told of each request: one line in the log, its figures in the metrics, its span in the trace."""

from __future__ import annotations

import logging
import time

from flask import Flask, Response, g, request

from borewright.web.observing import metrics
from borewright.web.observing.spans import Spans
from borewright.web.observing.tracing import HEADER, traced

log = logging.getLogger("borewright.request")


def register(app: Flask, spans: Spans | None) -> None:
    """Observe every request. To be registered before anything else: it sees the request first and the answer last.

    spans : where spans are recorded, None for nowhere
    """

    @app.before_request
    def _begin() -> None:
        g.begun = time.perf_counter()
        given = request.headers.get(HEADER)
        g.span = spans.begin(given) if spans else None
        g.trace = spans.trace_of(g.span) if spans and g.span else traced(given)

    @app.after_request
    def _end(response: Response) -> Response:
        seconds = time.perf_counter() - g.begun
        route = request.url_rule.rule if request.url_rule else None
        response.headers[HEADER] = g.trace.header
        metrics.answered(route, request.method, response.status_code, seconds)
        reason = g.get("reason")
        if reason:
            metrics.refused(reason)
        if spans and g.span:
            spans.end(g.span, request.method, route, response.status_code)
        if log.isEnabledFor(logging.INFO):
            fields = {
                "request_id": g.get("request_id"),
                "trace_id": g.trace.trace_id,
                "method": request.method if request.method in metrics.METHODS else metrics.UNMATCHED,
                "route": route,
                "status": response.status_code,
                "ms": round(seconds * 1000.0, 3),
                "bytes": response.calculate_content_length() if response.content_length is None else response.content_length,
                "key": g.get("key_name"),
            }
            log.info("request", extra={"fields": {**fields, "reason": reason} if reason else fields})
        return response
