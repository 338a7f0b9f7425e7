"""What page one has room for: it carries the decision, and what does not fit stands on the pages after it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import Any

# heights in the PDF's template [pt], the smaller of the two papers counting
ROOM = 612.0  # between the order's lines and the lines to sign
HEADING = 24.0
HEAD_ROW = 14.0
CHECK_LINE = 7.9
CHECK_MORE = 5.0
FIGURE = 11.8
CYLINDER = 11.8
CALCULATED = 10.9  # two beside one another
REFUSED_LINE = 10.5
NOTE_LINE = 9.6
LETTERS_OF_A_REASON = 68  # of a line in the column of reasons
LETTERS_OF_A_LINE = 130
LETTERS_OF_A_NAME = 20  # of a line in the column of checks; the section takes a line above it
FEWEST_CALCULATED = 6
FEWEST_CHECKS = 3
MOST_CHECKS = 6
FEWEST_MEASURES = 3
MOST_MEASURES = 5


@dataclass(frozen=True)
class PageOne:
    """How many of each stand on page one."""

    checks: int
    figures: int
    calculated: int
    measures: int = 0


def page_one(
    *,
    reasons: Sequence[str],
    names: Sequence[str] = (),
    refused: Sequence[str],
    notes: str,
    figures: int,
    cylinders: int,
    calculated: int,
    measures: Sequence[str] = (),
) -> PageOne:
    """What fits, shortened where it does not.

    First go what to measure next beyond three lines and what is only calculated, down to three lines of it, then checks down to three,
    then the rest of what is calculated, all that is to be measured next, figures to confirm.

    reasons : the texts of the checks that need attention, the worst first
    names : of these checks
    refused : what can't be as given, in lines
    measures : what to measure next, in lines, the first first
    notes : of the order
    figures, cylinders, calculated : how many there are

    >>> page_one(reasons=["ream it"] * 9, refused=[], notes="", figures=12, cylinders=8, calculated=40)
    PageOne(checks=6, figures=12, calculated=20, measures=0)
    """
    lines = sum(-(-len(text) // LETTERS_OF_A_LINE) for text in refused)
    room = ROOM - NOTE_LINE * -(-len(notes) // LETTERS_OF_A_LINE) - REFUSED_LINE * lines - (HEADING if refused else 0.0)
    room -= (HEADING + HEAD_ROW if reasons else 0.0) + (HEADING + HEAD_ROW if figures else 0.0) + (HEADING if calculated else 0.0)
    room -= HEADING + HEAD_ROW + CYLINDER * cylinders if cylinders else 0.0

    heights = [
        max(2, -(-len(reason) // LETTERS_OF_A_REASON), 1 + -(-len(name) // LETTERS_OF_A_NAME))
        for reason, name in zip_longest(reasons, names[: len(reasons)], fillvalue="")
    ]

    def taken(kept: PageOne) -> float:
        checks = sum(CHECK_MORE + CHECK_LINE * lines_of_check for lines_of_check in heights[: kept.checks])
        lines = sum(-(-len(text) // LETTERS_OF_A_LINE) for text in measures[: kept.measures])
        checks += REFUSED_LINE * lines + (HEADING if kept.measures else 0.0)
        return checks + FIGURE * kept.figures + CALCULATED * -(-kept.calculated // 2)

    kept = PageOne(min(len(reasons), MOST_CHECKS), figures, calculated, min(len(measures), MOST_MEASURES))
    while taken(kept) > room:
        if kept.measures > FEWEST_MEASURES:
            kept = replace(kept, measures=kept.measures - 1)
        elif kept.calculated > FEWEST_CALCULATED:
            kept = replace(kept, calculated=kept.calculated - 1)
        elif kept.checks > FEWEST_CHECKS:
            kept = replace(kept, checks=kept.checks - 1)
        elif kept.calculated > 0:
            kept = replace(kept, calculated=kept.calculated - 1)
        elif kept.measures > 0:
            kept = replace(kept, measures=kept.measures - 1)
        elif kept.figures > 0:
            kept = replace(kept, figures=kept.figures - 1)
        else:
            break
    return kept


def texts(lines: Sequence[Any]) -> list[str]:
    """The lines of a list as they are read, for their lengths.

    >>> from types import SimpleNamespace
    >>> texts([SimpleNamespace(about="stroke", says="stated twice")])
    ['stroke: stated twice']
    """
    return [f"{line.about}: {line.says}" for line in lines]
