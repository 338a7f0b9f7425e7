"""Instances of the service and a proxy before them, on loopback: started, watched, stopped."""

from __future__ import annotations

import http.client
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

HOST = "127.0.0.1"
START = 60.0  # seconds


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        return int(probe.getsockname()[1])


def until(true: Callable[[], bool], seconds: float, what: str) -> None:
    """Wait for something; RuntimeError where it does not come."""
    end = time.monotonic() + seconds
    while not true():
        if time.monotonic() > end:
            raise RuntimeError(f"waited {seconds:g} s in vain: {what}")
        time.sleep(0.02)


def logged(path: Path) -> list[dict[str, Any]]:
    """The lines of a service's log that are written to their end."""
    return [json.loads(line) for line in path.read_text().splitlines(keepends=True) if line.endswith("\n")]


def status(port: int, path: str) -> int:
    """The status of a page; 0 where nobody answers."""
    connection = http.client.HTTPConnection(HOST, port, timeout=5.0)
    try:
        connection.request("GET", path, headers={"Connection": "close"})
        response = connection.getresponse()
        response.read()
        found = response.status
    except (OSError, http.client.HTTPException):
        found = 0
    finally:
        connection.close()
    return found


class Instance:
    """One instance of the service on a port of its own, which it keeps over restarts."""

    def __init__(self, folder: Path, workers: int = 1, **settings: str) -> None:
        self.port, self.log, self.workers = free_port(), folder / f"log-{time.monotonic_ns()}", workers
        quick = {"DRAIN_SECONDS": "0", **settings}  # a drain is for who says so: else each end waits for nobody
        self._environment = {**os.environ, **{f"BOREWRIGHT_{name}": value for name, value in quick.items()}}
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start, and wait until every worker is up."""
        before = len(self.lines("Booting worker"))
        command = [sys.executable, "-m", "borewright.cli", "serve", "--port", str(self.port), "--workers", str(self.workers)]
        with self.log.open("ab") as log:
            self._process = subprocess.Popen(command, env=self._environment, stdout=log, stderr=log)
        until(lambda: status(self.port, "/health/ready") == 200, START, "the service is ready")
        until(lambda: len(self.lines("Booting worker")) - before >= self.workers, START, "all workers are up")

    def signal(self, number: signal.Signals) -> None:
        """Send a signal to the instance."""
        assert self._process is not None
        self._process.send_signal(number)

    def wait(self, seconds: float = 60.0) -> int:
        """Wait for its end; the exit status."""
        assert self._process is not None
        return self._process.wait(timeout=seconds)

    def lines(self, message: str) -> list[dict[str, Any]]:
        """The lines of its log whose message begins so."""
        return [line for line in logged(self.log) if line["message"].startswith(message)] if self.log.exists() else []

    def worker_pids(self) -> list[int]:
        """The living workers, the oldest first."""
        booted = [int(line["message"].rsplit(" ", 1)[1]) for line in self.lines("Booting worker with pid")]
        return [pid for pid in booted if _lives(pid)]

    def answered(self) -> int:
        """How many displacements the worker that is asked has answered since the instance started."""
        connection = http.client.HTTPConnection(HOST, self.port, timeout=30.0)
        try:
            connection.request("GET", "/metrics", headers={"Connection": "close"})
            text = connection.getresponse().read().decode()
        finally:
            connection.close()
        counted = re.findall(r'^borewright_requests_total\{.*operation="/v1/displacement".*status="200".*\} (\S+)', text, re.MULTILINE)
        return int(sum(map(float, counted)))

    def processes(self) -> list[int]:
        """Every living process of the instance."""
        assert self._process is not None
        found = [self._process.pid]
        for pid in found:  # it grows meanwhile
            found += [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
        return found

    def kill_a_worker(self) -> None:
        """SIGKILL the oldest worker."""
        os.kill(self.worker_pids()[0], signal.SIGKILL)

    def stop(self) -> None:
        """End it, whatever it does."""
        if self._process is not None and self._process.poll() is None:
            self._process.terminate()
            try:
                self._process.wait(timeout=30.0)
            except subprocess.TimeoutExpired:
                self._process.kill()
                self._process.wait()


def _lives(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@contextmanager
def instances(folder: Path, number: int, workers: int = 1, **settings: str) -> Iterator[list[Instance]]:
    """Some instances, started and in the end stopped."""
    found = [Instance(folder, workers, **settings) for _ in range(number)]
    try:
        for instance in found:
            instance.start()
        yield found
    finally:
        for instance in found:
            instance.stop()


HAPROXY = """\
global
  maxconn 4000
defaults
  mode http
  timeout connect 2s
  timeout check 5s
  timeout client 60s
  timeout server 60s
  retries 2
  option redispatch
frontend front
  bind {host}:{port}
  default_backend instances
backend instances
  balance leastconn
  option httpchk GET /health/ready
  http-check expect status 200
  default-server check inter 200ms fall 1 rise 1
"""


@contextmanager
def haproxy(folder: Path, behind: list[Instance]) -> Iterator[int]:
    """HAProxy before some instances, asking each for its readiness; yields its port. It tries again only where it could not connect."""
    program = shutil.which("haproxy") or shutil.which("haproxy", path="/usr/sbin:/usr/local/sbin")
    if program is None:
        raise RuntimeError("HAProxy is not installed: .ci/packages names it")
    port, file = free_port(), folder / "haproxy.cfg"
    servers = "".join(f"  server s{number} {HOST}:{instance.port}\n" for number, instance in enumerate(behind))
    file.write_text(HAPROXY.format(host=HOST, port=port) + servers)
    process = subprocess.Popen([program, "-db", "-q", "-f", str(file)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        until(lambda: status(port, "/health/ready") == 200, START, "the proxy answers")
        yield port
    finally:
        process.terminate()
        process.wait(timeout=10.0)
