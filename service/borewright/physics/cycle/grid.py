"""Crank-angle steps of a closed cycle, row by row: intake closing to start of burning, burning, to exhaust opening."""

from dataclasses import dataclass

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.state import StateColumns
from borewright.physics.cycle.wiebe import COMPLETENESS, wiebe_fraction, wiebe_progress
from borewright.physics.mechanism.crank import piston_travel, travel_extent
from borewright.physics.mechanism.volumes import circle_area

COMPRESSION_STEPS, BURN_STEPS, EXPANSION_STEPS = 32, 64, 24
"""Steps of each stretch; halving all of them moves the indicated work by far less than 0.1 % (a test holds that)."""

BURN_GRADING = 0.8
"""Under 1 the first steps of burning are longer: next to nothing burns in them, and a speck of burned gas is hard to solve for."""

HALF_BURN_PROGRESS = float(wiebe_progress(0.5 * -np.expm1(-COMPLETENESS)))
"""Share of the burn duration at which half of what will burn has burned."""


@dataclass(frozen=True)
class CycleGrid:
    """Angles from top dead center [N, S] [rad], volume [m³], wall area [m²], share burned [1]; column of the start of burning."""

    angle: FloatArray
    volume: FloatArray
    area: FloatArray
    burned: FloatArray
    start: int
    end: int
    swept: FloatArray
    clearance: FloatArray
    truncated: FloatArray


def stretch(start: FloatArray, end: FloatArray, steps: int, grading: float = 1.0) -> FloatArray:
    """Steps from start to end of each row, without the start; even ones with a grading of 1.

    Parameters
    ----------
    start, end : array [N]
    steps : int
    grading : float
        Power of the even share; under 1 the first steps are longer.

    Returns
    -------
    array [N, steps]

    Examples
    --------
    >>> stretch(np.array([0.0]), np.array([1.0]), 4).tolist()
    [[0.25, 0.5, 0.75, 1.0]]
    """
    share = (np.arange(1, steps + 1) / steps) ** grading
    result: FloatArray = start[:, None] + (end - start)[:, None] * share
    return result


def cycle_grid(columns: StateColumns, half_burn: FloatArray, refine: float = 1.0) -> CycleGrid:
    """Steps, volumes, wall areas and shares burned for a given angle of half burning.

    Wall area is piston and head, each the bore's circle, plus the liner that the volume spans. Burning that would run past the
    exhaust opening stops there.

    Parameters
    ----------
    columns : StateColumns
    half_burn : array [N] [rad]
        Crank angle after top dead center at which half has burned.
    refine : float
        Steps are multiplied by this.

    Returns
    -------
    CycleGrid

    References
    ----------
    Slider-crank of `crank.piston_travel`; the Wiebe function brought to 1 at its end.

    Examples
    --------
    >>> from borewright.physics.cycle.state import CylinderState, state_columns
    >>> grid = cycle_grid(state_columns(CylinderState(0.0843, 0.0853, 0.14235, 10.0, 300.0)), np.array([0.14]))
    >>> round(float(grid.volume.min()) * 1e6, 1), float(grid.burned[0, -1])
    (52.9, 0.98)
    """
    c = columns
    opening, closing = np.pi - c["exhaust_opening"], c["intake_closing"] - np.pi
    start = np.maximum(half_burn - HALF_BURN_PROGRESS * c["burn_duration"], closing + 1e-3)
    end = np.minimum(start + c["burn_duration"], opening - 1e-3)
    n1, n2, n3 = (round(refine * steps) for steps in (COMPRESSION_STEPS, BURN_STEPS, EXPANSION_STEPS))
    angle = np.concatenate(
        [closing[:, None], stretch(closing, start, n1), stretch(start, end, n2, BURN_GRADING), stretch(end, opening, n3)], axis=1
    )
    stroke, rod, offset = c["stroke"], c["rod_length"], c["pin_offset"]
    bore_area = circle_area(c["bore"])
    swept = bore_area * travel_extent(stroke, rod, offset)
    clearance = swept / (c["compression_ratio"] - 1.0)
    travel = piston_travel(angle, stroke[:, None], rod[:, None], offset[:, None])
    volume = clearance[:, None] + bore_area[:, None] * travel
    area = 2.0 * bore_area[:, None] + 4.0 * volume / c["bore"][:, None]
    progress = (angle - start[:, None]) / c["burn_duration"][:, None]
    whole = -np.expm1(-COMPLETENESS)
    progress[:, : n1 + 1] = 0.0  # rounding must not light the charge a step early
    burned = c["combustion_efficiency"][:, None] * wiebe_fraction(progress) / whole
    truncated = np.where(start + c["burn_duration"] > opening, 1.0, 0.0)
    return CycleGrid(angle, volume, area, burned, n1, n1 + n2, swept, clearance, truncated)
