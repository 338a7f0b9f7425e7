"""The proxy with its own configuration, before replicas that do as told: what is sent again, what is not, and what a caller sees."""

import http.client
import json
import re
import socket
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from scale_proxy import program, proxy
from scale_service import free_port, until

from borewright.web.problems import PROBLEMS
from borewright.web.server.connection import BODY_SECONDS
from borewright.web.settings import Settings

pytestmark = pytest.mark.system
BODY = b'{"bore": "4 in", "stroke": "3 in", "cylinders": 8}'


@dataclass
class Replica:
    """An instance that does as told with what is POSTed: answer with a status, or hang up in the middle (0)."""

    then: int = 200
    ready: bool = True
    seen: list[dict[str, str]] = field(default_factory=list)
    looked_at: int = 0
    port: int = 0

    @contextmanager
    def running(self) -> Iterator["Replica"]:
        replica = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def do_GET(self) -> None:
                self._answer(200 if replica.ready else 503)
                replica.looked_at += 1

            def do_POST(self) -> None:
                self.rfile.read(int(self.headers.get("Content-Length", 0)))
                replica.seen.append({name.lower(): value for name, value in self.headers.items()})
                if replica.then:
                    self._answer(replica.then)
                else:
                    self.connection.shutdown(socket.SHUT_RDWR)
                    self.close_connection = True

            def _answer(self, status: int) -> None:
                body = json.dumps({"port": replica.port}).encode()
                self.send_response(status)
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_: Any) -> None:
                """Say nothing."""

        server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.port = server.server_port
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        try:
            yield self
        finally:
            server.shutdown()
            server.server_close()
            thread.join()


@dataclass
class Answer:
    status: int
    headers: dict[str, str]
    body: bytes


def ask(port: int, method: str = "POST", path: str = "/v1/displacement", body: bytes = BODY, **headers: str) -> Answer:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20.0)
    try:
        connection.request(method, path, body=body, headers={name.replace("_", "-"): value for name, value in headers.items()})
        response = connection.getresponse()
        return Answer(response.status, {name.lower(): value for name, value in response.getheaders()}, response.read())
    finally:
        connection.close()


def problem(answer: Answer, status: int) -> dict[str, Any]:
    assert answer.status == status, answer
    assert answer.headers["content-type"] == "application/problem+json"
    found: dict[str, Any] = json.loads(answer.body)
    assert found["status"] == status
    assert found["detail"]
    kind = PROBLEMS[found["type"].removeprefix("/problems/")]
    assert found["title"] == kind.title
    return found


def test_the_configuration_is_one(docker: Path) -> None:
    done = subprocess.run([program(), "-c", "-f", docker / "proxy.cfg"], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode()
    assert b"WARNING" not in done.stdout + done.stderr


def test_its_limits_lie_around_the_services(docker: Path) -> None:
    text, read = (docker / "proxy.cfg").read_text(encoding="utf-8"), Settings()
    assert f"req.body_size gt {read.batch_body_bytes} " in text
    seconds = {name: int(value) for name, value in re.findall(r"^  timeout (\S+) (\d+)s$", text, re.MULTILINE)}
    assert seconds["server"] > BODY_SECONDS + read.request_seconds


def test_a_replica_that_refuses_the_connection_costs_nothing(docker: Path, tmp_path: Path) -> None:
    with Replica().running() as up, proxy(tmp_path, [free_port(), up.port]) as port:
        assert [ask(port).status for _ in range(20)] == [200] * 20
        assert len(up.seen) == 20


@pytest.mark.parametrize(("then", "seen"), [(0, 502), (500, 500), (503, 503), (504, 504), (422, 422)])
def test_what_a_replica_has_taken_is_not_sent_again(docker: Path, tmp_path: Path, then: int, seen: int) -> None:
    with (
        Replica(then=then).running() as one,
        Replica(then=then).running() as other,
        proxy(tmp_path, [one.port, other.port]) as port,
    ):
        answer = ask(port)
        assert answer.status == seen
        if then == 0:
            assert problem(answer, 502)["request_id"] == answer.headers["x-request-id"]
        assert len(one.seen) + len(other.seen) == 1


def test_a_replica_that_is_not_ready_gets_nothing(docker: Path, tmp_path: Path) -> None:
    with Replica(ready=False).running() as leaving, Replica().running() as up, proxy(tmp_path, [leaving.port, up.port]) as port:
        until(lambda: leaving.looked_at > 2, 60.0, "two checks have been answered, and the proxy goes on to the next")
        assert [ask(port).status for _ in range(10)] == [200] * 10
        assert leaving.seen == []


def test_no_replica_at_all_is_a_problem_document(docker: Path, tmp_path: Path) -> None:
    with proxy(tmp_path, [free_port()]) as port:
        answer = ask(port, X_Request_Id="a-1")
        assert problem(answer, 503)["request_id"] == answer.headers["x-request-id"] == "a-1"
        assert int(answer.headers["retry-after"]) > 0


def test_what_callers_say_of_their_way_is_not_believed(docker: Path, tmp_path: Path) -> None:
    with Replica().running() as up, proxy(tmp_path, [up.port]) as port:
        ask(port, X_Forwarded_For="192.0.2.1", Forwarded="for=192.0.2.1", X_Request_Id='"}, {"a": "')
        ask(port, X_Request_Id="kept-1")
        first, second = up.seen
        assert first["x-forwarded-for"] == "127.0.0.1"
        assert "forwarded" not in first
        assert re.fullmatch(r"[0-9a-f-]{36}", first["x-request-id"])
        assert second["x-request-id"] == "kept-1"


def test_figures_are_not_for_callers(docker: Path, tmp_path: Path) -> None:
    with Replica().running() as up, proxy(tmp_path, [up.port]) as port:
        for path in ("/metrics", "//metrics", "/%6detrics", "/%2Fmetrics", "/metrics/", "/metrics?a=b", "/x/metrics", "http://a/metrics"):
            problem(ask(port, "GET", path, b""), 404)
        assert ask(port, "GET", "/health/ready", b"").status == 200


def test_too_large_a_body_is_refused_before_it_is_sent(docker: Path, tmp_path: Path) -> None:
    with Replica().running() as up, proxy(tmp_path, [up.port]) as port:
        with socket.create_connection(("127.0.0.1", port), timeout=20.0) as caller:
            head = b"POST /v1/displacement/batch HTTP/1.1\r\nHost: a\r\nContent-Length: 32000001\r\n\r\n"
            caller.sendall(head + b" " * 70_000)
            response = http.client.HTTPResponse(caller)
            response.begin()
            answer = Answer(response.status, {name.lower(): value for name, value in response.getheaders()}, response.read())
        assert problem(answer, 413)["request_id"] == answer.headers["x-request-id"]
        assert up.seen == []


@pytest.mark.parametrize("sent", [b"GET / HTTP/1.1\r\nHost: a\r\nX A: b\r\n\r\n", b"\0\1\2\r\n\r\n"])
def test_no_http_reaches_no_replica(docker: Path, tmp_path: Path, sent: bytes) -> None:
    with Replica().running() as up, proxy(tmp_path, [up.port]) as port:
        with socket.create_connection(("127.0.0.1", port), timeout=20.0) as caller:
            caller.sendall(sent)
            assert caller.recv(100).startswith(b"HTTP/1.1 400 ")
        assert up.seen == []


def test_a_body_that_does_not_come_is_a_problem_document(docker: Path, tmp_path: Path) -> None:
    with Replica().running() as up, proxy(tmp_path, [up.port]) as port:
        with socket.create_connection(("127.0.0.1", port), timeout=20.0) as caller:
            caller.sendall(b"POST /v1/displacement HTTP/1.1\r\nHost: a\r\nContent-Length: 50\r\n\r\n{")
            response = http.client.HTTPResponse(caller)
            response.begin()
            answer = Answer(response.status, {name.lower(): value for name, value in response.getheaders()}, response.read())
        problem(answer, 408)
        assert up.seen == []
