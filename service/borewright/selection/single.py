"""One combination on its own: its parts, its sizes, its piston at the deck, and what machining can make of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.physics.fits.clearances import deck_clearance
from borewright.physics.mechanism.volumes import swept_volume
from borewright.selection.demands import Places, SearchProblem
from borewright.selection.machining import Machined, clearance_range, deck_ends, machined
from borewright.selection.misses import deck_miss, squish_miss
from borewright.selection.tables import Tables, tabulate

ALONE = slice(0, 1)
"""The one rod of tables with one part in each list."""


def alone(problem: SearchProblem, places: Places) -> SearchProblem:
    """The problem with only the parts at given places of its lists.

    Parameters
    ----------
    problem : SearchProblem
    places : tuple of int
        Crank, rod, piston, gasket, head.

    Returns
    -------
    SearchProblem

    Raises
    ------
    IndexError
        For a place that a list does not have.

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> alone(small_problem(), (0, 1, 0, 0, 1)).shape
    (1, 1, 1, 1, 1)
    """
    c, r, p, g, h = places
    return replace(
        problem,
        cranks=(problem.cranks[c],),
        rods=(problem.rods[r],),
        pistons=(problem.pistons[p],),
        gaskets=(problem.gaskets[g],),
        heads=(problem.heads[h],),
    )


def dimensions(problem: SearchProblem, places: Places, deck_cut: float = 0.0, head_mill: float = 0.0) -> dict[str, float]:
    """Keyword arguments of `machining.assembled` for one combination, to be varied by whoever evaluates corners.

    Parameters
    ----------
    problem : SearchProblem
    places : tuple of int
    deck_cut, head_mill : float [m]

    Returns
    -------
    dict of float [m, m2, m3]

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.machining import assembled
    >>> build = assembled(**dimensions(small_problem(), (0, 0, 0, 0, 1)))
    >>> round(float(build.compression_ratio), 4)
    9.7885
    """
    tables = tabulate(alone(problem, places))
    thickness = problem.gaskets[places[3]].thickness
    return {
        "bore": float(tables.bore[0]),
        "stroke": float(tables.stroke[0]),
        "rod_length": float(tables.rod_length[0]),
        "compression_height": float(tables.compression_height[0]),
        "deck_height": problem.block.deck_height,
        "crown_volume": float(tables.crown_volume[0]),
        "gasket_volume": float(tables.gasket_volume[0]),
        "gasket_thickness": np.nan if thickness is None else thickness,
        "chamber_volume": float(tables.chamber_volume[0]),
        "mill_rate": float(tables.mill_rate[0]),
        "deck_cut": deck_cut,
        "head_mill": head_mill,
    }


@dataclass(frozen=True, slots=True)
class DeckStack:
    """One combination's piston at the deck: misses, clearance as built [m], and the range left to it [m].

    Where deck or squish limits cannot be met the range is what the cut alone leaves, so that compression can still be judged.

    Examples
    --------
    >>> zero = np.zeros(1)
    >>> float(DeckStack(zero, zero, zero, zero, zero).built[0])
    0.0
    """

    deck_miss: FloatArray
    squish_miss: FloatArray
    built: FloatArray
    lowest: FloatArray
    highest: FloatArray


def stack_of(tables: Tables) -> DeckStack:
    """Deck and squish of one combination; squish is judged over what the cut can do where the deck's own limits cannot be met.

    Parameters
    ----------
    tables : Tables
        With one part in each list.

    Returns
    -------
    DeckStack

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> round(float(stack_of(tabulate(alone(small_problem(), (0, 0, 0, 0, 0)))).built[0]) * 1e3, 6)
    0.5
    """
    block, limits = tables.problem.block, tables.problem.limits.deck_clearance
    built = deck_clearance(block.deck_height, tables.stroke, tables.rod_length, tables.compression_height)
    lacking = deck_miss(built, limits.low, limits.high, tables.cut_maximum)
    deepest = built - tables.cut_maximum
    met = bool(lacking[0] == 0.0)
    low, high = deck_ends(built, limits, tables.cut_maximum) if met else (deepest, built)
    lowest, highest = clearance_range(low, high, tables.squish_lowest, tables.squish_highest)
    apart = squish_miss(lowest, highest)
    if not met or apart[0] > 0.0:
        lowest, highest = deepest, built
    # A range that is empty by rounding alone is a single clearance.
    lowest = np.minimum(lowest, highest)
    return DeckStack(lacking, apart, built, lowest, highest)


def plans_of(tables: Tables, stack: DeckStack) -> tuple[Machined, FloatArray, FloatArray, FloatArray]:
    """Machining plans of one combination, with its swept volume and the clearance volumes at either end of its reach.

    Parameters
    ----------
    tables : Tables
        With one part in each list.
    stack : DeckStack

    Returns
    -------
    tuple of Machined and three arrays [m3]
        Plans; swept volume; smallest and largest clearance volume.

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> tables = tabulate(alone(small_problem(), (0, 0, 0, 0, 1)))
    >>> plans_of(tables, stack_of(tables))[0].feasible[:, 0].tolist()
    [False, True, True, False]
    """
    swept = np.asarray(swept_volume(tables.bore, tables.stroke))
    fixed = tables.crown_volume + (tables.gasket_volume + tables.chamber_volume)
    plans = machined(
        area=tables.area,
        swept=swept,
        fixed=fixed,
        built=stack.built,
        lowest=stack.lowest,
        highest=stack.highest,
        mill_rate=tables.mill_rate,
        mill_maximum=tables.mill_maximum,
        target=tables.problem.target,
    )
    smallest = fixed + tables.area * stack.lowest - tables.mill_rate * tables.mill_maximum
    return plans, swept, smallest, fixed + tables.area * stack.highest
