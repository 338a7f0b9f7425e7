"""A worker gives back what a large batch took, also where the allocator is told nothing by its environment."""

import http.client
import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from gevent import socket
from scale_service import logged

from borewright.calculations.base.registry import calculations
from borewright.web.document.batches import batch_example
from borewright.web.server import heap
from borewright.web.server.connection import Connection

ROWS = 100_000
MOST_KEPT = 8 * 1024  # KiB
SECONDS = 30.0


def resident(pid: int) -> int:
    lines = Path(f"/proc/{pid}/status").read_text(encoding="utf-8").splitlines()
    return int(next(line for line in lines if line.startswith("VmRSS:")).split()[1])


def test_large_batches_are_forgotten(tmp_path: Path, start_service: Callable[..., Any]) -> None:
    """Of different sizes, so that one does not fit where another was."""
    log = tmp_path / "log"

    def ask(name: str, rows: int) -> int:
        asked = batch_example(calculations()[name])
        asked["columns"] = {column: (values * rows)[:rows] for column, values in asked["columns"].items()}
        connection = http.client.HTTPConnection(*place, timeout=60.0)
        try:
            connection.request("POST", f"/v1/{name}/batch", json.dumps(asked), {"Content-Type": "application/json"})
            response = connection.getresponse()
            assert response.status == 200
            return len(response.read())
        finally:
            connection.close()

    with start_service(log) as place:
        ask("valve-train", 2)
        booted = next(line for line in logged(log) if line["message"].startswith("Booting"))
        pid = int(booted["message"].rsplit(" ", 1)[1])
        before = resident(pid)
        for name in ("bench-volumes", "valve-train", "displacement"):
            assert ask(name, ROWS) > 5_000_000
        end = time.monotonic() + SECONDS
        while resident(pid) - before > MOST_KEPT and time.monotonic() < end:
            time.sleep(0.2)
        assert resident(pid) - before < MOST_KEPT


def test_what_many_connections_took_is_given_back_too() -> None:
    heap.give_back()
    given = []
    for _ in range(heap.MANY):
        ours, theirs = socket.socketpair()
        theirs.close()
        Connection.of(ours).close()
        given.append(heap.give_back())
    assert sum(given) == 1, "once for many, not for each"
