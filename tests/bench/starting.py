"""How soon the service is ready, over what its imports take; and what an instance holds: begun, with four workers, after large batches."""

from __future__ import annotations

import json
import os
import resource
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from loopback import HOST, Caller, free_port, served

from borewright.calculations.base.registry import calculations
from borewright.web.document.batches import batch_example

IMPORTS = """
import borewright.web.app, borewright.web.server.worker
from borewright.calculations.base.registry import calculations
calculations()
"""
READY = b"GET /health/ready HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n"
WORKERS = (1, 4)
ROWS = 100_000
QUIET = 3.0  # seconds until what was asked for is forgotten
LARGE = ("air-correction", "compression", "bench-volumes", "displacement", "power-gain", "ring-gap", "skirt-clearance", "valve-train")


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
    held = {}
    for workers in WORKERS:
        with served("ours", workers) as (port, process):
            time.sleep(QUIET)
            held[workers] = together(process.pid)
            if workers == 1:
                kept, most = after_batches(port, process.pid, LARGE[:3] if quick else LARGE)
    said = f"{held[1]:.0f} MB with one, {held[4]:.0f} MB with four (PSS of every process)"
    yield "start: memory of an instance, four workers / one", said, held[4] / held[1]
    said = f"{held[1]:.0f} MB before, at most {most:.0f} MB just after one, {kept:.0f} MB {QUIET:g} s later (PSS of every process)"
    yield f"memory: an instance after each batch operation at {ROWS:,} rows / before", said, kept / held[1]


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


def after_batches(port: int, pid: int, names: tuple[str, ...]) -> tuple[float, float]:
    """What the instance holds when all is over, and the most that it held just after a batch [MB]."""
    most = 0.0
    for name in names:
        asked = batch_example(calculations()[name])
        asked["columns"] = {column: (values * ROWS)[:ROWS] for column, values in asked["columns"].items()}
        caller = Caller(port, f"/v1/{name}/batch", json.dumps(asked).encode())
        caller.call()
        caller.close()
        most = max(most, together(pid))
    time.sleep(QUIET)
    return together(pid), most


def family(pid: int) -> list[int]:
    """A process and all that came of it."""
    found = [pid]
    for one in found:  # it grows meanwhile
        with suppress(OSError):  # it ended meanwhile
            found += [int(child) for child in Path(f"/proc/{one}/task/{one}/children").read_text().split()]
    return found


def together(pid: int) -> float:
    """Memory of a process and all that came of it, what they share counted once (PSS) [MB]."""
    total = 0
    for one in family(pid):
        with suppress(OSError):  # it ended meanwhile
            lines = Path(f"/proc/{one}/smaps_rollup").read_text().splitlines()
            total += int(next(line for line in lines if line.startswith("Pss:")).split()[1])
    return total / 1024
