"""How much compression or boost a fuel stands at best-torque timing, for several octane numbers at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from borewright.calculations.combustion.bands import SIDES, Band, spread
from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState
from borewright.physics.cycle.timing import find_timing

ROUGH = 0.5
"""Steps of the cycles that only tell a ratio between two of them, as a share of the full ones."""

NODES = 0.5 * (1.0 - np.cos(np.pi * (np.arange(6) + 0.5) / 6.0))
"""Where the octane number required is worked out across a range, as shares of it: Chebyshev's, for a polynomial through them."""

_OTHERS = np.array([np.delete(NODES, place) for place in range(NODES.size)])
_APART = NODES[:, None] - _OTHERS

HALVINGS = 52
"""As many as a double has digits: with fewer a limit near the low end of its range is seen to jump from step to step."""

RANGES: Mapping[str, tuple[float, float]] = {"compression_ratio": (5.0, 18.0), "boost": (0.0, 300e3)}
"""Where limits are looked for: [1], [Pa] above ambient."""


def knock_limit(
    state: CylinderState,
    name: str,
    best: CycleResult,
    numbers: Mapping[str, FloatArray],
    exhaust: Callable[[Mapping[str, FloatArray]], FloatArray],
) -> Band:
    """Compression or boost at which each octane number is used up at best-torque timing.

    name : of the field that is varied
    best : the states at best torque
    numbers : octane numbers [N] for each side of the band
    exhaust : pressure in the exhaust from the fields of a state [Pa]

    The logarithm of the octane number required is nearly straight in that of compression or manifold pressure. A polynomial through a few
    values across the range, with the timing held, is set right at the state's own value and, as best torque moves, at one near the limit;
    then it is solved by halving. Below the range: its low end; above: not known.

    >>> from borewright.physics.cycle.timing import find_timing
    >>> state = CylinderState(0.1, 0.09, 0.15, [9.0, 10.0], 300.0, octane=95.0)
    >>> sides = {side: np.full(2, number) for side, number in (("low", 92.0), ("value", 95.0), ("high", 98.0))}
    >>> best = find_timing(state).best
    >>> found = knock_limit(state, "compression_ratio", best, sides, lambda fields: fields["ambient_pressure"] + fields["boost"])
    >>> bool(found.low[0] < found.value[0] < found.high[0]), bool(abs(found.value[1] - found.value[0]) < 0.05)
    (True, True)
    """
    columns, size = spread(state)
    low, high = (np.log(_pressed(np.full(size, bound), name, columns)) for bound in RANGES[name])
    count = NODES.size

    def at(share: FloatArray, several: Mapping[str, FloatArray], low: FloatArray, high: FloatArray) -> CylinderState:
        """The states at shares of the range."""
        value = _from_pressed(np.exp(low + share * (high - low)), name, several)
        fields = {**several, name: value}
        return CylinderState(**{**fields, "exhaust_pressure": exhaust(fields)}, fuel=state.fuel)

    stacked = {each: np.repeat(column, count) for each, column in columns.items()}
    tries = at(np.tile(NODES, size), stacked, np.repeat(low, count), np.repeat(high, count))
    found = run_cycle(tries, np.repeat(best.half_burn, count), ROUGH)
    solved = found.solved.reshape(size, count).all(axis=1) & best.solved
    need = np.log(np.where(found.solved, found.octane_required, 1.0)).reshape(size, count)
    own = (np.log(np.where(solved, _pressed(columns[name], name, columns), np.exp(low))) - low) / (high - low)
    need = need + (np.log(np.where(best.solved, best.octane_required, 1.0)) - _through(need, own))[:, None]
    targets = {side: np.log(np.where(solved & (numbers[side] > 0.0), numbers[side], 100.0)) for side in SIDES}

    away = _halved(need, targets["value"]) - own
    other = np.clip(own + np.where(away < 0.0, -1.0, 1.0) * np.clip(np.abs(away), 0.05, 0.35), 0.0, 1.0)
    there = find_timing(at(other, columns, low, high)).best
    known, apart = solved & there.solved & (np.abs(other - own) > 1e-3), other - own
    late = np.log(np.where(known, there.octane_required, 1.0)) - _through(need, other)
    need = need + np.where(known, late / np.where(known, apart, 1.0), 0.0)[:, None] * (NODES - own[:, None])

    result = {}
    for side, target in targets.items():
        value = _from_pressed(np.exp(low + _halved(need, target) * (high - low)), name, columns)
        value = np.where(target <= _through(need, np.zeros(size)), RANGES[name][0], value)
        within = np.isfinite(numbers[side]) & (target < _through(need, np.ones(size)))
        result[side] = np.where(solved & within, value, np.nan)
    return Band(result["low"], result["value"], result["high"])


def _pressed(values: FloatArray, name: str, columns: Mapping[str, FloatArray]) -> FloatArray:
    """Boost as manifold over ambient pressure; compression as it is."""
    return np.asarray(1.0 + values / columns["ambient_pressure"]) if name == "boost" else values


def _from_pressed(values: FloatArray, name: str, columns: Mapping[str, FloatArray]) -> FloatArray:
    return np.asarray(np.maximum(values - 1.0, 0.0) * columns["ambient_pressure"]) if name == "boost" else values


def _through(values: FloatArray, share: FloatArray) -> FloatArray:
    """Lagrange's polynomial through values at the nodes [N, nodes], at shares of the range [N]."""
    basis = np.prod((share[:, None, None] - _OTHERS) / _APART, axis=-1)
    return np.asarray(np.sum(values * basis, axis=-1))


def _halved(values: FloatArray, target: FloatArray) -> FloatArray:
    """Share of the range at which the polynomial reaches a target, by halving."""
    low, high = np.zeros_like(target), np.ones_like(target)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        above = _through(values, middle) > target
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return 0.5 * (low + high)
