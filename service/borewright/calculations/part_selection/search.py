"""The search for parts: what it found, and which list to split where it would be too large."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from borewright.calculations.base.limits import limits
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Outcome
from borewright.calculations.part_selection.catalog import LISTS
from borewright.calculations.part_selection.yielding import breaks_nothing_else
from borewright.selection.demands import PAIR_WORK, PREFER, SHORT_BLOCK_WORK, Places, Preference, SearchProblem
from borewright.selection.examination import examine
from borewright.selection.outcome import Combination, Examined, Miss, SearchTooLargeError
from borewright.selection.search import preference_order, search

ONLY: Places = (0, 0, 0, 0, 0)
"""The one combination of lists with one part each."""


@dataclass(frozen=True)
class Found:
    """What the search found, however many combinations there were."""

    choices: Sequence[Combination]
    considered: int
    fitting: int
    rejected: dict[str, int]
    nearest: tuple[Miss, ...]
    nearest_of_all: Examined | None


def ranking_order(prefer: Sequence[Preference], outcome: Outcome) -> tuple[Preference, ...]:
    """Full order of the ranking keys; one given twice is refused.

    >>> outcome = Outcome({})
    >>> ranking_order(["cost"], outcome), len(outcome.impossible)
    (('cost', 'operations', 'closeness'), 0)
    """
    doubled = len(set(prefer)) < len(prefer)
    outcome.refuse_where(doubled, "#/prefer", "a key of the ranking stands here twice: give each once", Code.GIVEN_TWICE)
    return PREFER if doubled else preference_order(prefer)


def find(asked: SearchProblem, order: tuple[Preference, ...], top: int, outcome: Outcome) -> Found | None:
    """Search; one combination alone is looked at whole, for every rule that it breaks. None where the search is too large.

    top : most choices wanted [1]

    >>> from borewright.selection.demands import small_problem
    >>> found = find(small_problem(), PREFER, 5, Outcome({}))
    >>> found.considered, found.fitting, found.rejected
    (8, 2, {'deck-clearance': 4, 'compression-target': 2})
    """
    if asked.considered == 1:
        alone = examine(asked, ONLY, order)
        if alone.fits:
            return Found(alone.plans[:1], 1, 1, {}, (), None)
        first = alone.broken[0]
        return Found((), 1, 0, {first.reason: 1}, (Miss(first.reason, first.by, alone),), alone)
    try:
        best = search(asked, prefer=order, top=top, work_limit=limits().search_work)
    except SearchTooLargeError as error:
        pointer, detail = _too_large(asked, error)
        outcome.refuse_where(True, pointer, detail, Code.TOO_MUCH)
        return None
    misses = best.nearest
    if misses:
        misses = (breaks_nothing_else(asked, misses[0], order), *misses[1:])
    return Found(best.choices, best.considered, best.fitting, dict(best.rejected), misses, misses[0].combination if misses else None)


def _too_large(asked: SearchProblem, error: SearchTooLargeError) -> tuple[str, str]:
    """Which list to split, and into how many: the best of the requests' choices are those of the whole."""
    lengths = dict(zip(LISTS, asked.shape, strict=True))
    detail = f"{asked.considered} combinations are too many for one request (their work counts {error.size}, and {error.bound} is the most)"
    for name in sorted(LISTS, key=lambda each: -lengths[each]):
        most = _most(lengths, name, error.bound)
        if most >= 1:
            share = f"send at most {most} of the {lengths[name]} {name} in one request"
            return f"#/{name}", f"{detail}: {share}, and choose the best out of all their choices"
    return "#", f"{detail}: leave out parts that do not come into question, or split several lists over more requests"


def _most(lengths: dict[str, int], name: str, bound: int) -> int:
    """How many parts of one list a search takes beside the others."""
    cranks, rods, pistons, gaskets, heads = ({**lengths, name: 1}[each] for each in LISTS)
    short_blocks, pairs = SHORT_BLOCK_WORK * cranks * rods * pistons, PAIR_WORK * gaskets * heads
    each = cranks * rods * pistons * gaskets * heads + (pairs if name in ("gaskets", "heads") else short_blocks)
    once = short_blocks if name in ("gaskets", "heads") else pairs
    return max(bound - once, 0) // each
