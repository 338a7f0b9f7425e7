"""Short blocks × (gaskets × heads), walked as single parts against whole vectors.

The longer side becomes the vector, sorted by cost, and the shorter side is walked one item at a time, so that work on one step
is a handful of array operations whatever the lists' proportions, and a limit on cost is a prefix of the vector.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.rules.judging import LENGTH_SLACK
from borewright.selection.demands import Target
from borewright.selection.machining import Machined, clearance_range, clearance_window, deck_ends, machined
from borewright.selection.misses import fits_gasket, fits_head
from borewright.selection.short_blocks import SLAB, Indices, ShortBlocks
from borewright.selection.tables import Tables

# About what a core's second-level cache holds of the dozen arrays a step touches.
VECTOR = 1 << 14

Numbers = FloatArray | float


def part(values: Numbers, where: slice | Indices) -> Numbers:
    """Element of a vector, or the one number that stands for all of it.

    Parameters
    ----------
    values : array or float
    where : slice or array of int

    Returns
    -------
    array or float

    Examples
    --------
    >>> part(np.array([1.0, 2.0]), slice(0, 1)).tolist(), part(3.0, slice(0, 1))
    ([1.0], 3.0)
    """
    return values[where] if isinstance(values, np.ndarray) else values


@dataclass(frozen=True, slots=True)
class Top:
    """Gasket and head volume of one pair or of a vector of them, and the milling the head takes.

    `volume` is gasket + chamber, `milled` what milling can take from it; `everywhere` says the head takes every bore of the step.
    `cost` and `index` are what the single side of the step adds.

    Examples
    --------
    >>> Top(70e-6, 5e-6, 0.005, 0.001, 0.0, 1.0, True, 0.0, 0).milled
    5e-06
    """

    volume: Numbers
    milled: Numbers
    mill_rate: Numbers
    mill_maximum: Numbers
    minimum_bore: Numbers
    maximum_bore: Numbers
    everywhere: bool
    cost: float
    index: int


@dataclass(frozen=True, slots=True)
class Columns:
    """A short block's sizes, of one or of a vector of them [m, m2, m3].

    Examples
    --------
    >>> Columns(0.008, 0.1, 700e-6, 5e-6, 0.0005).area
    0.008
    """

    area: Numbers
    bore: Numbers
    swept: Numbers
    crown: Numbers
    built: Numbers


@dataclass(frozen=True, slots=True)
class Vector:
    """What ranks the longer side: ascending cost [ticks], combination number, its least, and operations nothing spares.

    Examples
    --------
    >>> Vector(np.zeros(1), np.zeros(1, dtype=np.int64), 0, 2).forced
    2
    """

    cost: FloatArray
    index: Indices
    least_index: int
    forced: int


@dataclass(frozen=True, slots=True)
class Step:
    """One item of the shorter side against a vector of the longer.

    `lowest` and `highest` are the deck clearances allowed, `admitted` marks what gasket bore and squish let through.

    Examples
    --------
    >>> from borewright.selection.short_blocks import small_slab
    >>> tables, blocks = small_slab()
    >>> [step.admitted.tolist() for step in steps(tables, blocks)]
    [[True], [True]]
    """

    block: Columns
    lowest: FloatArray
    highest: FloatArray
    gasket_fits: BoolArray
    admitted: BoolArray
    all_admitted: bool
    vector: Vector
    tops: tuple[Top, ...]

    def takes_head(self, top: Top) -> BoolArray | None:
        """Where the head takes the bore; None where it does everywhere."""
        return None if top.everywhere else fits_head(self.block.bore, top.minimum_bore, top.maximum_bore)

    def volume_bounds(self, target: Target) -> tuple[FloatArray, FloatArray]:
        """Bounds of what gasket and chamber may hold [m3] for the cut deck to meet the window; none where not admitted."""
        smallest, _, largest = clearance_window(self.block.swept, target)
        low = (smallest - self.block.crown) - self.block.area * self.highest
        high = (largest - self.block.crown) - self.block.area * self.lowest
        return low if self.all_admitted else np.where(self.admitted, low, np.inf), high

    def solve(self, top: Top, positions: Indices, target: Target) -> Machined:
        """Machining plans of chosen positions of the vector."""
        block = self.block
        return machined(
            area=part(block.area, positions),
            swept=part(block.swept, positions),
            fixed=part(block.crown, positions) + part(top.volume, positions),
            built=part(block.built, positions),
            lowest=self.lowest[positions],
            highest=self.highest[positions],
            mill_rate=part(top.mill_rate, positions),
            mill_maximum=part(top.mill_maximum, positions),
            target=target,
        )


def _step(
    tables: Tables,
    block: Columns,
    ends: tuple[FloatArray, FloatArray],
    squish: tuple[Numbers, Numbers, Numbers],
    vector: Vector,
    tops: tuple[Top, ...],
) -> Step:
    """Work out a step's deck clearance range and what of it is admitted."""
    lowest, highest = clearance_range(*ends, squish[0], squish[1])
    fits = fits_gasket(tables, block.bore, squish[2])
    admitted = fits & (highest >= lowest - LENGTH_SLACK)
    return Step(block, lowest, highest, fits, admitted, bool(admitted.all()), vector, tops)


def reached(top: Top, bounds: tuple[FloatArray, FloatArray], takes_head: BoolArray | None) -> BoolArray:
    """Where the reach of deck cut and milling together meets the window behind `bounds`.

    Parameters
    ----------
    top : Top
    bounds : tuple of array [m3]
        `Step.volume_bounds`.
    takes_head : array of bool or None

    Returns
    -------
    array of bool

    Examples
    --------
    >>> top = Top(70e-6, 5e-6, 0.005, 0.001, 0.0, 1.0, True, 0.0, 0)
    >>> reached(top, (np.array([60e-6, 71e-6]), np.array([66e-6, 80e-6])), None).tolist()
    [True, False]
    """
    meets = np.asarray(bounds[0] <= top.volume)
    meets &= bounds[1] >= top.volume - top.milled
    if takes_head is not None:
        meets &= takes_head
    return meets


def _heads_open(tables: Tables, bore: FloatArray) -> BoolArray:
    """Which heads take every one of the bores."""
    return fits_head(float(bore.min()), tables.head_minimum, tables.head_maximum) & fits_head(
        float(bore.max()), tables.head_minimum, tables.head_maximum
    )


def _gasket_tops(tables: Tables, gasket: int, order: list[int], open_heads: BoolArray) -> tuple[Top, ...]:
    """One gasket with every head, cheapest first."""
    return tuple(
        Top(
            volume=float(tables.gasket_volume[gasket] + tables.chamber_volume[head]),
            milled=float(tables.mill_rate[head] * tables.mill_maximum[head]),
            mill_rate=float(tables.mill_rate[head]),
            mill_maximum=float(tables.mill_maximum[head]),
            minimum_bore=float(tables.head_minimum[head]),
            maximum_bore=float(tables.head_maximum[head]),
            everywhere=bool(open_heads[head]),
            cost=float(tables.gasket_cost[gasket] + tables.head_cost[head]),
            index=gasket * len(tables.head_cost) + head,
        )
        for head in order
    )


def _squish_ends(tables: Tables, gaskets: int | Indices) -> tuple[Numbers, Numbers, Numbers]:
    """Deck clearances the squish limits leave with a gasket, and the gasket's bore."""
    return tables.squish_lowest[gaskets], tables.squish_highest[gaskets], tables.gasket_bore[gaskets]


def _vectors_of_short_blocks(tables: Tables, blocks: ShortBlocks) -> Iterator[Step]:
    """Each gasket in turn against vectors of short blocks."""
    pairs = len(tables.gasket_cost) * len(tables.head_cost)
    open_heads = _heads_open(tables, blocks.bore)
    head_order = np.argsort(tables.head_cost, kind="stable").tolist()
    gasket_order = np.argsort(tables.gasket_cost, kind="stable").tolist()
    tops = {gasket: _gasket_tops(tables, gasket, head_order, open_heads) for gasket in gasket_order}
    changes = (np.flatnonzero(np.diff(blocks.forced)) + 1).tolist()
    limits = tables.problem.limits.deck_clearance
    for begin, end in zip([0, *changes], [*changes, len(blocks)], strict=True):
        for start in range(begin, end, VECTOR):
            where = slice(start, min(start + VECTOR, end))
            columns = Columns(*(x[where] for x in (blocks.area, blocks.bore, blocks.swept, blocks.crown, blocks.built)))
            ends, index = deck_ends(columns.built, limits, tables.cut_maximum), blocks.index[where] * pairs
            vector = Vector(blocks.cost[where], index, int(index.min()), int(blocks.forced[start]))
            for gasket in gasket_order:
                yield _step(tables, columns, ends, _squish_ends(tables, gasket), vector, tops[gasket])


def _vectors_of_tops(tables: Tables, blocks: ShortBlocks) -> Iterator[Step]:
    """Each short block in turn against vectors of gasket-head pairs."""
    gaskets, heads, limits = len(tables.gasket_cost), len(tables.head_cost), tables.problem.limits.deck_clearance
    every_head_open = bool(_heads_open(tables, blocks.bore).all())
    columns = [Columns(*row) for row in zip(*(getattr(blocks, name).tolist() for name in Columns.__slots__), strict=True)]
    costs, places, forced = blocks.cost.tolist(), blocks.index.tolist(), blocks.forced.tolist()
    for start in range(0, gaskets * heads, SLAB):
        pair = np.arange(start, min(start + SLAB, gaskets * heads))
        cost = tables.gasket_cost[pair // heads] + tables.head_cost[pair % heads]
        order = np.argsort(cost, kind="stable")
        pair, cost = pair[order], cost[order]
        for begin in range(0, len(pair), VECTOR):
            index = pair[begin : begin + VECTOR]
            g, h = index // heads, index % heads
            rate, depth, squish = tables.mill_rate[h], tables.mill_maximum[h], _squish_ends(tables, g)
            volume, minimum, maximum = tables.gasket_volume[g] + tables.chamber_volume[h], tables.head_minimum[h], tables.head_maximum[h]
            least, milled, vector_cost = int(index.min()), rate * depth, cost[begin : begin + VECTOR]
            for i, single in enumerate(columns):
                top = Top(volume, milled, rate, depth, minimum, maximum, every_head_open, costs[i], places[i] * gaskets * heads)
                vector = Vector(vector_cost, index, least, forced[i])
                yield _step(tables, single, deck_ends(single.built, limits, tables.cut_maximum), squish, vector, (top,))


def steps(tables: Tables, blocks: ShortBlocks) -> Iterator[Step]:
    """Walk every combination of a slab of short blocks with the gaskets and heads.

    Parameters
    ----------
    tables : Tables
    blocks : ShortBlocks

    Returns
    -------
    iterator of Step

    Examples
    --------
    >>> from borewright.selection.short_blocks import small_slab
    >>> tables, blocks = small_slab()
    >>> sum(len(step.vector.index) * len(step.tops) for step in steps(tables, blocks))
    4
    """
    pairs = len(tables.gasket_cost) * len(tables.head_cost)
    return _vectors_of_short_blocks(tables, blocks) if len(blocks) >= pairs else _vectors_of_tops(tables, blocks)
