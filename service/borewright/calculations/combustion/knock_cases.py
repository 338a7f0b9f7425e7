"""Cycles that several questions want, gathered so that they are solved together."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from borewright.calculations.combustion.knock_grid import Rows
from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.cycle import solve_columns
from borewright.physics.cycle.end_gas import octane_resistance
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState, state_columns
from borewright.physics.gas.fuel import Fuel

Start = Callable[[Rows, FloatArray], FloatArray]


class Cases:
    """Cycles to be solved together.

    start : what cycles may start from, each like one of the rows that were tried and at a timing

    >>> from borewright.calculations.combustion.bands import spread
    >>> from borewright.physics.cycle.timing import TRIALS, try_timings
    >>> state = CylinderState(0.1, 0.09, 0.15, [9.0, 10.0], 300.0)
    >>> tried = try_timings(state_columns(state)).cycles
    >>> cases = Cases(state.fuel, lambda rows, timing: tried.held[rows * TRIALS.size].T)
    >>> late = cases.add(spread(state)[0], np.array([0.14, 0.14]), np.array([0, 1]))
    >>> cases.run().take(late).solved.tolist()
    [True, True]
    """

    def __init__(self, fuel: Fuel, start: Start) -> None:
        self.fuel, self.start = fuel, start
        self.size = 0
        self._columns: list[Mapping[str, FloatArray]] = []
        self._halves: list[FloatArray] = []
        self._near: list[Rows] = []

    def add(self, columns: Mapping[str, FloatArray], half_burn: FloatArray, near: Rows) -> slice:
        """Where the results will stand.

        near : which of the rows that were tried each is like
        """
        first, self.size = self.size, self.size + half_burn.size
        self._columns.append(columns)
        self._halves.append(half_burn)
        self._near.append(near)
        return slice(first, self.size)

    def run(self) -> CycleResult:
        """All of them, in the order in which they came."""
        stacked = {name: np.concatenate([columns[name] for columns in self._columns]) for name in self._columns[0]}
        halves = np.nan_to_num(np.clip(np.concatenate(self._halves), -1.0, 1.5))  # a state that is no number is not solved at any timing
        guess = self.start(np.concatenate(self._near), halves)
        return solve_columns(state_columns(CylinderState(**stacked, fuel=self.fuel)), halves, guess=guess)


def log_need(found: CycleResult, rows: slice | Rows) -> FloatArray:
    """Logarithm of the resistance that some of the cycles ask for; that of isooctane where they are not solved."""
    required = found.octane_required[rows]
    return np.asarray(np.log(octane_resistance(np.where(found.solved[rows] & (required > 0.0), required, 100.0))))
