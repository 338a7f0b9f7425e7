"""SIGTERM over real processes: not ready, still answering, each connection closed after its answer, then the end."""

import http.client
import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from borewright.web.access.keys import key_line

BODY = json.dumps({"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}).encode()
# the service with a calculation that never ends by itself
ENDLESS = """
import sys, time
from borewright.web import operations
from borewright.web.server import server
real = operations.answer
operations.answer = lambda found, body: time.sleep(600) if found.name == "displacement" else real(found, body)
server.serve("127.0.0.1", int(sys.argv[1]), 1)
"""
# the service with workers that are long in coming
SLOW = """
import sys, time
from borewright.web.server import server
real = server.Server.load
server.Server.load = lambda self: time.sleep(3) or real(self)
server.serve("127.0.0.1", int(sys.argv[1]), 2)
"""
OTHER = json.dumps({"observed_power": "300 kW", "temperature": "20 degC", "pressure": "990 hPa", "humidity": 0.4}).encode()


class Running:
    """A service whose process the test signals itself."""

    def __init__(self, process: "subprocess.Popen[bytes]", port: int) -> None:
        self.process, self.port = process, port

    def ask(self, method: str, path: str, body: bytes = b"", key: str | None = None) -> tuple[int, dict[str, str], dict[str, Any]]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30.0)
        try:
            carried = {} if key is None else {"Authorization": f"Bearer {key}"}
            connection.request(method, path, body, {"Content-Type": "application/json", **carried})
            response = connection.getresponse()
            return response.status, {name.lower(): value for name, value in response.getheaders()}, json.loads(response.read())
        finally:
            connection.close()

    def workers(self) -> list[int]:
        """The process ids of the workers."""
        return [int(pid) for pid in Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text().split()]

    def wait_until_up(self) -> None:
        end = time.monotonic() + 60.0
        while True:
            try:
                if self.ask("GET", "/health/ready")[0] == 200:
                    return
            except (OSError, http.client.HTTPException):
                assert self.process.poll() is None
            assert time.monotonic() < end
            time.sleep(0.05)


@pytest.fixture
def start(tmp_path: Path, free_port: Callable[[], int]) -> Callable[..., Any]:
    @contextmanager
    def running(*command: str, **settings: str) -> Iterator[Running]:
        port = free_port()
        started = [part.format(port=port) for part in command] if command else ["-m", "borewright.cli", "serve", "--port", str(port)]
        environment = {**os.environ, **{f"BOREWRIGHT_{name}": value for name, value in settings.items()}}
        with (tmp_path / "log").open("wb") as log:
            process = subprocess.Popen([sys.executable, *started], env=environment, stdout=log, stderr=log)
        try:
            found = Running(process, port)
            found.wait_until_up()
            yield found
        finally:
            process.kill()
            process.wait()

    return running


def test_sigterm_drains_then_stops(start: Callable[..., Any]) -> None:
    with start(DRAIN_SECONDS="2") as service:
        service.process.send_signal(signal.SIGTERM)
        begin = time.monotonic()
        time.sleep(0.7)
        status, headers, problem = service.ask("GET", "/health/ready")
        assert (status, problem["type"], headers["retry-after"]) == (503, "/problems/unavailable", "1")
        assert service.ask("GET", "/health/live")[0] == 200
        status, headers, _ = service.ask("POST", "/v1/displacement", BODY)
        assert (status, headers["connection"]) == (200, "close")
        assert service.process.wait(timeout=30.0) == 0
        assert time.monotonic() - begin >= 2.0
        with pytest.raises(OSError, match="refused"):
            service.ask("GET", "/health/live")


def test_every_worker_drains(start: Callable[..., Any]) -> None:
    with start(DRAIN_SECONDS="20") as service:
        service.process.send_signal(signal.SIGTERM)
        time.sleep(1.5)
        assert {service.ask("GET", "/health/ready")[0] for _ in range(20)} == {503}


def test_a_second_sigterm_ends_the_drain(start: Callable[..., Any]) -> None:
    with start(DRAIN_SECONDS="60") as service:
        service.process.send_signal(signal.SIGTERM)
        time.sleep(0.5)
        assert service.process.poll() is None
        service.process.send_signal(signal.SIGTERM)
        assert service.process.wait(timeout=20.0) == 0


def test_without_a_drain_it_stops_at_once(start: Callable[..., Any]) -> None:
    with start(DRAIN_SECONDS="0") as service:
        begin = time.monotonic()
        service.process.send_signal(signal.SIGTERM)
        assert service.process.wait(timeout=20.0) == 0
        assert time.monotonic() - begin < 10.0


def test_a_running_request_is_answered_before_the_end(start: Callable[..., Any]) -> None:
    rows = 40_000
    batch = json.dumps({"common": {"stroke": "80 mm", "cylinders": 4}, "columns": {"bore": ["100 mm"] * rows}}).encode()
    with start(DRAIN_SECONDS="0") as service:
        found: list[tuple[int, dict[str, str], dict[str, Any]]] = []
        asking = threading.Thread(target=lambda: found.append(service.ask("POST", "/v1/displacement/batch", batch)))
        asking.start()
        time.sleep(0.1)
        service.process.send_signal(signal.SIGTERM)
        asking.join(timeout=60.0)
        assert (found[0][0], found[0][2]["rows"]) == (200, rows)
        assert service.process.wait(timeout=30.0) == 0


def test_a_worker_outlives_a_calculation_and_is_replaced_when_all_places_are_held(start: Callable[..., Any], tmp_path: Path) -> None:
    settings = {"DRAIN_SECONDS": "0", "REQUEST_SECONDS": "1", "CALCULATIONS_AT_ONCE": "2", "GRACE_SECONDS": "2"}
    with start("-c", ENDLESS, "{port}", **settings) as service:

        def booted() -> int:
            return (tmp_path / "log").read_text().count("Booting worker")

        for overdue in (1, 2):
            begin = time.monotonic()
            status, headers, problem = service.ask("POST", "/v1/displacement", BODY)
            assert (status, problem["type"], headers["retry-after"]) == (503, "/problems/unavailable", "5")
            assert 0.9 < time.monotonic() - begin < 10.0
            if overdue == 1:
                assert service.ask("POST", "/v1/air-correction", OTHER)[0] != 503, "the other place answers"
                assert booted() == 1
        end = time.monotonic() + 30.0
        while booted() < 2:
            assert time.monotonic() < end
            time.sleep(0.1)
        service.wait_until_up()
        assert service.ask("POST", "/v1/air-correction", OTHER)[0] != 503
        assert "took twice its time" in (tmp_path / "log").read_text()


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
        time.sleep(1.5)  # the process above the workers looks once a second
        keys.write_text("no key\n")
        before = service.workers()
        for pid in [service.process.pid] if replaced_by == signal.SIGHUP else before:
            os.kill(pid, replaced_by)
        end = time.monotonic() + 30.0
        while set(before) & set(service.workers()) or len(service.workers()) < len(before):
            assert service.process.poll() is None, "the service ended"
            assert time.monotonic() < end
            time.sleep(0.1)
        service.wait_until_up()
        assert [service.ask("POST", "/v1/displacement", BODY, key)[0] for key in ("second", "first") * 4] == [200, 401] * 4


def test_health_does_not_wait_behind_calculations(start: Callable[..., Any]) -> None:
    """More calculations than there are threads: the worker is busy, and not dead."""
    with start("-c", ENDLESS, "{port}", DRAIN_SECONDS="0", REQUEST_SECONDS="8", THREADS="4", GRACE_SECONDS="1") as service:
        asking = [threading.Thread(target=service.ask, args=("POST", "/v1/displacement", BODY), daemon=True) for _ in range(10)]
        for thread in asking:
            thread.start()
        time.sleep(0.5)
        begin = time.monotonic()
        assert [service.ask("GET", f"/health/{name}")[0] for name in ("live", "ready")] == [200, 200]
        assert time.monotonic() - begin < 2.0
        assert all(thread.is_alive() for thread in asking)


def test_a_reload_keeps_nobody_waiting_for_the_new_workers(start: Callable[..., Any]) -> None:
    with start("-c", SLOW, "{port}", DRAIN_SECONDS="0") as service:
        time.sleep(1.0)  # both are up
        before = service.workers()
        service.process.send_signal(signal.SIGHUP)
        waits, end = [], time.monotonic() + 30.0
        while set(before) & set(service.workers()):
            assert time.monotonic() < end, "the old workers stay"
            begin = time.monotonic()
            assert service.ask("POST", "/v1/displacement", BODY)[0] == 200
            waits.append(time.monotonic() - begin)
            time.sleep(0.02)
        assert max(waits) < 2.0
        assert len(service.workers()) == len(before)
        assert service.ask("POST", "/v1/displacement", BODY)[0] == 200
