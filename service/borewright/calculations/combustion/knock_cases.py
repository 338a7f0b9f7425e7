"""Cycles that several questions want, gathered so that they are solved together."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.cycle import solve_columns
from borewright.physics.cycle.end_gas import octane_resistance
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState, state_columns
from borewright.physics.gas.fuel import Fuel


class Cases:
    """Cycles to be solved together.

    >>> from borewright.calculations.combustion.bands import spread
    >>> state = CylinderState(0.1, 0.09, 0.15, [9.0, 10.0], 300.0)
    >>> cases = Cases(state.fuel)
    >>> late = cases.add(spread(state)[0], np.array([0.14, 0.14]))
    >>> cases.run().take(late).solved.tolist()
    [True, True]
    """

    def __init__(self, fuel: Fuel) -> None:
        self.fuel = fuel
        self.size = 0
        self._columns: list[Mapping[str, FloatArray]] = []
        self._halves: list[FloatArray] = []

    def add(self, columns: Mapping[str, FloatArray], half_burn: FloatArray) -> slice:
        """Where the results will stand."""
        first, self.size = self.size, self.size + half_burn.size
        self._columns.append(columns)
        self._halves.append(half_burn)
        return slice(first, self.size)

    def run(self) -> CycleResult:
        """All of them, in the order in which they came."""
        stacked = {name: np.concatenate([columns[name] for columns in self._columns]) for name in self._columns[0]}
        halves = np.nan_to_num(np.clip(np.concatenate(self._halves), -1.0, 1.5))  # a state that is no number is not solved at any timing
        return solve_columns(state_columns(CylinderState(**stacked, fuel=self.fuel)), halves)


def log_need(found: CycleResult) -> FloatArray:
    """Logarithm of the resistance that cycles ask for; that of isooctane where they are not solved."""
    return np.asarray(np.log(octane_resistance(np.where(found.solved & (found.octane_required > 0.0), found.octane_required, 100.0))))
