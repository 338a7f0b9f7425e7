"""How chosen parts are answered: a choice, and what came nearest where nothing fits."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any, get_args

import numpy as np
from marshmallow import fields

from borewright.calculations.base.answers import AnswerPart, CheckAnswer, Count, Figure, Plain, Rows, Section, Word
from borewright.calculations.base.outcome import VERDICTS
from borewright.calculations.base.verdicts import worst_verdict
from borewright.calculations.part_selection.catalog import LISTS
from borewright.calculations.part_selection.checks import checks
from borewright.calculations.part_selection.fitted import Fitted
from borewright.selection.misses import REASONS
from borewright.selection.outcome import Examined, Operation

OPERATIONS: tuple[Operation, ...] = get_args(Operation)
STEPS: Mapping[Operation, str] = {
    "bore": "bore the block",
    "small_end_hone": "hone the small ends",
    "deck_cut": "cut the decks",
    "head_mill": "mill the heads",
}
GIVES = {  # what would have to give for each rule
    "bore": "pistons of another bore, boring, or a block with more wall",
    "duty-allowed": "pistons made for the duty, or an easier duty",
    "top-land": "pistons with a taller top land, or an easier duty",
    "second-land": "pistons with a taller second land, or an easier duty",
    "bore-to-gasket-clearance": "a gasket with a larger bore, or smaller pistons",
    "head-bore": "heads made for the bore, or pistons of another",
    "pin-retention": "rods and pistons that hold the pin the same way, or honing the small ends to let it float",
    "pin-fit": "rods and pistons made for the same pin, or a deeper hone",
    "pin-end-room": "pistons with a shorter pin",
    "journal-diameter": "rods made for the diameter of the crankshaft's journals, or another crankshaft",
    "journal-width": "rods made for the width of the crankshaft's journals, or another crankshaft",
    "counterweight-to-boss": "a crankshaft with smaller counterweights, longer rods, or pistons with less below the pin",
    "deck-clearance": "other rods, compression height or stroke, a deeper deck cut, or wider limits of deck clearance",
    "squish": "another gasket thickness, a deeper deck cut, or wider limits of squish",
    "compression-target": "another chamber, crown or gasket, more milling, or a wider window of compression",
    "cost": "cheaper parts, less work, or a higher limit of cost",
}


class PartsAnswer(AnswerPart):
    """The parts of a combination, by their ids."""

    crank = Word("id of the crankshaft")
    rod = Word("id of the rods")
    piston = Word("id of the pistons")
    gasket = Word("id of the gaskets")
    head = Word("id of the heads")


class OperationAnswer(AnswerPart):
    """One machining operation."""

    operation = Word("which operation", options=OPERATIONS)
    amount = Figure(
        "length", "metal taken off, bore and small end on the diameter; null where small end or pin is not given", nullable=True
    )
    price = Plain("its price for the whole engine, in the caller's currency")


class CombinationResults(AnswerPart):
    """What a combination comes to with its machining."""

    compression_ratio = Figure("ratio", "(swept + clearance) / clearance; null where nothing is left above the piston", nullable=True)
    off_target = Figure("ratio", "ratio less the target; null without a target", nullable=True)
    displacement = Figure("displacement", "volume swept by all cylinders")
    squish = Figure("length", "deck clearance and gasket thickness together; null where the thickness is not known", nullable=True)
    deck_clearance = Figure("length", "piston below the deck at its top; negative where it stands above")
    bore = Figure("length", "finished bore")
    swept_volume = Figure("displacement", "volume swept by one piston")
    clearance_volume = Figure("volume", "volume left above the piston at its top")
    chamber_volume = Figure("volume", "chamber in the head after milling")
    rod_ratio = Figure("ratio", "rod length over stroke")


class CombinationAnswer(AnswerPart):
    """One combination of parts with its machining."""

    parts = Section(PartsAnswer, "the parts, by their ids")
    steps = Rows(Word("one step"), "the machining in words")
    operations = Count("machining operations")
    cost = Plain("parts and machining together, in the caller's currency")
    results = Section(CombinationResults, "what it comes to, over the tolerances of its own parts")
    verdict = Word("the worst of its checks", options=VERDICTS)
    machining = Rows(Section(OperationAnswer, "one operation"), "each operation with its amount and price")
    checks = Rows(fields.Nested(CheckAnswer), "each rule with its value and limits")


class GiveAnswer(AnswerPart):
    """One rule that a combination breaks: by how much, and what would have to give."""

    rule = Word("the rule that is broken", options=REASONS)
    length = Figure("length", "by how much, where the rule is on a length", nullable=True)
    ratio = Figure("ratio", "by how much, where the rule is on the compression ratio", nullable=True)
    price = Plain("by how much, where the rule is on the cost", nullable=True)
    what = Word("what would have to give")


class NearestAnswer(CombinationAnswer):
    """The combination that came nearest, with the machining that brings it as near as it gets."""

    gives = Rows(Section(GiveAnswer, "one rule"), "every rule that it breaks, and what would have to give")
    reach_low = Figure("ratio", "lowest compression ratio its machining reaches", nullable=True)
    reach_high = Figure("ratio", "highest compression ratio its machining reaches; null where it can cut to nothing", nullable=True)


class ClosestAnswer(GiveAnswer):
    """Of the combinations that a rule turned away, the one it turned away by the least."""

    parts = Section(PartsAnswer, "its parts, by their ids")


def combination(fitted: Fitted) -> dict[str, Any]:
    """One combination of parts as it is answered [SI]."""
    choice, judged = fitted.choice, checks(fitted)
    return {
        "parts": parts(fitted, choice.places),
        "steps": [STEPS[work.operation] for work in choice.work] or ["nothing to machine"],
        "operations": choice.operations,
        "cost": choice.cost,
        "results": fitted.results(),
        "verdict": worst_verdict(judged)[0],
        "machining": [
            {"operation": work.operation, "amount": None if work.amount is None else np.full(1, work.amount), "price": work.price}
            for work in choice.work
        ],
        "checks": judged,
    }


def parts(fitted: Fitted, places: tuple[int, ...]) -> dict[str, str]:
    """The ids of a combination, by its places in the lists."""
    return {name.removesuffix("s"): fitted.request[name][place]["id"] for name, place in zip(LISTS, places, strict=True)}


def give(rule: str, by: float | None) -> dict[str, Any]:
    """A broken rule: by how much, and what would have to give.

    by : [m], of the compression ratio [1], or of the cost; None for a plain no, infinite where nothing is left above the piston

    >>> give("cost", 120.0)["price"], sorted(give("pin-retention", None))
    (120.0, ['rule', 'what'])
    """
    found: dict[str, Any] = {"rule": rule, "what": GIVES[rule]}
    if by is None or not isfinite(by):
        return found
    if rule == "cost":
        found["price"] = by
    else:
        found["ratio" if rule == "compression-target" else "length"] = np.full(1, by)
    return found


def nearest(fitted: Fitted, examined: Examined) -> dict[str, Any]:
    """A combination that does not fit, as it is answered [SI]."""
    return {
        **combination(fitted),
        "gives": [give(broken.reason, broken.by) for broken in examined.broken],
        "reach_low": np.full(1, examined.reach.low),
        "reach_high": np.full(1, examined.reach.high),
    }
