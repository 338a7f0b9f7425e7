"""The same engine over its range of speeds: how far it reaches, and how it fills, is boosted and held back at each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.combustion.bands import spread
from borewright.calculations.common.cylinder_state import Engine, exhaust_pressure, filling
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import table

NODES = 5
"""Speeds looked at from the lowest to the highest, evenly in their logarithm; with a torque curve also those halfway, and its own."""

HALFWAY = 1.0 / 3.0
"""How near a point of the torque curve lies to a speed halfway to stand in for it, as share of the way to the next node."""

LET_IN_FROM = 0.85
"""Share of the speed from which all of the nitrous oxide flows, at which it begins to: so that no octane number jumps with the speed."""


@dataclass(frozen=True)
class OverSpeed:
    """An engine whose speed may be changed.

    columns : fields of its states at the speed asked, each [N]
    low, high : the range [N] [rad/s]
    curve : speed, volumetric efficiency and boost of each point, each [1] or [N], as far as they are given
    """

    columns: Mapping[str, FloatArray]
    size: int
    low: FloatArray
    high: FloatArray
    engine: Engine
    boost: Mapping[str, Any]
    curve: Sequence[Mapping[str, FloatArray]]

    def nodes(self) -> FloatArray:
        """Speeds to look at closely, rising [N, NODES]."""
        shares = np.linspace(0.0, 1.0, NODES)
        return np.asarray(self.low[:, None] * (self.high / self.low)[:, None] ** shares)

    def between_nodes(self) -> tuple[FloatArray, int]:
        """Speeds to look at besides, in any order, nodes and one another among them [N, M], and how many of the first turn a corner."""
        points = [np.clip(np.broadcast_to(point["speed"], (self.size,)), self.low, self.high) for point in self.curve]
        if np.any(self.columns["nitrous_flow"] > 0.0):
            points += [np.clip(share * self._let_in(), self.low, self.high) for share in (LET_IN_FROM, 1.0)]
        found = np.column_stack(points) if points else np.empty((self.size, 0))
        if not self.curve:
            return found, found.shape[1]
        step = np.log(self.high / self.low)[:, None] / (NODES - 1)
        halfway = self.low[:, None] * np.exp(step * (np.arange(NODES - 1) + 0.5))
        apart = np.abs(np.log(found[:, None, :] / halfway[:, :, None]))
        near = np.argmin(apart, axis=2)
        there = np.take_along_axis(apart, near[:, :, None], axis=2)[:, :, 0] <= HALFWAY * 0.5 * step
        return np.column_stack([found, np.where(there, np.take_along_axis(found, near, axis=1), halfway)]), found.shape[1]

    def _let_in(self) -> FloatArray:
        """Speed from which all of the nitrous oxide flows [N] [rad/s]."""
        usual = np.pi * table("knock").row("speed_range_nitrous").si("lugging") / self.columns["stroke"]
        return np.asarray(np.minimum(usual, self.columns["speed"]))

    def at(self, rows: npt.NDArray[np.intp], speed: FloatArray) -> dict[str, FloatArray]:
        """Fields of some of the states at other speeds.

        rows : which states, as often as they have a speed [M]
        speed : [M] [rad/s]
        """
        found = {name: column[rows] for name, column in self.columns.items()}
        asked, piston = found["speed"], found["stroke"] / np.pi
        fuller = filling(piston * speed, self.engine.duty) / filling(piston * asked, self.engine.duty)
        if not self.engine.volumetric_efficiency_assumed:
            fuller = np.maximum(fuller, 1.0)  # what was measured at the speed asked is not taken to be less elsewhere
        found["volumetric_efficiency"] = found["volumetric_efficiency"] * fuller
        found["speed"] = speed
        if np.any(found["nitrous_flow"] > 0.0):
            share = speed / self._let_in()[rows]
            found["nitrous_flow"] = found["nitrous_flow"] * np.clip((share - LET_IN_FROM) / (1.0 - LET_IN_FROM), 0.0, 1.0)
        for name in ("volumetric_efficiency", "boost"):
            points = [point for point in self.curve if name in point]
            if points:
                found[name] = _along(points, name, rows, speed, self.size)
        found["exhaust_pressure"] = self.exhaust(found)
        return found

    def exhaust(self, fields: Mapping[str, FloatArray]) -> FloatArray:
        """Pressure in the exhaust at the speed and boost of the fields [Pa]."""
        return exhaust_pressure(fields["ambient_pressure"], fields["boost"], fields["stroke"] * fields["speed"] / np.pi, self.boost)


def _along(points: Sequence[Mapping[str, FloatArray]], name: str, rows: npt.NDArray[np.intp], speed: FloatArray, size: int) -> FloatArray:
    """Straight between the points of a curve, held beyond its ends."""
    x, y = (np.stack([np.broadcast_to(point[each], (size,)) for point in points]) for each in ("speed", name))
    order = np.argsort(x[:, 0], kind="stable")
    x, y = x[order][:, rows], y[order][:, rows]
    result: FloatArray = y[0].copy()
    for before in range(len(points) - 1):
        apart = np.maximum(x[before + 1] - x[before], 1e-9)
        share = np.clip((speed - x[before]) / apart, 0.0, 1.0)
        result = result + share * (y[before + 1] - y[before])
    return result


def filled(request: dict[str, Any]) -> dict[str, Any]:
    """The request with what its torque curve says of the filling at the speed asked, where it says nothing else of it.

    >>> point = {"speed": np.array([300.0]), "volumetric_efficiency": np.array([0.8])}
    >>> faster = {"speed": np.array([500.0]), "volumetric_efficiency": np.array([0.9])}
    >>> filled({"speed": np.array([400.0]), "torque_curve": [point, faster]})["volumetric_efficiency"].round(9).tolist()
    [0.85]
    """
    points = [point for point in request.get("torque_curve", ()) if "volumetric_efficiency" in point]
    if not points or "volumetric_efficiency" in request:
        return request
    size = max(request["speed"].size, *(point[name].size for point in points for name in ("speed", "volumetric_efficiency")))
    speed = np.broadcast_to(request["speed"], (size,))
    return {**request, "volumetric_efficiency": _along(points, "volumetric_efficiency", np.arange(size), speed, size)}


def over_speed(request: Mapping[str, Any], found: Engine, outcome: Outcome) -> OverSpeed:
    """The range of speeds of a request: as given, or from where an engine is pulled at full load to the speed asked.

    >>> from borewright.calculations.common.cylinder_state import engine
    >>> body = {"bore": 0.1, "stroke": 0.09, "compression_ratio": 10.0, "speed": 600.0}
    >>> request = {name: np.array([value]) for name, value in body.items()}
    >>> reach = over_speed(request, engine(request, Outcome({})), Outcome({}))
    >>> [round(float(end[0])) for end in (reach.low, reach.high)], reach.nodes().shape
    ([150, 600], (1, 5))
    """
    curve: Sequence[Mapping[str, FloatArray]] = request.get("torque_curve", ())
    columns, size = spread(found.state)
    given = request.get("speeds")
    toleranced = [*({} if given is None else given).values(), *(value for point in curve for value in point.values())]
    size = max(size, *(value.size for value in toleranced)) if toleranced else size
    columns = {name: np.broadcast_to(value, (size,)) for name, value in columns.items()}
    asked = columns["speed"]
    if given is not None:
        outcome.refuse_where(
            given["low"] > given["high"], "#/speeds/high", "this lies below the lowest speed: exchange them", Code.WRONG_ORDER
        )
        low, high = (np.broadcast_to(given[end], (size,)) for end in ("low", "high"))
        low = np.minimum(low, high)
    else:
        low, high = _lowest(request, found, columns, outcome), asked
        if curve:
            first = np.min(np.stack([np.broadcast_to(point["speed"], (size,)) for point in curve]), axis=0)
            low = np.minimum(first, asked)
        outcome.assumptions.append(Assumption("speeds.high", asked, "common practice", "common practice: the speed asked", "rotation"))
    return OverSpeed(
        columns, size, np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64), found, request.get("boost", {}), curve
    )


def _lowest(request: Mapping[str, Any], found: Engine, columns: Mapping[str, FloatArray], outcome: Outcome) -> FloatArray:
    """Where the engine begins to be pulled at full load [rad/s]."""
    rows = table("knock")
    row = rows.row("speed_range")
    if found.kind.aircraft:
        row = rows.row("speed_range_aircraft")
    elif found.duty["service"] == "race":
        row = rows.row("speed_range_race")
    piston = np.full(columns["speed"].shape, row.si("lugging"))
    source, basis = row.source, row.basis
    boost = request.get("boost", {})
    turbine = rows.row("speed_range_turbine")
    if boost and boost.get("drive", "exhaust") == "exhaust":
        share = np.clip(columns["boost"] / rows.row("boosted").si("whole"), 0.0, 1.0)
        piston = piston + share * np.maximum(turbine.si("lugging") - piston, 0.0)
        source = f"{source}; {turbine.source}"
    low = np.minimum(np.pi * piston / columns["stroke"], columns["speed"])
    outcome.assumptions.append(Assumption("speeds.low", low, basis, source, "rotation"))
    return low
