"""What each side of a change gives in the cylinder cycle, all of its variants solved together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from borewright.calculations.combustion.bands import available, known, spread
from borewright.calculations.common.burned_fuel import Octane
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.friction import barnes_moss_friction
from borewright.physics.cycle.state import RANGES, CylinderState
from borewright.physics.cycle.timing import find_timing
from borewright.practice.tables import table

BLOCK = 256
"""Rows whose cycles are solved at once: what they keep of their traces stays small. Results do not depend on it."""


@dataclass(frozen=True)
class CyclePower:
    """What a cylinder gives at the crank [N] [W]: at the timing its fuel allows and at best torque; NaN where it is not known.

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
    found: dict[int, CyclePower] = {}
    for fuel in {id(side.state.fuel): side.state.fuel for side in sides}.values():
        places = [place for place, side in enumerate(sides) if side.state.fuel is fuel]
        laid_out = [_variants(sides[place]) for place in places]
        names = laid_out[0][0]
        stacked = {name: np.concatenate([columns[name] for columns, _ in laid_out]) for name in names}
        solved = _solved(CylinderState(**stacked, fuel=fuel))
        first = 0
        for place, (columns, size) in zip(places, laid_out, strict=True):
            rows = slice(first, first + columns["bore"].size)
            found[place] = _read(*(one[rows] for one in solved), size=size)
            first = rows.stop
    return [found[place] for place in range(len(sides))]


def _variants(side: Side) -> tuple[dict[str, FloatArray], int]:
    """The nominal state, the fuel's ends and, where they are told, the filling's: one after the other."""
    columns, size = spread(side.state)
    lowest, highest, _ = RANGES["octane"]
    low, high = (np.clip(np.broadcast_to(end, (size,)), lowest, highest) for end in octane_ends(side.octane))
    count = 3 if side.filling is None else 5
    stacked = {name: np.tile(column, count) for name, column in columns.items()}
    stacked["octane"][size : 3 * size] = np.concatenate([low, high])
    if side.filling is not None:
        ends = [columns["volumetric_efficiency"] * factor for factor in side.filling]
        stacked["volumetric_efficiency"][3 * size :] = np.clip(np.concatenate(ends), *RANGES["volumetric_efficiency"][:2])
    return stacked, size


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


def _solved(state: CylinderState) -> tuple[Any, ...]:
    parts = list(_blocks(state))
    return tuple(np.concatenate([part[place] for part in parts]) for place in range(7))


def _blocks(state: CylinderState) -> Iterator[tuple[NDArray[Any], ...]]:
    columns, size = spread(state)
    for first in range(0, size, BLOCK):
        block = {name: column[first : first + BLOCK] for name, column in columns.items()}
        timed = find_timing(CylinderState(**block, fuel=state.fuel))
        allowed, best = (
            np.where(cycle.brake_power > 0.0, known(cycle.brake_power, solved), np.nan)
            for cycle, solved in ((timed.allowed, timed.solved), (timed.best, timed.best.solved))
        )
        swept = 0.25 * np.pi * block["bore"] ** 2 * block["stroke"]
        rubbing = timed.best.fmep * swept * block["speed"] / (4.0 * np.pi)
        older = barnes_moss_friction(block["speed"]) / np.where(timed.best.solved, timed.best.fmep, 1e5)
        # where no timing is quiet, the retard needed is more than the latest that was tried
        late = np.where(timed.solved, timed.retard, timed.allowed.half_burn - timed.best.half_burn)
        yield allowed, rubbing, older, best, known(late, timed.best.solved), timed.knock_limited, timed.reason


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
