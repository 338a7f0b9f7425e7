"""One slab of short blocks against every gasket and head: count what passes, and rank what could be among the best."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.rules.judging import LENGTH_SLACK
from borewright.selection.demands import Target
from borewright.selection.lattice import Step, Top, part, reached, steps
from borewright.selection.machining import PLANS, Machined, clearance_range, clearance_window, deck_ends, machined
from borewright.selection.misses import fits_gasket, fits_head
from borewright.selection.ranking import Candidates, Ranking, closeness_ticks, narrowed
from borewright.selection.short_blocks import Indices, ShortBlocks
from borewright.selection.tables import Tables

PLAN_OPERATIONS = tuple(len(plan) for plan in PLANS)
SAMPLE = 1 << 16
SAMPLE_SHARE = 1 << 7
# Under this many, plans are tried on the combinations left one by one and not on the vector.
FEW = 1 << 10


@dataclass(slots=True)
class Tally:
    """How many combinations keep the squish limits, how many of those reach the window, how many of those the price limit.

    Examples
    --------
    >>> Tally().feasible
    0
    """

    admitted: int = 0
    feasible: int = 0
    affordable: int = 0


def where_plan_meets(step: Step, top: Top, plan: int, target: Target, where: slice | Indices) -> BoolArray:
    """Where a plan exists and ends in the window: the conditions of `machining.machined`, without the amounts.

    Parameters
    ----------
    step : Step
    top : Top
    plan : int
        Position in `machining.PLANS`.
    target : Target
    where : slice or array of int
        Positions of the step's vector; they must be admitted.

    Returns
    -------
    array of bool

    Examples
    --------
    >>> from borewright.selection.short_blocks import small_slab
    >>> tables, blocks = small_slab()
    >>> step = next(steps(tables, blocks))
    >>> [where_plan_meets(step, step.tops[1], plan, tables.problem.target, slice(None)).tolist() for plan in range(4)]
    [[False], [True], [True], [False]]
    """
    area, crown, built = (part(x, where) for x in (step.block.area, step.block.crown, step.block.built))
    smallest, wanted, largest = clearance_window(part(step.block.swept, where), target)
    base = crown + part(top.volume, where)
    milled = part(top.milled, where)
    lowest, highest = step.lowest[where], step.highest[where]
    as_built = base + area * built
    must_cut = highest < built - LENGTH_SLACK
    if plan == 0:
        return np.asarray(~must_cut & (as_built >= smallest) & (as_built <= largest))
    if plan == 2:
        return np.asarray(~must_cut & (as_built > wanted) & (as_built - milled <= largest) & (milled > 0.0))
    fully_cut = base + area * lowest
    if plan == 1:
        helps = must_cut | (as_built > wanted)
        return np.asarray(helps & (base + area * highest >= smallest) & (fully_cut <= largest) & (lowest < built))
    helps = must_cut | (as_built - milled > wanted)
    return np.asarray(helps & (fully_cut > wanted) & (fully_cut - milled <= largest) & (lowest < built) & (milled > 0.0))


def _affordable(tables: Tables, step: Step, top: Top, meets: BoolArray) -> int:
    """How many of those that meet the window do so under some plan within the price limit."""
    budget = tables.cost_maximum - top.cost - tables.plan_cost
    ends = np.searchsorted(step.vector.cost, budget, side="right").tolist()
    # Both cuts cost the most: up to there whatever is feasible is affordable. Past the cost of none, nothing is.
    count = int(np.count_nonzero(meets[: ends[3]]))
    if ends[0] > ends[3]:
        some = np.zeros(ends[0] - ends[3], dtype=np.bool_)
        for plan in tables.plans:
            if plan == 3:
                continue
            where = slice(ends[3], ends[plan])
            some[: ends[plan] - ends[3]] |= where_plan_meets(step, top, plan, tables.problem.target, where)
        count += int(np.count_nonzero(some & meets[ends[3] : ends[0]]))
    return count


def _promising(tables: Tables, step: Step, top: Top, meets: BoolArray, found: int, ranking: Ranking) -> Indices:
    """Positions in the vector whose combination could enter the ranking under some plan."""
    if not ranking.full:
        return np.flatnonzero(meets)
    positions: list[Indices] = []
    left = np.flatnonzero(meets) if found <= FEW else None
    for plan in tables.plans:
        operations = PLAN_OPERATIONS[plan]
        spent = top.cost + float(tables.plan_cost[plan])
        for region in ranking.regions(step.vector.forced + operations, step.vector.least_index + top.index):
            cost_to = min(region.cost_to, tables.cost_maximum)
            begin, end = np.searchsorted(step.vector.cost, (region.cost_over - spent, cost_to - spent), side="right").tolist()
            if begin >= end:
                continue
            window = narrowed(tables.problem.target, region.closeness)
            if left is None:
                inside = where_plan_meets(step, top, plan, window, slice(begin, end)) & meets[begin:end]
                positions.append(begin + np.flatnonzero(inside))
            else:
                near = left[(left >= begin) & (left < end)]
                positions.append(near[where_plan_meets(step, top, plan, window, near)])
    return np.unique(np.concatenate(positions)) if positions else np.empty(0, dtype=np.int64)


def _candidates(tables: Tables, plans: Machined, swept: FloatArray, cost: FloatArray, forced: FloatArray, index: Indices) -> Candidates:
    """Every feasible, affordable plan of some combinations, as ranking keys."""
    total = cost + tables.plan_cost[:, None]
    plan, where = np.nonzero(plans.feasible & (total <= tables.cost_maximum))
    ratio = 1.0 + swept[where] / plans.clearance_volume[plan, where]
    return Candidates(
        operations=forced[where] + np.array(PLAN_OPERATIONS, dtype=np.float64)[plan],
        cost=total[plan, where],
        closeness=closeness_ticks(ratio, tables.problem.target),
        index=index[where],
        plan=plan.astype(np.int64),
    )


def _offer(tables: Tables, step: Step, top: Top, positions: Indices, ranking: Ranking) -> None:
    """Solve chosen positions of a step and let the ranking take what it wants."""
    plans = step.solve(top, positions, tables.problem.target)
    swept = np.broadcast_to(part(step.block.swept, positions), positions.shape)
    cost = step.vector.cost[positions] + top.cost
    forced = np.full(positions.shape, float(step.vector.forced))
    ranking.offer(_candidates(tables, plans, swept, cost, forced, step.vector.index[positions] + top.index))


def offer_sample(tables: Tables, blocks: ShortBlocks, ranking: Ranking) -> None:
    """Rank a sample spread evenly over a slab, so that the bar is high before every combination is looked at.

    Parameters
    ----------
    tables : Tables
    blocks : ShortBlocks
    ranking : Ranking

    Examples
    --------
    >>> from borewright.selection.short_blocks import small_slab
    >>> tables, blocks = small_slab()
    >>> ranking = Ranking(("operations", "cost", "closeness"), 1)
    >>> offer_sample(tables, blocks, ranking)
    >>> ranking.full  # four combinations are too few to sample
    False
    """
    heads, pairs = len(tables.head_cost), len(tables.gasket_cost) * len(tables.head_cost)
    size = min(SAMPLE, len(blocks) * pairs // SAMPLE_SHARE)
    if not size:
        return
    number = np.arange(size) * (len(blocks) * pairs) // size
    # Rows walk through the short blocks, and a stride of the golden section spreads the pairs over the rows.
    u, t = number // pairs, (number + np.arange(size) * max(1, round(0.618 * pairs))) % pairs
    g, h = t // heads, t % heads
    ends = deck_ends(blocks.built[u], tables.problem.limits.deck_clearance, tables.cut_maximum)
    lowest, highest = clearance_range(*ends, tables.squish_lowest[g], tables.squish_highest[g])
    admitted = fits_gasket(tables, blocks.bore[u], tables.gasket_bore[g]) & (highest >= lowest - LENGTH_SLACK)
    keep = np.flatnonzero(admitted & fits_head(blocks.bore[u], tables.head_minimum[h], tables.head_maximum[h]))
    u, t, g, h = u[keep], t[keep], g[keep], h[keep]
    plans = machined(
        area=blocks.area[u],
        swept=blocks.swept[u],
        fixed=blocks.crown[u] + (tables.gasket_volume[g] + tables.chamber_volume[h]),
        built=blocks.built[u],
        lowest=lowest[keep],
        highest=highest[keep],
        mill_rate=tables.mill_rate[h],
        mill_maximum=tables.mill_maximum[h],
        target=tables.problem.target,
    )
    cost = blocks.cost[u] + tables.gasket_cost[g] + tables.head_cost[h]
    ranking.offer(_candidates(tables, plans, blocks.swept[u], cost, blocks.forced[u].astype(np.float64), blocks.index[u] * pairs + t))


def scan(tables: Tables, blocks: ShortBlocks, ranking: Ranking, tally: Tally) -> None:
    """Count and rank every combination of a slab.

    Parameters
    ----------
    tables : Tables
    blocks : ShortBlocks
    ranking : Ranking
    tally : Tally

    Examples
    --------
    >>> from borewright.selection.short_blocks import small_slab
    >>> tables, blocks = small_slab()
    >>> ranking, tally = Ranking(("operations", "cost", "closeness"), 1), Tally()
    >>> scan(tables, blocks, ranking, tally)
    >>> ranking.best.index.tolist(), tally.feasible
    ([1], 2)
    """
    offer_sample(tables, blocks, ranking)
    target, limited = tables.problem.target, np.isfinite(tables.cost_maximum)
    for step, admitted in admitting_steps(tables, blocks):
        bounds = step.volume_bounds(target)
        for top in step.tops:
            takes = step.takes_head(top)
            tally.admitted += admitted if takes is None else int(np.count_nonzero(step.admitted & takes))
            meets = reached(top, bounds, takes)
            found = int(np.count_nonzero(meets))
            if not found:
                continue
            tally.feasible += found
            tally.affordable += _affordable(tables, step, top, meets) if limited else found
            positions = _promising(tables, step, top, meets, found, ranking)
            if len(positions):
                _offer(tables, step, top, positions, ranking)


def admitting_steps(tables: Tables, blocks: ShortBlocks) -> Iterator[tuple[Step, int]]:
    """Steps of a slab that gasket bore and squish let something through, and how much.

    Parameters
    ----------
    tables : Tables
    blocks : ShortBlocks

    Returns
    -------
    iterator of tuple of Step and int

    Examples
    --------
    >>> from borewright.selection.short_blocks import small_slab
    >>> tables, blocks = small_slab()
    >>> [admitted for _, admitted in admitting_steps(tables, blocks)]
    [1, 1]
    """
    for step in steps(tables, blocks):
        admitted = int(np.count_nonzero(step.admitted))
        if admitted:
            yield step, admitted
