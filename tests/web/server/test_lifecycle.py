"""SIGTERM over real processes: not ready, still answering, each connection closed after its answer, then the end."""

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from scale_service import logged, until

from borewright.calculations.base.registry import calculations
from borewright.web.access.keys import key_line

PATIENCE = 60.0  # seconds for what takes a moment on an idle machine
BODY = json.dumps({"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}).encode()
# the service with a calculation that never ends by itself
ENDLESS = """
import sys
from borewright.calculations.strength import CALCULATION
from borewright.web.server import server
def spin(request):
    while True:
        pass
object.__setattr__(CALCULATION, "compute", spin)
server.serve("127.0.0.1", int(sys.argv[1]), 1)
"""


class Running:
    """A service whose process the test signals itself."""

    def __init__(self, process: "subprocess.Popen[bytes]", port: int, log: Path) -> None:
        self.process, self.port, self.log = process, port, log

    def ask(self, method: str, path: str, body: bytes = b"", key: str | None = None) -> tuple[int, dict[str, str], dict[str, Any]]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30.0)
        try:
            carried = {} if key is None else {"Authorization": f"Bearer {key}"}
            connection.request(method, path, body, {"Content-Type": "application/json", **carried})
            response = connection.getresponse()
            return response.status, {name.lower(): value for name, value in response.getheaders()}, json.loads(response.read())
        finally:
            connection.close()

    def children(self, pid: int | None = None) -> list[int]:
        """The process ids of what a process, or the service itself, has started."""
        of = pid or self.process.pid
        return [int(found) for found in Path(f"/proc/{of}/task/{of}/children").read_text().split()]

    def descendants(self) -> list[int]:
        """The process ids of all that the service has started."""
        return [found for child in self.children() for found in [child, *self.children(child)]]

    def told(self) -> list[str]:
        """The messages of the log so far."""
        return [line["message"] for line in logged(self.log)]

    def workers(self) -> list[int]:
        """The process ids of the workers that live."""
        booted = {int(line.rsplit(" ", 1)[1]) for line in self.told() if line.startswith("Booting worker")}
        return sorted(booted & set(self.children()))

    def others(self) -> set[int]:
        """The process ids of what the service has started beside its workers, when those are all up."""
        return set(self.children()) - set(self.workers())

    def wait_until(self, true: Callable[[], object], what: str) -> None:
        """Wait for what the service does in its own time, however busy the machine is."""

        def lasting() -> bool:
            found = bool(true())
            assert found or self.process.poll() is None, "the service ended"
            return found

        until(lasting, PATIENCE, what)

    def wait_until_up(self, workers: int) -> None:
        """Wait until so many workers have said that they are there, and the service that it is ready."""
        self.wait_until(lambda: len(self.workers()) == workers, f"{workers} workers were not up")
        self.wait_until(lambda: self.answer("GET", "/health/ready") == 200, "it was not ready")

    def answer(self, method: str, path: str) -> int | None:
        """The status of an answer; none where there was none."""
        try:
            return self.ask(method, path)[0]
        except (OSError, http.client.HTTPException):
            return None


@pytest.fixture
def start(tmp_path: Path, free_port: Callable[[], int]) -> Callable[..., Any]:
    @contextmanager
    def running(*command: str, workers: int = 2, **settings: str) -> Iterator[Running]:
        port = free_port()
        served = ("-m", "borewright.cli", "serve", "--port", "{port}", "--workers", str(workers))
        started = [part.format(port=port) for part in command or served]
        environment = {**os.environ, **{f"BOREWRIGHT_{name}": value for name, value in settings.items()}}
        with (tmp_path / "log").open("wb") as log:
            process = subprocess.Popen([sys.executable, *started], env=environment, stdout=log, stderr=log)
        try:
            found = Running(process, port, tmp_path / "log")
            found.wait_until_up(workers)
            yield found
        finally:
            process.kill()
            process.wait()

    return running


def test_sigterm_drains_then_stops(start: Callable[..., Any]) -> None:
    """The end comes when the time is over, not before and not by anything the callers do."""
    with start(DRAIN_SECONDS="8") as service:
        begin = time.monotonic()
        service.process.send_signal(signal.SIGTERM)
        service.wait_until(lambda: service.answer("GET", "/health/ready") == 503, "it stays ready")
        status, headers, problem = service.ask("GET", "/health/ready")
        assert (status, problem["type"], headers["retry-after"]) == (503, "/problems/unavailable", "1")
        assert service.ask("GET", "/health/live")[0] == 200
        status, headers, _ = service.ask("POST", "/v1/displacement", BODY)
        assert (status, headers["connection"]) == (200, "close")
        assert service.process.wait(timeout=PATIENCE) == 0
        assert time.monotonic() - begin >= 8.0, "the drain was cut short"
        with pytest.raises(OSError, match="refused"):
            service.ask("GET", "/health/live")


def test_every_worker_drains(start: Callable[..., Any]) -> None:
    with start(DRAIN_SECONDS="600") as service:
        service.process.send_signal(signal.SIGTERM)
        service.wait_until(lambda: service.answer("GET", "/health/ready") == 503, "it stays ready")
        assert {service.ask("GET", "/health/ready")[0] for _ in range(20)} == {503}


def test_a_second_sigterm_ends_the_drain(start: Callable[..., Any]) -> None:
    with start(DRAIN_SECONDS="600") as service:
        service.process.send_signal(signal.SIGTERM)
        service.wait_until(lambda: any(line.startswith("draining") for line in service.told()), "it does not drain")
        assert service.process.poll() is None
        service.process.send_signal(signal.SIGTERM)
        assert service.process.wait(timeout=PATIENCE) == 0


def test_without_a_drain_it_stops_at_once(start: Callable[..., Any]) -> None:
    with start(DRAIN_SECONDS="0") as service:
        service.process.send_signal(signal.SIGTERM)
        assert service.process.wait(timeout=PATIENCE) == 0
        assert not any(line.startswith("draining") for line in service.told())


def test_a_running_request_is_answered_before_the_end(start: Callable[..., Any]) -> None:
    """It runs: the service has asked for its body before the signal comes."""
    rows = 40_000
    batch = json.dumps({"common": {"stroke": "80 mm", "cylinders": 4}, "columns": {"bore": ["100 mm"] * rows}}).encode()
    head = "POST /v1/displacement/batch HTTP/1.1\r\nHost: loopback\r\nContent-Type: application/json\r\nExpect: 100-continue\r\n"
    with (
        start(DRAIN_SECONDS="0") as service,
        socket.create_connection(("127.0.0.1", service.port), timeout=PATIENCE) as connection,
    ):
        connection.sendall(f"{head}Content-Length: {len(batch)}\r\n\r\n".encode())
        assert connection.recv(1000) == b"HTTP/1.1 100 Continue\r\n\r\n"
        service.process.send_signal(signal.SIGTERM)
        service.wait_until(lambda: any(line.startswith("Handling signal: term") for line in service.told()), "the signal is not heard")
        connection.sendall(batch)
        answered = http.client.HTTPResponse(connection)
        answered.begin()
        assert (answered.status, json.loads(answered.read())["rows"]) == (200, rows)
        assert service.process.wait(timeout=PATIENCE) == 0


def test_an_endless_calculation_is_stopped_and_stops_nobody(start: Callable[..., Any]) -> None:
    """More of them than there are places: small calculations, batches and health are answered beside, and the place comes back."""
    heavy = json.dumps(next(iter(calculations()["strength"].examples.values())), default=dict).encode()
    batch = json.dumps({"common": {"stroke": "80 mm", "cylinders": 4}, "columns": {"bore": ["100 mm"] * 100}}).encode()
    with start(
        "-c", ENDLESS, "{port}", workers=1, DRAIN_SECONDS="0", REQUEST_SECONDS="8", CALCULATIONS_AT_ONCE="1", GRACE_SECONDS="1"
    ) as service:
        workers, found = service.workers(), []
        asking = [threading.Thread(target=lambda: found.append(service.ask("POST", "/v1/strength", heavy))) for _ in range(3)]
        for thread in asking:
            thread.start()
        time.sleep(0.5)
        assert service.ask("POST", "/v1/displacement", BODY)[0] == 200
        assert service.ask("POST", "/v1/displacement/batch", batch)[0] == 200
        assert [service.ask("GET", f"/health/{name}")[0] for name in ("live", "ready")] == [200, 200]
        assert all(thread.is_alive() for thread in asking), "nothing of that waited for them"
        for thread in asking:
            thread.join(timeout=60.0)
        assert [(status, problem["type"], headers["retry-after"]) for status, headers, problem in found] == [
            (503, "/problems/unavailable", "5")
        ] * 3
        assert any("was stopped" in problem["detail"] for _, _, problem in found)
        assert service.workers() == workers
        margin = json.dumps(next(iter(calculations()["part-selection"].examples.values())), default=dict).encode()
        assert service.ask("POST", "/v1/part-selection", margin)[0] == 200, "the place is free"


@pytest.mark.parametrize("replaced_by", [signal.SIGHUP, signal.SIGKILL])
def test_a_worker_that_comes_while_the_keys_are_broken_takes_those_that_held_last(
    start: Callable[..., Any], tmp_path: Path, replaced_by: signal.Signals
) -> None:
    """Not those that held when the service began: a key that was taken back since must not come to life again."""
    keys = tmp_path / "keys"
    keys.write_text(key_line("taken-back", "first"))
    with start(DRAIN_SECONDS="0", KEYS_FILE=str(keys)) as service:
        assert service.ask("POST", "/v1/displacement", BODY, "first")[0] == 200
        keys.write_text(key_line("later", "second"))
        # no worker was asked since: it is the process above them that has looked
        service.wait_until(lambda: any("read again" in line for line in service.told()), "the keys are not looked after")
        keys.write_text("no key\n")
        before = service.workers()
        for pid in [service.process.pid] if replaced_by == signal.SIGHUP else before:
            os.kill(pid, replaced_by)
        service.wait_until(lambda: not set(before) & set(service.workers()), "the old workers stay")
        service.wait_until_up(len(before))
        assert [service.ask("POST", "/v1/displacement", BODY, key)[0] for key in ("second", "first") * 4] == [200, 401] * 4


def test_a_reload_keeps_nobody_waiting(start: Callable[..., Any]) -> None:
    with start(DRAIN_SECONDS="0") as service:
        before = service.workers()
        service.process.send_signal(signal.SIGHUP)

        def replaced() -> bool:
            assert service.ask("POST", "/v1/displacement", BODY)[0] == 200
            return not set(before) & set(service.workers())

        service.wait_until(replaced, "the old workers stay")
        assert len(service.workers()) == len(before)
        assert service.ask("POST", "/v1/displacement", BODY)[0] == 200


def test_a_lost_origin_of_calculators_is_replaced(start: Callable[..., Any]) -> None:
    heavy = json.dumps(next(iter(calculations()["part-selection"].examples.values())), default=dict).encode()
    with start(DRAIN_SECONDS="0") as service:
        (origin,) = service.others()
        os.kill(origin, signal.SIGKILL)
        assert service.ask("POST", "/v1/part-selection", heavy)[0] == 200, "it waits for the next one"
        (another,) = service.others()
        assert another != origin


def test_all_processes_end_with_the_service(start: Callable[..., Any]) -> None:
    heavy = json.dumps(next(iter(calculations()["part-selection"].examples.values())), default=dict).encode()
    with start(DRAIN_SECONDS="0") as service:
        assert service.ask("POST", "/v1/part-selection", heavy)[0] == 200
        born = service.descendants()
        assert len(born) >= 4, "workers, the origin of the calculators, a calculator"
        service.process.kill()
        service.process.wait()
        until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in born), PATIENCE, "all are gone")
