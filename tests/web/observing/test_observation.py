"""What is told of each request: all that helps, nothing that is the caller's."""

import json
import logging
import socket
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from borewright.web.access.keys import key_line
from borewright.web.app import create_app
from borewright.web.settings import Settings

BODY = {"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}
SECRET = "a-secret-of-the-caller"


def told(caplog: pytest.LogCaptureFixture, ask: Callable[[], Any]) -> dict[str, Any]:
    caplog.clear()
    with caplog.at_level(logging.INFO):
        ask()
    (record,) = [record for record in caplog.records if record.name == "borewright.request"]
    fields: dict[str, Any] = record.fields
    return fields


def test_one_line_a_request(client: FlaskClient, caplog: pytest.LogCaptureFixture) -> None:
    trace = "4bf92f3577b34da6a3ce929d0e0e4736"
    headers = {"X-Request-Id": "a-1", "traceparent": f"00-{trace}-00f067aa0ba902b7-01"}
    answers = []
    line = told(caplog, lambda: answers.append(client.post("/v1/displacement", json=BODY, headers=headers)))
    ms = line.pop("ms")
    assert 0.0 < ms < 10_000.0
    assert line == {
        "request_id": "a-1",
        "trace_id": trace,
        "method": "POST",
        "route": "/v1/displacement",
        "status": 200,
        "bytes": len(answers[0].get_data()),
        "key": None,
    }


@pytest.mark.parametrize(
    ("method", "path", "status", "route", "reason"),
    [
        ("GET", "/nowhere", 404, None, "not-found"),
        ("DELETE", "/v1/displacement", 405, None, "method-not-allowed"),
        ("POST", "/v1/displacement", 415, "/v1/displacement", "unsupported-media-type"),
        ("MADEUP", "/nowhere", 404, None, "not-found"),
        ("GET", "/problems/nothing", 404, "/problems/<name>", "not-found"),
    ],
)
def test_refusals_say_why(
    client: FlaskClient, caplog: pytest.LogCaptureFixture, method: str, path: str, status: int, route: str | None, reason: str
) -> None:
    line = told(caplog, lambda: client.open(path, method=method))
    assert (line["status"], line["route"], line["reason"]) == (status, route, reason)


def test_a_file_has_its_size(client: FlaskClient, caplog: pytest.LogCaptureFixture) -> None:
    sizes = []

    def ask() -> None:
        with client.get("/docs/swagger-ui.css") as answer:
            sizes.append(len(answer.get_data()))

    line = told(caplog, ask)
    assert line["bytes"] == sizes[0] > 1000


def test_the_key_is_named_and_not_shown(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    path = tmp_path / "keys"
    path.write_text(key_line("shop-1", SECRET))
    service = create_app(Settings(keys_file=str(path))).test_client()
    line = told(caplog, lambda: service.post("/v1/displacement", json=BODY, headers={"Authorization": f"Bearer {SECRET}"}))
    assert line["key"] == "shop-1"
    refused = told(caplog, lambda: service.post("/v1/displacement", json=BODY, headers={"Authorization": f"Bearer {SECRET}x"}))
    assert (refused["key"], refused["reason"]) == (None, "unauthorized")


def test_nothing_of_the_callers_is_in_the_log(tmp_path: Path, start_service: Callable[..., Any]) -> None:
    """Over the socket: key, query string, path, body, headers and unreadable requests, at the most talkative level."""
    keys = tmp_path / "keys"
    keys.write_text(key_line("shop-1", SECRET))
    body = json.dumps({"bore": SECRET, SECRET: 1}).encode()
    heads = (
        f"POST /v1/displacement?key={SECRET} HTTP/1.1\r\nAuthorization: Bearer {SECRET}\r\nCookie: {SECRET}\r\nUser-Agent: {SECRET}",
        f"POST /{SECRET} HTTP/1.1\r\nReferer: http://a/{SECRET}",
        f"GET /health/live HTTP/1.1\r\nX-Request-Id: {SECRET}!",
        f"GET /{'x' * 5000}{SECRET} HTTP/1.1\r\nA: b",
        f"{SECRET} / HTTP/1.1\r\nA: b",
        f"GET / HTTP/{SECRET}\r\nA: b",
        f"GET / HTTP/1.1\r\n{SECRET}",
    )
    with start_service(tmp_path / "log", KEYS_FILE=str(keys), LOG_LEVEL="debug") as place:
        for head in heads:
            with socket.create_connection(place, timeout=20.0) as connection:
                more = f"\r\nHost: a\r\nConnection: close\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
                connection.sendall((head + more).encode() + body)
                while connection.recv(65536):
                    continue
    text = (tmp_path / "log").read_text()
    lines = [json.loads(line) for line in text.splitlines()]
    assert len([line for line in lines if line["message"] == "request"]) == 3
    assert len([line for line in lines if "before the app saw it" in line["message"]]) == 4
    assert {line["key"] for line in lines if line["message"] == "request"} == {"shop-1", None}
    assert SECRET not in text
