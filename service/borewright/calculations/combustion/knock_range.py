"""How an engine stands to knock over a range of speeds: octane required, peak pressure, retard and limits, each the worst of the range.

Every speed of a grid is tried at a handful of timings together. A parabola through the worst of them and its neighbors says where
between them it is worse still; there, at the worst of the grid and at the speed asked the cycle is solved in full. What the model does
not know moves the worst by as much as at its speed, each input alone with the timing held; effects on the same side add up by their
squares, as independent ones do (JCGM 100:2008, 5.1.2). An input is taken to its farther end, and the logarithm of the resistance
required is taken to be straight in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.combustion.bands import SIDES, Band, band
from borewright.calculations.combustion.knock_limits import NODES, RANGES, search
from borewright.calculations.combustion.knock_speeds import OverSpeed
from borewright.calculations.combustion.uncertain_inputs import farther_ends
from borewright.calculations.common.burned_fuel import Octane
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.end_gas import octane_of_resistance, octane_resistance
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState, StateColumns, state_columns
from borewright.physics.cycle.timing import (
    LATEST,
    TRIALS,
    Aim,
    TimedCycle,
    Trials,
    aim,
    best_torque_angle,
    find_timing,
    quiet_angle,
    through_trials,
    try_timings,
)
from borewright.physics.gas.fuel import Fuel
from borewright.practice.tables import table

ROUGH = 0.5
"""Steps of the cycles that only tell a ratio between two of them, as a share of the full ones."""

ABOUT, DRIFT = float(np.radians(7.0)), float(np.radians(2.0))
"""How far about best torque two timings lie that tell how it drifts; it drifts by about the second over a range of compression."""

BLOCK = 32
"""Rows assessed at once: what each keeps of its trial cycles stays small. Results do not depend on it."""

Rows = npt.NDArray[np.intp]


@dataclass(frozen=True)
class AtSpeed:
    """One state over its range: speed, what it asks for and what that does, each [speeds]."""

    speed: FloatArray
    octane_required: FloatArray
    retard: FloatArray
    peak_pressure: FloatArray
    volumetric_efficiency: FloatArray
    boost: FloatArray


@dataclass(frozen=True)
class Knock:
    """What knock makes of each state, worst over its range of speeds [N]; NaN where it is not known.

    effects : by uncertain input, octane margin less the nominal one at its low and high end
    worst_speed : where the octane margin is least; limit_speeds : where each limit is met
    by_speed, trace : of the first state
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
    worst_speed: FloatArray
    compression_speed: FloatArray
    boost_speed: FloatArray
    effects: Mapping[str, tuple[FloatArray, FloatArray]]
    best_solved: BoolArray
    allowed_solved: BoolArray
    latest_retard: FloatArray
    knock_limited: BoolArray
    reason: npt.NDArray[np.str_]
    by_speed: AtSpeed
    trace: CycleResult
    trace_speed: float


def knock(over: OverSpeed, octane: Octane, retard: FloatArray) -> Knock:
    """Work out every state, block by block.

    retard : the most that is allowed, for the limits [1] or [N] [rad]
    """
    size = over.size
    ends = {name: tuple(np.broadcast_to(end, (size,)) for end in pair) for name, pair in octane.bounds.items()}
    value, late = np.broadcast_to(octane.value, (size,)), np.broadcast_to(retard, (size,))
    parts = []
    for first in range(0, size, BLOCK):
        rows = np.arange(first, min(first + BLOCK, size))
        own = Octane(value[rows], {name: (low[rows], high[rows]) for name, (low, high) in ends.items()})
        parts.append(_Block(over, rows, own, late[rows]).knock())
    return parts[0] if len(parts) == 1 else _joined(parts)


def _joined(parts: list[Knock]) -> Knock:
    def join(several: list[Any]) -> Any:
        first = several[0]
        if isinstance(first, Band):
            return Band(*(np.concatenate([getattr(one, side) for one in several]) for side in SIDES))
        if isinstance(first, Mapping):
            return {name: tuple(np.concatenate([one[name][side] for one in several]) for side in (0, 1)) for name in first}
        return first if isinstance(first, CycleResult | AtSpeed | float) else np.concatenate(several)

    return Knock(*(join([getattr(part, one.name) for part in parts]) for one in fields(Knock)))


def _take(result: Mapping[str, FloatArray], rows: Any) -> dict[str, FloatArray]:
    return {name: column[rows] for name, column in result.items()}


class _Block:
    """Some states of a question, worked out together."""

    def __init__(self, over: OverSpeed, rows: Rows, octane: Octane, retard: FloatArray) -> None:
        self.over, self.rows, self.octane, self.late = over, rows, octane, retard
        self.fuel: Fuel = over.engine.state.fuel
        self.count = rows.size
        self.grid = over.grid()[rows]
        self.speeds = self.grid.shape[1]
        self.log_speed = np.log(self.grid)
        self.resistance = np.log(octane_resistance(octane.value))

    def state(self, columns: Mapping[str, FloatArray]) -> CylinderState:
        return CylinderState(**columns, fuel=self.fuel)

    def columns(self, rows: Rows, speed: FloatArray) -> tuple[dict[str, FloatArray], StateColumns]:
        found = self.over.at(self.rows[rows], speed)
        return found, state_columns(self.state(found))

    def knock(self) -> Knock:
        n, m = self.count, self.speeds
        every = np.repeat(np.arange(n), m)
        _, tried_columns = self.columns(every, self.grid.ravel())
        tried = try_timings(tried_columns)
        best = best_torque_angle(tried.work)
        quiet, found = quiet_angle(tried.log_integral, best)
        need = (through_trials(tried.log_integral, best) + np.repeat(self.resistance, m)).reshape(n, m)
        late = np.where(found, quiet - best, LATEST - best + 0.1 * np.maximum(need.ravel(), 0.0)).reshape(n, m)
        press = through_trials(np.log(np.maximum(tried.cycles.peak_pressure, 1.0)).reshape(n * m, -1), best).reshape(n, m)
        solved: BoolArray = np.asarray(tried.cycles.solved.reshape(n, -1).all(axis=1))

        asked = self.over.columns["speed"][self.rows]
        inside = np.clip(asked, self.grid[:, 0], self.grid[:, -1])
        candidates = np.column_stack([*self._worst(need), *self._worst(late), *self._worst(press), inside])
        first, back = _once(np.repeat(np.arange(n), candidates.shape[1]), candidates.ravel())
        own: Rows = np.asarray(first // candidates.shape[1])
        speed = candidates.ravel()[first]
        near = Trials(tried.cycles, *(self.between(values.reshape(n, m, -1), speed, own) for values in (tried.work, tried.log_integral)))
        aims = aim(near)
        row = np.arange(n)
        place = np.argmax(self.between(need, speed, own)[back].reshape(n, -1), axis=1)
        at = back.reshape(n, -1)[row, place]
        worst, residual = candidates[row, place], tried.cycles.residual_fraction.reshape(n, m, -1)[:, :, 0]
        asking = _Asking(self, worst, aims.best[at], self.between(residual, worst), best, tried)
        columns = self.over.at(self.rows[own], speed)
        cases = [_take(columns, aims.rows), *asking.cases]
        stacked = {name: np.concatenate([case[name] for case in cases]) for name in columns}
        halves = np.clip(np.concatenate([aims.angle, *asking.halves]), -1.0, 1.5)
        solves = run_cycle(self.state(stacked), halves, ROUGH)
        timed = self._timed(aims, near, solves.take(slice(0, aims.rows.size)))

        def there(values: Any) -> Any:
            return values[back].reshape(n, -1)

        required, peak = there(timed.best.octane_required), there(timed.best.peak_pressure)
        steep = np.where(there(timed.solved), there(timed.retard), np.inf)
        place = np.argmax(required, axis=1)
        later = np.argmax(steep, axis=1)
        highest = np.argmax(peak, axis=1)
        at, at_late, at_peak = (back.reshape(n, -1)[row, which] for which in (place, later, highest))
        best_solved: BoolArray = np.asarray(solved & there(timed.best.solved).all(axis=1))
        worst = candidates[row, place]

        here = timed.best.take(at)
        at_node = np.log(octane_resistance(np.where(best_solved & (required[:, 0] > 0.0), required[:, 0], 100.0)))
        offset = at_node - np.max(need, axis=1)  # of the full cycle over the trials, at the worst speed of the grid
        numbers, effects, pressure, limits = asking.told(solves.take(slice(aims.rows.size, None)), here, tried, offset, best_solved)
        value = np.where(best_solved, here.octane_required, np.nan)
        needed = {name: (-low, -high) for name, (low, high) in effects.items() if name not in self.octane.bounds}
        highest_pressure = np.where(best_solved, timed.best.peak_pressure[at_peak], np.nan)
        limited_row = TimedCycle(*(_rows_of(getattr(timed, one.name), at_late) for one in fields(TimedCycle)))
        allowed_solved = best_solved & limited_row.solved
        retard, cost = self._retards(limited_row, candidates[row, later], tried, numbers, allowed_solved)
        return Knock(
            octane_required=band(value, needed),
            octane_margin=band(self.octane.value - value, effects),
            peak_pressure=band(
                highest_pressure, {name: (highest_pressure * (a - 1.0), highest_pressure * (b - 1.0)) for name, (a, b) in pressure.items()}
            ),
            peak_pressure_angle=np.where(best_solved, timed.best.peak_pressure_angle[at_peak], np.nan),
            allowed_peak_pressure=np.where(
                best_solved & there(timed.solved).all(axis=1),
                np.max(there(timed.allowed.peak_pressure), axis=1),
                np.nan,
            ),
            retard=retard,
            cost=cost,
            compression_limit=limits[0][0],
            boost_limit=limits[1][0],
            worst_speed=np.where(best_solved, worst, np.nan),
            compression_speed=limits[0][1],
            boost_speed=limits[1][1],
            effects=effects,
            best_solved=best_solved,
            allowed_solved=allowed_solved,
            latest_retard=np.where(best_solved, limited_row.allowed.half_burn - limited_row.best.half_burn, 0.0),
            knock_limited=best_solved & there(timed.knock_limited).any(axis=1),
            reason=np.where(best_solved, limited_row.reason, _why(timed, back.reshape(n, -1), tried, m)),
            by_speed=self._by_speed(need, late, press, offset, candidates, required, there(timed.solved), steep, peak),
            trace=(limited_row.allowed if limited_row.solved[0] else limited_row.best).take(slice(0, 1)),
            trace_speed=float(candidates[0, later[0]]),
        )

    def _worst(self, values: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Speed of the grid at which values are highest, and the top of the parabola through it and its neighbors."""
        n, m = values.shape
        row, place = np.arange(n), np.argmax(values, axis=1)
        inner = np.clip(place, 1, m - 2)
        x0, x1, x2 = (self.log_speed[row, inner + step] for step in (-1, 0, 1))
        y0, y1, y2 = (values[row, inner + step] for step in (-1, 0, 1))
        apart = (x1 - x0 > 1e-9) & (x2 - x1 > 1e-9)
        d1, d2 = (y1 - y0) / np.where(apart, x1 - x0, 1.0), (y2 - y1) / np.where(apart, x2 - x1, 1.0)
        bend = (d2 - d1) / np.where(apart, x2 - x0, 1.0)
        humped = apart & (bend < 0.0)
        top = np.where(humped, 0.5 * (x0 + x1) - d1 / (2.0 * np.where(humped, bend, -1.0)), x1)
        node = self.grid[row, place]
        return node, np.where(humped, np.exp(np.clip(top, x0, x2)), node)

    def between(self, values: FloatArray, speed: FloatArray, rows: Rows | None = None) -> FloatArray:
        """Values of the grid [N, speeds, …] at a speed of some rows, by the parabola through the three nearest."""
        row = np.arange(self.count) if rows is None else rows
        x = np.log(speed)
        grid = self.log_speed[row]
        middle = np.clip(np.argmin(np.abs(grid - x[:, None]), axis=1), 1, self.speeds - 2)
        xs = np.stack([grid[np.arange(x.size), middle + step] for step in (-1, 0, 1)], axis=1)
        ys = np.stack([values[row, middle + step] for step in (-1, 0, 1)], axis=1)
        away = x[:, None] - xs
        first, second = xs[:, 1] - xs[:, 0], xs[:, 2] - xs[:, 1]
        both = first + second
        with np.errstate(divide="ignore", invalid="ignore"):
            weights = np.stack(
                [
                    away[:, 1] * away[:, 2] / (first * both),
                    -away[:, 0] * away[:, 2] / (first * second),
                    away[:, 0] * away[:, 1] / (both * second),
                ],
                axis=1,
            )
        near = np.eye(3)[np.argmin(np.abs(xs - x[:, None]), axis=1)]
        even = np.min(np.diff(xs, axis=1), axis=1) > 1e-9
        weights = np.where(even[:, None], weights, near)  # where points of a curve coincide, the nearest
        return np.asarray(np.einsum("ij,ij...->i...", weights, ys))

    def _timed(self, aims: Aim, near: Trials, solves: CycleResult) -> TimedCycle:
        """The cycles at best torque and at the timing allowed, which is set right by the slope of the integral there."""
        timed = aims.timed(*aims.split(solves))
        late = np.clip(timed.allowed.half_burn, TRIALS[0], LATEST)
        slope = (through_trials(near.log_integral, late + 0.01) - through_trials(near.log_integral, late - 0.01)) / 0.02
        off = np.log(np.maximum(timed.allowed.knock_integral, 1e-12))
        move = np.where(timed.knock_limited & timed.solved, np.clip(-off / np.minimum(slope, -0.5), -0.05, 0.05), 0.0)
        retard = np.maximum(timed.retard + move, 0.0)
        return replace(timed, retard=retard)

    def _retards(
        self, timed: TimedCycle, speed: FloatArray, tried: Trials, numbers: Mapping[str, FloatArray], solved: BoolArray
    ) -> tuple[Band, Band]:
        """Retard and its cost with the octane number raised and lowered, by the polynomials of the trials."""
        n, m = self.count, self.speeds
        work, log_integral = (self.between(values.reshape(n, m, -1), speed) for values in (tried.work, tried.log_integral))
        best = best_torque_angle(work)
        shift = np.where(solved & timed.knock_limited, through_trials(log_integral, np.clip(timed.allowed.half_burn, None, LATEST)), 0.0)
        swept = np.where(timed.best.imep > 0.0, timed.best.indicated_work / np.where(timed.best.imep > 0.0, timed.best.imep, 1.0), np.nan)
        brake = np.where(timed.best.bmep > 0.0, timed.best.bmep, np.nan)
        found = {}
        for side, number in numbers.items():
            own = log_integral - shift[:, None] + (self.resistance - np.log(octane_resistance(number)))[:, None]
            angle, quiet = quiet_angle(own, best)
            lost = (through_trials(work, best) - through_trials(work, angle)) / swept / brake
            found[side] = np.where(quiet, angle - best, np.nan), np.where(quiet, np.maximum(lost, 0.0), np.nan)
        exact = timed.retard, np.maximum(1.0 - timed.allowed.bmep / brake, 0.0)
        bands = []
        for which, value in enumerate(exact):
            middle = found["value"][which]
            ends = {}
            for side, other in (("low", "high"), ("high", "low")):  # the better the fuel, the less
                moved = value + np.nan_to_num(found[other][which] - middle)
                ordered = np.minimum(moved, value) if side == "low" else np.maximum(moved, value)
                ends[side] = np.where(np.isfinite(found[other][which]), np.maximum(ordered, 0.0), np.nan)
            bands.append(Band(ends["low"], np.where(solved, value, np.nan), np.where(solved, ends["high"], np.nan)))
        return bands[0], bands[1]

    def _by_speed(
        self,
        need: FloatArray,
        late: FloatArray,
        press: FloatArray,
        offset: FloatArray,
        candidates: FloatArray,
        required: FloatArray,
        solved: BoolArray,
        retard: FloatArray,
        peak: FloatArray,
    ) -> AtSpeed:
        """The first state: the speeds of the grid as the trials have them, those solved in full as they are."""
        exact = [
            (float(speed), float(a), float(b) if ok else np.nan, float(c))
            for speed, a, b, c, ok in zip(candidates[0], required[0], retard[0], peak[0], solved[0], strict=True)
        ]
        most = max(entry[1] for entry in exact)
        steepest = np.nanmax([entry[2] for entry in exact]) if any(np.isfinite(entry[2]) for entry in exact) else np.nan
        highest = max(entry[3] for entry in exact)
        rough_need = octane_of_resistance(np.exp(need[0] + offset[0]))
        rough = [
            (float(speed), min(float(a), most), min(float(b), steepest), min(float(c), highest))
            for speed, a, b, c in zip(self.grid[0], rough_need, late[0], np.exp(press[0]), strict=True)
        ]
        asked = self.over.columns["speed"][self.rows[:1]]
        if not self.grid[0, 0] * (1.0 - 1e-9) <= asked[0] <= self.grid[0, -1] * (1.0 + 1e-9):  # shown, but no part of the range
            one = find_timing(self.state(self.over.at(self.rows[:1], asked)))
            late_there = float(one.retard[0]) if one.solved[0] else np.nan
            exact.append((float(asked[0]), float(one.octane_required[0]), late_there, float(one.best.peak_pressure[0])))
        rows: list[tuple[float, float, float, float]] = []
        for entry in sorted(exact):
            if not rows or entry[0] > rows[-1][0] * (1.0 + 1e-9):
                rows.append(entry)
        for entry in rough:
            if not any(abs(entry[0] / other[0] - 1.0) < 1e-6 for other in rows):
                rows.append(entry)
        columns = [np.array(column) for column in zip(*sorted(rows), strict=True)]
        at = self.over.at(np.full(len(rows), self.rows[0]), columns[0])
        return AtSpeed(columns[0], columns[1], columns[2], columns[3], at["volumetric_efficiency"], at["boost"])


class _Asking:
    """The cycles that bands and limits want at the worst speed and at the ends of the range, and what they say."""

    def __init__(
        self, block: _Block, worst: FloatArray, half_burn: FloatArray, residual: FloatArray, best: FloatArray, tried: Trials
    ) -> None:
        """Lay out the cycles.

        worst : speed [N]; half_burn, residual : of best torque there; best : angle of best torque over the grid
        """
        n, m = block.count, block.speeds
        row = np.arange(n)
        columns = block.over.at(block.rows, worst)
        self.block = block
        self.ends = farther_ends(columns, residual, assumed=block.over.engine.volumetric_efficiency_assumed)
        self.cases = [columns, *({**columns, **end.fields} for end in self.ends.values())]
        self.halves = [half_burn] * len(self.cases)

        late = np.minimum(best.reshape(n, m) + block.late[:, None], LATEST)
        need = through_trials(tried.log_integral, late.ravel()).reshape(n, m)
        where = np.column_stack(
            [
                block.grid[row, np.argmin(np.abs(block.grid - worst[:, None]), axis=1)],
                block.grid[row, np.argmax(need, axis=1)],
                block.grid[:, 0],
                block.grid[:, -1],
            ]
        )
        first, back = _once(np.repeat(row, where.shape[1]), where.ravel())
        spread_rows, speed = np.repeat(row, where.shape[1])[first], where.ravel()[first]
        there = block.over.at(block.rows[spread_rows], speed)
        angle = np.maximum(block.between(best.reshape(n, m), speed, spread_rows), TRIALS[0])
        late = np.minimum(angle + block.late[spread_rows], 1.5)
        self.searches = [search(name, there) for name in RANGES]
        for each in self.searches:
            tries = each.tries(block.over.exhaust)
            self.cases.append(tries)
            self.halves.append(np.repeat(late, NODES.size))
            far = {name: column[np.arange(late.size) * NODES.size + each.far()] for name, column in tries.items()}
            self.cases += [far, far]  # two timings about best torque tell how it drifts
            self.halves += [angle - ABOUT, angle + ABOUT]
        self.where, self.back, self.spread_rows, self.speed, self.angle, self.late = where, back, spread_rows, speed, angle, late

    def told(
        self, found: CycleResult, here: CycleResult, tried: Trials, offset: FloatArray, solved: BoolArray
    ) -> tuple[dict[str, FloatArray], dict[str, tuple[FloatArray, FloatArray]], dict[str, Any], list[tuple[Band, FloatArray]]]:
        """Octane numbers at the ends, effects on margin and on peak pressure, and the limits with the speed that sets each."""
        resistance = np.log(octane_resistance(np.where(found.solved & (found.octane_required > 0.0), found.octane_required, 100.0)))
        n, m, row, late, back = self.block.count, self.block.speeds, np.arange(self.block.count), self.late, self.back
        size = n * (1 + len(self.ends))
        nominal = resistance[:n]
        value = np.log(octane_resistance(np.where(solved, here.octane_required, 100.0)))
        required = octane_of_resistance(np.exp(value))
        effects: dict[str, tuple[FloatArray, FloatArray]] = {}
        pressure: dict[str, tuple[FloatArray, FloatArray]] = {}
        for place, (name, end) in enumerate(self.ends.items(), start=1):
            rows = slice(place * n, (place + 1) * n)
            good = found.solved[rows] & found.solved[:n]
            moved = np.where(good, resistance[rows] - nominal, 0.0)
            there_is = [octane_of_resistance(np.exp(value + moved * share)) for share in end.shares]
            effects[name] = (required - there_is[0], required - there_is[1])
            over = np.where(good, found.peak_pressure[rows] / np.where(good, found.peak_pressure[:n], 1.0), 1.0)
            pressure[name] = (over ** end.shares[0], over ** end.shares[1])
        delay = table("cycle").row("ignition_delay")
        effects["ignition_delay"] = (required * (1.0 - delay.si("factor_low")), required * (1.0 - delay.si("factor_high")))
        octane = self.block.octane
        effects.update({name: (low - octane.value, high - octane.value) for name, (low, high) in octane.bounds.items()})
        margin = band(octane.value - required, effects)
        numbers = {side: np.maximum(octane.value + getattr(margin, side) - margin.value, 1.0) for side in SIDES}

        work, log_integral = (
            self.block.between(values.reshape(n, m, -1), self.speed, self.spread_rows) for values in (tried.work, tried.log_integral)
        )
        timing = np.clip(late, None, LATEST - 0.01)
        own = through_trials(log_integral, timing) + (self.block.resistance + offset)[self.spread_rows]
        slope = (through_trials(log_integral, timing + 0.01) - through_trials(log_integral, timing - 0.01)) / 0.02

        def lost(drift: float) -> FloatArray:
            """Logarithm of the later timing's work over the earlier one's, with best torque later by so much."""
            after, before = (through_trials(work, self.angle + step - drift) for step in (ABOUT, -ABOUT))
            return np.asarray(np.log(np.maximum(after, 1.0) / np.maximum(before, 1.0)))

        told = (lost(0.0), lost(DRIFT))
        targets = {side: np.log(octane_resistance(number))[self.spread_rows] for side, number in numbers.items()}
        limits = []
        for each in self.searches:
            rows = slice(size, size + late.size * NODES.size)
            need = resistance[rows].reshape(-1, NODES.size)
            whole = np.atleast_1d(found.solved[rows].reshape(-1, NODES.size).all(axis=1))[back].reshape(n, -1)
            size = rows.stop + 2 * late.size
            before, after = found.indicated_work[rows.stop : size].reshape(2, -1)
            known_work = (before > 0.0) & (after > 0.0)
            ratio = np.where(known_work, after, 1.0) / np.where(known_work, before, 1.0)
            drift = np.clip((np.log(ratio) - told[0]) / (told[1] - told[0]) * DRIFT, -2.0 * DRIFT, 3.0 * DRIFT)
            need = need + slope[:, None] * each.drift(np.where(known_work, drift, 0.0))
            by_side = {side: each_side[back].reshape(n, -1) for side, each_side in each.limits(need, own, targets).items()}
            known: BoolArray = np.asarray(solved & np.all(whole, axis=1))
            least = np.argmin(by_side["value"], axis=1)
            ends_of = {side: np.min(values, axis=1) for side, values in by_side.items()}
            limits.append(
                (
                    Band(*(np.where(known & np.isfinite(ends_of[side]), ends_of[side], np.nan) for side in SIDES)),
                    np.where(known & np.isfinite(ends_of["value"]), self.where[row, least], np.nan),
                )
            )
        return numbers, effects, pressure, limits


def _once(row: Rows, speed: FloatArray) -> tuple[Rows, Rows]:
    """Where each speed of each row first stands, and which of these each one is."""
    _, first, back = np.unique(np.round(np.log(speed), 9) + 1e3 * row, return_index=True, return_inverse=True)
    return first, back


def _rows_of(values: Any, rows: Rows) -> Any:
    return values.take(rows) if isinstance(values, CycleResult) else values[rows]


def _why(timed: TimedCycle, back: Rows, tried: Trials, speeds: int) -> npt.NDArray[np.str_]:
    """Why a state is not solved: the first reason that any of its cycles has."""
    reasons = np.concatenate([timed.best.reason[back], tried.cycles.reason.reshape(back.shape[0], -1)], axis=1)
    first = np.argmax(reasons != "", axis=1)
    return np.asarray(reasons[np.arange(back.shape[0]), first])
