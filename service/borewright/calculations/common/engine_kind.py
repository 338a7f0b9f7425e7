"""What kind of engine knock is asked about: how it is fed, cooled and boosted, and what is usual in that kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import Row, table

INJECTIONS = ("port", "direct", "carburetor")
COOLINGS = ("liquid", "air")
ALCOHOL = 0.5
"""Share of alcohol by volume from which an engine counts as one for alcohol."""


@dataclass(frozen=True)
class EngineKind:
    """A kind of engine.

    weight : K of the octane index with its ends; retard : the most that is normal in this kind [rad], each [1] or [N]
    cooling : row of the walls
    """

    injection: str
    aircraft: bool
    weight: FloatArray
    weight_low: FloatArray
    weight_high: FloatArray
    weight_source: str
    retard: FloatArray
    retard_source: str
    cooling: Row


def engine_kind(request: Mapping[str, Any], duty: Mapping[str, Any], alcohol: float, outcome: Outcome) -> EngineKind:
    """The kind of engine that a request describes.

    alcohol : share of alcohol in the fuel by volume

    >>> found = engine_kind({"injection": "direct"}, {"service": "street"}, 0.0, Outcome({}))
    >>> float(found.weight[0]), round(float(np.degrees(found.retard[0])))
    (-0.2, 12)
    """
    rows = table("knock")
    injection, cooling = (_said(request, outcome, name, usual) for name, usual in (("injection", "port"), ("cooling", "liquid")))
    octane: Mapping[str, Any] = request.get("fuel", {}).get("octane", {})
    aircraft = cooling == "air" and octane.get("scale") == "mon"
    boost = np.asarray(request.get("boost", {}).get("pressure", np.zeros(1)))
    boosted = np.clip(boost / rows.row("boosted").si("whole"), 0.0, 1.0)  # in between by how much, so that nothing jumps
    plain, pressed = rows.row(injection), rows.row("direct_boosted" if injection == "direct" else "port_boosted")
    sources = [plain.source, *([pressed.source] if boosted.any() else [])]
    weights = {}
    for column in ("weight", "weight_low", "weight_high"):
        own = plain.si(column)
        other = own if injection == "carburetor" else pressed.si(column)
        weights[column] = own + boosted * (other - own)
    retard = plain.si("retard") + boosted * (pressed.si("retard") - plain.si("retard"))
    told = "; ".join(sources)
    weight_told = told
    if duty["service"] == "race":
        race, pressed = rows.row("race"), rows.row("race_boosted")
        retard = race.si("retard") + boosted * (pressed.si("retard") - race.si("retard"))
        told = "; ".join([race.source, *([pressed.source] if boosted.any() else [])])
    elif alcohol >= ALCOHOL:
        retard, told = np.full(1, rows.row("alcohol").si("retard")), rows.row("alcohol").source
    if aircraft:
        row = rows.row("aircraft")
        weights = {column: np.array([row.si(column)]) for column in weights}
        retard, told, weight_told = np.array([row.si("retard")]), row.source, row.source
    return EngineKind(
        injection,
        aircraft,
        **weights,
        weight_source=weight_told,
        retard=np.asarray(retard),
        retard_source=told,
        cooling=rows.row(cooling),
    )


def _said(request: Mapping[str, Any], outcome: Outcome, name: str, usual: str) -> str:
    if name in request:
        return str(request[name])
    outcome.assumptions.append(Assumption(name, usual, "common practice", "common practice: the usual case where nothing is said"))
    return usual
