"""How chosen parts are answered: a choice, and what came nearest where nothing fits."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any, get_args

import numpy as np
from marshmallow import fields

from borewright.calculations.base.answers import AnswerPart, CheckAnswer, Count, Figure, Plain, Rows, Section, Truth, Word
from borewright.calculations.base.outcome import VERDICTS
from borewright.calculations.base.verdicts import worst_verdict
from borewright.calculations.part_selection.catalog import LISTS
from borewright.calculations.part_selection.checks import checks
from borewright.calculations.part_selection.concessions import Concession, concessions
from borewright.calculations.part_selection.fitted import HIGHEST_RATIO, Fitted
from borewright.calculations.part_selection.remedies import Instead
from borewright.selection.demands import Places
from borewright.selection.misses import REASONS
from borewright.selection.outcome import Examined, Operation

OPERATIONS: tuple[Operation, ...] = get_args(Operation)
STEPS: Mapping[Operation, str] = {
    "bore": "bore the block",
    "small_end_hone": "hone the small ends",
    "deck_cut": "cut the decks",
    "head_mill": "mill the heads",
}


UNTOLD = "first what keeps the piston out of the head and leaves room above it: only then is there a ratio to tell"
NULL = "null where the parts can't exist together: the piston inside the head, or nothing left above it"


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

    compression_ratio = Figure("ratio", f"(swept + clearance) / clearance; {NULL}", nullable=True)
    off_target = Figure("ratio", f"ratio less the target; null without a target, and {NULL}", nullable=True)
    displacement = Figure("displacement", "volume swept by all cylinders")
    squish = Figure(
        "length", f"deck clearance and gasket thickness together; null where the thickness is not known, and {NULL}", nullable=True
    )
    deck_clearance = Figure("length", f"piston below the deck at its top; negative where it stands above; {NULL}", nullable=True)
    bore = Figure("length", "finished bore")
    swept_volume = Figure("displacement", "volume swept by one piston")
    clearance_volume = Figure("volume", f"volume left above the piston at its top; {NULL}", nullable=True)
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


class InsteadAnswer(AnswerPart):
    """A field of the request, and what it would say instead: one of the others is not null."""

    pointer = Word("the field in the request: a JSON pointer (RFC 6901) behind a #")
    length = Figure("length", "its length", nullable=True)
    area = Figure("area", "its area", nullable=True)
    volume = Figure("volume", "its volume", nullable=True)
    price = Plain("its price, in the caller's currency", nullable=True)
    words = Rows(Word("one word"), "its list of words; empty where it is none")


class GiveAnswer(AnswerPart):
    """One rule that a combination breaks: by how much, and what would have to give."""

    rule = Word("the rule that is broken", options=REASONS)
    length = Figure("length", "by how much, where the rule is on a length", nullable=True)
    ratio = Figure("ratio", "by how much, where the rule is on the compression ratio", nullable=True)
    price = Plain("by how much, where the rule is on the cost", nullable=True)
    what = Word("what would have to give")
    follows = Truth("whether it is kept as things are, and would only be broken once the others are kept")
    instead = Rows(
        Section(InsteadAnswer, "one field"),
        "what fields of this combination's parts would say instead to keep the rule: parts of these sizes would do, others may; "
        "empty where what another rule says keeps this one too, or where no size of one part would",
    )


class NearestAnswer(CombinationAnswer):
    """The combination that came nearest, with the machining that brings it as near as it gets."""

    gives = Rows(
        Section(GiveAnswer, "one rule"),
        "every rule that it breaks, those after it that it would then break, and what would have to give",
    )
    then_fits = Truth("whether it fits with everything that gives says instead, typed back into the request")
    reach_low = Figure("ratio", f"lowest compression ratio its machining reaches; {NULL}", nullable=True)
    reach_high = Figure(
        "ratio", f"highest compression ratio its machining reaches; null where it can cut to nothing, and {NULL}", nullable=True
    )


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


def give(conceded: Concession, places: Places, *, real: bool = True) -> dict[str, Any]:
    """A broken rule as it is answered [SI].

    real : whether the combination can exist; what can't misses its ratio by no figure

    >>> found = give(Concession("cost", 120.0, "cheaper parts"), (0, 0, 0, 0, 0))
    >>> found["price"], sorted(give(Concession("pin-retention", None, "other rods"), (0, 0, 0, 0, 0)))
    (120.0, ['follows', 'instead', 'rule', 'what'])
    """
    rule, by = conceded.reason, conceded.by
    instead = [_instead(each, places) for each in conceded.instead]
    untold = rule == "compression-target" and not real
    found: dict[str, Any] = {"rule": rule, "what": UNTOLD if untold else conceded.what, "instead": instead, "follows": conceded.follows}
    if by is None or not isfinite(by):
        return found
    if rule == "cost":
        found["price"] = by
    elif rule == "compression-target":
        found["ratio"] = None if untold or by > HIGHEST_RATIO else np.full(1, by)
    else:
        found["length"] = np.full(1, by)
    return found


def _instead(each: Instead, places: Places) -> dict[str, Any]:
    value = np.full(1, each.value) if each.kind in ("length", "area", "volume") else each.value
    return {"pointer": each.pointer(places), "words": [], each.kind: list(each.value) if isinstance(each.value, tuple) else value}


def nearest(fitted: Fitted, examined: Examined) -> dict[str, Any]:
    """A combination that does not fit, as it is answered [SI]."""
    conceded, fits = conceded_by(fitted, examined)
    low, high = (end if 1.0 < end <= HIGHEST_RATIO and fitted.real else None for end in (examined.reach.low, examined.reach.high))
    return {
        **combination(fitted),
        "gives": [give(each, examined.places, real=fitted.real) for each in conceded],
        "then_fits": fits,
        "reach_low": None if low is None else np.full(1, low),
        "reach_high": None if high is None else np.full(1, high),
    }


def closest(fitted: Fitted, examined: Examined, rule: str) -> dict[str, Any]:
    """The rule that turned a combination away, as it is answered [SI]."""
    conceded = next(each for each in conceded_by(fitted, examined)[0] if each.reason == rule)
    return {**give(conceded, examined.places, real=fitted.real), "parts": parts(fitted, examined.places)}


def conceded_by(fitted: Fitted, examined: Examined) -> tuple[list[Concession], bool]:
    """What would have to give for a combination of the whole lists."""
    return concessions(fitted.problem, examined, fitted.request["pistons"], targeted=fitted.window is not None)
