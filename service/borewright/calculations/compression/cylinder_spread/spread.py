"""One size over the cylinders: its ends, and what lies between, with tolerances that do not count twice where cylinders are alike.

A largest value turns over where two cylinders tie: each of them could raise it alone, and effects that are added up would count every
one. So the states follow the cylinder, or the pair of cylinders, that reaches furthest, and no other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.physics.arrays import FloatArray


@dataclass(frozen=True)
class Spread:
    """One size over the cylinders [SI].

    cylinders : their numbers
    values : array (cylinders, states), the states laid out as [nominal | each input low in turn | each input high in turn]
    """

    cylinders: npt.NDArray[np.int64]
    values: FloatArray

    @classmethod
    def of(cls, cylinders: Sequence[int], values: Sequence[FloatArray]) -> Spread:
        """The sizes of each cylinder, brought to the same states.

        >>> found = Spread.of([1, 2, 3], [np.array([5.0]), np.array([7.0]), np.array([6.0])])
        >>> float(found.spread[0]), found.answer()["highest_cylinder"]
        (2.0, 2)
        """
        return cls(np.array(cylinders, dtype=np.int64), np.stack(np.broadcast_arrays(*(np.atleast_1d(value) for value in values))))

    @property
    def nominal(self) -> FloatArray:
        """The nominal value of each cylinder."""
        return np.asarray(self.values[:, 0])

    @cached_property
    def _moved(self) -> FloatArray:
        """What each input does to each cylinder, low and high, of shape (cylinders, 2, inputs)."""
        moved = self.values[:, 1:] - self.values[:, :1]
        return moved.reshape(len(moved), 2, -1)

    @property
    def highest(self) -> FloatArray:
        """The largest, in each state."""
        reach = self.nominal + _added(self._moved)
        return np.asarray(self.nominal.max() + self._away(int(np.argmax(reach))))

    @property
    def lowest(self) -> FloatArray:
        """The smallest, in each state."""
        reach = self.nominal - _added(-self._moved)
        return np.asarray(self.nominal.min() + self._away(int(np.argmin(reach))))

    @property
    def spread(self) -> FloatArray:
        """Largest less smallest, in each state; two tied cylinders with ± 0.1 lie up to 0.2 apart, and so do five of them.

        >>> inputs = np.zeros((5, 11))
        >>> inputs[range(5), range(1, 6)], inputs[range(5), range(6, 11)] = -0.1, 0.1
        >>> found = Spread(np.arange(5), inputs).spread
        >>> round(float(found[0] + np.maximum(found[1:] - found[0], 0.0).sum()), 9)
        0.2
        """
        apart = self._moved[:, None] - self._moved[None, :]
        reach = self.nominal[:, None] - self.nominal[None, :] + _added(apart)
        high, low = np.unravel_index(int(np.argmax(reach)), reach.shape)
        return np.asarray(self.nominal.max() - self.nominal.min() + self._away(int(high)) - self._away(int(low)))

    def _away(self, cylinder: int) -> FloatArray:
        return np.asarray(self.values[cylinder] - self.values[cylinder, 0])

    def answer(self) -> dict[str, Any]:
        """Its ends and what lies between."""
        return {
            "lowest": self.lowest,
            "highest": self.highest,
            "spread": self.spread,
            "lowest_cylinder": int(self.cylinders[self.nominal.argmin()]),
            "highest_cylinder": int(self.cylinders[self.nominal.argmax()]),
        }


def worst(values: FloatArray) -> float:
    """The least that a value comes to with what every input takes from it added up.

    >>> worst(np.array([1.0, 0.9, 1.0, 1.1, 0.8]))
    0.7
    """
    moved = (values[1:] - values[0]).reshape(2, -1)
    return round(float(values[0] - _added(-moved)), 12)


def _added(moved: FloatArray) -> FloatArray:
    """What the inputs add at most, each at the end that adds more; over the last two axes, low and high, and the inputs."""
    return np.asarray(np.maximum(moved, 0.0).max(axis=-2).sum(axis=-1))
