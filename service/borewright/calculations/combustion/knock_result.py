"""What knock makes of an engine over its range of speeds, and the results of several blocks of states as one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.combustion.bands import SIDES, Band
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.result import CycleResult


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
    worst_speed : where the octane margin is least
    compression_speed, boost_speed : where each limit is met; compression_beyond : whether it lies past the range
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
    compression_beyond: BoolArray
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


def joined(parts: list[Knock]) -> Knock:
    """The results of several blocks, one after the other."""

    def join(several: list[Any]) -> Any:
        first = several[0]
        if isinstance(first, Band):
            return Band(*(np.concatenate([getattr(one, side) for one in several]) for side in SIDES))
        if isinstance(first, Mapping):
            return {name: tuple(np.concatenate([one[name][side] for one in several]) for side in (0, 1)) for name in first}
        return first if isinstance(first, CycleResult | AtSpeed | float) else np.concatenate(several)

    return Knock(*(join([getattr(part, one.name) for part in parts]) for one in fields(Knock)))
