"""What the inputs that the model does not know do to the octane number required, each alone with the timing held."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from borewright.calculations.combustion.knock_cases import Cases, log_need
from borewright.calculations.combustion.knock_grid import Rows
from borewright.calculations.combustion.uncertain_inputs import farther_ends
from borewright.calculations.common.burned_fuel import Octane
from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.end_gas import octane_of_resistance
from borewright.physics.cycle.result import CycleResult
from borewright.practice.tables import table

Effects = Mapping[str, tuple[FloatArray, FloatArray]]


class Ends:
    """States [N] and the same with each uncertain input at its farther end, at one timing each."""

    def __init__(
        self,
        cases: Cases,
        columns: Mapping[str, FloatArray],
        near: Rows,
        residual: FloatArray,
        half_burn: FloatArray,
        *,
        assumed: bool,
        nominal: Rows | None = None,
    ) -> None:
        """Ask for their cycles.

        nominal : places of the cycles of the states as they are, where they are asked for already [N]
        near : which of the rows that were tried each is like [N]
        residual : share of burned gas that stays behind [N]; assumed : whether how the cylinder fills was guessed
        """
        self.ends = farther_ends(columns, residual, assumed=assumed)
        self.nominal = cases.add(columns, half_burn, near) if nominal is None else nominal
        self.slices = {name: cases.add({**columns, **end.fields}, half_burn, near) for name, end in self.ends.items()}

    def told(self, found: CycleResult, value: FloatArray, octane: Octane) -> tuple[Effects, Effects]:
        """Change of the octane margin at the ends of every uncertain input, and factors on the peak pressure.

        value : logarithm of the resistance required nominally [N]; octane : the fuel's number and what is not known of it
        """
        nominal, pressed = log_need(found, self.nominal), found.peak_pressure[self.nominal]
        required = octane_of_resistance(np.exp(value))
        effects: dict[str, tuple[FloatArray, FloatArray]] = {}
        pressure: dict[str, tuple[FloatArray, FloatArray]] = {}
        for name, end in self.ends.items():
            rows = self.slices[name]
            good = found.solved[rows] & found.solved[self.nominal]
            moved = np.where(good, log_need(found, rows) - nominal, 0.0)
            there_is = [octane_of_resistance(np.exp(value + moved * share)) for share in end.shares]
            effects[name] = (required - there_is[0], required - there_is[1])
            over = np.where(good, found.peak_pressure[rows] / np.where(good, pressed, 1.0), 1.0)
            pressure[name] = (over ** end.shares[0], over ** end.shares[1])
        delay = table("cycle").row("ignition_delay")
        effects["ignition_delay"] = (required * (1.0 - delay.si("factor_low")), required * (1.0 - delay.si("factor_high")))
        effects.update({name: (low - octane.value, high - octane.value) for name, (low, high) in octane.bounds.items()})
        return effects, pressure
