"""How times grow with rows, tolerances and workers, drawn for the README."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import matplotlib as mpl
from batches import costs, medians
from loopback import rate, served
from questions import compression, toleranced

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

mpl.use("Agg")
from matplotlib import pyplot

PICTURE = Path(__file__).parents[2] / ".readme" / "growth.png"
ROWS = (100, 1_000, 10_000, 100_000, 200_000)
TOLERANCES = (0, 1, 2, 4, 6, 8, 10, 12, 13)
WORKERS = (1, 2, 4)


def draw(quick: bool) -> Iterator[tuple[str, str, float]]:
    """Draw the plots; the ratios of their ends."""
    found = [costs("numbers", rows, 3 if quick else 7) for rows in ROWS]
    calculation = calculations()["compression"]
    times = medians([partial(answer, calculation, toleranced(count)) for count in TOLERANCES], 5 if quick else 30)
    rates = []
    for workers in WORKERS:
        with served("ours", workers) as (port, _):
            rates.append(rate(port, "/v1/compression", json.dumps(compression(True)).encode(), 8, 1.0 if quick else 4.0))
    figure, (left, middle, right) = pyplot.subplots(1, 3, figsize=(13, 3.8), layout="constrained")
    left.loglog(ROWS, [ours * 1e3 for ours, _ in found], "o-", label="Borewright, compression")
    left.loglog(ROWS, [floor * 1e3 for _, floor in found], "s--", label="its JSON alone")
    left.set(xlabel="rows of a batch", ylabel="ms")
    left.legend()
    middle.plot(TOLERANCES, [time * 1e3 for time in times], "o-")
    middle.set(xlabel="toleranced inputs of one request", ylabel="ms", ylim=(0, None))
    right.plot(WORKERS, rates, "o-")
    right.set(xlabel=f"workers, on {os.cpu_count()} processors", ylabel="requests/s, with tolerances", ylim=(0, None), xticks=WORKERS)
    for axes in (left, middle, right):
        axes.grid(alpha=0.3)
    figure.savefig(PICTURE, dpi=110)
    per_row = [ours / rows for (ours, _), rows in zip(found, ROWS, strict=True)]
    yield (
        f"growth: a row of {ROWS[2]:,} / a row of {ROWS[-1]:,}",
        f"{per_row[2] * 1e6:.2f} µs, {per_row[-1] * 1e6:.2f} µs",
        per_row[2] / per_row[-1],
    )
    said = f"{times[-1] * 1e3:.2f} ms, {times[0] * 1e3:.2f} ms"
    yield f"growth: {TOLERANCES[-1]} tolerances / none", said, times[-1] / times[0]
    yield f"growth: {WORKERS[1]} workers / 1", f"{rates[1]:.0f}/s, {rates[0]:.0f}/s", rates[1] / rates[0]
