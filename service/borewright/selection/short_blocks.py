"""Cranks, rods and pistons joined: the rules that need no gasket or head, and the short blocks that keep them.

A rule that turns a pair of parts away turns away every combination holding the pair, so rejections are counted by multiplying.
Short blocks come in slabs of bounded size, each sorted by machining they cannot do without and by cost.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.fits.clearances import deck_clearance
from borewright.physics.mechanism.volumes import swept_volume
from borewright.selection.demands import small_problem
from borewright.selection.misses import (
    counterweight_misses,
    deck_miss,
    gaskets_that_fit,
    heads_that_fit,
    journal_misses,
    pin_pairs,
    piston_misses,
)
from borewright.selection.tables import Tables, tabulate

Indices = NDArray[np.int64]

SLAB = 1 << 19


@dataclass(frozen=True, slots=True)
class Joined:
    """Which pistons and which crank-rod pairs are still in, and what has been rejected on the way.

    `weight` is how many gasket-head pairs go with each piston, 0 for one that is out; `rod_weight` the same over the pistons
    whose pin suits each rod.

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> tables = tabulate(small_problem())
    >>> join(tables).rod_weight.tolist()
    [4.0, 4.0]
    """

    weight: FloatArray
    rod_weight: FloatArray
    journal_fits: BoolArray
    rejected: Counter[str]


@dataclass(frozen=True, slots=True)
class ShortBlocks:
    """A slab of short blocks as columns; `index` numbers crank × rod × piston in list order.

    `forced` counts the operations none of them can do without (bore, hone), `cost` includes their price [ticks].

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> tables = tabulate(small_problem())
    >>> next(short_blocks(tables, join(tables), Passage())).forced.tolist()
    [0, 1]
    """

    area: FloatArray
    bore: FloatArray
    swept: FloatArray
    crown: FloatArray
    built: FloatArray
    cost: FloatArray
    index: Indices
    forced: NDArray[np.int8]

    def __len__(self) -> int:
        return len(self.index)


@dataclass(slots=True)
class Passage:
    """Tally of what reaches the rules that come after the short blocks.

    Examples
    --------
    >>> Passage().reaching
    0
    """

    rejected: Counter[str] = field(default_factory=Counter)
    reaching: int = 0


def _rod_chunks(tables: Tables) -> Iterator[slice]:
    """Runs of rods whose table against every piston stays within a slab."""
    step = max(1, SLAB // max(1, len(tables.bore)))
    for start in range(0, len(tables.rod_length), step):
        yield slice(start, min(start + step, len(tables.rod_length)))


def join(tables: Tables) -> Joined:
    """Apply the rules of one part and of two, in the order of `REASONS`, counting what each rejects.

    Parameters
    ----------
    tables : Tables

    Returns
    -------
    Joined

    Examples
    --------
    >>> from borewright.selection.demands import SearchProblem, Target
    >>> from borewright.selection.candidates import Block, Piston
    >>> from borewright.selection.tables import tabulate
    >>> block = Block(deck_height=0.229, bore=0.1, maximum_bore=0.101, cylinders=8)
    >>> join(tabulate(SearchProblem(block, (), (), (Piston("p", 0.1, 0.04),), (), (), Target(10.0, 9.5, 10.5)))).weight.tolist()
    [0.0]
    """
    cranks, rods, _, gaskets, heads = tables.problem.shape
    rejected: Counter[str] = Counter()
    inside = np.ones(len(tables.bore), dtype=np.bool_)
    for reason, miss in piston_misses(tables).items():
        rejected[reason] = int(np.count_nonzero(inside & (miss > 0.0))) * cranks * rods * gaskets * heads
        inside &= miss == 0.0
    with_gasket, with_head = np.where(inside, gaskets_that_fit(tables), 0.0), heads_that_fit(tables)
    rejected["bore-to-gasket-clearance"] = int(np.sum(gaskets - with_gasket[inside])) * cranks * rods * heads
    rejected["head-bore"] = int(np.sum(with_gasket * (heads - with_head))) * cranks * rods
    weight = with_gasket * with_head
    rod_weight = np.zeros(rods)
    for chunk in _rod_chunks(tables):
        misses = pin_pairs(tables, chunk).misses
        fits = np.ones((chunk.stop - chunk.start, len(tables.bore)), dtype=np.bool_)
        for reason, miss in misses.items():
            rejected[reason] += int(np.sum((fits & (miss > 0.0)) @ weight)) * cranks
            fits &= miss == 0.0
        rod_weight[chunk] = fits @ weight
    journal_fits = np.ones((cranks, rods), dtype=np.bool_)
    for reason, miss in journal_misses(tables).items():
        rejected[reason] = int(np.sum((journal_fits & (miss > 0.0)) @ rod_weight))
        journal_fits &= miss == 0.0
    return Joined(weight, rod_weight, journal_fits, rejected)


@dataclass(frozen=True, slots=True)
class Triples:
    """Cranks × rods × pistons whose parts go together, as misses of the two rules that need all three.

    `inside` marks those that keep the rules before; the other arrays have its shape, crank first.

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> tables = tabulate(small_problem())
    >>> next(triples(tables, join(tables))).inside.tolist()
    [[[True, True], [True, True]]]
    """

    cranks: slice
    rods: slice
    inside: BoolArray
    hone: BoolArray
    built: FloatArray
    counterweight_miss: FloatArray
    deck_miss: FloatArray


def triples(tables: Tables, joined: Joined) -> Iterator[Triples]:
    """Walk cranks × rods × pistons in pieces of bounded size.

    Parameters
    ----------
    tables : Tables
    joined : Joined

    Returns
    -------
    iterator of Triples

    Examples
    --------
    >>> from borewright.selection.demands import SearchProblem, Target
    >>> from borewright.selection.candidates import Block
    >>> from borewright.selection.tables import tabulate
    >>> block = Block(deck_height=0.229, bore=0.1, maximum_bore=0.101, cylinders=8)
    >>> tables = tabulate(SearchProblem(block, (), (), (), (), (), Target(10.0, 9.5, 10.5)))
    >>> list(triples(tables, join(tables)))
    []
    """
    limits, block = tables.problem.limits, tables.problem.block
    pistons = len(tables.bore)
    for rods in _rod_chunks(tables):
        pairs = pin_pairs(tables, rods)
        fits = pairs.fits & (joined.weight > 0.0)
        step = max(1, SLAB // max(1, (rods.stop - rods.start) * pistons))
        for start in range(0, len(tables.stroke), step):
            cranks = slice(start, min(start + step, len(tables.stroke)))
            inside = fits & joined.journal_fits[cranks, rods, None]
            if not inside.any():
                continue
            stroke, length = tables.stroke[cranks, None, None], tables.rod_length[rods, None]
            built = deck_clearance(block.deck_height, stroke, length, tables.compression_height)
            yield Triples(
                cranks,
                rods,
                inside,
                np.broadcast_to(pairs.hone, inside.shape),
                built,
                counterweight_misses(tables, cranks, stroke, length),
                deck_miss(built, limits.deck_clearance.low, limits.deck_clearance.high, tables.cut_maximum),
            )


def short_blocks(tables: Tables, joined: Joined, passage: Passage) -> Iterator[ShortBlocks]:
    """Walk the short blocks that keep every rule of their own, slab by slab, tallying the others into `passage`.

    Parameters
    ----------
    tables : Tables
    joined : Joined
    passage : Passage

    Returns
    -------
    iterator of ShortBlocks

    Examples
    --------
    >>> from borewright.selection.demands import SearchProblem, Target
    >>> from borewright.selection.candidates import Block
    >>> from borewright.selection.tables import tabulate
    >>> block = Block(deck_height=0.229, bore=0.1, maximum_bore=0.101, cylinders=8)
    >>> tables = tabulate(SearchProblem(block, (), (), (), (), (), Target(10.0, 9.5, 10.5)))
    >>> list(short_blocks(tables, join(tables), Passage()))
    []
    """
    rods, pistons = len(tables.rod_length), len(tables.bore)
    for piece in triples(tables, joined):
        clears = piece.inside & (piece.counterweight_miss == 0.0)
        passes = clears & (piece.deck_miss == 0.0)
        passage.rejected["counterweight-to-boss"] += int(np.sum((piece.inside & ~clears) @ joined.weight))
        passage.rejected["deck-clearance"] += int(np.sum((clears & ~passes) @ joined.weight))
        passage.reaching += int(np.sum(passes @ joined.weight))
        c, r, p = (axis.astype(np.int64) for axis in np.nonzero(passes))
        if not len(p):
            continue
        hone = piece.hone[c, r, p]
        built = piece.built[c, r, p]
        c, r = c + piece.cranks.start, r + piece.rods.start
        cost = tables.crank_cost[c] + tables.rod_cost[r] + tables.piston_cost[p] + np.where(hone, tables.hone_cost, 0.0)
        forced = tables.bored[p].astype(np.int8) + hone
        order = np.lexsort((cost, forced))
        c, r, p = c[order], r[order], p[order]
        yield ShortBlocks(
            area=tables.area[p],
            bore=tables.bore[p],
            swept=np.asarray(swept_volume(tables.bore[p], tables.stroke[c])),
            crown=tables.crown_volume[p],
            built=built[order],
            cost=cost[order],
            index=(c * rods + r) * pistons + p,
            forced=forced[order],
        )


def small_slab() -> tuple[Tables, ShortBlocks]:
    """Tables and the only slab of short blocks of `small_problem`.

    Returns
    -------
    tuple of Tables and ShortBlocks

    Examples
    --------
    >>> len(small_slab()[1])
    2
    """
    tables = tabulate(small_problem())
    return tables, next(short_blocks(tables, join(tables), Passage()))
