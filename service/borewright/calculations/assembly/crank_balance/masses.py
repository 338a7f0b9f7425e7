"""The parts that hang on a crank pin, as weighed: what reciprocates, what rotates, and how well like parts match."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import reduce
from typing import Any

import numpy as np

from borewright.calculations.base.answers import AnswerPart, Count, Figure, Word
from borewright.calculations.base.fields import Assumed, Label, Quantity, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Check, Outcome
from borewright.calculations.common.own_limits import limited_check
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import table

RECIPROCATING = ("piston", "pin", "rings", "locks", "rod_small_end")
ROTATING = ("rod_big_end", "bearings")
WEIGHED = RECIPROCATING + ROTATING
MOST = "200 kg"
TEXTS: Mapping[str, str] = {
    "piston": "one piston, bare",
    "pin": "its pin",
    "rings": "the rings of one piston",
    "locks": "the locks of one pin, all together",
    "rod_small_end": "small end of one rod, weighed with the rod level on its big end's center",
    "rod_big_end": "big end of one rod with its cap and bolts, weighed with the rod level on its small end's center",
    "bearings": "the bearing shells of one rod, both halves",
}


def _mass(name: str, *, low: str = "0 g", required: bool = False, assumed: Assumed | None = None) -> Quantity:
    return Quantity("mass", low, MOST, TEXTS[name], required=required, assumed=assumed)


def _practice(row: str) -> Assumed:
    found = table("balance").row(row)
    return Assumed(found.word("mass"), found.basis, found.source)


class MassesPart(RequestPart):
    """What one cylinder, one rod and one journal carry, as the crank is to be balanced."""

    piston = _mass("piston", low="1 g", required=True)
    pin = _mass("pin", low="1 g", required=True)
    rings = _mass("rings", required=True)
    locks = _mass("locks", assumed=_practice("locks"))
    rod_small_end = _mass("rod_small_end", low="1 g", required=True)
    rod_big_end = _mass("rod_big_end", low="1 g", required=True)
    bearings = _mass("bearings", required=True)
    oil = Quantity("mass", "0 g", "1 kg", "allowance for the oil in and on one journal", assumed=_practice("oil"))


class WeighedPart(RequestPart):
    """The parts of one cylinder on the scale; any of them."""

    cylinder = Label(1, 24, "number of the cylinder", required=True)
    piston = _mass("piston")
    pin = _mass("pin")
    rings = _mass("rings")
    locks = _mass("locks")
    rod_small_end = _mass("rod_small_end")
    rod_big_end = _mass("rod_big_end")
    bearings = _mass("bearings")


class MassSpreadPart(RequestPart):
    """The caller's own limit of the spread."""

    high = Quantity("mass", "0 g", "10 kg", "largest difference between like parts", required=True)


class TakeOffAnswer(AnswerPart):
    """One part on the scale."""

    cylinder = Count("number of the cylinder")
    part = Word("which part", options=WEIGHED)
    mass = Figure("mass", "as weighed")
    take_off = Figure("mass", "what it weighs more than the lightest of its like")


def reciprocating_mass(masses: Mapping[str, FloatArray]) -> FloatArray:
    """What goes up and down in one cylinder: piston, pin, rings, locks, small end [kg].

    >>> float(reciprocating_mass({name: np.array([0.1]) for name in WEIGHED})[0])
    0.5
    """
    return np.asarray(sum(masses[name] for name in RECIPROCATING))


def rotating_mass(masses: Mapping[str, FloatArray]) -> FloatArray:
    """What turns with the pin, of one rod: big end and bearing shells [kg].

    >>> float(rotating_mass({name: np.array([0.1]) for name in WEIGHED})[0])
    0.2
    """
    return np.asarray(sum(masses[name] for name in ROTATING))


def take_offs(request: Mapping[str, Any], outcome: Outcome, most_cylinders: int) -> list[dict[str, Any]]:
    """Every weighed part with what it weighs more than the lightest of its like; their spread is checked.

    request : the tree of a request with `masses` and `weighed` [SI]
    """
    weighed = request["weighed"]
    seen: set[int] = set()
    for index, entry in enumerate(weighed):
        number = entry["cylinder"]
        outcome.refuse_where(
            number in seen, f"#/weighed/{index}/cylinder", "this cylinder stands here twice: give each once", Code.GIVEN_TWICE
        )
        outcome.refuse_where(
            number > most_cylinders,
            f"#/weighed/{index}/cylinder",
            f"the layout has {most_cylinders} cylinders: number them from 1",
            Code.IMPOSSIBLE,
        )
        seen.add(number)
    rows: list[dict[str, Any]] = []
    for part in WEIGHED:
        found = [(entry["cylinder"], entry[part]) for entry in weighed if part in entry]
        if not found:
            continue
        lightest = reduce(np.minimum, (mass for _, mass in found))
        heaviest = reduce(np.maximum, (mass for _, mass in found))
        rows.extend({"cylinder": number, "part": part, "mass": mass, "take_off": mass - lightest} for number, mass in found)
        spread = heaviest - lightest if len(found) > 1 else None
        outcome.checks.extend(_matched(part, request, spread, lightest, heaviest))
    return rows


def _matched(part: str, request: Mapping[str, Any], spread: FloatArray | None, lightest: FloatArray, heaviest: FloatArray) -> list[Check]:
    named = part.replace("_", "-")
    own, row = request.get("limits", {}).get("mass_spread"), table("balance").row("mass_spread")
    allowed = own["high"] if own else row.si("spread_high")
    uneven = "like parts must match before the crank is balanced: bring the heavier down to the lightest, on the pads made for it"
    alone = "only one was weighed: weigh this part of every cylinder"
    told, missing = (alone, ("#/weighed",)) if spread is None else (uneven, ())
    matched = limited_check(f"{named}-spread", "mass", spread, own, row, told, columns="spread_", soft=True)
    return [
        replace(matched, missing=missing),
        Check(
            f"{named}-mass",
            "mass",
            request["masses"][part],
            lightest - allowed,
            heaviest + allowed,
            "the mass that the bobweight is made from is not that of the parts on the scale: weigh again or correct it",
            "caller",
            "the parts weighed, in the request",
            soft=True,
        ),
    ]
