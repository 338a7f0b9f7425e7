"""Every speed of several states tried at a handful of timings: some speeds in full, the others at two timings from which the rest follows.

What a speed differs by from its neighbors, in the logarithms of work, knock integral and peak pressure, runs nearly straight over the
timing: it is solved at two timings to either side of MBT timing and carried over to the others.
"""

from __future__ import annotations

from collections.abc import Callable
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
    every = np.column_stack([nodes, besides[rows]])
    (n, wide), full, count, sparse = every.shape, nodes.shape[1], TRIALS.size, SPARSE.size
    first, back = once(np.repeat(np.arange(n), wide), every.ravel())
    own, column = np.divmod(first, wide)
    closely, besides_it = np.flatnonzero(column < full), np.flatnonzero(column >= full)  # what coincides with a node is that node
    source = np.empty(first.size, dtype=np.intp)
    source[closely], source[besides_it] = np.arange(closely.size), closely.size + np.arange(besides_it.size)
    back = back.reshape(n, wide)

    tried = _tried(over, rows[own[closely]], every.ravel()[first[closely]], TRIALS)
    smooth = [each.reshape(-1, count) for each in _smooth(tried)]
    place = np.arange(closely.size * count).reshape(-1, count)
    cycles = [tried]
    if besides_it.size:
        speed, row, node_grid = every.ravel()[first[besides_it]], own[besides_it], SpeedGrid(nodes)
        at_node = source[back[:, :full]]
        near = at_node.ravel()[node_grid.nearest(speed, row)]
        cycles.append(_tried(over, rows[row], speed, TRIALS[SPARSE], tried.held[place[near][:, SPARSE].ravel()].T))
        for which, there in enumerate(_smooth(cycles[1])):
            guess = node_grid.between(smooth[which][at_node], speed, row)
            off = there.reshape(-1, sparse) - guess[:, SPARSE]
            smooth[which] = np.concatenate([smooth[which], guess + polynomial_through(TRIALS, TRIALS[SPARSE], off)])
        place = np.concatenate([place, place.size + np.arange(besides_it.size * sparse).reshape(-1, sparse)[:, _NEAREST]])
    grid, of = _rising(every, first, back, full, turning)
    of = source[of]

    def each(values: Callable[[CycleResult], FloatArray]) -> FloatArray:
        return np.asarray(np.concatenate([values(one)[::step] for one, step in zip(cycles, (count, sparse), strict=False)])[of])

    return SpeedTrials(
        grid,
        smooth[0][of] * each(_heat)[:, :, None],
        smooth[1][of],
        smooth[2][of],
        each(lambda one: one.residual_fraction),
        *_solved(n, cycles, (np.repeat(own[closely], count), np.repeat(own[besides_it], sparse))),
        np.concatenate([one.held for one in cycles]),
        place[of.ravel()],
    )


def _rising(every: FloatArray, first: Rows, back: Rows, full: int, turning: int) -> tuple[SpeedGrid, Rows]:
    """The speeds of each state in their order, each once and the highest as often as fills the row, and which of all each is.

    every : speeds [N, M]: nodes, the first `full`, then those that turn a corner, then others
    first, back : as of `once`
    """
    n, wide = every.shape
    corner, again = np.full(first.size, False), np.full((n, wide), True)
    corner[back[:, full : full + turning].ravel()] = True
    again.ravel()[first] = False
    highest = back[np.arange(n), np.argmax(every, axis=1)][:, None]
    order = np.argsort(np.where(again, np.inf, every), axis=1, kind="stable")
    of = np.take_along_axis(np.where(again, highest, back), order, axis=1)
    return SpeedGrid(every.ravel()[first][of], corner[of]), of


def _solved(n: int, cycles: list[CycleResult], rows: tuple[Rows, ...]) -> tuple[BoolArray, npt.NDArray[np.str_]]:
    """Whether every cycle of a state is solved, and the first reason why not [N].

    rows : the state of each cycle
    """
    solved, reason = np.full(n, True), np.full(n, "", dtype=cycles[0].reason.dtype)
    for one, of in reversed(list(zip(cycles, rows, strict=False))):
        bad = np.flatnonzero(~one.solved)[::-1]
        solved[of[bad]] = False
        reason[of[bad]] = one.reason[bad]  # the last that is set is the first that there is
    return solved, reason


def _tried(over: OverSpeed, rows: Rows, speed: FloatArray, timings: FloatArray, start: FloatArray | None = None) -> CycleResult:
    """States at a speed each, at every one of some timings."""
    columns = state_columns(CylinderState(**over.at(rows, speed), fuel=over.engine.state.fuel))
    every = columns.take(np.repeat(np.arange(rows.size), timings.size))
    return solve_columns(every, np.tile(timings, rows.size), guess=start)


def _heat(cycles: CycleResult) -> FloatArray:
    return cycles.fuel_energy + cycles.nitrous_energy


def _smooth(cycles: CycleResult) -> tuple[FloatArray, FloatArray, FloatArray]:
    """What differs between speeds by what runs straight over the timing: work over heat, logarithms of knock integral and peak pressure."""
    work = cycles.indicated_work / np.where(cycles.solved, _heat(cycles), 1.0)
    return work, np.log(np.maximum(cycles.knock_integral, 1e-12)), np.log(np.maximum(cycles.peak_pressure, 1.0))
