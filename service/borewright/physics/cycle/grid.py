"""Nodes of a closed cycle, row by row: intake closing to start of burning, burning, to exhaust opening."""

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.integrals import nodes, running
from borewright.physics.cycle.state import StateColumns
from borewright.physics.cycle.wiebe import COMPLETENESS, wiebe_fraction, wiebe_progress
from borewright.physics.mechanism.crank import travel_extent
from borewright.physics.mechanism.volumes import circle_area

DEGREES = (16, 12, 8)
"""Degree of the polynomial of each stretch; more of all of them moves the answers by far less than 0.1 % (a test holds that)."""

SHOWN_STEPS = (32, 64, 24)
"""Even steps of each stretch where a trace is shown."""

HALF_BURN_PROGRESS = float(wiebe_progress(0.5 * -np.expm1(-COMPLETENESS)))
"""Share of the burn duration at which half of what will burn has burned."""


@dataclass(frozen=True)
class CycleGrid:
    """Nodes of each row.

    angle : from top dead center [S, N] [rad]
    volume, slope : volume [S, N] [m³] and what it gains with the angle [m³/rad]
    area : of the walls [S, N] [m²]
    burned : share [S, N] [1]
    start, end : index of the nodes at which burning starts and ends
    lengths : of the three stretches [3, N] [rad]
    swept, clearance : volumes [N] [m³]
    truncated : 1 where the exhaust opens before the burning is over [N]
    """

    angle: FloatArray
    volume: FloatArray
    slope: FloatArray
    area: FloatArray
    burned: FloatArray
    start: int
    end: int
    lengths: FloatArray
    swept: FloatArray
    clearance: FloatArray
    truncated: FloatArray

    def take(self, rows: NDArray[np.intp]) -> "CycleGrid":
        """Some of the rows."""
        arrays = {one.name: getattr(self, one.name)[..., rows] for one in fields(self) if one.name not in ("start", "end")}
        return replace(self, **arrays)

    def compression_integral(self, values: FloatArray) -> FloatArray:
        """Running integral over the angle, from intake closing to the start of burning, of values there [start + 1, N]."""
        result: FloatArray = running(self.start) @ values
        result *= self.lengths[0]
        return result

    def burn_integral(self, values: FloatArray) -> FloatArray:
        """Running integral over the angle from the start of burning on, of values there [S − start, N]."""
        n = self.end - self.start
        result = np.empty(values.shape)
        np.multiply(running(n) @ values[: n + 1], self.lengths[1], out=result[: n + 1])
        np.multiply(running(values.shape[0] - 1 - n)[1:] @ values[n:], self.lengths[2], out=result[n + 1 :])
        result[n + 1 :] += result[n]
        return result

    def burn_total(self, values: FloatArray) -> FloatArray:
        """The whole of it [N]."""
        n = self.end - self.start
        parts = running(n)[-1] @ values[: n + 1], running(values.shape[0] - 1 - n)[-1] @ values[n:]
        return np.asarray(parts[0] * self.lengths[1] + parts[1] * self.lengths[2])


def _piston(angle: FloatArray, stroke: FloatArray, rod: FloatArray, offset: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Travel of the piston and its slope with the angle within ±180°, as `crank.piston_travel` and `piston_motion.piston_speed`.

    Sine and cosine are what takes time: both come from one of half the angle.
    """
    half = np.sin(0.5 * angle)
    r = 0.5 * stroke
    lowered = 2.0 * half * half  # 1 − cos θ
    across = r * (2.0 * half * np.sqrt(1.0 - half * half))
    q = across + offset
    leg = np.sqrt(rod * rod - q * q)
    along = r * (1.0 - lowered)
    return (np.sqrt((rod + r) ** 2 - offset * offset) - leg) - along, across + q * along / leg


def cycle_grid(columns: StateColumns, half_burn: FloatArray, refine: float = 1.0) -> CycleGrid:
    """Nodes, volumes, wall areas and shares burned for a given angle of half burning.

    Wall area is piston and head, each the bore's circle, plus the liner that the volume spans. Burning that would run past the
    exhaust opening stops there.

    Parameters
    ----------
    columns : StateColumns
    half_burn : array [N] [rad]
        Crank angle after top dead center at which half has burned.
    refine : float
        Degrees are multiplied by this.

    Returns
    -------
    CycleGrid

    References
    ----------
    The slider-crank, as `crank.piston_travel`; the Wiebe function brought to 1 at its end.

    Examples
    --------
    >>> from borewright.physics.cycle.state import CylinderState, state_columns
    >>> grid = cycle_grid(state_columns(CylinderState(0.0843, 0.0853, 0.14235, 10.0, 300.0)), np.array([0.14]))
    >>> round(float(grid.volume.min()) * 1e6, 1), float(grid.burned[-1, 0])
    (52.9, 0.98)
    """
    c = columns
    opening, closing = np.pi - c["exhaust_opening"], c["intake_closing"] - np.pi
    start = np.maximum(half_burn - HALF_BURN_PROGRESS * c["burn_duration"], closing + 1e-3)
    end = np.minimum(start + c["burn_duration"], opening - 1e-3)
    n1, n2, n3 = (round(refine * degree) for degree in DEGREES)
    lengths = np.stack([start - closing, end - start, opening - end])
    angle = np.empty((n1 + n2 + n3 + 1, start.size))
    angle[: n1 + 1] = closing + nodes(n1)[:, None] * lengths[0]
    angle[n1 : n1 + n2 + 1] = start + nodes(n2)[:, None] * lengths[1]
    angle[n1 + n2 :] = end + nodes(n3)[:, None] * lengths[2]
    angle[-1] = opening
    stroke, rod, offset = c["stroke"], c["rod_length"], c["pin_offset"]
    bore_area = circle_area(c["bore"])
    swept = bore_area * travel_extent(stroke, rod, offset)
    clearance = swept / (c["compression_ratio"] - 1.0)
    travel, speed = _piston(angle, stroke, rod, offset)
    volume, slope = clearance + bore_area * travel, bore_area * speed
    area = 2.0 * bore_area + 4.0 / c["bore"] * volume
    burned = np.zeros(angle.shape)
    reached = lengths[1] / c["burn_duration"]
    share = c["combustion_efficiency"] / -np.expm1(-COMPLETENESS)
    burned[n1 : n1 + n2 + 1] = share * wiebe_fraction(nodes(n2)[:, None] * reached)
    burned[n1 + n2 + 1 :] = burned[n1 + n2]
    truncated = np.where(start + c["burn_duration"] > opening, 1.0, 0.0)
    return CycleGrid(angle, volume, slope, area, burned, n1, n1 + n2, lengths, swept, clearance, truncated)
