"""Which parts out of lists go together and reach a compression ratio, with the least machining, cost, or distance from it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from borewright.calculations.base.answers import Answer, Count, Rows, Section, Table
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Assumed, Choice, Flag, Label, Many, Part, Request
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Check, Outcome
from borewright.calculations.common.defaults import SPOKEN, SPOKEN_TO, part_or_default
from borewright.calculations.common.duty import CylinderDutyPart, duty_cautions
from borewright.calculations.part_selection.answer import (
    ClosestAnswer,
    CombinationAnswer,
    NearestAnswer,
    closest,
    combination,
    nearest,
)
from borewright.calculations.part_selection.candidates import (
    LONGEST,
    CandidateCrankPart,
    CandidateGasketPart,
    CandidateHeadPart,
    CandidatePistonPart,
    CandidateRodPart,
    SelectionBlockPart,
    SelectionLimitsPart,
    SelectionMachiningPart,
    TargetCompressionPart,
)
from borewright.calculations.part_selection.catalog import LISTS, limits_held, problem
from borewright.calculations.part_selection.each_part import JudgedPartsAnswer, each_part
from borewright.calculations.part_selection.fitted import Fitted
from borewright.calculations.part_selection.search import ONLY, find, ranking_order
from borewright.rules.rule import Limit
from borewright.selection.demands import PREFER, SearchProblem, Target
from borewright.selection.examination import attempt
from borewright.selection.machining import assembled
from borewright.selection.outcome import Combination
from borewright.selection.single import dimensions

ANY_RATIO = Target(10.0, 1.0 + 1e-9, 1e12)  # where no ratio is asked for; only which choice comes first among equals hangs on it


class PartSelectionRequest(Request):
    """What part-selection needs."""

    target_compression = Part(
        TargetCompressionPart,
        "the compression ratio wanted; it can only be left out with one part in each list, where it is calculated, or with each_part",
    )
    block = Part(SelectionBlockPart, "the block in hand", required=True)
    cranks = Many(Part(CandidateCrankPart, "a crankshaft"), "crankshafts to choose from", longest=LONGEST["cranks"], required=True)
    rods = Many(Part(CandidateRodPart, "a set of rods"), "rods to choose from", longest=LONGEST["rods"], required=True)
    pistons = Many(Part(CandidatePistonPart, "a set of pistons"), "pistons to choose from", longest=LONGEST["pistons"], required=True)
    gaskets = Many(Part(CandidateGasketPart, "a set of gaskets"), "head gaskets to choose from", longest=LONGEST["gaskets"], required=True)
    heads = Many(Part(CandidateHeadPart, "a set of heads"), "cylinder heads to choose from", longest=LONGEST["heads"], required=True)
    machining = Part(SelectionMachiningPart, "the work on offer, its limits and prices; left out, none")
    limits = Part(SelectionLimitsPart, "the caller's own limits, which replace those of common practice")
    duty = Part(CylinderDutyPart, "what the engine is for")
    prefer = Many(
        Choice(PREFER, "a key of the ranking"),
        "what the choices are ranked by, the first key first; keys left out follow in the order operations, cost, closeness",
        longest=len(PREFER),
    )
    each_part = Flag("judge every part of the lists too: which of them fit with anything on offer, with a verdict and a reason")
    top = Label(1, 50, "most choices to answer", assumed=Assumed(10, "common practice", "ten choices are enough to choose from"))


class PartSelectionAnswer(Answer):
    """What part-selection answers."""

    parts = Section(JudgedPartsAnswer, "every part of the lists, judged; null without each_part", nullable=True)
    choices = Rows(Section(CombinationAnswer, "one choice"), "the best choices in the order preferred; empty where nothing fits")
    considered = Count("combinations that the lists make")
    fitting = Count("combinations that fit")
    rejected = Table(Count("combinations"), "combinations that do not fit, by the first rule that each of them breaks")
    nearest = Section(NearestAnswer, "where nothing fits, the combination that came nearest; else null", nullable=True)
    closest = Rows(
        Section(ClosestAnswer, "one rule"),
        "where nothing fits, for each rule the combination it turned away by the least, nearest first",
    )


def compute(request: dict[str, Any]) -> Outcome:
    """Exact search on nominal sizes; each choice is then calculated over the corners of its own tolerances."""
    outcome = Outcome({})
    duty = part_or_default(request, outcome, "duty", CylinderDutyPart)
    held = limits_held(request, duty, outcome)
    target, window = _target(request, outcome)
    asked = problem(request, duty, held, target, outcome)
    order = ranking_order(request.get("prefer", []), outcome)
    if outcome.impossible:
        return outcome
    if window is None:
        asked = replace(asked, target=_as_built(asked) if asked.considered == 1 else ANY_RATIO)
    found = find(asked, order, request["top"], outcome)
    if found is None:
        return outcome

    def fitted(choice: Combination) -> Fitted:
        return Fitted(request, asked, held, choice, window)

    choices = [fitted(choice) for choice in found.choices]
    shown = [combination(each) for each in choices]
    outcome.values = {
        "choices": shown,
        "considered": found.considered,
        "fitting": found.fitting,
        "rejected": found.rejected,
        "nearest": None,
        "closest": [],
    }
    if request.get("each_part"):
        ids = {name: [part["id"] for part in request[name]] for name in LISTS}
        outcome.values["parts"] = each_part(asked, ids, order, fitted, outcome)
    best = shown[0] if shown else None
    if choices:
        outcome.variances = {"choices.results.compression_ratio": choices[0].variances()}
    if found.nearest_of_all is not None:
        near = fitted(attempt(asked, found.nearest_of_all))
        best = nearest(near, found.nearest_of_all)
        outcome.variances = {"nearest.results.compression_ratio": near.variances()}
        outcome.values["nearest"] = best
        outcome.values["closest"] = [
            closest(fitted(attempt(asked, miss.combination)), miss.combination, miss.reason) for miss in found.nearest
        ]
    if best is not None:
        outcome.checks = list(best["checks"])
    if not found.fitting and all(check.judge() != "fail" for check in outcome.checks):
        told = "no combination of the lists keeps every limit: nearest says what would have to give"
        none = np.zeros(1)
        outcome.checks.insert(0, Check("combinations", "ratio", none, 1.0, None, told, "caller", "the lists and limits of the request"))
    outcome.cautions = duty_cautions(duty["aspiration"])
    return outcome


def _target(request: dict[str, Any], outcome: Outcome) -> tuple[Target, Limit | None]:
    """The ratio wanted, and its window as a limit; without one, a stand-in and None."""
    wanted = request.get("target_compression")
    if wanted is None:
        several = max(LISTS, key=lambda name: len(request[name]))
        outcome.refuse_where(
            len(request[several]) > 1 and not request.get("each_part"),
            "#/target_compression",
            f"{several} has more than one part: state the ratio wanted to choose among them, or ask for each_part",
            Code.MISSING,
        )
        return ANY_RATIO, None
    value = float(wanted["value"][0])
    sides = {"low": float(wanted["value"].min()), "high": float(wanted["value"].max())}
    toleranced = sides["low"] < sides["high"]
    if not toleranced:
        sides = {"low": value - SPOKEN_TO, "high": value + SPOKEN_TO}
    given = {side: float(wanted[side][0]) for side in sides if side in wanted}
    if not toleranced:
        outcome.assumptions.extend(
            Assumption(f"target_compression.{side}", np.full(1, ratio), "common practice", SPOKEN, "ratio")
            for side, ratio in sides.items()
            if side not in given
        )
    low, high = (sides | given).values()
    outcome.refuse_where(low > value, "#/target_compression/low", "this lies above the ratio wanted: lower it", Code.WRONG_ORDER)
    outcome.refuse_where(high < value, "#/target_compression/high", "this lies below the ratio wanted: raise it", Code.WRONG_ORDER)
    target = Target(value, min(low, value), max(high, value))
    stated = bool(given) or toleranced
    return target, Limit(target.low, target.high, "caller" if stated else "common practice", "the request" if stated else SPOKEN)


def _as_built(asked: SearchProblem) -> Target:
    """A target that the only combination meets as it stands, so that nothing is cut for its compression."""
    ratio = float(assembled(**dimensions(asked, ONLY)).compression_ratio)
    return Target(min(max(ratio, 1.0 + 1e-6), 1e9), 1.0 + 1e-9, 1e12)


CALCULATION = Calculation(
    name="part-selection",
    title="Part selection",
    question="Which of these parts fit together and reach the ratio?",
    text=(
        "Which crankshaft, rods, pistons, gaskets and heads out of the caller's lists go together in a block and reach a compression "
        "ratio: the best choices by machining, cost and closeness, exactly as if every combination were tried, with every combination "
        "that does not fit counted under its reason. With one part in each list this is the call that answers whether a piston fits a "
        "block, rod and head and what the compression is, naming every rule that the combination breaks."
    ),
    request=PartSelectionRequest,
    answer=PartSelectionAnswer,
    compute=compute,
    headline=("choices.results.compression_ratio",),
    examples={
        "a small catalog for boost": {
            "units": "inch",
            "target_compression": {"value": 9.5, "low": 9.3, "high": 9.7},
            "block": {"deck_height": "9.140 in ± 0.002 in", "bore": 3.862, "cleanup_bore": 3.880, "maximum_bore": 3.922, "cylinders": 8},
            "cranks": [
                {"id": "in hand", "stroke": 3.36, "rod_journal_diameter": 2.072, "counterweight_radius": 3.25},
                {"id": "long", "stroke": 3.63, "rod_journal_diameter": 2.072, "counterweight_radius": 3.35, "price": 620},
            ],
            "rods": [
                {"id": "pressed", "length": 5.86, "small_end_bore": 0.9499, "pin_retention": "press", "journal_diameter": 2.072},
                {"id": "forged", "length": 6.16, "small_end_bore": 0.9519, "journal_diameter": 2.072, "price": 480},
            ],
            "pistons": [
                {
                    "id": "P-1",
                    "bore": 3.892,
                    "compression_height": "1.275 in ± 0.001 in",
                    "recess": "16 cm3 ± 0.5 cm3",
                    "top_land": 0.29,
                    "second_land": 0.17,
                    "pin_diameter": 0.951,
                    "pin_length": 2.5,
                    "retainer_thickness": 0.08,
                    "pin_retentions": ["floating"],
                    "boss_below_pin": 0.75,
                    "price": 690,
                },
                {
                    "id": "P-2",
                    "bore": 3.892,
                    "compression_height": "1.140 in ± 0.001 in",
                    "recess": "21 cm3 ± 0.5 cm3",
                    "top_land": 0.28,
                    "second_land": 0.17,
                    "pin_diameter": 0.951,
                    "pin_length": 2.5,
                    "retainer_thickness": 0.08,
                    "boss_below_pin": 0.75,
                    "price": 720,
                },
                {
                    "id": "P-3",
                    "bore": 3.882,
                    "compression_height": 1.275,
                    "recess": "12 cm3",
                    "top_land": 0.2,
                    "second_land": 0.15,
                    "pin_diameter": 0.951,
                    "aspirations": ["natural"],
                    "price": 410,
                },
            ],
            "gaskets": [
                {"id": "thin", "bore": 3.962, "thickness": "0.027 in ± 0.001 in", "price": 55},
                {"id": "thick", "bore": 3.962, "thickness": "0.040 in ± 0.001 in", "price": 60},
            ],
            "heads": [
                {"id": "closed", "chamber_volume": "57 cm3 ± 0.5 cm3", "chamber_area": "68 cm2", "mill_max": 0.03, "price": 900},
                {"id": "open", "chamber_volume": "68 cm3 ± 0.5 cm3", "chamber_area": "72 cm2", "mill_max": 0.03},
            ],
            "machining": {
                "bore": {"price": 280},
                "deck_cut": {"max": 0.02, "price": 180},
                "head_mill": {"max": 0.03, "price": 140},
                "small_end_hone": {"max": 0.004, "price": 90},
            },
            "duty": {"aspiration": "boost"},
            "top": 5,
        },
        "does this piston fit this block, rod and head, and what is the compression": {
            "block": {"deck_height": "218.5 mm", "bore": "84.3 mm", "cylinders": 4},
            "cranks": [{"id": "crank", "stroke": "85.3 mm", "rod_journal_diameter": "46.5 mm"}],
            "rods": [{"id": "rod", "length": "142.35 mm", "small_end_bore": "21 mm", "journal_diameter": "46.5 mm"}],
            "pistons": [
                {"id": "piston", "bore": "84.3 mm", "compression_height": "33.2 mm ± 0.05 mm", "recess": "4 cm3", "pin_diameter": "21 mm"}
            ],
            "gaskets": [{"id": "gasket", "bore": "85.3 mm", "thickness": "1.1 mm"}],
            "heads": [{"id": "head", "chamber_volume": "44 cm3 ± 0.5 cm3", "maximum_bore": "88 mm"}],
        },
        "a combination that does not fit, and every rule it breaks": {
            "target_compression": {"value": "11 ± 0.2"},
            "block": {"deck_height": "218.5 mm", "bore": "84.3 mm", "maximum_bore": "85.3 mm", "cylinders": 4},
            "cranks": [{"id": "crank", "stroke": "85.3 mm", "rod_journal_diameter": "46.5 mm"}],
            "rods": [{"id": "rod", "length": "140.35 mm", "small_end_bore": "21 mm", "journal_diameter": "45 mm"}],
            "pistons": [{"id": "piston", "bore": "84.8 mm", "compression_height": "33 mm", "pin_diameter": "22 mm"}],
            "gaskets": [{"id": "gasket", "bore": "85.3 mm", "thickness": "1.1 mm"}],
            "heads": [{"id": "head", "chamber_volume": "44 cm3"}],
            "machining": {"bore": {"price": 200}, "deck_cut": {"max": "0.3 mm", "price": 120}},
        },
    },
    sources=(
        "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eqs. 2.1-2.6, for the compression ratio",
        "common practice for limits, as the tables assembly, compression and part_selection say",
    ),
    published=("test_common_practice_selection",),
    cautions=("listed-parts",),
    propagation="interval",
)
