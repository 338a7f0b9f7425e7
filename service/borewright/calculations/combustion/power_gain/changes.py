"""From a build and what changes of it to the build after: one thing said once, and what it does to the compression."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.fields import Quantity, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Basis, Outcome
from borewright.calculations.common.burned_fuel import basis_of
from borewright.calculations.common.cylinder_state import VOLUME_FIELDS
from borewright.calculations.common.duty import DutyPart
from borewright.calculations.common.engine_state import BoostPart, FuelPart, NitrousPart
from borewright.physics.mechanism.volumes import circle_area
from borewright.practice.tables import table
from borewright.quantities import read_quantity

MERGED: Mapping[str, type[RequestPart] | None] = {
    "fuel": FuelPart,
    "duty": DutyPart,
    "boost": BoostPart,
    "nitrous": NitrousPart,
    "ambient": None,
    "stack": None,
    "moving": None,
}
"""Objects of which a change may state a part, with the part whose defaults fill what neither side says."""

INSTEAD = {
    "power": "mass_flow",
    "mass_flow": "power",
    "altitude": "pressure",
    "pressure": "altitude",
    "name": "blend",
    "blend": "name",
}
"""Of two fields that say the same, stating one leaves the other out."""

LEAST = {"boost": ("pressure",), "nitrous": ("power", "mass_flow")}


def merged(before: Mapping[str, Any], change: Mapping[str, Any], outcome: Outcome) -> dict[str, Any]:
    """The build after a change; what can't be reckoned is marked in the outcome.

    >>> old = {"compression_ratio": np.array([9.0]), "boost": {"pressure": np.array([1e4]), "drive": "crank"}}
    >>> found = merged(old, {"boost": {"pressure": np.array([2e4])}}, Outcome({}))
    >>> float(found["boost"]["pressure"][0]), found["boost"]["drive"], float(found["compression_ratio"][0])
    (20000.0, 'crank', 9.0)
    """
    found = {**before, **change}
    for name, part in MERGED.items():
        if name not in change:
            continue
        own = change[name]
        kept = {each: value for each, value in before.get(name, {}).items() if each not in {INSTEAD.get(one) for one in own}}
        found[name] = {**kept, **own}
        if name in LEAST and not any(each in found[name] for each in LEAST[name]):
            told = f"there is none before: state its {' or '.join(LEAST[name])}".replace("_", " ")
            outcome.refuse_where(True, f"#/after/{name}", told, Code.MISSING)
            found[name][LEAST[name][0]] = np.zeros(1)
        if name == "fuel":
            _same_rating(before.get(name, {}), own, outcome)
        if part is not None:
            _fill(found[name], name, part, outcome)
    if "deck_clearance" in change and "stack" not in change:
        found.pop("stack", None)
    if "stack" in change:
        found.pop("deck_clearance", None) if "deck_clearance" not in change else None
        found.pop("rod_length", None) if "rod_length" not in change and "rod_length" in change["stack"] else None
        lacking = [each for each in ("deck_height", "rod_length", "compression_height") if each not in found["stack"]]
        if lacking:
            told = f"there is no stack before to change: state its {', '.join(lacking)} as well".replace("_", " ")
            outcome.refuse_where(True, "#/after/stack", told, Code.MISSING)
            found.pop("stack")
            found["deck_clearance"] = np.zeros(1)
    elif "rod_length" in change and "stack" in found:
        found["stack"] = {**found["stack"], "rod_length": change["rod_length"]}
    return _compressed(before, change, found, outcome)


def _same_rating(before: Mapping[str, Any], change: Mapping[str, Any], outcome: Outcome) -> None:
    """Another fuel has another octane number: the one before does not count for it."""
    other = [each for each in ("name", "blend") if each in change and change[each] != before.get(each)]
    if other and "octane" in before and "octane" not in change:
        outcome.refuse_where(
            True, f"#/after/fuel/{other[0]}", "another fuel has another octane number: state its octane as well", Code.MISSING
        )


def _fill(given: dict[str, Any], name: str, part: type[RequestPart], outcome: Outcome) -> None:
    """What neither side says of an object, by its defaults."""
    for each, field in part().fields.items():
        assumed = getattr(field, "assumed", None)
        if each in given or assumed is None:
            continue
        kind = field.kind if isinstance(field, Quantity) else None
        given[each] = assumed.value if kind is None else np.array([read_quantity(assumed.value, kind).value])
        basis: Basis = "published" if assumed.basis == "published" else "common practice"
        outcome.assumptions.append(Assumption(f"after.{name}.{each}", given[each], basis, assumed.source, kind))


def _compressed(before: Mapping[str, Any], change: Mapping[str, Any], found: dict[str, Any], outcome: Outcome) -> dict[str, Any]:
    """What the change does to the compression: a ratio or volumes of its own, or metal taken off."""
    volumes = [name for name in VOLUME_FIELDS if name in change]
    if "compression_ratio" in change:
        for name in VOLUME_FIELDS:
            if name not in change:
                found.pop(name, None)
    elif volumes and "compression_ratio" in before:
        if {"chamber_volume", "gasket"} <= set(volumes) and {"deck_clearance", "stack"} & set(volumes):
            found.pop("compression_ratio")
        else:
            told = (
                "before the change only the compression ratio is known, so what this makes of it can't be reckoned: state "
                "chamber_volume, gasket and deck_clearance (or stack) before"
            )
            outcome.refuse_where(True, f"#/after/{volumes[0]}", told, Code.MISSING)
            for name in VOLUME_FIELDS:
                found.pop(name, None)
    return _machined(found, outcome)


def _machined(found: dict[str, Any], outcome: Outcome) -> dict[str, Any]:
    """The build with what came off its heads and decks."""
    milled, cut = found.pop("head_mill", None), found.pop("deck_cut", None)
    if milled is None and cut is None:
        return found
    where = "#/after/head_mill" if milled is not None else "#/after/deck_cut"
    if "bore" not in found or ("compression_ratio" in found and "stroke" not in found):
        outcome.refuse_where(
            True, where, "bore and stroke are needed to know what this takes off the volume above the piston: state them", Code.MISSING
        )
        return found
    area = circle_area(found["bore"])
    depth = np.zeros(1) if cut is None else cut
    lost = np.zeros(1) if milled is None else _chamber_lost(milled, area, outcome)
    if "compression_ratio" in found:
        swept = area * found["stroke"]
        left = swept / (found["compression_ratio"] - 1.0) - lost - area * depth
        left = outcome.possible(
            left, left <= swept / 39.0, where, "this takes off more than the volume above the piston holds: lower it, or check its unit"
        )
        found["compression_ratio"] = 1.0 + swept / left
        return found
    if milled is not None and "chamber_volume" in found:
        left = found["chamber_volume"] - lost
        found["chamber_volume"] = outcome.possible(
            left, left < 0.0, where, "this takes off more than the chamber holds: lower it, or check its unit"
        )
    if cut is not None and "stack" in found:
        found["stack"] = {**found["stack"], "deck_height": found["stack"]["deck_height"] - depth}
    elif cut is not None and "deck_clearance" in found:
        found["deck_clearance"] = found["deck_clearance"] - depth
    return found


def _chamber_lost(milled: Any, bore_area: Any, outcome: Outcome) -> Any:
    """Chamber volume that milling takes off [m³]."""
    if not isinstance(milled, Mapping):
        milled = {"depth": milled}
    area = milled.get("chamber_area")
    if area is None:
        row = table("power").row("chamber-area")
        area = row.si("share") * bore_area
        outcome.assumptions.append(Assumption("after.head_mill.chamber_area", area, basis_of(row), row.source, "area"))
    return milled["depth"] * area
