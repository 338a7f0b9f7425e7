"""Batches: beside the floor, which is to read the same JSON and write the same answer and no more, and beside a NumPy expression."""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np
import orjson
from loopback import Caller, memory, served
from questions import rows

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.registry import calculations
from borewright.web.calculating.jobs import jobs, written
from borewright.web.settings import Settings

ROWS = 100_000
KINDS = {
    "numbers": "numbers alone",
    "null": "a null in every second row of a column",
    "word": "a column of words",
    "strings": "a column of strings of one unit",
    "mixed": "a column of strings of two units",
    "objects": "a column of objects of a value and a unit",
    "failing": "every second row fails",
}


def medians(works: Sequence[Callable[[], object]], repeats: int) -> list[float]:
    """Median times of the process [s] for a few runs of each work, in turn: what else runs on the machine has no part in it."""
    times: list[list[float]] = [[] for _ in works]
    for _ in range(repeats):
        for work, taken in zip(works, times, strict=True):
            begun = time.process_time()
            work()
            taken.append(time.process_time() - begun)
    return [statistics.median(taken) for taken in times]


def costs(kind: str, count: int, repeats: int) -> tuple[float, float]:
    """What a batch costs from bytes to bytes, and its floor [s]."""
    raw = json.dumps(rows(count, kind)).encode()
    job = jobs(Settings(batch_rows=count))["ring-gap/batch" if kind == "word" else "compression/batch"]

    def ours() -> bytes:
        return job(raw).body

    body = orjson.loads(ours())
    numbers = {name: np.array(column, dtype=np.float64) for name, column in body["columns"].items() if not isinstance(column[0], str)}
    body["columns"] |= numbers

    def floor() -> bytes:
        orjson.loads(raw)
        return written(body)

    taken = medians((ours, floor), repeats)
    return taken[0], taken[1]


def measure(quick: bool) -> Iterator[tuple[str, str, float]]:
    """What is compared, the times, and the ratio."""
    repeats = 3 if quick else 9
    for kind, said in KINDS.items():
        ours, floor = costs(kind, ROWS, repeats)
        yield f"batch of {ROWS:,}, {said}: ours / floor", f"ours {ours * 1e3:.0f} ms, floor {floor * 1e3:.1f} ms", ours / floor
    calculation, body = calculations()["compression"], rows(ROWS)
    B, S, chamber, gasket, deck = (np.array(column) for column in body["columns"].values())
    gasket_bore = body["common"]["gasket"]["bore"]

    def expression() -> np.ndarray[Any, Any]:
        swept = np.pi / 4.0 * (B * 0.0254) ** 2 * S * 0.0254
        holes = np.pi / 4.0 * (gasket_bore * 0.0254) ** 2 * gasket * 0.0254 + np.pi / 4.0 * (B * 0.0254) ** 2 * deck * 0.0254
        clearance = chamber * 1e-6 + holes + 5e-6
        return (swept + clearance) / clearance

    found = answer_batch(calculation, body, most_rows=10**6)
    np.testing.assert_allclose(found["columns"]["compression_ratio"], expression(), rtol=1e-11)
    ours, plain = medians((lambda: answer_batch(calculation, body, most_rows=10**6), expression), repeats)
    said = (
        f"ours {ours * 1e3:.0f} ms with {len(found['columns'])} results and {len(found['checks'])} checks, expression {plain * 1e3:.1f} ms"
    )
    yield f"batch of {ROWS:,} already read: ours / one NumPy expression of the ratio", said, ours / plain


def kept(quick: bool) -> Iterator[tuple[str, str, float]]:
    """Memory of a worker before and after large batches, in MB."""
    with served("ours") as (port, process):
        Caller(port, "/v1/compression/batch", json.dumps(rows(10)).encode()).call()
        before = memory(process)
        for kind in ("numbers", "failing", "strings", "null") * (1 if quick else 3):
            caller = Caller(port, "/v1/compression/batch", json.dumps(rows(ROWS, kind)).encode())
            caller.call()
            caller.close()
        time.sleep(0.5)
        after = memory(process)
    yield "a worker's memory after large batches / before", f"{before:.0f} MB, then {after:.0f} MB", after / before
