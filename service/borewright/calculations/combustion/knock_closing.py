"""Limits of compression and boost over a range of speeds: three rounds of cycles close in on them, all states and speeds at once.

The first tells how steep the need of resistance is and how MBT timing drifts, the second what the uncertain inputs do at the limit
itself, the third sets value and ends right. Each is where a fuel just stands the retard allowed from the MBT timing of that place.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from borewright.calculations.combustion.bands import SIDES, Band, band
from borewright.calculations.combustion.knock_cases import Cases, log_need
from borewright.calculations.combustion.knock_effects import Ends
from borewright.calculations.combustion.knock_grid import Rows, SpeedGrid, once
from borewright.calculations.combustion.knock_limits import APART, RANGES, STEEPNESS, Search, search
from borewright.calculations.combustion.knock_speeds import OverSpeed
from borewright.calculations.common.burned_fuel import Octane
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.end_gas import octane_resistance
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.timing import LATEST, TRIALS, Trials, mbt_angle, through_trials

ENDS = ("low", "high")

FIRST_STEP = 0.15
"""How far the first try lies from a state's own value at least, as logarithm: two places that are too close tell no steepness."""


FAR = 0.15
"""A speed whose limit the first round puts higher than another's by so much, as logarithm, is left: it errs by a tenth of it."""


@dataclass(frozen=True)
class Limit:
    """A limit of each state [N] and the speed that sets it; NaN where there is none or it is not known; whether it lies past the range."""

    band: Band
    speed: FloatArray
    beyond: BoolArray


@dataclass
class _Place:
    """A place tried: logarithm of the varied value and of the resistance it needs, angle of MBT timing, each [spread rows]."""

    at: FloatArray
    need: FloatArray
    best: FloatArray


class Closing:
    """The limits of some states, round by round: `first`, `second`, `third` ask for cycles, `after_…` read them."""

    def __init__(
        self, over: OverSpeed, rows: Rows, grid: SpeedGrid, octane: Octane, retard: FloatArray, tried: Trials, best: FloatArray
    ) -> None:
        """Choose the speeds that could set a limit.

        retard : allowed [N]; tried : the trials of all speeds of the grid; best : angle of MBT timing there [N, speeds]
        """
        n, m = grid.count, grid.speeds
        self.over, self.rows, self.octane, self.count = over, rows, octane, n
        resistance = np.log(octane_resistance(octane.value))
        late = np.minimum(best + retard[:, None], LATEST)
        need = through_trials(tried.log_integral, late.ravel()).reshape(n, m)
        where = np.column_stack([*grid.worst(need), grid.speed[:, 0], grid.speed[:, -1]])
        wide = np.repeat(np.arange(n), where.shape[1])
        first, back = once(wide, where.ravel())
        self.of, self.speed, self.back = wide[first], where.ravel()[first], back.reshape(n, -1)
        self.angle = np.maximum(grid.between(best, self.speed, self.of), TRIALS[0])
        self.retard = retard[self.of]
        log_integral = grid.between(tried.log_integral.reshape(n, m, -1), self.speed, self.of)
        self.own = _late_need(log_integral, self.angle + self.retard) + resistance[self.of]
        timing = np.clip(self.angle + self.retard, None, LATEST - 0.01)
        self.slope = (through_trials(log_integral, timing + 0.01) - through_trials(log_integral, timing - 0.01)) / 0.02
        self.residual = grid.between(tried.cycles.residual_fraction.reshape(n, m, -1)[:, :, 0], self.speed, self.of)
        self.target = resistance
        self.near = grid.nearest(self.speed, self.of)
        there = over.at(rows[self.of], self.speed)
        self.each = [_Closing(self, search(name, there)) for name in RANGES]


def _late_need(log_integral: FloatArray, late: FloatArray) -> FloatArray:
    """Logarithm of the knock integral at a late timing, by the polynomial of the trials and straight on beyond them."""
    inside = np.minimum(late, LATEST)
    slope = (through_trials(log_integral, inside) - through_trials(log_integral, inside - 0.01)) / 0.01
    return np.asarray(through_trials(log_integral, inside) + slope * (late - inside))


class _Closing:
    """One limit."""

    def __init__(self, all_: Closing, sought: Search) -> None:
        self.all, self.search = all_, sought
        self.solved = np.full(all_.speed.shape, True)
        self.of, self.speed, self.back, self.near = all_.of, all_.speed, all_.back, all_.near
        self.angle, self.retard, self.slope, self.residual = all_.angle, all_.retard, all_.slope, all_.residual
        self.steep = STEEPNESS[sought.name]
        self.sides: dict[str, _Place] = {}

    def _ask(self, cases: Cases, at: FloatArray, best: FloatArray) -> slice:
        """Cycles at the timing allowed."""
        return cases.add(self.search.moved(at, self.all.over.exhaust), best + self.retard, self.near)

    def _ask_trials(self, cases: Cases, at: FloatArray) -> slice:
        moved, count = self.search.moved(at, self.all.over.exhaust), TRIALS.size
        columns = {name: np.repeat(column, count) for name, column in moved.items()}
        return cases.add(columns, np.tile(TRIALS, at.size), np.repeat(self.near, count))

    def _read(self, found: CycleResult, rows: slice) -> FloatArray:
        self.solved &= found.solved[rows].reshape(self.solved.size, -1).all(axis=1)
        return log_need(found, rows)

    def _read_trials(self, found: CycleResult, rows: slice, at: FloatArray) -> _Place:
        need = self._read(found, rows).reshape(-1, TRIALS.size)
        best = mbt_angle(found.indicated_work[rows].reshape(-1, TRIALS.size))
        return _Place(at, _late_need(need, best + self.retard), np.maximum(best, TRIALS[0]))

    def _best_at(self, at: FloatArray) -> FloatArray:
        """Angle of MBT timing at a place, straight through the nearest that was tried and the next that lies well apart."""
        near, *others = self.tried
        other = others[0]
        for one in others[1:]:
            better = (np.abs(one.at - at) < np.abs(other.at - at)) | (np.abs(other.at - near.at) < 5.0 * APART)
            better &= np.abs(one.at - near.at) >= 5.0 * APART
            other = _Place(*(np.where(better, getattr(one, name), getattr(other, name)) for name in ("at", "need", "best")))
        apart = np.abs(near.at - other.at) > APART
        rate = np.where(apart, (near.best - other.best) / np.where(apart, near.at - other.at, 1.0), 0.0)
        return np.asarray(near.best + rate * (at - near.at))

    def first(self, cases: Cases) -> None:
        """Every trial timing where the limit is guessed to be."""
        sought, own = self.search, self.search.own
        guess = sought.inside(own + (self.all.target[self.of] - self.all.own) / self.steep)
        close = np.abs(guess - own) < FIRST_STEP
        apart = np.where(own - FIRST_STEP > sought.low, own - FIRST_STEP, own + FIRST_STEP)
        self.at = np.where(close, apart, guess)
        self.asked = self._ask_trials(cases, self.at)

    def after_first(self, found: CycleResult, offset: FloatArray) -> None:
        """How steep the need is.

        offset : of the full solve over the trials at the own value [N]
        """
        own = _Place(self.search.own, self.all.own + offset[self.of], self.angle)
        near = self._read_trials(found, self.asked, self.at)
        self.tried = [near, own]
        self.steepness = self.search.secant(near.at, near.need, own.at, own.need, self.steep)
        residual = found.residual_fraction[self.asked].reshape(-1, TRIALS.size)[:, 0]
        self.thinner = np.log(np.maximum(residual, 1e-6) / np.maximum(self.residual, 1e-6)) / (near.at - own.at)

    def _wanted(self, targets: dict[str, FloatArray]) -> dict[str, FloatArray]:
        """Where the line of the first steepness meets the targets of each side."""
        near = self.tried[0]
        return {side: self.search.next(near.at, near.need, self.steepness, targets[side][self.of]) for side in SIDES}

    def _keep(self, kept: BoolArray) -> None:
        """Go on with some of the speeds; those whose limit lies far above another's can't set it."""
        self.known = self.solved[self.back].all(axis=1)
        least = np.argmax(kept[self.back], axis=1)
        place = np.cumsum(kept) - 1
        self.back = np.where(kept[self.back], place[self.back], place[self.back[np.arange(self.all.count), least]][:, None])
        for name in ("of", "speed", "near", "angle", "retard", "slope", "residual", "solved", "steepness", "thinner"):
            setattr(self, name, getattr(self, name)[kept])
        self.tried = [_Place(one.at[kept], one.need[kept], one.best[kept]) for one in self.tried]
        self.search = self.search.take(kept)

    def second(self, cases: Cases, targets: dict[str, FloatArray], *, assumed: bool) -> None:
        """Value and ends where the first steepness has them, and the uncertain inputs at the value of the speed that sets it.

        targets : logarithm of the resistance there is, by side [N]
        """
        wanted = self._wanted(targets)
        far = [at > at[self.back].min(axis=1)[self.of] + FAR for at in wanted.values()]
        self._keep(~np.logical_and.reduce(far))  # what is no number is kept
        wanted = self._wanted(targets)
        self.places = {side: self.search.inside(at) for side, at in wanted.items()}
        self.angles = {side: self._best_at(at) for side, at in self.places.items()}
        self.asked_sides = {side: self._ask(cases, self.places[side], self.angles[side]) for side in ENDS}
        value = self.places["value"]
        self.asked = self._ask_trials(cases, value)
        self.least = self.back[np.arange(self.all.count), np.argmin(wanted["value"][self.back], axis=1)]
        moved = self.search.moved(value, self.all.over.exhaust)
        columns = {name: column[self.least] for name, column in moved.items()}
        residual = (self.residual * np.exp(self.thinner * (value - self.search.own)))[self.least]
        self.ends = Ends(cases, columns, self.near[self.least], residual, (self.angles["value"] + self.retard)[self.least], assumed=assumed)

    def after_second(self, found: CycleResult) -> None:
        """What the ends of the limit are for, and how steep the need is about the limit."""
        before = self.tried[0]
        middle = self._read_trials(found, self.asked, self.places["value"])
        self.tried = [middle, *self.tried]
        self.sides = {"value": middle}
        for side in ENDS:
            at = self.places[side]
            best = self._best_at(at)
            need = self._read(found, self.asked_sides[side]) + self.slope * (best - self.angles[side])
            self.sides[side] = _Place(at, need, best)
        steep = self.search.secant(middle.at, middle.need, before.at, before.need, self.steepness)
        self.steeps = {side: self.search.secant(one.at, one.need, middle.at, middle.need, steep) for side, one in self.sides.items()}
        effects, _ = self.ends.told(found, self.all.target, self.all.octane)
        span = band(self.all.octane.value, effects)
        self.targets = {side: np.log(octane_resistance(np.maximum(getattr(span, side), 1.0))) for side in SIDES}

    def _next(self, side: str) -> FloatArray:
        one = self.sides[side]
        return self.search.next(one.at, one.need, self.steeps[side], self.targets[side][self.of])

    def third(self, cases: Cases) -> None:
        """Value and ends once more."""
        self.places = {side: self.search.inside(self._next(side)) for side in SIDES}
        self.angles = {side: self._best_at(at) for side, at in self.places.items()}
        self.asked_sides = {side: self._ask(cases, at, self.angles[side]) for side, at in self.places.items()}

    def after_third(self, found: CycleResult, solved: BoolArray) -> Limit:
        """The limit: a last step along the secant.

        solved : whether the states themselves are [N]
        """
        back, row = self.back, np.arange(self.all.count)
        ends = {}
        for side, at in self.places.items():
            self.sides[side] = _Place(at, self._read(found, self.asked_sides[side]), self.angles[side])
            ends[side] = self.search.limit(self._next(side))[back]
        least = np.argmin(ends["value"], axis=1)
        known: BoolArray = np.asarray(solved & self.known & self.solved[back].all(axis=1))
        ends_of = {side: np.where(known, values.min(axis=1), np.nan) for side, values in ends.items()}
        found_one = np.isfinite(ends_of["value"])
        return Limit(
            Band(*(np.where(np.isfinite(ends_of[side]), ends_of[side], np.nan) for side in SIDES)),
            np.where(found_one, self.speed[back[row, least]], np.nan),
            np.isinf(ends_of["value"]),
        )
