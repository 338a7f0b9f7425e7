"""Exact search for the best combinations of parts, with every combination accounted for.

How 10^8 combinations stay quick, and exact:

- Rules of one, two or three parts reject by multiplication (`short_blocks`).
- For what is left, a combination's reach is an interval of clearance volume: whether it meets the window is two comparisons,
  made on vectors that fit the cache (`lattice`).
- Amounts are solved only for combinations that could still enter the best list. A sample spread over all of them sets that bar
  first; then each plan's operations, the cost-sorted vectors and the window narrowed to the bar leave almost nothing to solve.
"""

from __future__ import annotations

from collections.abc import Sequence

from borewright.selection.demands import PREFER, Preference, SearchProblem
from borewright.selection.misses import REASONS
from borewright.selection.nearest import nearest_misses, places_of
from borewright.selection.outcome import SearchResult, SearchTooLargeError
from borewright.selection.ranking import Ranking
from borewright.selection.scan import Tally, scan
from borewright.selection.short_blocks import Passage, join, short_blocks
from borewright.selection.tables import tabulate
from borewright.selection.written import chosen

WORK_LIMIT = 400_000_000


def preference_order(prefer: Sequence[Preference]) -> tuple[Preference, ...]:
    """Full ranking order: the caller's keys, then those left out in the usual order.

    Parameters
    ----------
    prefer : sequence of str

    Returns
    -------
    tuple of str

    Raises
    ------
    ValueError
        For an unknown or repeated key.

    Examples
    --------
    >>> preference_order(["closeness"])
    ('closeness', 'operations', 'cost')
    """
    given = tuple(prefer)
    if len(set(given)) != len(given) or not set(given) <= set(PREFER):
        raise ValueError(f"prefer takes each of {', '.join(PREFER)} at most once, not {list(given)}")
    return given + tuple(name for name in PREFER if name not in given)


def search(
    problem: SearchProblem,
    *,
    prefer: Sequence[Preference] = PREFER,
    top: int = 10,
    work_limit: int = WORK_LIMIT,
    with_nearest: bool = True,
) -> SearchResult:
    """Find the best combinations of parts; the answer is that of trying every one.

    Parameters
    ----------
    problem : SearchProblem
    prefer : sequence of str
        Order of the ranking keys: operations, cost, closeness. Ties go to the earlier places in the lists, crank first.
    top : int
        How many choices are wanted.
    work_limit : int
        Most work the caller will wait for, as `SearchProblem.work` counts it; time grows with it, memory is bounded whatever it is.

    with_nearest : bool
        Whether it is wanted what came closest where nothing fits.

    Returns
    -------
    SearchResult

    Raises
    ------
    SearchTooLargeError
        For more work than `work_limit`.
    ValueError
        For an unknown key in `prefer` or fewer than one choice wanted.

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> outcome = search(small_problem())
    >>> [(choice.piston.id, choice.head.id, choice.operations, choice.cost) for choice in outcome.choices]
    [('flat', 'closed', 1, 1110.0), ('dish', 'closed', 3, 1560.0)]
    >>> outcome.rejected
    {'deck-clearance': 4, 'compression-target': 2}
    """
    order = preference_order(prefer)
    if top < 1:
        raise ValueError(f"at least one choice must be wanted, not {top}")
    if problem.work > work_limit:
        raise SearchTooLargeError(work_limit, problem.work)
    if not problem.considered:
        return SearchResult((), 0, 0, {}, ())
    tables = tabulate(problem)
    joined = join(tables)
    passage, tally, ranking = Passage(), Tally(), Ranking(order, top)
    for blocks in short_blocks(tables, joined, passage):
        scan(tables, blocks, ranking, tally)
    counts = joined.rejected + passage.rejected
    counts["squish"] = passage.reaching - tally.admitted
    counts["compression-target"] = tally.admitted - tally.feasible
    counts["cost"] = tally.feasible - tally.affordable
    rejected = {reason: counts[reason] for reason in REASONS if counts[reason]}
    best = ranking.best
    choices = tuple(
        chosen(problem, places_of(problem, number), plan) for number, plan in zip(best.index.tolist(), best.plan.tolist(), strict=True)
    )
    nearest = () if tally.affordable or not with_nearest else nearest_misses(tables, joined, rejected)
    return SearchResult(choices, problem.considered, tally.affordable, rejected, nearest)
