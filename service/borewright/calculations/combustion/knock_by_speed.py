"""An engine at every speed of its range: what was solved in full, and the trials between."""

from __future__ import annotations

import numpy as np

from borewright.calculations.combustion.knock_result import AtSpeed
from borewright.calculations.combustion.knock_speeds import OverSpeed
from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.end_gas import octane_of_resistance
from borewright.physics.cycle.state import CylinderState
from borewright.physics.cycle.timing import find_timing


def by_speed(over: OverSpeed, row: np.intp, tried: FloatArray, solved: FloatArray) -> AtSpeed:
    """One state: the speeds of the grid as the trials have them, none worse than the worst that is solved, and those solved as they are.

    tried : speed, logarithm of the resistance required, retard and logarithm of the peak pressure [4, speeds]; NaN where no timing is quiet
    solved : speed, octane number required, retard, peak pressure [4, some speeds]
    """
    exact = [(float(a), float(b), float(c), float(d)) for a, b, c, d in solved.T]
    most, highest = (max(entry[place] for entry in exact) for place in (1, 3))
    steepest = solved[2].max() if np.isfinite(solved[2]).all() else np.inf
    numbers = octane_of_resistance(np.exp(tried[1]))
    rough = [
        (float(speed), min(float(a), most), min(float(b), steepest), min(float(c), highest))
        for speed, a, b, c in zip(tried[0], numbers, tried[2], np.exp(tried[3]), strict=True)
    ]
    own = np.array([row])
    asked = over.columns["speed"][own]
    if not tried[0, 0] * (1.0 - 1e-9) <= asked[0] <= tried[0, -1] * (1.0 + 1e-9):  # shown, but no part of the range
        one = find_timing(CylinderState(**over.at(own, asked), fuel=over.engine.state.fuel))
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
    at = over.at(np.full(len(rows), row), columns[0])
    return AtSpeed(columns[0], columns[1], columns[2], columns[3], at["volumetric_efficiency"], at["boost"])
