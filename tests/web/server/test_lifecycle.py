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

from borewright.calculations.base.registry import calculations
from borewright.web.access.keys import key_line

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

    def workers(self) -> list[int]:
        """The process ids of the workers that live."""
        told = [json.loads(line)["message"] for line in self.log.read_text().splitlines()]
        booted = {int(line.rsplit(" ", 1)[1]) for line in told if line.startswith("Booting worker")}
        return sorted(booted & set(self.children()))

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
            found = Running(process, port, tmp_path / "log")
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


def test_an_endless_calculation_is_stopped_and_stops_nobody(start: Callable[..., Any]) -> None:
    """More of them than there are places: small calculations, batches and health are answered beside, and the place comes back."""
    heavy = json.dumps(next(iter(calculations()["strength"].examples.values())), default=dict).encode()
    batch = json.dumps({"common": {"stroke": "80 mm", "cylinders": 4}, "columns": {"bore": ["100 mm"] * 100}}).encode()
    with start("-c", ENDLESS, "{port}", DRAIN_SECONDS="0", REQUEST_SECONDS="4", CALCULATIONS_AT_ONCE="1", GRACE_SECONDS="1") as service:
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


def test_a_reload_keeps_nobody_waiting(start: Callable[..., Any]) -> None:
    with start(DRAIN_SECONDS="0") as service:
        time.sleep(1.0)  # both are up
        before = service.workers()
        service.process.send_signal(signal.SIGHUP)
        end = time.monotonic() + 30.0
        while set(before) & set(service.workers()):
            assert time.monotonic() < end, "the old workers stay"
            assert service.ask("POST", "/v1/displacement", BODY)[0] == 200
            time.sleep(0.02)
        assert len(service.workers()) == len(before)
        assert service.ask("POST", "/v1/displacement", BODY)[0] == 200


def test_a_lost_origin_of_calculators_is_replaced(start: Callable[..., Any]) -> None:
    heavy = json.dumps(next(iter(calculations()["part-selection"].examples.values())), default=dict).encode()
    with start(DRAIN_SECONDS="0") as service:
        (origin,) = set(service.children()) - set(service.workers())
        os.kill(origin, signal.SIGKILL)
        assert service.ask("POST", "/v1/part-selection", heavy)[0] == 200, "it waits for the next one"
        assert len(set(service.children()) - set(service.workers())) == 1


def test_all_processes_end_with_the_service(start: Callable[..., Any]) -> None:
    heavy = json.dumps(next(iter(calculations()["part-selection"].examples.values())), default=dict).encode()
    with start(DRAIN_SECONDS="0") as service:
        assert service.ask("POST", "/v1/part-selection", heavy)[0] == 200
        born = service.descendants()
        assert len(born) >= 4, "workers, the origin of the calculators, a calculator"
        service.process.kill()
        service.process.wait()
        end = time.monotonic() + 20.0
        while any(Path(f"/proc/{pid}").exists() for pid in born):
            assert time.monotonic() < end
            time.sleep(0.05)
