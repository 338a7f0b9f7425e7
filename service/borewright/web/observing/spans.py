"""OpenTelemetry spans, for who installed the otel extra and named a collector; else none of it is loaded here."""

from __future__ import annotations

from importlib.util import find_spec
from typing import TYPE_CHECKING

from borewright import __version__
from borewright.web.observing.tracing import HEADER, Trace
from borewright.web.setting_values import SettingError

if TYPE_CHECKING:
    from opentelemetry.sdk.trace.export import SpanExporter
    from opentelemetry.trace import Span

NEEDED = ("opentelemetry.sdk", "opentelemetry.exporter.otlp.proto.http")
SERVER_ERROR = 500
EXPORT_SECONDS = 3  # how long a collector that does not answer is tried; a stopping worker waits for it


def check_installed() -> None:
    """Raises SettingError where the otel extra is not installed."""
    if not all(_found(name) for name in NEEDED):
        raise SettingError("BOREWRIGHT_OTLP_ENDPOINT needs the otel extra: pip install 'borewright[otel]'")


def _found(name: str) -> bool:
    try:
        return find_spec(name) is not None
    except ModuleNotFoundError:  # of the package above it
        return False


class Spans:
    """One span for each request, sent to a collector from a thread of its own.

    endpoint : the collector's address
    exporter : in place of the collector

    Raises SettingError where the otel extra is not installed.
    """

    def __init__(self, endpoint: str, exporter: SpanExporter | None = None) -> None:
        check_installed()
        from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
        from opentelemetry.sdk.resources import Resource
        from opentelemetry.sdk.trace import TracerProvider
        from opentelemetry.sdk.trace.export import BatchSpanProcessor
        from opentelemetry.trace.propagation.tracecontext import TraceContextTextMapPropagator

        self._provider = TracerProvider(resource=Resource.create({"service.name": "borewright", "service.version": __version__}))
        self._provider.add_span_processor(BatchSpanProcessor(exporter or OTLPSpanExporter(endpoint=endpoint, timeout=EXPORT_SECONDS)))
        self._tracer = self._provider.get_tracer("borewright", __version__)
        self._propagator = TraceContextTextMapPropagator()

    def begin(self, header: str | None) -> Span:
        """The span of a request that carried this traceparent."""
        from opentelemetry.trace import SpanKind

        context = self._propagator.extract({HEADER: header} if header else {})
        return self._tracer.start_span("request", context=context, kind=SpanKind.SERVER)

    def trace_of(self, span: Span) -> Trace:
        """The span as the answer and the log tell it."""
        found = span.get_span_context()
        return Trace(f"{found.trace_id:032x}", f"{found.span_id:016x}", None, bool(found.trace_flags.sampled))

    def end(self, span: Span, method: str, route: str | None, status: int) -> None:
        """End a span, with the attributes of OpenTelemetry's conventions for HTTP servers."""
        from opentelemetry.trace import StatusCode

        span.update_name(f"{method} {route}" if route else method)
        span.set_attributes(
            {"http.request.method": method, "http.response.status_code": status, **({"http.route": route} if route else {})}
        )
        if status >= SERVER_ERROR:
            span.set_status(StatusCode.ERROR)
        span.end()

    def flush(self) -> None:
        """Send what waits to be sent."""
        self._provider.force_flush()
