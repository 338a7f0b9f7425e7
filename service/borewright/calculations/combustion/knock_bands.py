"""How far the knock model may be off: octane required, peak pressure, retard and limits at the ends of what it does not know.

Each uncertain input is moved alone to its low and to its high end with the timing held. Effects on the same side add up by their
squares, as independent ones do (JCGM 100:2008, 5.1.2). What follows from the octane margin alone (retard, its cost, how much compression
or boost the fuel stands) is worked out with the octane number lowered and raised by the band of the margin.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.combustion.bands import SIDES, Band, band, known, spread
from borewright.calculations.combustion.knock_limits import ROUGH, knock_limit
from borewright.calculations.common.burned_fuel import Octane
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import RANGES, CylinderState, burn_duration
from borewright.physics.cycle.timing import TimedCycle, find_timing
from borewright.practice.tables import table

EVAPORATED = "nitrous_evaporated"

BLOCK = 128
"""Rows assessed at once: what each keeps of its trial cycles stays small. Results do not depend on it."""


@dataclass(frozen=True)
class Knock:
    """What knock makes of each state [N]; NaN where it is not known.

    effects : by uncertain input, octane margin less the nominal one at its low and high end
    trace : the first state's cycle at the timing its fuel allows
    """

    octane_required: Band
    octane_margin: Band
    peak_pressure: Band
    peak_pressure_angle: FloatArray
    allowed_peak_pressure: FloatArray
    retard: Band
    cost: Band
    compression_limit: Band
    boost_limit: Band
    effects: Mapping[str, tuple[FloatArray, FloatArray]]
    best_solved: BoolArray
    allowed_solved: BoolArray
    latest_retard: FloatArray
    knock_limited: BoolArray
    reason: npt.NDArray[np.str_]
    trace: CycleResult


@dataclass(frozen=True)
class Ends:
    """An uncertain input at its ends, as fields of the state [N]."""

    low: Mapping[str, FloatArray]
    high: Mapping[str, FloatArray]


def knock(
    state: CylinderState, octane: Octane, exhaust: Callable[[Mapping[str, FloatArray]], FloatArray], *, volumetric_efficiency_assumed: bool
) -> Knock:
    """Work out every state, block by block.

    exhaust : pressure in the exhaust from the fields of a state [Pa]
    """
    columns, size = spread(state)
    ends = {name: tuple(np.broadcast_to(end, (size,)) for end in pair) for name, pair in octane.bounds.items()}
    parts = []
    for first in range(0, size, BLOCK):
        rows = slice(first, first + BLOCK)
        block = CylinderState(**{name: column[rows] for name, column in columns.items()}, fuel=state.fuel)
        own = Octane(np.broadcast_to(octane.value, (size,))[rows], {name: (low[rows], high[rows]) for name, (low, high) in ends.items()})
        parts.append(_knock(block, own, exhaust, volumetric_efficiency_assumed))
    return parts[0] if len(parts) == 1 else _joined(parts)


def _joined(parts: list[Knock]) -> Knock:
    def join(several: list[Any]) -> Any:
        first = several[0]
        if isinstance(first, Band):
            return Band(*(np.concatenate([getattr(one, side) for one in several]) for side in SIDES))
        if isinstance(first, Mapping):
            return {name: tuple(np.concatenate([one[name][side] for one in several]) for side in (0, 1)) for name in first}
        return first if isinstance(first, CycleResult) else np.concatenate(several)

    return Knock(*(join([getattr(part, one.name) for part in parts]) for one in fields(Knock)))


def _knock(state: CylinderState, octane: Octane, exhaust: Callable[[Mapping[str, FloatArray]], FloatArray], assumed: bool) -> Knock:
    timed = find_timing(state)
    best = timed.best
    at, required, peak = best.half_burn, known(best.octane_required, best.solved), known(best.peak_pressure, best.solved)
    need, pressure = _moved(state, best, assumed)
    delay = table("cycle").row("ignition_delay")
    need["ignition_delay"] = (np.full_like(at, delay.si("factor_low")), np.full_like(at, delay.si("factor_high")))
    needed = {name: (required * (low - 1.0), required * (high - 1.0)) for name, (low, high) in need.items()}
    effects = {
        **{name: (-low, -high) for name, (low, high) in needed.items()},
        **{name: (low - octane.value, high - octane.value) for name, (low, high) in octane.bounds.items()},
    }
    margin = band(octane.value - required, effects)
    numbers = {side: octane.value + (getattr(margin, side) - margin.value) for side in SIDES}  # low: the fuel at its worst
    retard, cost = _retards(state, numbers, timed)
    return Knock(
        octane_required=band(required, needed),
        octane_margin=margin,
        peak_pressure=band(peak, {name: (peak * (low - 1.0), peak * (high - 1.0)) for name, (low, high) in pressure.items()}),
        peak_pressure_angle=known(best.peak_pressure_angle, best.solved),
        allowed_peak_pressure=known(timed.allowed.peak_pressure, timed.solved),
        retard=retard,
        cost=cost,
        compression_limit=knock_limit(state, "compression_ratio", best, numbers, exhaust),
        boost_limit=knock_limit(state, "boost", best, numbers, exhaust),
        effects=effects,
        best_solved=best.solved,
        allowed_solved=timed.solved,
        latest_retard=np.where(best.solved, timed.allowed.half_burn - at, 0.0),
        knock_limited=timed.knock_limited,
        reason=timed.reason,
        trace=(timed.allowed if timed.solved[0] else best).take(slice(0, 1)),
    )


def available(octane: Octane) -> Band:
    """A fuel's octane number in the engine.

    >>> found = available(Octane(np.array([95.0]), {"sensitivity": (np.array([94.0]), np.array([97.0]))}))
    >>> float(found.low[0]), float(found.high[0])
    (94.0, 97.0)
    """
    return band(octane.value, {name: (low - octane.value, high - octane.value) for name, (low, high) in octane.bounds.items()})


def _ends(state: CylinderState, best: CycleResult, assumed: bool) -> dict[str, Ends]:
    """The uncertain inputs of the cycle at their ends."""
    columns, size = spread(state)
    rows = table("cycle")

    def factors(row: str, name: str, value: FloatArray) -> Ends:
        return Ends(*({name: value * rows.row(row).si(f"factor_{side}")} for side in ("low", "high")))

    heating, half = rows.row("charge_heating"), rows.row("volumetric_efficiency").si("half_width")
    duration = burn_duration(columns["stroke"] * columns["speed"] / np.pi)
    warm = columns["charge_heating"]
    found = {
        "charge_heating": Ends(
            {"charge_heating": np.maximum(warm + heating.si("heating_low") - heating.si("heating"), 0.0)},
            {"charge_heating": warm + heating.si("heating_high") - heating.si("heating")},
        ),
        "residual_gas": factors("residual_gas", "residual_fraction", np.where(best.solved, best.residual_fraction, 0.05)),
        "burn_duration": factors("burn_duration", "burn_duration", duration),
        "heat_transfer": factors("heat_transfer", "heat_transfer_factor", columns["heat_transfer_factor"]),
    }
    if assumed:
        filled = columns["volumetric_efficiency"]
        found["volumetric_efficiency"] = Ends({"volumetric_efficiency": filled - half}, {"volumetric_efficiency": filled + half})
    if np.any(columns["nitrous_flow"] > 0.0):
        low, high = (np.array([rows.row(EVAPORATED).si(f"share_{side}")]) for side in ("low", "high"))
        found[EVAPORATED] = Ends({EVAPORATED: low}, {EVAPORATED: high})
    return {name: Ends(_inside(each.low, size), _inside(each.high, size)) for name, each in found.items()}


def _inside(moved: Mapping[str, FloatArray], size: int) -> dict[str, FloatArray]:
    """Kept within what the cycle takes."""
    return {name: np.broadcast_to(np.clip(value, RANGES[name][0], RANGES[name][1]), (size,)) for name, value in moved.items()}


def _moved(
    state: CylinderState, best: CycleResult, assumed: bool
) -> tuple[dict[str, tuple[FloatArray, FloatArray]], dict[str, tuple[FloatArray, FloatArray]]]:
    """Octane required and peak pressure at the ends of each uncertain input, over the nominal ones, timing held."""
    columns, size = spread(state)
    ends = _ends(state, best, assumed)
    cases: list[Mapping[str, FloatArray]] = [{}]
    for each in ends.values():
        cases += [each.low, each.high]
    stacked = {name: np.concatenate([case.get(name, column) for case in cases]) for name, column in columns.items()}
    found = run_cycle(CylinderState(**stacked, fuel=state.fuel), np.tile(best.half_burn, len(cases)), ROUGH)
    ratios = []
    for values in (found.octane_required, found.peak_pressure):
        by_case = known(values, found.solved).reshape(len(cases), size)
        over = by_case / by_case[0]
        if EVAPORATED in ends:  # where more could not evaporate, it does not
            most = 2 + 2 * list(ends).index(EVAPORATED)
            over[most] = np.where(found.solved.reshape(by_case.shape)[most], over[most], over[0])
        ratios.append({name: (over[1 + 2 * place], over[2 + 2 * place]) for place, name in enumerate(ends)})
    return ratios[0], ratios[1]


def _retard(timed: TimedCycle) -> tuple[FloatArray, FloatArray]:
    """Retard [rad] and the share of the brake power that it costs; where no timing is quiet they are not known."""
    brake = np.where(timed.best.bmep > 0.0, timed.best.bmep, np.nan)
    return known(timed.retard, timed.solved), known(np.maximum(1.0 - timed.allowed.bmep / brake, 0.0), timed.solved)


def _retards(state: CylinderState, numbers: Mapping[str, FloatArray], timed: TimedCycle) -> tuple[Band, Band]:
    """Retard and its cost with the octane number raised and lowered; an end is not known where its octane number is not."""
    columns, size = spread(state)
    lowest, highest, _ = RANGES["octane"]
    both = np.concatenate([numbers["high"], numbers["low"]])  # the worse the fuel, the more retard
    there = np.isfinite(both)
    stacked = {name: np.tile(column, 2) for name, column in columns.items()}
    stacked["octane"] = np.clip(np.where(there, both, highest), lowest, highest)
    ends, values = _retard(find_timing(CylinderState(**stacked, fuel=state.fuel))), _retard(timed)
    retard, cost = (
        Band(known(end[:size], there[:size]), value, known(end[size:], there[size:])) for end, value in zip(ends, values, strict=True)
    )
    return retard, cost
