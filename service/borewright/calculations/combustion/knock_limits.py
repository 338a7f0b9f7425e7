"""How much compression or boost a fuel stands with the spark as late as is normal, for several octane numbers and speeds at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from borewright.calculations.combustion.bands import SIDES
from borewright.physics.arrays import BoolArray, FloatArray

NODES = 0.5 * (1.0 - np.cos(np.pi * (np.arange(4) + 0.5) / 4.0))
"""Where the resistance required is worked out across a range, as shares of it: Chebyshev's, for a polynomial through them."""

_POWERS = np.linalg.inv(np.vander(NODES, increasing=True)).T
"""Values at the nodes times this are the polynomial's coefficients, from the constant on."""

_SHARES = np.linspace(0.0, 1.0, 33)
_GRID = np.vander(_SHARES, NODES.size, increasing=True).T

RANGES: Mapping[str, tuple[float, float]] = {"compression_ratio": (5.0, 18.0), "boost": (0.0, 300e3)}
"""Where limits are looked for: [1], [Pa] above ambient."""

Fields = Mapping[str, FloatArray]


@dataclass(frozen=True)
class Search:
    """Where one limit is looked for.

    low, high : logarithm of the range's ends [N]; name : of the field that is varied
    """

    name: str
    fields: Fields
    low: FloatArray
    high: FloatArray

    def tries(self, exhaust: Callable[[Fields], FloatArray]) -> dict[str, FloatArray]:
        """The states at the nodes of the range [N · nodes]."""
        count = NODES.size
        several = {name: np.repeat(column, count) for name, column in self.fields.items()}
        share = np.tile(NODES, self.low.size)
        value = _from_pressed(np.exp(np.repeat(self.low, count) + share * np.repeat(self.high - self.low, count)), self.name, several)
        moved = {**several, self.name: value}
        return {**moved, "exhaust_pressure": exhaust(moved)}

    def far(self) -> NDArray[np.intp]:
        """A node well away from each state's own value [N]."""
        return np.where(self._here() < 0.6, NODES.size - 1, 0)

    def drift(self, at_far: FloatArray) -> FloatArray:
        """What grows from nothing at each state's own value to so much at its far node, at every node [N, nodes]."""
        here = self._here()
        return np.asarray(at_far[:, None] * (NODES - here[:, None]) / (NODES[self.far()] - here)[:, None])

    def _here(self) -> FloatArray:
        """Share of the range at which each state's own value lies."""
        return np.asarray((np.log(_pressed(self.fields[self.name], self.name, self.fields)) - self.low) / (self.high - self.low))

    def limits(self, need: FloatArray, own: FloatArray, targets: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
        """The limit for each target; at a range's low end where even that is too much, infinite where there is none.

        need : logarithm of the resistance required at the nodes, but for a factor [N, nodes]
        own : the same at the state's own value, and now exactly [N]
        targets : logarithm of the resistance there is, by side [N]
        """
        here = self._here()
        power = need @ _POWERS
        power[:, 0] += own - _horner(power, here)
        target = np.concatenate([targets[side] for side in SIDES])
        count, size = len(SIDES), here.size
        share, within, below = _reached(np.tile(power, (count, 1)), target)
        fields = {name: np.tile(column, count) for name, column in self.fields.items()}
        low, high = np.tile(self.low, count), np.tile(self.high, count)
        value = _from_pressed(np.exp(low + share * (high - low)), self.name, fields)
        value = np.where(below, RANGES[self.name][0], np.where(within, value, np.inf))
        return {side: value[place * size : (place + 1) * size] for place, side in enumerate(SIDES)}


def search(name: str, fields: Fields) -> Search:
    """Look for a limit of compression or boost.

    The logarithm of the resistance required is nearly straight in that of compression or manifold pressure: a polynomial through a few
    values across the range is set right at the state's own value, and solved by Newton's rule. The timing that is held
    may drift.

    >>> found = search("compression_ratio", {"compression_ratio": np.array([10.0]), "ambient_pressure": np.array([1e5])})
    >>> grown = 4.0 * (found.low[:, None] + NODES * (found.high - found.low)[:, None])  # resistance goes with the fourth power
    >>> targets = {side: 4.0 * np.log(np.array([ratio])) for side, ratio in (("low", 9.0), ("value", 11.0), ("high", 30.0))}
    >>> [round(float(each[0]), 6) for each in found.limits(grown, np.array([4.0 * np.log(10.0)]), targets).values()]
    [9.0, 11.0, inf]
    """
    low, high = (np.log(_pressed(np.full(fields[name].shape, bound), name, fields)) for bound in RANGES[name])
    return Search(name, fields, low, high)


def _pressed(values: FloatArray, name: str, columns: Fields) -> FloatArray:
    """Boost as manifold over ambient pressure; compression as it is."""
    return np.asarray(1.0 + values / columns["ambient_pressure"]) if name == "boost" else values


def _from_pressed(values: FloatArray, name: str, columns: Fields) -> FloatArray:
    return np.asarray(np.maximum(values - 1.0, 0.0) * columns["ambient_pressure"]) if name == "boost" else values


def _horner(power: FloatArray, share: FloatArray) -> FloatArray:
    """Polynomials of coefficients [N, nodes] at shares of the range [N]."""
    result = power[:, -1]
    for place in range(power.shape[1] - 2, -1, -1):
        result = result * share + power[:, place]
    return np.asarray(result)


def _reached(power: FloatArray, target: FloatArray) -> tuple[FloatArray, BoolArray, BoolArray]:
    """Share of the range at which a polynomial first reaches a target; whether it does, and whether it has at the range's low end."""
    curve = power @ _GRID
    over: BoolArray = np.asarray(curve >= target[:, None])
    within, below = np.asarray(over.any(axis=1)), np.asarray(over[:, 0])
    after = np.clip(np.argmax(over, axis=1), 1, None)
    low, high = _SHARES[after - 1], _SHARES[after]
    slope = power[:, 1:] * np.arange(1, power.shape[1])
    rows = np.arange(target.size)
    before, behind = curve[rows, after - 1], curve[rows, after]
    rise = np.where(behind > before, behind - before, 1.0)
    share = np.clip(low + (target - before) / rise * (high - low), low, high)
    for _ in range(5):  # Newton's rule doubles the digits each time
        steep = _horner(slope, share)
        share = np.clip(share + (target - _horner(power, share)) / np.where(steep > 0.0, steep, np.inf), low, high)
    return np.asarray(share), within, below
