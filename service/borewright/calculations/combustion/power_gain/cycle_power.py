"""What each side of a change gives in the cylinder cycle, all of its variants solved together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from borewright.calculations.combustion.bands import available, known, spread
from borewright.calculations.common.burned_fuel import Octane
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.end_gas import octane_resistance
from borewright.physics.cycle.friction import barnes_moss_friction
from borewright.physics.cycle.state import RANGES, CylinderState, StateColumns, state_columns
from borewright.physics.cycle.timing import TimedCycle, Trials, settle, try_timings
from borewright.physics.gas.fuel import Fuel
from borewright.practice.tables import table

BLOCK = 256
"""Rows whose cycles are solved at once: what they keep of their traces stays small. Results do not depend on it."""


@dataclass(frozen=True)
class CyclePower:
    """What a cylinder gives at the crank [N] [W]: at the timing its fuel allows and at MBT timing; NaN where it is not known.

    poor, good : with the fuel's octane number at the low and the high end of what it may be
    held, freed : with the filling at the low and the high end of what it may be
    smooth, rough : with friction at the low and the high end of what it may be
    """

    poor: FloatArray
    allowed: FloatArray
    good: FloatArray
    held: FloatArray
    freed: FloatArray
    smooth: FloatArray
    rough: FloatArray
    best: FloatArray
    retard: FloatArray
    knock_limited: BoolArray
    reason: Sequence[str]


@dataclass(frozen=True)
class Side:
    """An engine whose power is asked, with its fuel and the filling at the ends of what it may be over the nominal one [1]."""

    state: CylinderState
    octane: Octane
    filling: tuple[FloatArray, FloatArray] | None = None


def octane_ends(octane: Octane) -> tuple[FloatArray, FloatArray]:
    """A fuel's octane number at its low and high end, the scatter of the ignition delay included.

    >>> low, high = octane_ends(Octane(np.array([100.0]), {"sensitivity": (np.array([96.0]), np.array([104.0]))}))
    >>> round(float(low[0]), 6), round(float(high[0]), 6)
    (95.0, 105.0)
    """
    row = table("cycle").row("ignition_delay")
    ends = {**octane.bounds, "ignition_delay": (octane.value * row.si("factor_low"), octane.value * row.si("factor_high"))}
    found = available(Octane(octane.value, ends))
    return found.low, found.high


def cycle_powers(*sides: Side) -> list[CyclePower]:
    """Brake power of each side, the variants of all sides that burn the same fuel in one go, block by block.

    >>> fuel = Octane(np.array([91.0]), {})
    >>> (found,) = cycle_powers(Side(CylinderState(0.1, 0.09, 0.15, [9.0, 13.0], 300.0, octane=91.0), fuel))
    >>> found.knock_limited.tolist(), bool(found.poor[1] < found.allowed[1] < found.good[1] <= found.best[1])
    ([False, True], True)
    """
    parts: list[list[CyclePower]] = [[] for _ in sides]
    for fuel in {id(side.state.fuel): side.state.fuel for side in sides}.values():
        places = [place for place, side in enumerate(sides) if side.state.fuel is fuel]
        laid_out = {place: _laid_out(sides[place]) for place in places}
        for first in range(0, max(one.size for one in laid_out.values()), BLOCK):
            blocks = {place: one.take(slice(first, first + BLOCK)) for place, one in laid_out.items() if first < one.size}
            for place, found in zip(blocks, _powers(list(blocks.values()), fuel), strict=True):
                parts[place].append(found)
    return [one[0] if len(one) == 1 else _joined(one) for one in parts]


def _joined(parts: Sequence[CyclePower]) -> CyclePower:
    names = [one.name for one in fields(CyclePower)]
    joined = {name: np.concatenate([getattr(part, name) for part in parts]) for name in names if name != "reason"}
    return CyclePower(**joined, reason=[each for part in parts for each in part.reason])


@dataclass(frozen=True)
class _Rows:
    """The rows of a side, with what varies of each [N]: octane number low and high, filling low and high over the nominal one."""

    columns: Mapping[str, FloatArray]
    octane: tuple[FloatArray, FloatArray]
    filling: tuple[FloatArray, ...]

    @property
    def size(self) -> int:
        return int(self.columns["bore"].size)

    def take(self, rows: slice) -> _Rows:
        low, high = (one[rows] for one in self.octane)
        return _Rows({name: column[rows] for name, column in self.columns.items()}, (low, high), tuple(one[rows] for one in self.filling))

    def charges(self) -> Iterator[dict[str, FloatArray]]:
        """The charges that differ: nominal, and filled less and more."""
        yield dict(self.columns)
        for factor in self.filling:
            filled = np.clip(self.columns["volumetric_efficiency"] * factor, *RANGES["volumetric_efficiency"][:2])
            yield {**self.columns, "volumetric_efficiency": filled}


def _laid_out(side: Side) -> _Rows:
    columns, size = spread(side.state)
    lowest, highest, _ = RANGES["octane"]
    low, high = (np.clip(np.broadcast_to(end, (size,)), lowest, highest) for end in octane_ends(side.octane))
    filling = () if side.filling is None else tuple(np.broadcast_to(end, (size,)) for end in side.filling)
    return _Rows(columns, (low, high), filling)


def _powers(blocks: Sequence[_Rows], fuel: Fuel) -> list[CyclePower]:
    """The trials of each charge serve every octane number: it only scales the knock integral."""
    charges = [charge for block in blocks for charge in block.charges()]
    columns = state_columns(CylinderState(**_stacked(charges), fuel=fuel))
    tried = try_timings(columns)
    starts = np.cumsum([0, *(charge["bore"].size for charge in charges)])
    near, octane, sizes, place = [], [], [], 0
    for block in blocks:
        own = [np.arange(starts[place + each], starts[place + each + 1]) for each in range(1 + len(block.filling))]
        near += [own[0], own[0], own[0], *own[1:]]
        octane += [block.columns["octane"], *block.octane, *(block.columns["octane"] for _ in block.filling)]
        sizes.append((3 + len(block.filling)) * block.size)
        place += len(own)
    row, number = np.concatenate(near), np.concatenate(octane)
    scaled = tried.log_integral[row] + np.log(octane_resistance(columns["octane"][row]) / octane_resistance(number))[:, None]
    varied = columns.take(row)
    varied.values["octane"] = number
    timed = settle(varied, Trials(tried.cycles, tried.work[row], scaled, tried.log_peak[row], row))
    ends = np.cumsum([0, *sizes])
    solved = _solved(timed, varied)
    return [_read(*(one[ends[k] : ends[k + 1]] for one in solved), size=block.size) for k, block in enumerate(blocks)]


def _stacked(charges: Sequence[Mapping[str, FloatArray]]) -> dict[str, FloatArray]:
    return {name: np.concatenate([charge[name] for charge in charges]) for name in charges[0]}


def _solved(timed: TimedCycle, columns: StateColumns) -> tuple[Any, ...]:
    """Power allowed, power that rubs, the older friction over it, power at MBT timing, retard, whether knock limits, and why not."""
    allowed, best = (
        np.where(cycle.brake_power > 0.0, known(cycle.brake_power, solved), np.nan)
        for cycle, solved in ((timed.allowed, timed.solved), (timed.best, timed.best.solved))
    )
    swept = 0.25 * np.pi * columns["bore"] ** 2 * columns["stroke"]
    rubbing = timed.best.fmep * swept * columns["speed"] / (4.0 * np.pi)
    older = barnes_moss_friction(columns["speed"]) / np.where(timed.best.solved, timed.best.fmep, 1e5)
    # where no timing is quiet, the retard needed is more than the latest that was tried
    late = np.where(timed.solved, timed.retard, timed.allowed.half_burn - timed.best.half_burn)
    return allowed, rubbing, older, best, known(late, timed.best.solved), timed.knock_limited, timed.reason


def _read(
    allowed: FloatArray,
    rubbing: FloatArray,
    older: FloatArray,
    best: FloatArray,
    retard: FloatArray,
    limited: BoolArray,
    reason: NDArray[np.str_],
    *,
    size: int,
) -> CyclePower:
    row, nominal = table("cycle").row("friction"), slice(0, size)
    low, high = row.si("factor_low"), np.clip(older[nominal], 1.0, row.si("factor_high"))
    parts = [allowed[place : place + size] for place in range(0, allowed.size, size)]
    return CyclePower(
        allowed=parts[0],
        poor=parts[1],
        good=parts[2],
        held=parts[3] if len(parts) > 3 else parts[0],
        freed=parts[4] if len(parts) > 3 else parts[0],
        smooth=parts[0] + (1.0 - low) * rubbing[nominal],
        rough=parts[0] - (high - 1.0) * rubbing[nominal],
        best=best[nominal],
        retard=retard[nominal],
        knock_limited=limited[nominal],
        reason=reason[nominal].tolist(),
    )


def ratio_ends(before: CyclePower, after: CyclePower) -> Mapping[str, tuple[FloatArray, FloatArray]]:
    """Power after over before at both ends of each input that is not known, the same end on both sides.

    >>> fuel = Octane(np.array([91.0]), {})
    >>> less, more = cycle_powers(*(Side(CylinderState(0.1, 0.09, 0.15, ratio, 400.0, octane=91.0), fuel) for ratio in (9.0, 10.0)))
    >>> found = ratio_ends(less, more)
    >>> bool(found["friction"][0][0] < more.allowed[0] / less.allowed[0] < found["friction"][1][0])
    True
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return {
            "fuel": (after.poor / before.poor, after.good / before.good),
            "breathing": (after.held / before.held, after.freed / before.freed),
            "friction": (after.smooth / before.smooth, np.where(before.rough > 0.0, after.rough / before.rough, np.nan)),
        }
