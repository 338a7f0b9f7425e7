"""How far one quantity of a cylinder can go before the fuel's octane number is used up at a given timing."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from borewright.physics.arrays import FloatArray, floats
from borewright.physics.cycle import run_cycle
from borewright.physics.cycle_state import CylinderState, state_columns

STEPS = 7
"""Values tried across the range; between them the octane number required is interpolated, then corrected twice."""

LIMITED = ("compression_ratio", "boost", "ambient_temperature")


@dataclass(frozen=True)
class OctaneLimit:
    """Values [N] in the unit of the state's field, whether one was found within the range, and why not."""

    value: FloatArray
    found: NDArray[np.bool_]
    reason: NDArray[np.str_]


def octane_limit(state: CylinderState, name: str, low: float, high: float, half_burn: ArrayLike) -> OctaneLimit:
    """Value of one field at which the octane number required equals the fuel's, timing held.

    Parameters
    ----------
    state : CylinderState
        Arrays of one value or N; its own value of the field is not used.
    name : str
        "compression_ratio", "boost" or "ambient_temperature": the octane number required rises with each.
    low, high : float
        Range to look in, in the unit of the field.
    half_burn : array [rad]
        Crank angle of half burning: that of best torque, or as much later as one is ready to run. One value or N.

    Returns
    -------
    OctaneLimit
        Where even the low end knocks the value is the low end, where the high end does not it is the high end, and found is false.

    Raises
    ------
    ValueError
        For another field, an empty range, or columns of different lengths.

    References
    ----------
    As `cycle.run_cycle`.

    Examples
    --------
    >>> state = CylinderState(0.1016, 0.0884, 0.1524, 10.0, 314.16, octane=[91.0, 98.0])
    >>> limit = octane_limit(state, "compression_ratio", 6.0, 16.0, np.radians(9.0))
    >>> bool(limit.found.all() and limit.value[1] > limit.value[0])
    True
    """
    if name not in LIMITED:
        raise ValueError(f"a limit can be found for {', '.join(LIMITED)}")
    if not low < high:
        raise ValueError("the range must not be empty")
    start: dict[str, Any] = {name: low}
    columns = state_columns(replace(state, **start))
    at = np.broadcast_to(floats(half_burn), np.broadcast_shapes((columns.size,), np.shape(half_burn)))
    n = at.size
    columns = columns if columns.size == n else columns.take(np.zeros(n, dtype=np.intp))
    octane = columns["octane"]

    def margin(values: FloatArray, rows: NDArray[np.intp]) -> tuple[FloatArray, NDArray[np.str_]]:
        """Logarithm of octane required over octane, which is nearly straight in every field."""
        chosen = columns.take(rows)
        fields = {key: column for key, column in chosen.values.items() if key != name}
        result = run_cycle(CylinderState(**fields, **{name: values}, fuel=columns.fuel), at[rows])
        need = np.where(result.solved, result.octane_required, 1.0)
        return np.log(need / octane[rows]), result.reason

    tries = np.linspace(low, high, STEPS)
    every = np.repeat(np.arange(n), STEPS)
    flat, reasons = margin(np.tile(tries, n), every)
    grid, why = flat.reshape(n, STEPS), reasons.reshape(n, STEPS)
    reason = np.where(columns.reason != "", columns.reason, "")
    row_reason = why[np.arange(n), np.argmax(why != "", axis=1)]
    reason = np.where((reason == "") & (row_reason != ""), row_reason, reason)
    below, above = grid[:, 0] > 0.0, grid[:, -1] < 0.0
    reason = np.where((reason == "") & below, "even the low end of the range needs more octane", reason)
    reason = np.where((reason == "") & above, "even the high end of the range needs less octane", reason)
    found: NDArray[np.bool_] = reason == ""

    after = np.clip(np.argmax(grid >= 0.0, axis=1), 1, STEPS - 1)
    rows = np.arange(n)
    x0, x1, y0, y1 = tries[after - 1], tries[after], grid[rows, after - 1], grid[rows, after]
    slope = np.where(y1 > y0, y1 - y0, 1.0) / (x1 - x0)
    value = np.clip(x0 - y0 / slope, x0, x1)
    for _ in range(2):
        live = np.flatnonzero(found)
        if live.size == 0:
            break
        off, _ = margin(value[live], live)
        value[live] = np.clip(value[live] - off / slope[live], low, high)
    return OctaneLimit(np.where(found, value, np.where(above & ~below, high, low)), found, reason)
