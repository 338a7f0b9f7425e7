"""Every speed of several states tried at a handful of timings: some speeds in full, the others at two timings from which the rest follows.

What a speed differs by from its neighbors, in the logarithms of work, knock integral and peak pressure, runs nearly straight over the
timing: it is solved at two timings to either side of MBT timing and carried over to the others.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from borewright.calculations.combustion.knock_grid import Rows, SpeedGrid, once
from borewright.calculations.combustion.knock_speeds import OverSpeed
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.cycle import solve_columns
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState, state_columns
from borewright.physics.cycle.timing import TRIALS
from borewright.physics.mechanism.interpolation import polynomial_through

SPARSE = np.array([0, 2])
"""Which of the trial timings a speed is tried at that is not tried in full."""

_NEAREST = np.argmin(np.abs(TRIALS[:, None] - TRIALS[SPARSE]), axis=1)


@dataclass(frozen=True)
class SpeedTrials:
    """States [N] at each of their speeds [M] and every trial timing [trials].

    work, log_integral, log_peak : indicated work [J], logarithms of knock integral and peak pressure, each [N, M, trials]
    residual : share of burned gas that stays behind [N, M]
    solved, reason : whether every cycle of a state is solved, and the first reason why not [N]
    held, place : what the cycles hold for others to start from, and which of them lies nearest to each speed and timing [N·M, trials]
    """

    grid: SpeedGrid
    work: FloatArray
    log_integral: FloatArray
    log_peak: FloatArray
    residual: FloatArray
    solved: BoolArray
    reason: npt.NDArray[np.str_]
    held: FloatArray
    place: Rows

    def start(self, near: Rows, half_burn: FloatArray) -> FloatArray:
        """What cycles may start from, each at a timing and like one of the speeds of all states [K, cycles]."""
        timing = np.argmin(np.abs(half_burn[:, None] - TRIALS), axis=1)
        return np.asarray(self.held[self.place[near, timing]].T)


def try_speeds(over: OverSpeed, rows: Rows) -> SpeedTrials:
    """Try some states at all speeds of their range.

    >>> from borewright.calculations.base.outcome import Outcome
    >>> from borewright.calculations.combustion.knock_speeds import over_speed
    >>> from borewright.calculations.common.cylinder_state import engine
    >>> body = {"bore": 0.1, "stroke": 0.09, "compression_ratio": 10.0, "speed": 600.0}
    >>> request = {name: np.array([value]) for name, value in body.items()}
    >>> found = try_speeds(over_speed(request, engine(request, Outcome({})), Outcome({})), np.arange(1))
    >>> found.work.shape, bool(found.solved[0])
    ((1, 5, 5), True)
    """
    nodes, (besides, turning) = over.nodes()[rows], over.between_nodes()
    closely = nodes if turning else nodes[:, ::2]  # without a corner the rest lies smoothly between every other
    every = np.column_stack([closely, *(() if turning else (nodes[:, 1::2],)), besides[rows]])
    (n, wide), full, count, sparse = every.shape, closely.shape[1], TRIALS.size, SPARSE.size
    first, back = once(np.repeat(np.arange(n), wide), every.ravel())
    own, column = np.divmod(first, wide)
    # what coincides with one that is tried in full is that one
    order = np.concatenate([np.flatnonzero(column < full), np.flatnonzero(column >= full)])
    whole, own, speed = np.count_nonzero(column < full), own[order], every.ravel()[first[order]]
    source = np.empty(first.size, dtype=np.intp)
    source[order] = np.arange(first.size)
    back = source[back].reshape(n, wide)

    columns = state_columns(CylinderState(**over.at(rows[own], speed), fuel=over.engine.state.fuel))
    of = np.concatenate([np.repeat(np.arange(whole), count), np.repeat(np.arange(whole, order.size), sparse)])
    timings = np.concatenate([np.tile(TRIALS, whole), np.tile(TRIALS[SPARSE], order.size - whole)])
    cycles = solve_columns(columns.take(of), timings)
    begin = whole * count  # of those tried at two timings
    place = np.concatenate(
        [np.arange(begin).reshape(-1, count), begin + np.arange(cycles.solved.size - begin).reshape(-1, sparse)[:, _NEAREST]]
    )
    node_grid = SpeedGrid(closely)
    smooth = []
    for values in _smooth(cycles):
        known = values[:begin].reshape(-1, count)
        guess = node_grid.between(known[back[:, :full]], speed[whole:], own[whole:])
        off = values[begin:].reshape(-1, sparse) - guess[:, SPARSE]
        smooth.append(np.concatenate([known, guess + polynomial_through(TRIALS, TRIALS[SPARSE], off)]))
    grid, found = _rising(every, first[order], back, slice(nodes.shape[1], nodes.shape[1] + turning))
    heat = cycles.fuel_energy + cycles.nitrous_energy
    return SpeedTrials(
        grid,
        smooth[0][found] * heat[place[:, 0]][found][:, :, None],
        smooth[1][found],
        smooth[2][found],
        cycles.residual_fraction[place[:, 0]][found],
        *_solved(n, cycles, own[of]),
        cycles.held,
        place[found.ravel()],
    )


def _rising(every: FloatArray, first: Rows, back: Rows, turning: slice) -> tuple[SpeedGrid, Rows]:
    """The speeds of each state in their order, each once and the highest as often as fills the row, and which of all each is.

    every : speeds [N, M]
    first, back : where each that is another stands, and which of these each is [N, M]
    turning : columns of those that turn a corner
    """
    n, wide = every.shape
    corner, again = np.full(first.size, False), np.full((n, wide), True)
    corner[back[:, turning].ravel()] = True
    again.ravel()[first] = False
    highest = back[np.arange(n), np.argmax(every, axis=1)][:, None]
    order = np.argsort(np.where(again, np.inf, every), axis=1, kind="stable")
    found = np.take_along_axis(np.where(again, highest, back), order, axis=1)
    return SpeedGrid(every.ravel()[first][found], corner[found]), found


def _solved(n: int, cycles: CycleResult, rows: Rows) -> tuple[BoolArray, npt.NDArray[np.str_]]:
    """Whether every cycle of a state is solved, and the first reason why not [N].

    rows : the state of each cycle
    """
    solved, reason = np.full(n, True), np.full(n, "", dtype=cycles.reason.dtype)
    bad = np.flatnonzero(~cycles.solved)[::-1]
    solved[rows[bad]] = False
    reason[rows[bad]] = cycles.reason[bad]  # the last that is set is the first that there is
    return solved, reason


def _smooth(cycles: CycleResult) -> tuple[FloatArray, FloatArray, FloatArray]:
    """What differs between speeds by what runs straight over the timing: work over heat, logarithms of knock integral and peak pressure."""
    work = cycles.indicated_work / np.where(cycles.solved, cycles.fuel_energy + cycles.nitrous_energy, 1.0)
    return work, np.log(np.maximum(cycles.knock_integral, 1e-12)), np.log(np.maximum(cycles.peak_pressure, 1.0))
