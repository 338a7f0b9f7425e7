"""Every part of the lists judged by itself: whether it fits with anything on offer, and what its best combination comes to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from borewright.calculations.base.answers import AnswerPart, CheckAnswer, Count, Figure, Rows, Section, Truth, Word
from borewright.calculations.base.outcome import VERDICTS, Outcome
from borewright.calculations.base.verdicts import worst_check
from borewright.calculations.part_selection.answer import PartsAnswer, parts
from borewright.calculations.part_selection.catalog import LISTS
from borewright.calculations.part_selection.checks import checks
from borewright.calculations.part_selection.fitted import Fitted
from borewright.calculations.part_selection.search import find
from borewright.calculations.part_selection.sides import what
from borewright.selection.demands import Places, Preference, SearchProblem
from borewright.selection.examination import attempt
from borewright.selection.outcome import Combination
from borewright.selection.single import alone


class JudgedPartAnswer(AnswerPart):
    """One part of a list, judged with the others on offer."""

    id = Word("its id in the list")
    fits = Truth("whether a combination with it keeps every limit")
    verdict = Word("the verdict of its best combination; fail where none fits", options=VERDICTS)
    combinations = Count("combinations with it that fit")
    best = Section(PartsAnswer, "the best combination with it, by its ids; null where none fits", nullable=True)
    compression_ratio = Figure("ratio", "compression ratio of that combination; null where none fits", nullable=True)
    rule = Word("where it does not fit, the check that the nearest combination with it breaks first; else null", nullable=True)
    reason = Word("why it does not fit, or what its best combination is watched for; null where it passes", nullable=True)
    nearest = Section(PartsAnswer, "where it does not fit, the combination with it that came nearest, by its ids; else null", nullable=True)
    check = Section(CheckAnswer, "that rule of that combination, with its value and limits; null where it passes", nullable=True)


class JudgedPartsAnswer(AnswerPart):
    """Every part of the lists, in their order."""

    cranks = Rows(Section(JudgedPartAnswer, "a crankshaft"), "the crankshafts")
    rods = Rows(Section(JudgedPartAnswer, "a set of rods"), "the rods")
    pistons = Rows(Section(JudgedPartAnswer, "a set of pistons"), "the pistons")
    gaskets = Rows(Section(JudgedPartAnswer, "a set of gaskets"), "the head gaskets")
    heads = Rows(Section(JudgedPartAnswer, "a set of heads"), "the cylinder heads")


def each_part(
    asked: SearchProblem,
    ids: dict[str, list[str]],
    order: tuple[Preference, ...],
    fitted: Callable[[Combination], Fitted],
    outcome: Outcome,
) -> dict[str, list[dict[str, Any]]] | None:
    """Judge each part by the search with that part alone in its list; None where such a search is too large.

    ids : of the parts, by list
    fitted : a combination of the whole lists with what it is held to
    """
    judged: dict[str, list[dict[str, Any]]] = {}
    for place_of_list, name in enumerate(LISTS):
        judged[name] = []
        for index in range(asked.shape[place_of_list]):
            found = find(_alone(asked, place_of_list, index), order, 1, outcome)
            if found is None:
                return None
            shown: dict[str, Any] = {"id": ids[name][index], "fits": found.fitting > 0, "combinations": found.fitting}
            if found.choices:
                choice = found.choices[0]
                shown |= _best(fitted(replace(choice, places=_placed(choice.places, place_of_list, index))))
            elif found.nearest:
                miss = found.nearest[0]
                near = attempt(_alone(asked, place_of_list, index), miss.combination)
                shown |= _nearest(fitted(replace(near, places=_placed(near.places, place_of_list, index))), miss.reason)
            judged[name].append(shown)
    return judged


def _alone(asked: SearchProblem, place: int, index: int) -> SearchProblem:
    """The search with one part alone in its list."""
    kept = [slice(None)] * len(LISTS)
    kept[place] = slice(index, index + 1)
    return replace(
        asked,
        cranks=asked.cranks[kept[0]],
        rods=asked.rods[kept[1]],
        pistons=asked.pistons[kept[2]],
        gaskets=asked.gaskets[kept[3]],
        heads=asked.heads[kept[4]],
    )


def _placed(places: Places, place: int, index: int) -> Places:
    """The places of a combination in the whole lists."""
    crank, rod, piston, gasket, head = (index if each == place else held for each, held in enumerate(places))
    return crank, rod, piston, gasket, head


def _best(fit: Fitted) -> dict[str, Any]:
    """What the best combination with a part comes to."""
    verdict, worst = worst_check(checks(fit))
    told = {} if verdict == "pass" else {"check": worst, "reason": f"{worst.name}: {worst.reason}"}
    return {"verdict": verdict, "best": parts(fit, fit.choice.places), "compression_ratio": fit.results()["compression_ratio"], **told}


def _nearest(fit: Fitted, rule: str) -> dict[str, Any]:
    """Which rule turns a part away, on the combination with it that came nearest."""
    told = what(alone(fit.problem, fit.choice.places), rule)
    judged = checks(fit, only=rule)
    check = worst_check(judged)[1] if judged else None
    return {"verdict": "fail", "rule": rule, "reason": f"{rule}: {told}", "nearest": parts(fit, fit.choice.places), "check": check}
