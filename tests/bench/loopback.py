"""Servers on loopback, one worker each unless told otherwise, asked in turn so that whatever else runs on the machine is shared."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from pathlib import Path

HOST = "127.0.0.1"
HERE = Path(__file__).parent
START = 60.0  # seconds
ECHO = ("gunicorn", "--chdir", str(HERE), "-k", "gthread", "--threads", "8", "--no-control-socket", "peers:echo")
NAIVE = ("uvicorn", "--app-dir", str(HERE), "--no-access-log", "--log-level", "warning", "peers:naive")


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        return int(probe.getsockname()[1])


@contextmanager
def served(kind: str, workers: int = 1) -> Iterator[tuple[int, subprocess.Popen[bytes]]]:
    """A server: "ours", "echo" or "naive"; its port and its process."""
    port = free_port()
    command = [sys.executable, "-m"]
    if kind == "ours":
        command += ["borewright.cli", "serve", "--port", str(port), "--workers", str(workers)]
    elif kind == "echo":
        command += [*ECHO, "--bind", f"{HOST}:{port}"]
    else:
        command += [*NAIVE, "--port", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        end = time.monotonic() + START
        while True:
            with socket.socket() as probe:
                if probe.connect_ex((HOST, port)) == 0:
                    break
            if time.monotonic() > end or process.poll() is not None:
                raise RuntimeError(f"{kind} did not come up")
            time.sleep(0.05)
        yield port, process
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(20)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


class Caller:
    """One connection that stays open, and one request said again and again: what a call costs besides is next to nothing."""

    def __init__(self, port: int, path: str, body: bytes) -> None:
        self.connection = socket.create_connection((HOST, port))
        self.connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        head = f"POST {path} HTTP/1.1\r\nHost: {HOST}:{port}\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        self.request = head.encode() + body

    def call(self) -> bytes:
        """The answer's body; RuntimeError where it is no 200."""
        self.connection.sendall(self.request)
        response = http.client.HTTPResponse(self.connection)
        response.begin()
        body = response.read()
        response.close()
        if response.status != 200:
            raise RuntimeError(f"{response.status}: {body[:300]!r}")
        return body

    def bare(self) -> None:
        """A call whose answer is only counted: the head is looked at no further than for its length."""
        self.connection.sendall(self.request)
        found = b""
        while (end := found.find(b"\r\n\r\n")) < 0:
            found += self.connection.recv(65536)
        head = found[:end].lower()
        at = head.index(b"content-length:") + 15
        wanted = end + 4 + int(head[at:].split(b"\r\n", 1)[0])
        size = len(found)
        while size < wanted:
            size += len(self.connection.recv(65536))

    def close(self) -> None:
        self.connection.close()


def in_turn(
    questions: Mapping[str, tuple[int, str, bytes]], rounds: int, calls: int | Mapping[str, int], warming: Mapping[str, int] | None = None
) -> dict[str, float]:
    """The median time of a call of each question [s], asked in turn.

    calls : how many of each a turn
    warming : how many before them that are not counted, for what is quick beside what is slow: its server sleeps meanwhile, and the
        caches forget it
    """
    with ExitStack() as stack:
        callers = {}
        for name, (port, path, body) in questions.items():
            callers[name] = caller = Caller(port, path, body)
            stack.callback(caller.close)
            for _ in range(30):
                caller.call()
        taken: dict[str, list[float]] = {name: [] for name in questions}
        for _ in range(rounds):
            for name, caller in callers.items():
                for _ in range((warming or {}).get(name, 0)):
                    caller.bare()
                counted = calls if isinstance(calls, int) else calls[name]
                begun = time.perf_counter()
                for _ in range(counted):
                    caller.bare()
                taken[name].append((time.perf_counter() - begun) / counted)
    return {name: statistics.median(times) for name, times in taken.items()}


def rate(port: int, path: str, body: bytes, connections: int, seconds: float) -> float:
    """Requests a second over several connections at once."""
    counts = [0] * connections
    end = time.monotonic() + seconds

    def ask(index: int) -> None:
        caller = Caller(port, path, body)
        while time.monotonic() < end:
            caller.bare()
            counts[index] += 1
        caller.close()

    threads = [threading.Thread(target=ask, args=(index,)) for index in range(connections)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sum(counts) / seconds


def memory(process: subprocess.Popen[bytes]) -> float:
    """Resident memory of the largest worker of a server [MB]."""
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text().split()
    pages = [int(Path(f"/proc/{one}/statm").read_text().split()[1]) for one in children or [str(process.pid)]]
    return max(pages) * os.sysconf("SC_PAGESIZE") / 1e6
