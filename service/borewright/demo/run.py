"""Start the service on a free loopback port, send it a work order through the client, show and save what comes back."""

from __future__ import annotations

import io
import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from borewright.demo.summary import summary

if TYPE_CHECKING:
    from borewright_client import Client

HOST = "127.0.0.1"
START_SECONDS = 30.0
STOP_SECONDS = 20.0


class DemoError(RuntimeError):
    """The demo can't go on; the message says why and what to do."""


def demo(order: Path | None, output: Path) -> int:
    """Run the main job on a work order; the demo's own where none is given. Returns the exit status."""
    try:
        from borewright_client import BorewrightError, ProblemError
    except ImportError:
        print("the demo talks to the service through its client: pip install ./client", file=sys.stderr)
        return 2
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")  # a terminal without a sign such as ³ shows ? instead
    try:
        request = read_order(order)
        with running_service() as address:
            _run(address, request, output)
    except ProblemError as problem:
        print(f"the service refused the order: {problem.title}: {problem.detail}", file=sys.stderr)
        for error in problem.errors:
            print(f"  {error.pointer}: {error.detail}", file=sys.stderr)
        return 1
    except (DemoError, BorewrightError) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


def read_order(path: Path | None) -> dict[str, Any]:
    """Read a work order file: {"units", "order", "build"}.

    Raises DemoError where it can't be read.

    >>> sorted(read_order(None))
    ['build', 'order', 'units']
    """
    try:
        text = (
            (resources.files("borewright.demo") / "order.json").read_text(encoding="utf-8")
            if path is None
            else path.read_text(encoding="utf-8")
        )
        found = json.loads(text)
    except (OSError, ValueError) as error:
        raise DemoError(f"the work order {path} can't be read: {error}") from None
    if not isinstance(found, dict) or not isinstance(found.get("order"), dict) or not isinstance(found.get("build"), dict):
        raise DemoError('a work order is a JSON object with "order", "build" and, for bare numbers, "units"')
    return found


@contextmanager
def running_service() -> Iterator[str]:
    """The service under gunicorn on a free loopback port; yields its address and stops it at the end.

    Raises DemoError where it does not start.
    """
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "borewright.cli", "serve", "--host", HOST, "--port", str(port), "--workers", "1"]
    environment = {**os.environ, "BOREWRIGHT_DRAIN_SECONDS": "0"}  # nobody else asks it
    process = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    try:
        _wait(port, process)
        yield f"http://{HOST}:{port}"
    finally:
        process.terminate()
        try:
            process.communicate(timeout=STOP_SECONDS)
        except subprocess.TimeoutExpired:
            process.kill()
            process.communicate()


def _wait(port: int, process: subprocess.Popen[str]) -> None:
    end = time.monotonic() + START_SECONDS
    while time.monotonic() < end:
        if process.poll() is not None:
            raise DemoError(f"the service ended while starting:\n{process.communicate()[1]}")
        try:
            with socket.create_connection((HOST, port), timeout=1.0):
                return
        except OSError:
            time.sleep(0.05)
    raise DemoError(f"the service did not start within {START_SECONDS:.0f} seconds")


def _run(address: str, request: Mapping[str, Any], output: Path) -> None:
    from borewright_client import Client

    with Client(address, timeout=60.0, deadline=120.0) as client:
        sheet = client.build_sheet(order=request["order"], build=request["build"], units=request.get("units")).raw
        written = _save(client, request, sheet, output)
    print(summary(sheet))
    print("\nwritten: " + ", ".join(map(str, written)))


def _save(client: Client, request: Mapping[str, Any], sheet: Mapping[str, Any], output: Path) -> list[Path]:
    output.mkdir(parents=True, exist_ok=True)
    data = output / "build-sheet.json"
    data.write_text(json.dumps(sheet, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    written = [data]
    for ending in ("html", "pdf"):
        path = output / f"build-sheet.{ending}"
        written.append(client.save_build_sheet(path, order=request["order"], build=request["build"], units=request.get("units")))
    return written
