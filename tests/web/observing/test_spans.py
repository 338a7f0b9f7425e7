"""Spans of OpenTelemetry: the caller's trace goes on, and each request is one span in it."""

import http.server
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter

from borewright.web import app as app_module
from borewright.web.app import create_app
from borewright.web.observing import spans as spans_module
from borewright.web.observing.spans import EXPORT_SECONDS, Spans, check_installed
from borewright.web.setting_values import SettingError
from borewright.web.settings import Settings

TRACE, SPAN = "4bf92f3577b34da6a3ce929d0e0e4736", "00f067aa0ba902b7"
BODY = {"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}


def test_one_span_a_request(monkeypatch: pytest.MonkeyPatch) -> None:
    exporter = InMemorySpanExporter()
    made = Spans("http://127.0.0.1:1/v1/traces", exporter)
    monkeypatch.setattr(app_module, "Spans", lambda endpoint: made)
    service = create_app(Settings(otlp_endpoint="http://127.0.0.1:1/v1/traces")).test_client()
    answer = service.post("/v1/displacement", json=BODY, headers={"traceparent": f"00-{TRACE}-{SPAN}-01"})
    service.get("/nowhere")
    made.flush()
    first, second = exporter.get_finished_spans()
    assert first.name == "POST /v1/displacement"
    assert dict(first.attributes or {}) == {
        "http.request.method": "POST",
        "http.response.status_code": 200,
        "http.route": "/v1/displacement",
    }
    assert first.context is not None
    assert first.parent is not None
    assert (f"{first.context.trace_id:032x}", f"{first.parent.span_id:016x}") == (TRACE, SPAN)
    assert answer.headers["traceparent"] == f"00-{TRACE}-{first.context.span_id:016x}-01"
    assert (second.name, second.parent) == ("GET", None)


class Collector(http.server.BaseHTTPRequestHandler):
    """Takes what is sent to it."""

    seen: list[tuple[str, str | None, bytes]]

    def do_POST(self) -> None:
        self.seen.append((self.path, self.headers["Content-Type"], self.rfile.read(int(self.headers["Content-Length"]))))
        self.send_response(200)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def log_message(self, *arguments: object) -> None:
        """Say nothing."""


@pytest.fixture
def collector() -> Iterator[tuple[str, list[tuple[str, str | None, bytes]]]]:
    Collector.seen = []
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), Collector) as server:
        threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/v1/traces", Collector.seen
        server.shutdown()


def test_a_collector_gets_them(collector: tuple[str, Any]) -> None:
    endpoint, seen = collector
    made = Spans(endpoint)
    span = made.begin(f"00-{TRACE}-{SPAN}-01")
    made.end(span, "POST", "/v1/displacement", 503)
    made.flush()
    ((path, media_type, body),) = seen
    assert (path, media_type) == ("/v1/traces", "application/x-protobuf")
    assert bytes.fromhex(TRACE) in body
    assert b"/v1/displacement" in body


def test_a_collector_that_is_gone_is_not_waited_for_long(free_port: Callable[[], int]) -> None:
    """A stopping worker sends what it has: its end must come before it is killed."""
    made = Spans(f"http://127.0.0.1:{free_port()}/v1/traces")
    made.end(made.begin(None), "POST", "/v1/displacement", 200)
    begin = time.monotonic()
    made.flush()
    assert time.monotonic() - begin < 2 * EXPORT_SECONDS


def test_without_the_extra_the_remedy_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    check_installed()
    monkeypatch.setattr(spans_module, "NEEDED", ("opentelemetry_that_is_not.there",))
    with pytest.raises(SettingError, match="pip install"):
        check_installed()
    with pytest.raises(SettingError, match="pip install"):
        create_app(Settings(otlp_endpoint="http://127.0.0.1:1/v1/traces"))


def test_unless_configured_none_of_it_runs() -> None:
    """Other libraries look at its API when it is there; its tracer and exporter are loaded by nobody."""
    script = "import sys; from borewright.web.app import create_app; create_app(); print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=True)
    assert "flask" in done.stdout.split()
    assert not [name for name in done.stdout.split() if name.startswith(("opentelemetry.sdk.trace", "opentelemetry.exporter"))]
