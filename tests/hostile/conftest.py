"""The service on a loopback socket with one worker, raw exchanges with it, and the rule that every answer keeps."""

import json
import os
import re
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from io import BufferedReader
from pathlib import Path
from typing import Any

import pytest
from scale_service import logged

from borewright.calculations.base.registry import calculations
from borewright.web.document.batches import batch_example
from borewright.web.problems import PROBLEMS

START = 30.0  # seconds; importing the service on a busy machine takes a few
PATIENCE = 30.0  # seconds that an answer may take
MIB = 1024 * 1024
# as in the image: else each thread keeps the largest body it has seen for reuse, and memory says little of what is held by mistake
ALLOCATOR = {"MALLOC_MMAP_THRESHOLD_": "4194304", "MALLOC_TRIM_THRESHOLD_": "16777216"}
# NumPy's warning of what is no number is a defect here, as in every test; and nobody waits for what is on its way when all is over
STRICT = {"PYTHONWARNINGS": "error::RuntimeWarning", "BOREWRIGHT_DRAIN_SECONDS": "0"}
STATUS_LINE = re.compile(rb"HTTP/1\.[01] ([1-5][0-9]{2}) [ -~]*\r\n")
HEADER_LINE = re.compile(rb"([!#$%&'*+.^_`|~0-9A-Za-z-]+): ([ -~]*)\r\n")


@dataclass(frozen=True)
class Answer:
    """What came back over the socket: status 0 where the service closed the connection without a word."""

    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def last(self) -> bool:
        """Whether nothing more comes on this connection."""
        return self.status == 0 or self.headers.get("connection", "").lower() == "close"


SILENCE = Answer(0, {}, b"")


def read_answer(reader: BufferedReader, method: str) -> Answer:
    """Read one answer, byte by byte as RFC 9112 has it: a header that was split or a length that is wrong fails the test."""
    try:
        line = reader.readline()
    except ConnectionResetError:
        return SILENCE
    if not line:
        return SILENCE
    found = STATUS_LINE.fullmatch(line)
    assert found, line[:200]
    status, headers = int(found[1]), {}
    while (line := reader.readline()) != b"\r\n":
        header = HEADER_LINE.fullmatch(line)
        assert header, line[:200]
        name = header[1].decode().lower()
        assert name not in headers, f"{name} is given twice"
        headers[name] = header[2].decode()
    if status == 100:
        return read_answer(reader, method)
    assert "transfer-encoding" not in headers, "the service knows the length of all it sends"
    if method == "HEAD" or status in (204, 304):
        return Answer(status, headers, b"")
    length = int(headers["content-length"])
    body = reader.read(length)
    assert len(body) == length
    return Answer(status, headers, body)


@dataclass(frozen=True)
class Live:
    """A running service with one worker."""

    process: "subprocess.Popen[bytes]"
    port: int
    log: Path

    @property
    def address(self) -> tuple[str, int]:
        return "127.0.0.1", self.port

    def worker(self) -> int:
        """The process id of the only worker."""
        children = {int(pid) for pid in Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text().split()}
        told = [line["message"] for line in logged(self.log)]
        (found,) = children & {int(line.rsplit(" ", 1)[1]) for line in told if line.startswith("Booting worker")}
        return found

    def resident(self) -> int:
        """Bytes of memory that the worker holds."""
        lines = Path(f"/proc/{self.worker()}/status").read_text().splitlines()
        return int(next(line for line in lines if line.startswith("VmRSS:")).split()[1]) * 1024

    def connect(self) -> socket.socket:
        return socket.create_connection(self.address, timeout=PATIENCE)

    def raw(self, sent: bytes, *, half_close: bool = False, answers: int = 1) -> list[Answer]:
        """Send bytes as they are, and read as many answers as are wanted or come before the service closes."""
        method = sent.split(b" ", 1)[0].decode("latin-1")
        with self.connect() as connection, connection.makefile("rb") as reader:
            with suppress(BrokenPipeError, ConnectionResetError):  # it may refuse before it has read all
                connection.sendall(sent)
                if half_close:
                    connection.shutdown(socket.SHUT_WR)
            found = [read_answer(reader, method)]
            while len(found) < answers and not found[-1].last:
                found.append(read_answer(reader, method))
            return found

    def only(self, sent: bytes, *, half_close: bool = False) -> Answer:
        """The one answer to what was sent: after it the service must end the connection, whatever else was on it."""
        found = self.raw(sent, half_close=half_close, answers=2)
        assert found[1:] in ([], [SILENCE]), found[1:]
        return found[0]


class Caller:
    """One caller on a kept-alive connection, opened again where the service ended it."""

    def __init__(self, service: Live) -> None:
        self.service = service
        self._open()

    def _open(self) -> None:
        self.connection = self.service.connect()
        self.connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self.reader = self.connection.makefile("rb")

    def close(self) -> None:
        self.reader.close()
        self.connection.close()

    def ask(self, method: str, path: str, body: bytes = b"", headers: bytes = b"Content-Type: application/json\r\n") -> Answer:
        """Send a request and read its answer; sent once more where the connection had been ended before it."""
        sent = f"{method} {path} HTTP/1.1\r\nHost: a\r\nContent-Length: {len(body)}\r\n".encode() + headers + b"\r\n" + body
        for _ in range(2):
            with suppress(BrokenPipeError, ConnectionResetError):
                self.connection.sendall(sent)
            answer = read_answer(self.reader, method)
            if answer.last:
                self.close()
                self._open()
            if answer.status:
                return answer
        raise AssertionError(f"no answer to {sent[:400]!r}")


@pytest.fixture
def caller(live: Live) -> Iterator[Caller]:
    made = Caller(live)
    yield made
    made.close()


@pytest.fixture(scope="session")
def live(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    """The service under gunicorn; when all is over the worker is the one that it began with, and the log tells of no defect."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    log = tmp_path_factory.mktemp("hostile") / "log"
    command = [sys.executable, "-m", "borewright.cli", "serve", "--port", str(port), "--workers", "1"]
    setting = {**os.environ, **ALLOCATOR, **STRICT}
    with log.open("wb") as written, subprocess.Popen(command, stdout=written, stderr=subprocess.STDOUT, env=setting) as process:
        service = Live(process, port, log)
        try:
            _wait(service)
            worker = service.worker()
            yield service
            assert service.worker() == worker, "the worker has been replaced"
        finally:
            process.terminate()
            try:
                process.wait(timeout=15.0)
            except subprocess.TimeoutExpired:
                process.kill()
                raise
    assert process.returncode == 0
    assert "Traceback" not in log.read_text(encoding="utf-8"), "bad input must never reach the log as a defect"


def _wait(service: Live) -> None:
    deadline = time.monotonic() + START
    while time.monotonic() < deadline:
        if service.process.poll() is not None:
            raise RuntimeError(f"the service ended with status {service.process.returncode}")
        with suppress(OSError):
            if service.raw(b"GET /health/ready HTTP/1.1\r\nHost: a\r\n\r\n")[0].status == 200:
                return
        time.sleep(0.05)
    raise RuntimeError(f"the service was not ready within {START} s")


def _no_constant(text: str) -> None:
    raise AssertionError(f"{text} is not JSON")


@pytest.fixture(scope="session")
def lawful() -> Callable[..., Any]:
    """Assert what holds for every answer, whatever was asked, and return its JSON where it has any."""

    def check(answer: Answer, *, empty: bool = False) -> Any:
        assert answer.status in {200, 304} | {kind.status for kind in PROBLEMS.values()} - {500}, answer
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert re.fullmatch(r"[A-Za-z0-9._-]{1,64}", answer.headers["x-request-id"])
        if empty or not answer.body:
            return None
        if answer.status == 200:
            if answer.headers["content-type"] != "application/json":
                return None
            return json.loads(answer.body, parse_constant=_no_constant)
        assert answer.headers["content-type"] == "application/problem+json", answer
        assert len(answer.body) < 64 * 1024, "a refusal must not send the request back"
        problem = json.loads(answer.body, parse_constant=_no_constant)
        assert set(problem) <= {"type", "title", "status", "detail", "request_id", "errors"}
        kind = PROBLEMS[problem["type"].removeprefix("/problems/")]
        assert (problem["status"], problem["title"]) == (answer.status, kind.title)
        assert kind.status == answer.status
        assert problem["detail"]
        assert problem["request_id"] == answer.headers["x-request-id"]
        for error in problem.get("errors", []):
            assert set(error) == {"pointer", "detail", "code"}
            assert error["pointer"].startswith("#")
            assert error["detail"]
        if answer.status == 503:
            assert int(answer.headers["retry-after"]) > 0, "a 503 says when to come back"
        return problem

    return check


@pytest.fixture(scope="session")
def valid_bodies() -> list[tuple[str, Any]]:
    """The path of every operation with each request that its documentation shows."""
    found: list[tuple[str, Any]] = []
    for name, calculation in calculations().items():
        found += [(f"/v1/{name}", dict(example)) for example in calculation.examples.values()]
        if calculation.batch:
            found.append((f"/v1/{name}/batch", batch_example(calculation)))
    whole = {name: value for name, value in next(iter(calculations()["displacement"].examples.values())).items() if name != "units"}
    return [*found, ("/v1/build-sheet", {"units": "inch", "order": {"id": "A-1"}, "build": whole})]


@pytest.fixture(scope="session")
def rounds() -> int:
    """How many mutated bodies are sent: more than the usual 5,000 where HOSTILE_ROUNDS says so."""
    return int(os.environ.get("HOSTILE_ROUNDS", "5000"))


@pytest.fixture(scope="session")
def seed() -> int:
    """What the mutated bodies are drawn from: others where HOSTILE_SEED says so."""
    return int(os.environ.get("HOSTILE_SEED", "20260117"))
