"""The cylinder cycle beside the same cycle stepped through with Cantera; bench_cycle has the reference."""

from __future__ import annotations

from collections.abc import Iterator

from bench_cycle import best_time, cantera_cycle
from questions import exact

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.state import CylinderState
from borewright.physics.gas.fuel import ISOOCTANE

BATCH = 64


def measure(quick: bool) -> Iterator[tuple[str, str, float]]:
    """What is compared, the times, and the ratio."""
    one = CylinderState(0.1016, 0.0884, 0.1524, 10.0, 314.16, octane=90.0, residual_fraction=0.0, fuel=ISOOCTANE)
    run_cycle(one, 0.14)
    ours, reference = best_time(lambda: run_cycle(one, 0.14), 10 if quick else 30), best_time(lambda: cantera_cycle(one, 0.14), 1)
    yield "one cycle: Cantera / ours", f"{reference * 1e3:.0f} ms, ours {ours * 1e3:.2f} ms", reference / ours
    calculation = calculations()["detonation-margin"]
    asked = exact(dict(next(iter(calculation.examples.values()))))
    units = asked.pop("units", "metric")
    common = {name: value for name, value in asked.items() if name != "ambient"}
    body = {"units": units, "common": common, "columns": {"ambient.temperature": [f"{20.0 + 0.1 * k} degC" for k in range(BATCH)]}}
    answer(calculation, {"units": units, **asked})
    single = best_time(lambda: answer(calculation, {"units": units, **asked}), 3 if quick else 8)
    row = best_time(lambda: answer_batch(calculation, body, most_rows=10**6), 1 if quick else 3) / BATCH
    yield f"detonation-margin: one request / a row of {BATCH}", f"{single * 1e3:.1f} ms, {row * 1e3:.2f} ms a row", single / row
