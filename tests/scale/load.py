"""Figures of load, measured here and now on loopback: python tests/scale/load.py [seconds a measurement [file for the plot]].

Some workers, and two instances of one worker behind HAProxy, each asked without pause by wrk (from Debian, as HAProxy); then what slow
callers cost others, what a process takes in memory, and what 10,000 requests a second would take. Whatever else runs on the machine, wrk
and the proxy included, takes its part of the same processors: compare ratios.
"""

from __future__ import annotations

import json
import math
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scale_load import BODY, Load
from scale_service import HOST, haproxy, instances

WANTED = 10_000  # requests/s
HEADROOM = 0.6  # of what a replica holds at most: beyond it, waits grow quickly
CONNECTIONS = (1, 16)
SLOW = 200
OPERATIONS = ("displacement", "compression", "detonation-margin")
SCRIPT = 'wrk.method="POST"\nwrk.body=[==[{body}]==]\nwrk.headers["Content-Type"]="application/json"\n'


@dataclass(frozen=True)
class Measured:
    """What wrk saw."""

    rate: float
    median_ms: float
    slow_ms: float  # 99 of 100 are quicker
    wrong: int


def milliseconds(text: str) -> float:
    """A time as wrk writes it."""
    number = text.rstrip("ums")
    return float(number) * {"us": 1e-3, "ms": 1.0, "s": 1e3}[text.removeprefix(number)]


def after(pattern: str, text: str) -> str:
    """What a pattern's group holds.

    Raises ValueError where the pattern is not found.
    """
    found = re.search(pattern, text)
    if found is None:
        raise ValueError(f"{pattern} is not in: {text}")
    return found[1]


def wrk(port: int, operation: str, body: str, connections: int, seconds: float, folder: Path) -> Measured:
    """Ask without pause on so many connections."""
    script = folder / "request.lua"
    script.write_text(SCRIPT.format(body=body))
    command = ["wrk", "-t1", f"-c{connections}", f"-d{seconds:g}s", "--timeout", "30s", "--latency", "-s", str(script)]
    said = subprocess.run(
        [*command, f"http://{HOST}:{port}/v1/{operation}"], capture_output=True, text=True, check=True, timeout=120
    ).stdout
    wrong = re.search(r"Non-2xx or 3xx responses: (\d+)", said)
    errors = re.search(r"Socket errors: connect (\d+), read (\d+), write (\d+), timeout (\d+)", said)
    if "50%" not in said:
        raise RuntimeError(f"nothing was answered: {said}")
    return Measured(
        float(after(r"Requests/sec:\s+([\d.]+)", said)),
        milliseconds(after(r"\n +50%\s+(\S+)", said)),
        milliseconds(after(r"\n +99%\s+(\S+)", said)),
        (int(wrong[1]) if wrong else 0) + (sum(map(int, errors.groups())) if errors else 0),
    )


def bodies() -> dict[str, str]:
    """The first example of each operation that is measured."""
    from borewright.calculations.base.registry import calculations

    return {name: json.dumps(next(iter(calculations()[name].examples.values()))) for name in OPERATIONS}


def measure(name: str, port: int, seconds: float, folder: Path) -> dict[str, float]:
    """Print what every operation reaches, and give the highest rate of each."""
    best = {}
    for operation, body in bodies().items():
        for connections in CONNECTIONS:
            found = wrk(port, operation, body, connections, seconds, folder)
            best[operation] = max(best.get(operation, 0.0), found.rate)
            waits = f"{found.median_ms:.1f} | {found.slow_ms:.1f}"
            print(f"| {name} | {operation} | {connections} | {found.rate:.0f} | {waits} | {found.wrong} |", flush=True)
    return best


def slow_callers(port: int) -> str:
    """How long others wait while many requests stand half sent."""
    half = b"POST /v1/displacement HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n" % len(BODY)
    waits = {}
    for name, sent in (("silent", b""), ("with half a request", half + BODY[:5])):
        with ExitStack() as stack:
            for _ in range(SLOW):
                stack.enter_context(socket.create_connection((HOST, port), timeout=10.0)).sendall(sent)
            with Load(port, 2).running() as load:
                time.sleep(2.0)
            waits[name] = str(load.tally)
    return "\n".join(f"beside {SLOW} connections {name}: {tally}" for name, tally in waits.items())


def memory(pids: list[int]) -> float:
    """Memory of some processes together, what they share counted once (PSS) [MB]."""
    return sum(int(after(r"\nPss:\s+(\d+)", Path(f"/proc/{pid}/smaps_rollup").read_text())) for pid in pids) / 1024


def plot(rates: dict[str, dict[int, float]], file: Path) -> None:
    """Draw the rates over the workers."""
    import matplotlib

    matplotlib.use("svg")
    from matplotlib import pyplot

    figure, axes = pyplot.subplots(figsize=(6.4, 3.6), layout="constrained")
    for name, found in rates.items():
        axes.plot(list(found), list(found.values()), marker="o", label=name)
    axes.set(
        xlabel=f"workers ({os.cpu_count()} processors, the load generator on the same)", ylabel="requests/s, 16 connections", ylim=(0, None)
    )
    axes.set_xticks(sorted({workers for found in rates.values() for workers in found}))
    axes.legend()
    axes.grid(alpha=0.3)
    figure.savefig(file, metadata={"Date": None})


def main(seconds: float, drawing: Path | None) -> None:
    """Measure all and print it."""
    print(f"{os.cpu_count()} processors, {seconds:g} s each, load average {os.getloadavg()[0]:.1f} before\n")
    print("| what | operation | connections | requests/s | median ms | 99 % ms | wrong |\n|---|---|---|---|---|---|---|")
    settings: dict[str, Any] = {"DRAIN_SECONDS": "0"}
    best: dict[str, dict[str, float]] = {}
    held: list[float] = []
    told = ""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        for workers in range(1, 2 * (os.cpu_count() or 1) + 1):
            with instances(folder, 1, workers=workers, **settings) as (instance,):
                best[str(workers)] = measure(f"{workers} workers", instance.port, seconds, folder)
                held.append(memory(instance.processes()))
                if workers == 1:
                    time.sleep(3.0)  # what was asked last may still be calculated
                    told = slow_callers(instance.port)
        with instances(folder, 2, **settings) as both, haproxy(folder, both) as port:
            best["proxy"] = measure("2 instances, HAProxy", port, seconds, folder)
    print(
        f"\n{told}\nmemory of an instance with 1, 2, … workers, its calculators included: {', '.join(f'{each:.0f}' for each in held)} MB\n"
    )
    if drawing:
        plot(
            {name: {int(workers): found[name] for workers, found in best.items() if workers.isdigit()} for name in OPERATIONS[:2]}, drawing
        )
    for operation in OPERATIONS:
        one = best["1"][operation]
        replicas = math.ceil(WANTED / (HEADROOM * one))
        print(
            f"{operation}: one worker holds {one:.0f}/s; {WANTED}/s at {HEADROOM:.0%} of that take "
            f"{WANTED}/({HEADROOM} x {one:.0f}) = {replicas} workers, a processor each"
        )


if __name__ == "__main__":
    if not shutil.which("wrk"):
        sys.exit("wrk is not installed: apt-get install wrk")
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 5.0, Path(sys.argv[2]) if len(sys.argv) > 2 else None)
