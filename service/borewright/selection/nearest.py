"""What came closest when nothing fits: for every rule that turned combinations away, the one it turned away by the least.

A combination belongs to the first rule it breaks. Ties go to the earlier places in the lists.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.selection.demands import Places, SearchProblem, Target
from borewright.selection.examination import examine
from borewright.selection.lattice import part, reached, steps
from borewright.selection.machining import clearance_window, ratio_reached
from borewright.selection.misses import (
    REASONS,
    compression_miss,
    fits_gasket,
    fits_head,
    gasket_misses,
    gaskets_that_fit,
    head_misses,
    journal_misses,
    pin_pairs,
    piston_misses,
    squish_miss,
)
from borewright.selection.outcome import Miss
from borewright.selection.ranking import CLOSENESS_TICKS, Ranking
from borewright.selection.scan import Tally, scan
from borewright.selection.short_blocks import Indices, Joined, Passage, short_blocks, triples
from borewright.selection.tables import Tables

# Misses are compared in whole billionths (of a meter, of a ratio), so that rounding does not choose between equals.
MISS_TICKS = CLOSENESS_TICKS


class Closest:
    """The smallest miss met so far and the number of its combination.

    Examples
    --------
    >>> closest = Closest()
    >>> closest.offer(np.array([2e-3, 1e-3, 1e-3]), np.array([4, 9, 7]))
    >>> closest.index
    7
    """

    def __init__(self) -> None:
        self.ticks = np.inf
        self.index = -1

    def offer(self, miss: FloatArray, index: Indices) -> None:
        """Take in the smallest of some misses, the first in number of those that tie."""
        if not len(miss):
            return
        ticks = np.rint(miss * MISS_TICKS)
        least = float(ticks.min())
        number = int(index[ticks == least].min())
        if least < self.ticks or (least == self.ticks and number < self.index):
            self.ticks, self.index = least, number


@dataclass(frozen=True, slots=True)
class Firsts:
    """For each piston, the first gasket and the first head that take it; meaningless where none does.

    Examples
    --------
    >>> Firsts(np.array([0]), np.array([2])).head.tolist()
    [2]
    """

    gasket: Indices
    head: Indices


def _firsts(tables: Tables) -> Firsts:
    """First gasket and head that take each piston's bore."""
    gasket, head = np.zeros(len(tables.bore), dtype=np.int64), np.zeros(len(tables.bore), dtype=np.int64)
    for g in reversed(range(len(tables.gasket_bore))):
        gasket[fits_gasket(tables, tables.bore, float(tables.gasket_bore[g]))] = g
    for h in reversed(range(len(tables.head_cost))):
        head[fits_head(tables.bore, float(tables.head_minimum[h]), float(tables.head_maximum[h]))] = h
    return Firsts(gasket, head)


def _number(tables: Tables, c: Indices | int, r: Indices | int, p: Indices | int, g: Indices | int, h: Indices | int) -> Indices:
    """Number of combinations in list order."""
    _, rods, pistons, gaskets, heads = tables.problem.shape
    return np.asarray((((np.asarray(c, dtype=np.int64) * rods + r) * pistons + p) * gaskets + g) * heads + h)


def places_of(problem: SearchProblem, number: int) -> Places:
    """Places in the five lists of a combination by its number.

    Parameters
    ----------
    problem : SearchProblem
    number : int

    Returns
    -------
    tuple of int

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> places_of(small_problem(), 5)
    (0, 1, 0, 0, 1)
    """
    c, r, p, g, h = (int(place) for place in np.unravel_index(number, problem.shape))
    return c, r, p, g, h


def _of_one_part(tables: Tables) -> dict[str, Closest]:
    """Closest for the rules of a piston alone, with a gasket, with a head."""
    closest = {}
    inside = np.ones(len(tables.bore), dtype=np.bool_)
    for reason, miss in piston_misses(tables).items():
        closest[reason] = Closest()
        p = np.flatnonzero(inside & (miss > 0.0))
        closest[reason].offer(miss[p], _number(tables, 0, 0, p, 0, 0))
        inside &= miss == 0.0
    closest["bore-to-gasket-clearance"], closest["head-bore"] = Closest(), Closest()
    for g, gasket_bore in enumerate(tables.gasket_bore.tolist()):
        p = np.flatnonzero(inside & ~fits_gasket(tables, tables.bore, gasket_bore))
        miss = gasket_misses(tables, tables.bore[p], gasket_bore)
        closest["bore-to-gasket-clearance"].offer(miss, _number(tables, 0, 0, p, g, 0))
    inside &= gaskets_that_fit(tables) > 0.0
    first = _firsts(tables).gasket
    for h, (low, high) in enumerate(zip(tables.head_minimum.tolist(), tables.head_maximum.tolist(), strict=True)):
        p = np.flatnonzero(inside & ~fits_head(tables.bore, low, high))
        closest["head-bore"].offer(head_misses(tables.bore[p], low, high), _number(tables, 0, 0, p, first[p], h))
    return closest


def _of_the_bottom_end(tables: Tables, joined: Joined) -> dict[str, Closest]:
    """Closest for the rules of rods with pistons, cranks with rods, and of all three."""
    names = REASONS[REASONS.index("pin-retention") : REASONS.index("deck-clearance") + 1]
    closest = {name: Closest() for name in names}
    firsts, journals = _firsts(tables), journal_misses(tables)
    for start in range(len(tables.rod_length)):
        pistons = joined.weight > 0.0
        for name, misses in pin_pairs(tables, slice(start, start + 1)).misses.items():
            miss = misses[0]
            p = np.flatnonzero(pistons & (miss > 0.0))
            closest[name].offer(miss[p], _number(tables, 0, start, p, firsts.gasket[p], firsts.head[p]))
            pistons = pistons & (miss == 0.0)
        p = np.flatnonzero(pistons)[:1]
        cranks = np.full(len(tables.stroke), len(p) > 0)
        for name, misses in journals.items():
            miss = misses[:, start]
            c = np.flatnonzero(cranks & (miss > 0.0))
            if len(c):
                closest[name].offer(miss[c], _number(tables, c, start, p, firsts.gasket[p], firsts.head[p]))
            cranks = cranks & (miss == 0.0)
    for piece in triples(tables, joined):
        clears = piece.inside & (piece.counterweight_miss == 0.0)
        for name, miss, among in (
            ("counterweight-to-boss", piece.counterweight_miss, piece.inside),
            ("deck-clearance", piece.deck_miss, clears),
        ):
            c, r, p = np.nonzero(among & (miss > 0.0))
            number = _number(tables, c + piece.cranks.start, r + piece.rods.start, p, firsts.gasket[p], firsts.head[p])
            closest[name].offer(miss[c, r, p], number)
    return closest


def _of_the_squish(tables: Tables, joined: Joined) -> Closest:
    """Closest of the combinations that no allowed deck clearance suits."""
    closest = Closest()
    for blocks in short_blocks(tables, joined, Passage()):
        for step in steps(tables, blocks):
            out = step.gasket_fits & ~step.admitted
            miss = np.where(out, squish_miss(step.lowest, step.highest), np.inf)
            if not out.any() or np.rint(miss.min() * MISS_TICKS) > closest.ticks:
                continue
            for top in step.tops:
                takes = step.takes_head(top)
                i = np.flatnonzero(out if takes is None else out & takes)
                closest.offer(miss[i], step.vector.index[i] + top.index)
    return closest


def _of_the_compression(tables: Tables, joined: Joined) -> Closest:
    """Closest of the combinations whose reach stays outside the window: the window is widened to the best miss so far."""
    closest, target = Closest(), tables.problem.target
    for blocks in short_blocks(tables, joined, Passage()):
        for step in steps(tables, blocks):
            for top in step.tops:
                i = np.flatnonzero(reached(top, step.volume_bounds(_widened(target, closest.ticks)), step.takes_head(top)))
                if len(i):
                    fixed = part(step.block.crown, i) + part(top.volume, i)
                    area, swept = part(step.block.area, i), part(step.block.swept, i)
                    largest = fixed + area * step.highest[i]
                    smallest = fixed + area * step.lowest[i] - part(top.milled, i)
                    miss = compression_miss(ratio_reached(swept, largest), ratio_reached(swept, smallest), target.low, target.high)
                    low, _, high = clearance_window(swept, target)
                    out = (largest < low) | (smallest > high)
                    closest.offer(miss[out], step.vector.index[i[out]] + top.index)
    return closest


def _widened(target: Target, ticks: float) -> Target:
    """Target with a window wider at both ends by a miss; for no miss yet, one that holds nearly every engine."""
    by = min((ticks + 1.0) / MISS_TICKS, 1e6)
    return Target(target.value, max(1.0 + 1e-6, target.low - by), target.high + by)


def _of_the_price(tables: Tables, joined: Joined) -> Closest:
    """Cheapest combination of all that fit but for the price."""
    closest, ranking = Closest(), Ranking(("cost",), 1)
    for blocks in short_blocks(tables, joined, Passage()):
        scan(replace(tables, cost_maximum=np.inf), blocks, ranking, Tally())
    closest.offer(ranking.best.cost / MISS_TICKS, ranking.best.index)
    return closest


def nearest_misses(tables: Tables, joined: Joined, rejected: Mapping[str, int]) -> tuple[Miss, ...]:
    """Closest miss of every rule that turned combinations away, the rule furthest along `REASONS` first.

    Parameters
    ----------
    tables : Tables
    joined : Joined
    rejected : mapping of str to int

    Returns
    -------
    tuple of Miss

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.search import search
    >>> outcome = search(replace(small_problem(), target=Target(12.0, 11.9, 12.1)))
    >>> [(miss.reason, round(miss.by, 3), miss.combination.places) for miss in outcome.nearest]
    [('compression-target', 1.24, (0, 0, 0, 0, 1)), ('deck-clearance', 0.007, (0, 1, 0, 0, 0))]
    """
    closest = _of_one_part(tables) | _of_the_bottom_end(tables, joined)
    if rejected.get("squish"):
        closest["squish"] = _of_the_squish(tables, joined)
    if rejected.get("compression-target"):
        closest["compression-target"] = _of_the_compression(tables, joined)
    if rejected.get("cost"):
        closest["cost"] = _of_the_price(tables, joined)
    misses = []
    for reason in reversed(REASONS):
        if rejected.get(reason) and closest[reason].index >= 0:
            combination = examine(tables.problem, places_of(tables.problem, closest[reason].index))
            by = next((broken.by for broken in combination.broken if broken.reason == reason), None)
            misses.append(Miss(reason, by, combination))
    return tuple(misses)
