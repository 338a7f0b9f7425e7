"""Readings of worn cylinders: how they are written, and how they lie in arrays."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.fields import Label, Many, Part, Quantity, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Measured, Outcome
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.fits.gauging import spread_bounds
from borewright.physics.fits.wear import largest, out_of_round, taper

MOST_DIRECTIONS = 18
NEAR = 0.05  # of the nominal bore: no cylinder wears further than this
STATES = 3  # nominal, all low, all high


class DirectionPart(RequestPart):
    """A diameter in another direction than along or across the crankshaft."""

    angle = Quantity("angle", "0 deg", "180 deg", "direction, from the thrust direction", required=True)
    diameter = Quantity("length", "5 mm", "500 mm", "diameter read", required=True)


class LevelReadingPart(RequestPart):
    """What the bore gauge says at one level of one cylinder."""

    cylinder = Label(1, 24, "number of the cylinder", required=True)
    depth = Quantity("length", "0 mm", "600 mm", "level, below the deck", required=True)
    thrust = Quantity("length", "5 mm", "500 mm", "diameter across the crankshaft", required=True)
    axial = Quantity("length", "5 mm", "500 mm", "diameter along the crankshaft", required=True)
    others = Many(Part(DirectionPart, "one direction"), "diameters in further directions", longest=16)


@dataclass(frozen=True)
class Figures:
    """Results of every cylinder [m]: values, bounds and expanded uncertainties, each of shape (cylinders,)."""

    value: FloatArray
    low: FloatArray
    high: FloatArray
    uncertainty: FloatArray

    def measured(self, index: int, *, toleranced: bool) -> Measured:
        """One cylinder's result; without bounds where nothing had a tolerance."""
        if not toleranced:
            return Measured(float(self.value[index]))
        return Measured(float(self.value[index]), float(self.low[index]), float(self.high[index]), float(self.uncertainty[index]))

    def states(self, index: int) -> FloatArray:
        """Nominal, lowest and highest of one cylinder."""
        return np.array([self.value[index], self.low[index], self.high[index]])


@dataclass(frozen=True)
class Wear:
    """The cylinders as read: out-of-round, taper, largest and smallest diameter, in the order of their numbers.

    smallest : array (3, cylinders) [m], nominal, low and high
    """

    cylinders: list[int]
    out_of_round: Figures
    taper: Figures
    largest: Figures
    smallest: FloatArray
    spread: Figures


def expanded(*half_widths: npt.ArrayLike) -> FloatArray:
    """Expanded uncertainty of a sum of rectangular half-widths, 2·√(Σa²/3): JCGM 100:2008, 4.3.7, 5.1.2 and 6.2.1.

    >>> round(float(expanded(3.0, 4.0)), 6)
    5.773503
    """
    return np.asarray(2.0 * np.sqrt(sum(np.asarray(a, dtype=np.float64) ** 2 for a in half_widths) / 3.0))


def wear(request: Mapping[str, Any], outcome: Outcome, stated: Mapping[int, tuple[str, FloatArray]] = MappingProxyType({})) -> Wear | None:
    """Lay the readings out and judge them; None where they can't be used, which the outcome then says.

    request : the arrays of a bore-cleanup request, each [nominal, low, high]
    stated : sizes that single cylinders were last bored to
    """
    rows = request["readings"]
    cylinders = sorted({row["cylinder"] for row in rows})
    directions = sorted({_angle(other) for row in rows for other in row.get("others", [])})
    if len(directions) > MOST_DIRECTIONS - 2:
        outcome.refuse_where(
            True,
            "#/readings",
            f"at most {MOST_DIRECTIONS} directions can be told apart: read each level in the same ones",
            Code.WRONG_LENGTH,
        )
        return None
    levels: dict[int, list[float]] = {cylinder: [] for cylinder in cylinders}
    for index, row in enumerate(rows):
        bored = stated[row["cylinder"]][1] if row["cylinder"] in stated else request["nominal_bore"]
        _check_row(index, row, bored, levels[row["cylinder"]], outcome)
        levels[row["cylinder"]].append(_depth(row))
    for cylinder, depths in levels.items():
        outcome.refuse_where(
            len(depths) < 2, "#/readings", f"cylinder {cylinder} was read at one level: read it at two or more", Code.WRONG_LENGTH
        )
    if outcome.impossible:
        return None
    shape = (len(cylinders), max(len(depths) for depths in levels.values()), 2 + len(directions))
    readings, taken = np.ones((STATES, *shape)), np.zeros(shape, dtype=np.bool_)
    for row in rows:
        place = cylinders.index(row["cylinder"]), sorted(levels[row["cylinder"]]).index(_depth(row))
        columns = [(0, row["thrust"]), (1, row["axial"])]
        columns += [(2 + directions.index(_angle(other)), other["diameter"]) for other in row.get("others", [])]
        for column, diameter in columns:
            readings[(slice(None), *place, column)] = diameter
            taken[(*place, column)] = True
    return _figures(cylinders, readings, taken)


def _check_row(index: int, row: Mapping[str, Any], nominal: FloatArray, before: list[float], outcome: Outcome) -> None:
    outcome.refuse_where(
        _depth(row) in before,
        f"#/readings/{index}/depth",
        f"cylinder {row['cylinder']} has this level twice: give each once",
        Code.GIVEN_TWICE,
    )
    found = [("thrust", row["thrust"]), ("axial", row["axial"])]
    seen: list[float] = []
    for number, other in enumerate(row.get("others", [])):
        found.append((f"others/{number}/diameter", other["diameter"]))
        where = f"#/readings/{index}/others/{number}/angle"
        outcome.refuse_where(_angle(other) in seen, where, "this direction is given twice: give each once", Code.GIVEN_TWICE)
        seen.append(_angle(other))
    for name, diameter in found:
        far = abs(diameter[0] - nominal[0]) > NEAR * nominal[0]
        outcome.refuse_where(
            far,
            f"#/readings/{index}/{name}",
            "this is more than 5 % off the bore named: no wear goes that far, read it again",
            Code.IMPOSSIBLE,
        )


def place_of(readings: list[Mapping[str, Any]], cylinder: int, pick: Callable[..., tuple[str, FloatArray]]) -> tuple[str, FloatArray]:
    """Where a cylinder's largest or smallest diameter stands in the request, and the diameter.

    pick : max or min

    >>> place_of([{"cylinder": 1, "thrust": np.full(3, 0.1), "axial": np.full(3, 0.2)}], 1, max)[0]
    '#/readings/0/axial'
    """
    every: list[tuple[str, FloatArray]] = []
    for row, reading in enumerate(readings):
        if reading["cylinder"] == cylinder:
            every += [(f"#/readings/{row}/{name}", reading[name]) for name in ("thrust", "axial")]
            every += [
                (f"#/readings/{row}/others/{place}/diameter", other["diameter"]) for place, other in enumerate(reading.get("others", []))
            ]
    return pick(every, key=lambda each: float(each[1][0]))


def _angle(other: Mapping[str, Any]) -> float:
    return round(float(other["angle"][0]), 9)


def _depth(row: Mapping[str, Any]) -> float:
    return round(float(row["depth"][0]), 9)


def _figures(cylinders: list[int], readings: FloatArray, taken: BoolArray) -> Wear:
    value, low, high = readings
    whole = (len(cylinders), -1)
    upright = (value.swapaxes(-1, -2), low.swapaxes(-1, -2), high.swapaxes(-1, -2))
    flat_taken = taken.reshape(whole)
    flat = (value.reshape(whole), low.reshape(whole), high.reshape(whole))
    biggest = np.where(flat_taken, flat[0], -np.inf).argmax(axis=-1)
    half_width = np.take_along_axis((flat[2] - flat[1]) / 2.0, biggest[:, None], axis=-1)[:, 0]
    return Wear(
        cylinders=cylinders,
        out_of_round=_spread(out_of_round(value, taken), value, low, high, taken),
        taper=_spread(taper(value, taken), *upright, taken.swapaxes(-1, -2)),
        largest=Figures(largest(value, taken), largest(low, taken), largest(high, taken), expanded(half_width)),
        smallest=np.stack([np.where(flat_taken, state, np.inf).min(axis=-1) for state in flat]),
        spread=_spread(
            np.where(flat_taken, flat[0], -np.inf).max(axis=-1) - np.where(flat_taken, flat[0], np.inf).min(axis=-1),
            flat[0][:, None],
            flat[1][:, None],
            flat[2][:, None],
            flat_taken[:, None],
        ),
    )


def _spread(found: FloatArray, value: FloatArray, low: FloatArray, high: FloatArray, taken: BoolArray) -> Figures:
    """Bounds over the lines of readings (..., lines, readings), and the uncertainty of the line that is the worst."""
    least, most = spread_bounds(low, high, taken)
    top = np.where(taken, value, -np.inf)
    bottom = np.where(taken, value, np.inf)
    spreads = np.where(taken.any(axis=-1), top.max(axis=-1) - bottom.min(axis=-1), -np.inf)
    worst = spreads.argmax(axis=-1)
    half_width = (high - low) / 2.0

    def of_worst(place: npt.NDArray[np.intp]) -> FloatArray:
        widths = np.take_along_axis(half_width, place[..., None], axis=-1)[..., 0]
        return np.asarray(np.take_along_axis(widths, worst[:, None], axis=-1)[:, 0])

    return Figures(found, least.max(axis=-1), most.max(axis=-1), expanded(of_worst(top.argmax(axis=-1)), of_worst(bottom.argmin(axis=-1))))
