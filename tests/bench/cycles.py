"""The cylinder cycle beside the same cycle stepped through with Cantera, and what the answers of its calculations cost in echoes.

bench_cycle has the reference. An echo is a bare call over HTTP, the median of many; ours is the least processor time of a request in
process, of every example of each calculation, and of a row of a batch with the ambient temperature as its column.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from bench_cycle import best_time, cantera_cycle
from loopback import in_turn, served
from questions import compression, exact

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.state import CylinderState
from borewright.physics.gas.fuel import ISOOCTANE

BATCHES = (64, 1000)
SINGLE = ("detonation-margin", "strength", "power-gain")


def measure(quick: bool) -> Iterator[tuple[str, str, float]]:
    """What is compared, the times, and the ratio."""
    one = CylinderState(0.1016, 0.0884, 0.1524, 10.0, 314.16, octane=90.0, residual_fraction=0.0, fuel=ISOOCTANE)
    run_cycle(one, 0.14)
    ours, reference = best_time(lambda: run_cycle(one, 0.14), 10 if quick else 30), best_time(lambda: cantera_cycle(one, 0.14), 1)
    yield "one cycle: Cantera / ours", f"{reference * 1e3:.0f} ms, ours {ours * 1e3:.2f} ms", reference / ours
    echo = _echo(20 if quick else 60)
    for name in SINGLE:
        calculation = calculations()[name]
        for told, asked in calculation.examples.items():
            taken = _single(calculation, dict(asked), 4 if quick else 12)
            yield f"{name}, {told}: ours in echoes", f"{taken * 1e3:.1f} ms, an echo {echo * 1e3:.2f} ms", taken / echo
    calculation = calculations()["detonation-margin"]
    for told, asked in calculation.examples.items():
        for rows in BATCHES[:1] if quick else BATCHES:
            body = _batch(dict(asked), rows)
            row = best_time(lambda body=body: answer_batch(calculation, body, most_rows=10**6), 2) / rows
            yield f"detonation-margin, {told}: a row of {rows} in echoes", f"{row * 1e3:.2f} ms", row / echo


def _echo(rounds: int) -> float:
    """A bare call over HTTP [s]."""
    with served("echo") as (port, _):
        return in_turn({"echo": (port, "/v1/compression", json.dumps(compression(tolerances=False)).encode())}, rounds, 20)["echo"]


def _single(calculation: Calculation, asked: dict[str, Any], repeats: int) -> float:
    """Least processor time of a request [s]."""
    answer(calculation, asked)
    return best_time(lambda: answer(calculation, asked), repeats)


def _batch(asked: dict[str, Any], rows: int) -> dict[str, Any]:
    """The same engine at many ambient temperatures."""
    common = exact(asked)
    units = common.pop("units", "metric")
    common["ambient"] = {name: value for name, value in common.get("ambient", {}).items() if name != "temperature"}
    if not common["ambient"]:
        del common["ambient"]
    return {"units": units, "common": common, "columns": {"ambient.temperature": [f"{10.0 + 30.0 * k / rows} degC" for k in range(rows)]}}
