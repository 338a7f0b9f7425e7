"""How much boost or nitrous oxide brings the peak pressure to a limit, at best-torque timing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.common.cylinder_state import exhaust_pressure
from borewright.calculations.strength.bench import StressLimit
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState, StateColumns, state_columns
from borewright.physics.cycle.timing import find_timing
from borewright.practice.tables import table

BOOSTS = np.linspace(0.0, 3e5, 9)  # Pa: to four times the air of a natural engine
NITROUS_SHARES = np.linspace(0.0, 0.48, 9)  # of the air's mass: more than evaporates

COMPRESSOR = "a compressor of the usual efficiency without intercooler, driven by the exhaust"

Fields = Callable[[FloatArray], dict[str, FloatArray]]


@dataclass(frozen=True)
class Pressed:
    """Peak pressures of the states as they are [Pa], and the cycles they come from, None where the pressure was given.

    solved : where a cycle could be worked out; elsewhere the pressure is only a stand-in
    """

    peak: FloatArray
    solved: BoolArray
    reason: str
    columns: StateColumns | None = None
    cycle: CycleResult | None = None


def pressed(state: CylinderState) -> Pressed:
    """Peak pressures at best-torque timing.

    >>> round(float(pressed(CylinderState(0.086, 0.086, 0.1435, 10.0, 500.0)).peak[0]) / 1e5)
    59
    """
    best = find_timing(state).best
    peak = np.where(best.solved, best.peak_pressure, 5e6)
    return Pressed(peak, best.solved, str(best.reason[0]), state_columns(state), best)


def load_limit(now: Pressed, limit: StressLimit, fields: Fields, levels: FloatArray, words: Callable[[float], str]) -> StressLimit:
    """How far one load may go until the peak pressure comes to a limit.

    The curve of peak pressure over the field is that of the nominal state; states off it, by a tolerance, are taken to have the same
    curve, higher or lower by as much as their peak pressure is now.

    limit : of the peak pressure (states,) [Pa]
    fields : the state's fields at some levels of the load
    levels : rising (levels,) [SI], tried first
    words : a level in words, for the reasons

    >>> now = pressed(CylinderState(0.086, 0.086, 0.1435, 10.0, 500.0))
    >>> highest = StressLimit(np.array([80e5]), "rod-fatigue", "")
    >>> found = load_limit(now, highest, lambda levels: {"boost": levels}, BOOSTS, "{:.0f} Pa of boost".format)
    >>> bool(pressed(CylinderState(0.086, 0.086, 0.1435, 10.0, 500.0, boost=found.value)).peak[0].round(-3) == 80e5)
    True
    """
    if not now.solved[0]:
        return StressLimit(np.full(1, np.nan), None, now.reason)
    if now.columns is None:
        return StressLimit(
            np.full(1, np.nan), None, "peak_pressure was given: give the compression instead, so that cycles can be worked out"
        )
    if limit.reason:
        return limit
    curve = _curve(now.columns, fields(levels))
    solved = int(np.argmin(np.append(curve.solved, False)))
    if solved == 0:
        return StressLimit(np.full(1, np.nan), None, str(curve.reason[0]))
    peaks = np.maximum.accumulate(curve.peak_pressure[:solved])
    wanted = limit.value * now.peak[0] / now.peak
    if wanted[0] < peaks[0]:
        return StressLimit(np.full(1, np.nan), limit.part, _hot_already(limit, words))
    if wanted[0] > peaks[-1]:
        ended = "the range looked in ends there" if solved == levels.size else str(curve.reason[solved])
        return StressLimit(np.full(1, np.nan), None, f"not reached at {words(float(levels[solved - 1]))}: {ended}")
    value = np.interp(wanted, peaks, levels[:solved])
    if solved > 1:
        value = _refined(now.columns, fields, levels[:solved], peaks, wanted)
    return StressLimit(np.where((wanted < peaks[0]) | (wanted > peaks[-1]), np.nan, value), limit.part, "")


def later_load(load: str, request: Mapping[str, Any], now: Pressed, limit: StressLimit, outcome: Outcome) -> StressLimit:
    """The boost [Pa], or the nitrous oxide of the whole engine [kg/s], at which the peak pressure comes to a limit.

    load : "boost" or "nitrous"
    limit : of the peak pressure (states,) [Pa]

    >>> now = pressed(CylinderState(0.086, 0.086, 0.1435, 10.0, 500.0))
    >>> highest = StressLimit(np.array([80e5]), "rod-fatigue", "")
    >>> found = later_load("nitrous", {"cylinders": np.array([4])}, now, highest, Outcome({}))
    >>> bool(0.0 < found.value[0] < 0.1), found.part
    (True, 'rod-fatigue')
    """
    if now.columns is None or now.cycle is None:
        return load_limit(now, limit, lambda levels: {}, BOOSTS, str)
    columns = now.columns
    if load == "boost":
        given = request.get("boost", {})
        if not given:
            row = table("cycle").row("compressor")
            outcome.assumptions.append(Assumption("boost_to_limit.compressor", COMPRESSOR, "common practice", row.source))

        def boosted(levels: FloatArray) -> dict[str, FloatArray]:
            speed = columns["stroke"][:1] * columns["speed"][:1] / np.pi
            return {"boost": levels, "exhaust_pressure": exhaust_pressure(columns["ambient_pressure"][:1], levels, speed, given)}

        return load_limit(now, limit, boosted, BOOSTS, lambda level: f"{level / 1e5:.2f} bar of boost")
    count = request["cylinders"]
    air = float(now.cycle.air_mass[0] * columns["speed"][0] / (4.0 * np.pi))
    found = load_limit(
        now,
        limit,
        lambda levels: {"nitrous_flow": levels},
        NITROUS_SHARES * air,
        lambda level: f"{level * count[0] * 1e3:.0f} g/s of nitrous oxide",
    )
    return replace(found, value=found.value * count)


def _hot_already(limit: StressLimit, words: Callable[[float], str]) -> str:
    return f"{limit.part} is below the factor wanted even at {words(0.0)}, with parts as hot as that duty makes them"


def _curve(columns: StateColumns, fields: dict[str, FloatArray]) -> CycleResult:
    state = {name: column[:1] for name, column in columns.values.items()} | fields
    return find_timing(CylinderState(**state, fuel=columns.fuel)).best


def _refined(columns: StateColumns, fields: Fields, levels: FloatArray, peaks: FloatArray, wanted: FloatArray) -> FloatArray:
    """With four more levels where the nominal state meets its limit."""
    after = int(np.clip(np.searchsorted(peaks, wanted[0]), 1, levels.size - 1))
    between = np.linspace(levels[after - 1], levels[after], 6)[1:-1]
    finer = _curve(columns, fields(between))
    if not finer.solved.all():
        return np.asarray(np.interp(wanted, peaks, levels))
    every = np.concatenate([levels, between])
    order = np.argsort(every)
    rising = np.maximum.accumulate(np.concatenate([peaks, finer.peak_pressure])[order])
    return np.asarray(np.interp(wanted, rising, every[order]))
