"""How soon the service is ready, over what its imports take."""

from __future__ import annotations

import os
import resource
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from holding import family
from loopback import HOST, free_port

IMPORTS = """
import borewright.web.app, borewright.web.server.worker
from borewright.calculations.base.registry import calculations
calculations()
"""
READY = b"GET /health/ready HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n"
WORKERS = (1, 4)


def measure(quick: bool) -> Iterator[tuple[str, str, float]]:
    """What is compared, the figures, and the ratio."""
    rounds = 3 if quick else 9
    imports, ready = list[tuple[float, float]](), {workers: list[tuple[float, float]]() for workers in WORKERS}
    for _ in range(rounds):
        imports.append(imported())
        for workers in WORKERS:
            ready[workers].append(until_ready(workers))
    loaded, spent = (min(figures) for figures in zip(*imports, strict=True))
    for workers in WORKERS:
        begun, used = (min(figures) for figures in zip(*ready[workers], strict=True))
        said = f"imports {loaded:.2f} s, ready {begun:.2f} s: {begun - loaded:+.2f} s (of processors' time {spent:.2f} s and {used:.2f} s)"
        yield f"start: ready with {workers} worker{'s' if workers > 1 else ''} / imports, the least of {rounds}", said, begun / loaded


def imported() -> tuple[float, float]:
    """How long Python takes to load what the service is made of, and end; and of it the processor's time [s]."""
    begun, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", IMPORTS], check=True)
    took, after = time.perf_counter() - begun, resource.getrusage(resource.RUSAGE_CHILDREN)
    return took, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def until_ready(workers: int) -> tuple[float, float]:
    """From the command to the first answer that it is ready; and the processors' time of all its processes until then [s]."""
    port, begun = free_port(), time.perf_counter()
    command = [sys.executable, "-m", "borewright.cli", "serve", "--port", str(port), "--workers", str(workers)]
    settings = {**os.environ, "BOREWRIGHT_DRAIN_SECONDS": "0"}
    process = subprocess.Popen(command, env=settings, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        while not _answers(port):
            if process.poll() is not None:
                raise RuntimeError("the service ended before it was ready")
            time.sleep(0.002)
        took = time.perf_counter() - begun
        ticks = sum(sum(map(int, Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()[11:13])) for one in family(process.pid))
        return took, ticks / os.sysconf("SC_CLK_TCK")
    finally:
        process.terminate()
        process.wait(30)


def _answers(port: int) -> bool:
    try:
        with socket.create_connection((HOST, port), timeout=5.0) as connection:
            connection.sendall(READY)
            return connection.recv(100).startswith(b"HTTP/1.1 200")
    except OSError:
        return False
