"""What an instance holds, every process of it: begun, after every example of every operation, at rest again, after large batches.

What its processes share is counted once; libraries that other programs of the machine have loaded too are counted whole, so that figures
do not depend on what else runs (PSS would divide them).
"""

from __future__ import annotations

import http.client
import json
import os
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import numpy as np
from loopback import HOST, Caller, served

from borewright.calculations.base.registry import calculations
from borewright.demo.run import read_order
from borewright.web.calculating.host import IDLE_SECONDS
from borewright.web.calculating.jobs import FORMS
from borewright.web.document.batches import batch_example

WORKERS = (1, 2, 4)
ROWS = 100_000
BEGUN = 3.0  # seconds until all workers are up
QUIET = 3.0  # seconds until what was asked for is forgotten
AT_REST = IDLE_SECONDS + QUIET  # seconds until the processes that calculated have ended
LARGE = ("air-correction", "compression", "bench-volumes", "displacement", "power-gain", "ring-gap", "skirt-clearance", "valve-train")
PAGE = os.sysconf("SC_PAGESIZE")
MEGABYTE = 1024 * 1024
PAGES = (
    *("/", "/docs", "/docs/code", "/docs/examples.json", "/glossary", "/problems", "/v1/openapi.json", "/v1/openapi.json?text=full"),
    *(f"/v1/reference/{name}" for name in ("materials", "fuels", "practice", "checks", "units")),
    *("/health/ready", "/metrics"),
)


def measure(quick: bool) -> Iterator[tuple[str, str, float]]:
    """What is compared, the figures, and the ratio."""
    begun = {}
    for workers in WORKERS[:: 2 if quick else 1]:
        with served("ours", workers) as (port, process):
            time.sleep(BEGUN)
            begun[workers] = together(process.pid)
            each = " + ".join(f"{_told(one, 'Private_Dirty'):.0f}" for one in family(process.pid))
            for _ in range(1 if quick else 3 * workers):  # until each worker has had its share
                ask_everything(port)
            busy = together(process.pid)
            time.sleep(AT_REST)
            rest = together(process.pid)
            of = f"an instance with {workers} worker{'s' if workers > 1 else ''}"
            said = f"{begun[workers]:.0f} MB (of their own {each}), {busy:.0f} MB just after it, {rest:.0f} MB {AT_REST:g} s later"
            yield f"memory: {of} that has calculated everything / begun", said, rest / begun[workers]
    said = f"{begun[1]:.0f} MB with one, {begun[4]:.0f} MB with four"
    yield "memory: an instance, four workers / one", said, begun[4] / begun[1]
    with served("ours") as (port, process):
        time.sleep(BEGUN)
        before = together(process.pid)
        kept, most = after_batches(port, process.pid, LARGE[:3] if quick else LARGE)
    said = f"{before:.0f} MB before, at most {most:.0f} MB just after one, {kept:.0f} MB {QUIET:g} s later"
    yield f"memory: an instance after each batch operation at {ROWS:,} rows / before", said, kept / before


def ask_everything(port: int) -> None:
    """Each example of each operation, the sheet in each form, and every page."""
    order = json.dumps(read_order(None)).encode()
    for name, calculation in calculations().items():
        for example in calculation.examples.values():
            _ask(port, f"/v1/{name}", json.dumps(example, default=dict).encode())
        if calculation.batch:
            _ask(port, f"/v1/{name}/batch", json.dumps(batch_example(calculation), default=dict).encode())
    for form in FORMS:
        _ask(port, "/v1/build-sheet", order, form)
    for page in PAGES:
        _ask(port, page)


def _ask(port: int, path: str, body: bytes | None = None, form: str = "*/*") -> None:
    connection = http.client.HTTPConnection(HOST, port)  # one for each: else one worker is asked for all of it
    connection.request("GET" if body is None else "POST", path, body, {"Content-Type": "application/json", "Accept": form})
    response = connection.getresponse()
    said = response.read()
    connection.close()
    if response.status != 200:
        raise RuntimeError(f"{path}: {response.status}: {said[:300]!r}")


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
    """Memory of a process and all that came of it, each page once [MB]."""
    own, files = 0.0, set[tuple[str, str, int]]()
    for one in family(pid):
        with suppress(OSError):  # it ended meanwhile
            own += _told(one, "Pss_Anon")
            files |= _file_pages(one)
    return own + len(files) * PAGE / MEGABYTE


def _told(pid: int, name: str) -> float:
    lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    return int(next(line for line in lines if line.startswith(f"{name}:")).split()[1]) / 1024


def _file_pages(pid: int) -> set[tuple[str, str, int]]:
    """The pages of files, and of shared memory, that a process has in memory: device, file and number."""
    found = set()
    with Path(f"/proc/{pid}/pagemap").open("rb") as entries:
        for line in Path(f"/proc/{pid}/maps").read_text().splitlines():
            span, _, offset, device, file, *_ = line.split()
            if file != "0":
                begin, end = (int(address, 16) // PAGE for address in span.split("-"))
                entries.seek(begin * 8)
                flags = np.frombuffer(entries.read((end - begin) * 8), dtype=np.uint64) >> np.uint64(61)
                first = int(offset, 16) // PAGE
                found |= {(device, file, first + int(page)) for page in np.flatnonzero((flags & np.uint64(5)) == 5)}  # there, of a file
    return found
