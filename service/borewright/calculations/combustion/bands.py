"""A value with the ends of what it may be, for each of many states."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

import numpy as np

from borewright.calculations.common.burned_fuel import Octane
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.state import CylinderState

SIDES = ("low", "value", "high")


@dataclass(frozen=True)
class Band:
    """A value [N] with the ends of what it may be; NaN where not known."""

    low: FloatArray
    value: FloatArray
    high: FloatArray

    def tree(self) -> dict[str, FloatArray]:
        """As an answer's section."""
        return {side: getattr(self, side) for side in SIDES}


def band(value: FloatArray, effects: Mapping[str, tuple[FloatArray, FloatArray]]) -> Band:
    """A value with the root of the sum of squares of what lowers it, and of what raises it.

    >>> found = band(np.array([10.0]), {"one": (np.array([-3.0]), np.array([0.0])), "other": (np.array([1.0]), np.array([-4.0]))})
    >>> float(found.low[0]), float(found.high[0])
    (5.0, 11.0)
    """
    down, up = np.zeros_like(value), np.zeros_like(value)
    for low, high in effects.values():
        down = down + np.minimum(np.minimum(low, high), 0.0) ** 2
        up = up + np.maximum(np.maximum(low, high), 0.0) ** 2
    return Band(value - np.sqrt(down), value, value + np.sqrt(up))


def available(octane: Octane) -> Band:
    """A fuel's octane number in the engine.

    >>> found = available(Octane(np.array([95.0]), {"sensitivity": (np.array([94.0]), np.array([97.0]))}))
    >>> float(found.low[0]), float(found.high[0])
    (94.0, 97.0)
    """
    return band(octane.value, {name: (low - octane.value, high - octane.value) for name, (low, high) in octane.bounds.items()})


def spread(state: CylinderState) -> tuple[dict[str, FloatArray], int]:
    """The fields of a state as columns of one length, and that length.

    >>> columns, size = spread(CylinderState(0.1, 0.09, 0.15, [9.0, 10.0], 300.0))
    >>> size, columns["bore"].tolist()
    (2, [0.1, 0.1])
    """
    names = [one.name for one in fields(state) if one.name != "fuel"]
    columns = np.broadcast_arrays(*(np.atleast_1d(np.asarray(getattr(state, name), dtype=np.float64)) for name in names))
    return dict(zip(names, columns, strict=True)), int(columns[0].size)


def known(values: FloatArray, solved: BoolArray) -> FloatArray:
    """Values where they were solved, NaN elsewhere.

    >>> known(np.array([1.0, 2.0]), np.array([True, False])).tolist()
    [1.0, nan]
    """
    return np.where(solved, values, np.nan)
