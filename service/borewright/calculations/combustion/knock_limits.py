"""How much compression or boost a fuel stands with the spark as late as is normal, for several octane numbers and speeds at once.

The logarithm of the resistance required is nearly straight in that of compression or of manifold over ambient pressure. From the state's
own value a first guess is solved; from there each side is closed in on by secants, its cycles at the timing that is late by as much as
is allowed there, so that a limit does not hang on the compression or boost an engine happens to have.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from borewright.physics.arrays import BoolArray, FloatArray

RANGES: Mapping[str, tuple[float, float]] = {"compression_ratio": (5.0, 13.0), "boost": (0.0, 300e3)}
"""Where limits are looked for: [1], [Pa] above ambient. The octane that compression asks for was published up to about 13:1."""

STEEPNESS: Mapping[str, float] = {"compression_ratio": 1.8, "boost": 1.8}
"""Rise of the logarithm of the resistance required over that of compression or manifold pressure, to begin with."""

LEAST_STEEP, STEEPEST = 0.5, 6.0
"""Between these a secant is believed."""

APART = 0.01
"""How far apart the ends of a secant lie at least, as logarithm."""

Fields = Mapping[str, FloatArray]


@dataclass
class Search:
    """Where one limit is looked for.

    name : of the field that is varied; fields : of the states [N]
    low, high : logarithm of the range's ends; own : of each state's own value [N]
    """

    name: str
    fields: Fields
    low: FloatArray
    high: FloatArray
    own: FloatArray

    def take(self, rows: BoolArray) -> Search:
        """Some of the states."""
        fields = {name: column[rows] for name, column in self.fields.items()}
        return Search(self.name, fields, self.low[rows], self.high[rows], self.own[rows])

    def moved(self, place: FloatArray, exhaust: Callable[[Fields], FloatArray]) -> dict[str, FloatArray]:
        """The states at a place of the range [N]."""
        moved = {**self.fields, self.name: _from_pressed(np.exp(place), self.name, self.fields)}
        return {**moved, "exhaust_pressure": exhaust(moved)}

    def inside(self, place: FloatArray) -> FloatArray:
        """The place, kept within the range [N]."""
        return np.asarray(np.clip(place, self.low, self.high))

    def next(self, place: FloatArray, need: FloatArray, steepness: FloatArray, target: FloatArray) -> FloatArray:
        """Where the line through a place meets a target, not kept within the range [N].

        need, target : logarithm of the resistance required there, and of that there is
        """
        return np.asarray(place + (target - need) / steepness)

    def secant(
        self, place: FloatArray, need: FloatArray, other: FloatArray, need_there: FloatArray, steepness: FloatArray | float
    ) -> FloatArray:
        """Steepness between two places; what it was where they lie too close to tell [N]."""
        apart = np.abs(place - other) > APART
        found = (need - need_there) / np.where(apart, place - other, 1.0)
        return np.asarray(np.where(apart, np.clip(found, LEAST_STEEP, STEEPEST), steepness))

    def limit(self, place: FloatArray) -> FloatArray:
        """The value at a place: the range's low end where even that is too much, infinite past its high end [N]."""
        value = np.maximum(_from_pressed(np.exp(np.minimum(place, self.high)), self.name, self.fields), RANGES[self.name][0])
        return np.where(place > self.high, np.inf, value)


def search(name: str, fields: Fields) -> Search:
    """Look for a limit of compression or boost.

    >>> found = search("compression_ratio", {"compression_ratio": np.array([10.0])})
    >>> steepness = found.secant(found.own, np.array([4.2]), np.log(np.array([12.0])), np.array([4.2 + 2.0 * np.log(1.2)]), 1.8)
    >>> [round(float(found.limit(found.next(found.own, np.array([4.2]), steepness, np.array([to])))[0]), 3) for to in (4.4, 5.2, 2.0)]
    [11.052, inf, 5.0]
    """
    low, high = (np.log(_pressed(np.full(fields[name].shape, bound), name, fields)) for bound in RANGES[name])
    return Search(name, fields, low, high, np.asarray(np.log(_pressed(fields[name], name, fields))))


def _pressed(values: FloatArray, name: str, columns: Fields) -> FloatArray:
    """Boost as manifold over ambient pressure; compression as it is."""
    return np.asarray(1.0 + values / columns["ambient_pressure"]) if name == "boost" else values


def _from_pressed(values: FloatArray, name: str, columns: Fields) -> FloatArray:
    return np.asarray(np.maximum(values - 1.0, 0.0) * columns["ambient_pressure"]) if name == "boost" else values
