"""How an engine stands to knock over a range of speeds: octane required, peak pressure, retard and limits, each the worst of the range.

Every speed of a grid is tried at a handful of timings. A parabola through the worst of them and its neighbors says where
between them it is worse still; there, at the worst of the grid and at the speed asked the cycle is solved in full. What the model does
not know moves the worst by as much as at its speed, each input alone with the timing held; effects on the same side add up by their
squares, as independent ones do (JCGM 100:2008, 5.1.2). An input is taken to its farther end, and the logarithm of the resistance
required is taken to be straight in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.combustion.bands import SIDES, Band, band
from borewright.calculations.combustion.knock_by_speed import by_speed
from borewright.calculations.combustion.knock_cases import Cases
from borewright.calculations.combustion.knock_closing import Closing, Limit
from borewright.calculations.combustion.knock_effects import Ends
from borewright.calculations.combustion.knock_grid import Rows, known_rows, once
from borewright.calculations.combustion.knock_result import Knock, joined
from borewright.calculations.combustion.knock_speeds import OverSpeed
from borewright.calculations.combustion.knock_trials import SpeedTrials, try_speeds
from borewright.calculations.common.burned_fuel import Octane
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.cycle import drawn
from borewright.physics.cycle.end_gas import octane_resistance
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.timing import (
    LATEST,
    TRIALS,
    Aim,
    TimedCycle,
    aim,
    mbt_angle,
    quiet_angle,
    through_trials,
)
from borewright.physics.gas.fuel import Fuel

BLOCK = 64
"""Rows assessed at once: what each keeps of its trial cycles stays small. Results do not depend on it."""


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
    return parts[0] if len(parts) == 1 else joined(parts)


class _Block:
    """Some states of a question, calculated together."""

    def __init__(self, over: OverSpeed, rows: Rows, octane: Octane, retard: FloatArray) -> None:
        self.over, self.rows, self.octane, self.late = over, rows, octane, retard
        self.fuel: Fuel = over.engine.state.fuel
        self.count = rows.size
        self.tried = try_speeds(over, rows)
        self.grid = self.tried.grid
        self.resistance = np.log(octane_resistance(octane.value))

    def knock(self) -> Knock:
        n = self.count
        tried = self.tried
        m = self.grid.speeds
        work, log_integral = (values.reshape(n * m, -1) for values in (tried.work, tried.log_integral))
        best = mbt_angle(work)
        quiet, found = quiet_angle(log_integral, best)
        need = (through_trials(log_integral, best) + np.repeat(self.resistance, m)).reshape(n, m)
        late = np.where(found, quiet - best, LATEST - best + 0.1 * np.maximum(need.ravel(), 0.0)).reshape(n, m)
        press = through_trials(tried.log_peak.reshape(n * m, -1), best).reshape(n, m)
        solved = tried.solved

        asked = self.over.columns["speed"][self.rows]
        inside = np.clip(asked, self.grid.speed[:, 0], self.grid.speed[:, -1])
        candidates = np.column_stack([*self.grid.worst(need), *self.grid.worst(late), *self.grid.worst(press), inside])
        first, back = once(np.repeat(np.arange(n), candidates.shape[1]), candidates.ravel())
        own: Rows = np.asarray(first // candidates.shape[1])
        speed = candidates.ravel()[first]
        near_work, near_integral = (self.grid.between(values, speed, own) for values in (tried.work, tried.log_integral))
        aims = aim(near_work, near_integral)
        row = np.arange(n)
        place = np.argmax(self.grid.between(need, speed, own)[back].reshape(n, -1), axis=1)
        at = back.reshape(n, -1)[row, place]
        worst = candidates[row, place]
        cases = Cases(self.fuel, tried.start)
        aimed = cases.add(self.over.at(self.rows[own[aims.rows]], speed[aims.rows]), aims.angle, self.grid.nearest(speed, own)[aims.rows])
        assumed = self.over.engine.volumetric_efficiency_assumed
        ends = Ends(
            cases,
            self.over.at(self.rows, worst),
            self.grid.nearest(worst),
            self.grid.between(tried.residual, worst),
            aims.best[at],
            assumed=assumed,
            nominal=aimed.start + at,  # each at MBT timing comes first
        )
        closing = Closing(self.over, self.rows, tried, self.octane, self.late, best.reshape(n, m))
        for one in closing.each:
            one.first(cases)
        solves = cases.run()
        timed = self._timed(aims, near_integral, solves.take(aimed))

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
        own_need = np.log(octane_resistance(np.where(best_solved, here.octane_required, 100.0)))
        effects, pressure = ends.told(solves, own_need, self.octane)
        margin = band(self.octane.value - here.octane_required, effects)
        numbers = {side: np.maximum(self.octane.value + getattr(margin, side) - margin.value, 1.0) for side in SIDES}
        compression, boost = self._limits(closing, solves, numbers, offset, best_solved)
        value = np.where(best_solved, here.octane_required, np.nan)
        needed = {name: (-low, -high) for name, (low, high) in effects.items() if name not in self.octane.bounds}
        highest_pressure = np.where(best_solved, timed.best.peak_pressure[at_peak], np.nan)
        limited_row = TimedCycle(*(known_rows(getattr(timed, one.name), at_late) for one in fields(TimedCycle)))
        allowed_solved = best_solved & limited_row.solved
        retard, cost = self._retards(limited_row, candidates[row, later], numbers, best_solved, allowed_solved)
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
            compression_limit=compression.band,
            boost_limit=boost.band,
            compression_beyond=compression.beyond,
            worst_speed=np.where(best_solved, worst, np.nan),
            compression_speed=compression.speed,
            boost_speed=boost.speed,
            effects=effects,
            best_solved=best_solved,
            allowed_solved=allowed_solved,
            latest_retard=np.where(best_solved, limited_row.allowed.half_burn - limited_row.best.half_burn, 0.0),
            knock_limited=best_solved & there(timed.knock_limited).any(axis=1),
            reason=np.where(best_solved, limited_row.reason, _why(timed, back.reshape(n, -1), tried)),
            by_speed=by_speed(
                self.over,
                self.rows[0],
                np.stack([self.grid.speed[0], need[0] + offset[0], np.where(found[:m], late[0], np.nan), press[0]]),
                np.stack([candidates[0], required[0], np.where(there(timed.solved)[0], there(timed.retard)[0], np.nan), peak[0]]),
            ),
            trace=drawn((limited_row.allowed if limited_row.solved[0] else limited_row.best).take(slice(0, 1))),
            trace_speed=float(candidates[0, later[0]]),
        )

    def _limits(
        self,
        closing: Closing,
        solves: CycleResult,
        numbers: Mapping[str, FloatArray],
        offset: FloatArray,
        solved: BoolArray,
    ) -> list[Limit]:
        """Limits of compression and boost, from the first round of cycles on.

        numbers : octane number by side, to begin with
        """
        targets = {side: np.log(octane_resistance(number)) for side, number in numbers.items()}
        second, third = (Cases(self.fuel, self.tried.start) for _ in range(2))
        for one in closing.each:
            one.after_first(solves, offset)
            one.second(second, targets, assumed=self.over.engine.volumetric_efficiency_assumed)
        found = second.run()
        for one in closing.each:
            one.after_second(found)
            one.third(third)
        found = third.run()
        return [one.after_third(found, solved) for one in closing.each]

    def _timed(self, aims: Aim, log_integral: FloatArray, solves: CycleResult) -> TimedCycle:
        """The cycles at MBT timing and at the timing allowed, which is set right by the slope of the integral there."""
        timed = aims.timed(*aims.split(solves))
        late = np.clip(timed.allowed.half_burn, TRIALS[0], LATEST)
        slope = (through_trials(log_integral, late + 0.01) - through_trials(log_integral, late - 0.01)) / 0.02
        off = np.log(np.maximum(timed.allowed.knock_integral, 1e-12))
        move = np.where(timed.knock_limited & timed.solved, np.clip(-off / np.minimum(slope, -0.5), -0.05, 0.05), 0.0)
        retard = np.maximum(timed.retard + move, 0.0)
        return replace(timed, retard=retard)

    def _retards(
        self, timed: TimedCycle, speed: FloatArray, numbers: Mapping[str, FloatArray], solved: BoolArray, quiet: BoolArray
    ) -> tuple[Band, Band]:
        """Retard and its cost with the octane number raised and lowered, by the polynomials of the trials.

        quiet : where some timing is, of those that are solved; elsewhere one may be with the octane number raised
        """
        work, log_integral = (self.grid.between(values, speed) for values in (self.tried.work, self.tried.log_integral))
        best = mbt_angle(work)
        shift = np.where(quiet & timed.knock_limited, through_trials(log_integral, np.clip(timed.allowed.half_burn, None, LATEST)), 0.0)
        swept = np.where(timed.best.imep > 0.0, timed.best.indicated_work / np.where(timed.best.imep > 0.0, timed.best.imep, 1.0), np.nan)
        brake = np.where(timed.best.bmep > 0.0, timed.best.bmep, np.nan)
        found = {}
        for side, number in numbers.items():
            own = log_integral - shift[:, None] + (self.resistance - np.log(octane_resistance(number)))[:, None]
            angle, known = quiet_angle(own, best)
            lost = (through_trials(work, best) - through_trials(work, angle)) / swept / brake
            found[side] = np.where(known, angle - best, np.nan), np.where(known, np.maximum(lost, 0.0), np.nan)
        exact = timed.retard, np.maximum(1.0 - timed.allowed.bmep / brake, 0.0)
        bands = []
        for which, value in enumerate(exact):
            middle = found["value"][which]
            ends = {}
            for side, other in (("low", "high"), ("high", "low")):  # the better the fuel, the less
                moved = value + np.nan_to_num(found[other][which] - middle)
                ordered = np.minimum(moved, value) if side == "low" else np.maximum(moved, value)
                ends[side] = np.where(np.isfinite(found[other][which]), np.maximum(ordered, 0.0), np.nan)
            low = np.where(quiet, ends["low"], np.where(solved, found["high"][which], np.nan))
            bands.append(Band(low, np.where(quiet, value, np.nan), np.where(quiet, ends["high"], np.nan)))
        return bands[0], bands[1]


def _why(timed: TimedCycle, back: Rows, tried: SpeedTrials) -> npt.NDArray[np.str_]:
    """Why a state is not solved: the first reason that any of its cycles has."""
    reasons = np.concatenate([timed.best.reason[back], tried.reason[:, None]], axis=1)
    first = np.argmax(reasons != "", axis=1)
    return np.asarray(reasons[np.arange(back.shape[0]), first])
