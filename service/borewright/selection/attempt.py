"""A combination that does not fit, brought by its machining as near to fitting as it goes."""

from __future__ import annotations

import numpy as np

from borewright.physics.mechanism.volumes import swept_volume
from borewright.selection.demands import SearchProblem
from borewright.selection.machining import PLANS
from borewright.selection.outcome import Combination, Examined, Operation
from borewright.selection.rules import LENGTH_SLACK
from borewright.selection.single import DeckStack, alone, stack_of
from borewright.selection.tables import Tables, tabulate
from borewright.selection.written import written_out


def attempt(problem: SearchProblem, examined: Examined) -> Combination:
    """Write out a combination with the machining that serves it best: its best plan, or cuts that come as near as they can.

    Without a plan the deck is cut by the least that meets deck and squish limits, or that comes nearest to them, and further
    only where compression wants it; then the head is milled towards the target.

    Parameters
    ----------
    problem : SearchProblem
    examined : Examined
        One of the problem's combinations, looked at.

    Returns
    -------
    Combination

    Examples
    --------
    >>> from dataclasses import replace
    >>> from borewright.selection.demands import Target
    >>> from borewright.selection.example import small_problem
    >>> from borewright.selection.examination import examine
    >>> high = replace(small_problem(), target=Target(12.0, 11.9, 12.1))
    >>> found = attempt(high, examine(high, (0, 0, 0, 0, 1)))
    >>> [(work.operation, round(work.amount * 1e3, 6)) for work in found.work], round(found.compression_ratio, 3)
    ([('deck_cut', 0.5), ('head_mill', 0.6)], 10.66)
    """
    if examined.plans:
        return examined.plans[0]
    tables = tabulate(alone(problem, examined.places))
    stack = stack_of(tables)
    built, cut = float(stack.built[0]), float(_deck_cut(tables, stack, examined))
    mill = _head_mill(tables, built - cut)
    done: tuple[Operation, ...] = (*(("deck_cut",) if cut > 0.0 else ()), *(("head_mill",) if mill > 0.0 else ()))
    return written_out(tables, examined.places, PLANS.index(done), cut, mill)


def _deck_cut(tables: Tables, stack: DeckStack, examined: Examined) -> float:
    """Depth cut off the deck [m]."""
    built, deck = float(stack.built[0]), tables.problem.limits.deck_clearance
    deepest = built - tables.cut_maximum
    if stack.deck_miss[0] > 0.0:
        return 0.0 if built < deck.low else tables.cut_maximum
    lowest, highest = max(deepest, deck.low), min(built, deck.high)
    if stack.squish_miss[0] > 0.0:
        wide = lowest > tables.squish_highest[0]
    else:
        lowest, highest = float(stack.lowest[0]), float(stack.highest[0])
        wide = examined.reach.high < tables.problem.target.low
    cut = built - (lowest if wide else highest)
    return cut if cut > LENGTH_SLACK else 0.0


def _head_mill(tables: Tables, deck_clearance: float) -> float:
    """Depth milled off the head [m]: to the target, or as far as it goes."""
    rate, most = float(tables.mill_rate[0]), float(tables.mill_maximum[0])
    if not rate * most > 0.0:
        return 0.0
    clearance = float((tables.crown_volume + tables.gasket_volume + tables.chamber_volume + tables.area * deck_clearance)[0])
    wanted = float(np.asarray(swept_volume(tables.bore, tables.stroke))[0]) / (tables.problem.target.value - 1.0)
    mill = min(max((clearance - wanted) / rate, 0.0), most)
    return mill if mill > LENGTH_SLACK else 0.0
