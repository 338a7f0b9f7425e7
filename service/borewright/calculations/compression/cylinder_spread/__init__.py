"""Cylinder by cylinder: chamber, deck, squish, gaps, weight and compression, how far they lie apart, and what evens them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Check, Impossibility, Outcome
from borewright.calculations.common.geometry import Geometry, gasket_bore_check, geometry, squish_check
from borewright.calculations.common.own_limits import limited_check, refuse_crossed
from borewright.calculations.compression.cylinder_spread.answer import CylinderSpreadAnswer
from borewright.calculations.compression.cylinder_spread.exchange import exchanges
from borewright.calculations.compression.cylinder_spread.request import CylinderSpreadRequest
from borewright.calculations.compression.cylinder_spread.spread import Spread, worst
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.volumes import circle_area, clearance_for_ratio
from borewright.practice.tables import table

MEASURED = ("piston", "top_gap", "second_gap")
SIZES = ("bore", "chamber_volume", "deck_clearance", "crown")
LACKING = "state it here, or once for all cylinders"
REASONS = {
    "ratio": "uneven cylinders knock one before the other: open the chambers of the high ones, or even the decks first",
    "chamber": "chambers that differ make the ratio differ: open the small ones to the largest",
    "deck": "pistons that stand unevenly make ratio and squish differ: cut the deck true, or exchange pistons and rods as exchange says",
    "piston": "like parts must match before the crank is balanced: bring the heavier down to the lightest, on the pads made for it",
}


def compute(request: dict[str, Any]) -> Outcome:
    """Every cylinder by the arithmetic of compression; what brings each to the lowest ratio is V_s/(r_low − 1) − V_c."""
    outcome = Outcome({})
    limits = request.get("limits", {})
    if "squish" in limits:
        refuse_crossed({"squish": limits["squish"]}, outcome)
    listed: Sequence[Mapping[str, Any]] = request["by_cylinder"]
    found = _geometries(request, listed, outcome)
    if found is None:
        return outcome
    labels = [entry["cylinder"] for entry in listed]

    def spread(values: Sequence[FloatArray]) -> Spread:
        return Spread.of(labels, values)

    swept, clearance = spread([each.swept for each in found]).values, spread([each.clearance for each in found]).values
    ratio = spread(list(1.0 + swept / clearance))
    chamber = spread([each.parts["chamber"] for each in found])
    deck = spread([each.deck_clearance for each in found])
    known: dict[str, Spread | None] = {}
    for name in MEASURED:
        having = [(entry["cylinder"], entry[name]) for entry in listed if name in entry]
        known[name] = Spread.of(*zip(*having, strict=True)) if len(having) > 1 else None
    opened = clearance_for_ratio(swept, ratio.lowest) - clearance
    cut = np.maximum(deck.values - deck.lowest, 0.0)
    pistons = known["piston"]
    outcome.values = {
        "cylinders": [
            {
                "cylinder": entry["cylinder"],
                "compression_ratio": ratio.values[row],
                "chamber_volume": chamber.values[row],
                "deck_clearance": deck.values[row],
                "squish": each.squish,
                "clearance_volume": clearance[row],
                **{name: entry.get(name) for name in MEASURED},
                "open_chamber": np.maximum(opened[row], 0.0),
                "deck_cut": cut[row],
                "take_off": np.maximum(entry["piston"] - pistons.lowest, 0.0) if pistons is not None and "piston" in entry else None,
            }
            for row, (entry, each) in enumerate(zip(listed, found, strict=True))
        ],
        "ratio": ratio.answer(),
        "chamber": chamber.answer(),
        "deck": deck.answer(),
        **{name: None if each is None else each.answer() for name, each in known.items()},
        "exchange": exchanges(listed, found, labels),
        "left": _left(found, swept, clearance, spread),
    }
    outcome.checks = _checks(request, {"ratio": ratio, "chamber": chamber, "deck": deck, "piston": pistons}, found, limits)
    if len(listed) < int(request["cylinders"][0]):
        outcome.cautions.append("cylinders-left-out")
    return outcome


def _geometries(request: Mapping[str, Any], listed: Sequence[Mapping[str, Any]], outcome: Outcome) -> list[Geometry] | None:
    """The volumes of every cylinder; None where one lacks a size. What can't be is blamed on the cylinder that states it."""
    found: list[Geometry] = []
    seen: set[int] = set()
    whole = True
    for index, entry in enumerate(listed):
        within = f"#/by_cylinder/{index}"
        number = entry["cylinder"]
        outcome.refuse_where(number in seen, f"{within}/cylinder", "this cylinder stands here twice: give each once", Code.GIVEN_TWICE)
        outcome.refuse_where(
            number > request["cylinders"],
            f"{within}/cylinder",
            "the engine has fewer cylinders than this number: number them from 1",
            Code.IMPOSSIBLE,
        )
        seen.add(number)
        own = {name: entry[name] for name in SIZES if name in entry}
        build = {**request, **own}
        rod = {"rod_length": entry["rod_length"]} if "rod_length" in entry else {}
        if "deck_clearance" in build and "stack" in build:  # measured goes before calculated
            build["rod_length"] = build.pop("stack")["rod_length"]
        elif "stack" in build:
            height = {"compression_height": entry["compression_height"]} if "compression_height" in entry else {}
            build["stack"] = {**build["stack"], **height, **rod}
        if "rod_length" in build:
            build |= rod
        lacking = [name for name, is_there in _needed(build).items() if not is_there]
        for name in lacking:
            outcome.refuse_where(True, f"{within}/{name}", f"this is missing: {LACKING}", Code.MISSING)
        if lacking:
            whole = False
            continue
        inner = Outcome({})
        found.append(geometry(build, inner))
        outcome.assumptions.extend(each for each in inner.assumptions if each.name not in {held.name for held in outcome.assumptions})
        outcome.impossible.extend(_blamed(each, within, own) for each in inner.impossible)
    return found if whole else None


def _needed(build: Mapping[str, Any]) -> dict[str, bool]:
    return {"chamber_volume": "chamber_volume" in build, "deck_clearance": "deck_clearance" in build or "stack" in build}


def _blamed(found: Impossibility, within: str, own: Mapping[str, Any]) -> Impossibility:
    first = found.pointer.split("/")[1]
    return replace(found, pointer=within + found.pointer[1:]) if first in own else found


def _left(found: Sequence[Geometry], swept: FloatArray, clearance: FloatArray, spread: Any) -> dict[str, FloatArray]:
    """What the spread of the ratio comes down to where one thing is made alike."""
    area = np.stack(np.broadcast_arrays(*(circle_area(each.bore) for each in found)))
    deck = spread([each.deck_clearance for each in found]).values
    work = {
        "chambers": _most(spread([each.parts["chamber"] for each in found]).values),
        "crowns": _most(spread([each.parts["crown"] for each in found]).values),
        "decks": area * (deck.min(axis=0) - deck),
    }
    work["all"] = np.asarray(work["chambers"] + work["crowns"] + work["decks"])
    ratios = {name: 1.0 + swept / np.where(clearance + added > 0.0, clearance + added, np.nan) for name, added in work.items()}
    return {name: spread(list(ratio)).spread for name, ratio in ratios.items()}


def _most(volumes: FloatArray) -> FloatArray:
    """What is added to each for the volume of the largest."""
    return np.asarray(volumes.max(axis=0) - volumes)


def _checks(
    request: Mapping[str, Any], spreads: Mapping[str, Spread | None], found: Sequence[Geometry], limits: Mapping[str, Any]
) -> list[Check]:
    practice = table("cylinder_spread")
    made: list[Check] = []
    for name, check, kind, own, row in (
        ("ratio", "compression-spread", "ratio", "ratio_spread", practice.row("compression_ratio")),
        ("chamber", "chamber-spread", "volume", "chamber_spread", practice.row("chamber_volume")),
        ("deck", "deck-spread", "length", "deck_spread", practice.row("deck_clearance")),
        ("piston", "piston-spread", "mass", "piston_spread", table("balance").row("mass_spread")),
    ):
        spread = spreads[name]
        if spread is None:
            continue  # who weighs none asks for no weights
        columns = {"ratio": "ratio_", "volume": "volume_", "length": "length_", "mass": "spread_"}[kind]
        made.append(limited_check(check, kind, spread.spread, limits.get(own), row, REASONS[name], columns=columns, soft=True))
    return [
        *made,
        _squish(found, request["gasket"].get("thickness"), limits.get("squish"), request.get("duty")),
        gasket_bore_check(_widest(found), request["gasket"]),
    ]


def _squish(
    found: Sequence[Geometry], thickness: FloatArray | None, limits: Mapping[str, Any] | None, duty: Mapping[str, Any] | None
) -> Check:
    """The squish that is nearest to a limit or furthest beyond one, of the tightest and the widest."""
    decks = Spread.of(range(len(found)), [each.deck_clearance for each in found])
    tight, wide = (squish_check(end, thickness, limits, duty) for end in (decks.lowest, decks.highest))
    return tight if tight.value is None or worst(tight.margin()) <= worst(wide.margin()) else wide


def _widest(found: Sequence[Geometry]) -> FloatArray:
    return np.asarray(np.stack(np.broadcast_arrays(*(each.bore for each in found))).max(axis=0))


CALCULATION = Calculation(
    name="cylinder-spread",
    title="Cylinder spread",
    question="How alike are the cylinders, and what evens them?",
    text=(
        "Chamber, deck clearance, squish, ring gaps, piston weight and compression cylinder by cylinder in one answer: how far they lie "
        "apart, what to open, cut or take off each to even them, how much of the spread each piece of work leaves, and which piston or rod "
        "goes into which cylinder so that least is left before any metal is cut."
    ),
    request=CylinderSpreadRequest,
    answer=CylinderSpreadAnswer,
    compute=compute,
    headline=("ratio.spread",),
    examples={
        "chambers poured and decks measured": {
            "units": "inch",
            "bore": 3.892,
            "stroke": 3.36,
            "cylinders": 4,
            "gasket": {"bore": 3.962, "thickness": "0.040 in ± 0.001 in"},
            "crown": {"recess": "5 cm3"},
            "by_cylinder": [
                {
                    "cylinder": 1,
                    "chamber_volume": "64.2 cm3 ± 0.2 cm3",
                    "deck_clearance": 0.006,
                    "piston": "548.6 g",
                    "compression_height": 1.561,
                },
                {
                    "cylinder": 2,
                    "chamber_volume": "63.8 cm3 ± 0.2 cm3",
                    "deck_clearance": 0.005,
                    "piston": "548.9 g",
                    "compression_height": 1.563,
                },
                {
                    "cylinder": 3,
                    "chamber_volume": "64.9 cm3 ± 0.2 cm3",
                    "deck_clearance": 0.007,
                    "piston": "550.4 g",
                    "compression_height": 1.562,
                },
                {
                    "cylinder": 4,
                    "chamber_volume": "64.0 cm3 ± 0.2 cm3",
                    "deck_clearance": 0.009,
                    "piston": "548.5 g",
                    "compression_height": 1.560,
                },
            ],
        },
        "one low piston in a metric twin": {
            "bore": "84.3 mm",
            "stroke": "85.3 mm",
            "cylinders": 2,
            "gasket": {"bore": "85.3 mm", "thickness": "1.1 mm"},
            "chamber_volume": "41 cm3",
            "stack": {"deck_height": "215.5 mm", "rod_length": "142.35 mm", "compression_height": "30.3 mm"},
            "by_cylinder": [{"cylinder": 1, "top_gap": "0.35 mm"}, {"cylinder": 2, "deck_clearance": "0.35 mm", "top_gap": "0.40 mm"}],
        },
    },
    sources=(
        "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eqs. 2.1-2.6",
        "common practice for the spreads, as the tables cylinder_spread and balance say",
        "S. Martello et al., Balanced optimization problems, Oper. Res. Lett. 3 (1984) 275-278, for the exchange",
    ),
    published=("test_cylinder_spread",),
    cautions=("thin-chamber",),
    propagation="additive",
    most_toleranced=60,
)
