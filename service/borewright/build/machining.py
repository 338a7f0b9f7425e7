"""The parts as the machining of a build leaves them: what is milled off the heads and cut off the decks.

`head_mill` and `deck_cut` are amounts, done or planned; chamber volume, deck height and deck clearance are stated as they were before.
What plans machining, or says what it does, takes the parts as they were (`before_machining`); every other calculation those that are left.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from borewright.build.facts import fact_at
from borewright.build.state import Build, value_at
from borewright.calculations.common.levers import milled_volume
from borewright.quantities import KINDS, Reading, significant

CHAMBER = "levers.head_mill.chamber_area or levers.head_mill.volume_per_depth or levers.head_mill.profile"
EMPTIED = "a head_mill that leaves something of the chamber"
NOTHING = Reading(0.0)


def machined(build: Build, data: Mapping[str, Any]) -> Build:
    """The build after its machining; the same where none is stated.

    data : the build's values in SI, as they were loaded
    """
    cut, mill = data.get("deck_cut", NOTHING), data.get("head_mill", NOTHING)
    found = build
    if cut.high > 0.0:
        deck = fact_at("stack.deck_height")
        for place in (*(deck.places if deck else ()), "deck_clearance"):
            before = value_at(data, place)
            if before is not None and build.at(place) is not None:
                found = found.having(place, _written(_less(before, cut), "length"))
    if mill.high > 0.0 and build.at("chamber_volume") is not None:
        found = _milled(found, data, mill)
    return found


def _milled(build: Build, data: Mapping[str, Any], mill: Reading) -> Build:
    shape = value_at(data, "levers.head_mill") or {}
    if not {"chamber_area", "volume_per_depth", "profile"} & set(shape):
        return replace(build, withheld={**build.withheld, "chamber_volume": CHAMBER})
    chamber: Reading = data["chamber_volume"]
    lost = [_lost(shape, chamber, depth, end) for depth, end in ((mill.value, 0), (mill.low, -1), (mill.high, 1))]
    if lost[0] >= chamber.value:
        return replace(build, withheld={**build.withheld, "chamber_volume": EMPTIED})
    taken = Reading(lost[0], max(lost[0] - lost[1], 0.0), max(lost[2] - lost[0], 0.0))
    return build.having("chamber_volume", _written(_less(chamber, taken), "volume"))


def _lost(shape: Mapping[str, Any], chamber: Reading, depth: float, end: int) -> float:
    """What a depth takes from the chamber, with the shape at an end of its tolerances [m³]."""

    def array(given: Any) -> Any:
        if isinstance(given, Reading):
            return np.array([(given.low, given.value, given.high)[end + 1]])
        if isinstance(given, list):
            return [{name: np.array([inner.value]) for name, inner in pour.items()} for pour in given]
        return given

    return float(milled_volume({name: array(given) for name, given in shape.items()}, np.array([chamber.value]), np.array([depth]))[0])


def _less(size: Reading, taken: Reading) -> Reading:
    """A size less another; their tolerances add up."""
    return Reading(size.value - taken.value, size.below + taken.above, size.above + taken.below)


def _written(size: Reading, kind: str) -> dict[str, Any]:
    """A reading as a request has it."""
    unit = KINDS[kind].metric
    value, below, above = significant([size.value, size.below, size.above]) / KINDS[kind].units[unit].factor
    tolerance = {} if not (below or above) else {"tolerance": {"plus": float(above), "minus": float(below)}}
    return {"value": float(significant(value)[0]), "unit": unit, **tolerance}
