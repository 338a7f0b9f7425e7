"""One combination looked at whole: does this piston fit this block, rod and head, what is the compression, how near does it come."""

from __future__ import annotations

from collections.abc import Sequence

from borewright.physics.mechanism.volumes import swept_volume
from borewright.rules.judging import LENGTH_SLACK
from borewright.selection.demands import PREFER, Places, Preference, SearchProblem, Span
from borewright.selection.machining import PLANS, ratio_reached
from borewright.selection.misses import (
    YES_OR_NO,
    compression_miss,
    counterweight_misses,
    gasket_misses,
    head_misses,
    journal_misses,
    pin_pairs,
    piston_misses,
)
from borewright.selection.outcome import Broken, Combination, Examined, Operation
from borewright.selection.ranking import CLOSENESS_TICKS
from borewright.selection.single import ALONE, DeckStack, alone, plans_of, stack_of
from borewright.selection.tables import COST_TICKS, Tables, tabulate
from borewright.selection.written import cost_of, planned, written_out


def _fit_misses(tables: Tables) -> dict[str, float]:
    """What one combination misses of every rule up to the counterweight, in the order of `REASONS`."""
    misses = {reason: float(miss[0]) for reason, miss in piston_misses(tables).items()}
    misses["bore-to-gasket-clearance"] = float(gasket_misses(tables, tables.bore, tables.gasket_bore)[0])
    misses["head-bore"] = float(head_misses(tables.bore, tables.head_minimum, tables.head_maximum)[0])
    for pairs in (pin_pairs(tables, ALONE).misses, journal_misses(tables)):
        misses |= {reason: float(miss[0, 0]) for reason, miss in pairs.items()}
    stroke, length = tables.stroke[:, None, None], tables.rod_length[:, None]
    misses["counterweight-to-boss"] = float(counterweight_misses(tables, ALONE, stroke, length)[0, 0, 0])
    return misses


def examine(problem: SearchProblem, places: Places, prefer: Sequence[Preference] = PREFER) -> Examined:
    """Look at one combination: every rule it breaks, not only the first, and every way of machining that meets the target.

    Parameters
    ----------
    problem : SearchProblem
    places : tuple of int
        Positions of crank, rod, piston, gasket and head in their lists.
    prefer : sequence of str
        Order the plans are ranked in.

    Returns
    -------
    Examined
        Its plans are those within the price limit; all that meet the target where none is.

    Raises
    ------
    IndexError
        For a place that a list does not have.

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> found = examine(small_problem(), (0, 0, 0, 0, 1))
    >>> found.fits, [(plan.operations, plan.cost, round(plan.compression_ratio, 6)) for plan in found.plans]
    (True, [(1, 1110.0, 10.0), (1, 1120.0, 10.0)])
    >>> [broken.reason for broken in examine(small_problem(), (0, 1, 0, 0, 0)).broken]
    ['deck-clearance', 'squish', 'compression-target']
    """
    tables = tabulate(alone(problem, places))
    target, stack = problem.target, stack_of(tables)
    misses = _fit_misses(tables)
    misses["deck-clearance"], misses["squish"] = float(stack.deck_miss[0]), float(stack.squish_miss[0])
    plans, swept, smallest, largest = plans_of(tables, stack)
    reach = Span(float(ratio_reached(swept, largest)[0]), float(ratio_reached(swept, smallest)[0]))
    allowed = misses["deck-clearance"] == 0.0 and misses["squish"] == 0.0
    feasible = [plan for plan in range(len(PLANS)) if plans.feasible[plan, 0]]
    if not feasible:
        misses["compression-target"] = float(compression_miss(reach.low, reach.high, target.low, target.high))
    costs = {plan: cost_of(tables, plan) for plan in feasible}
    affordable = [plan for plan in feasible if costs[plan] <= tables.cost_maximum]
    if feasible and not affordable:
        misses["cost"] = (min(costs.values()) - tables.cost_maximum) / COST_TICKS
    choices = [planned(tables, places, plans, plan, float(stack.built[0])) for plan in affordable or feasible] if allowed else []
    choices.sort(key=lambda choice: _rank(choice, prefer))
    broken = tuple(Broken(reason, None if reason in YES_OR_NO else by) for reason, by in misses.items() if by > 0.0)
    return Examined(places, broken, tuple(choices), reach)


def _rank(choice: Combination, prefer: Sequence[Preference]) -> tuple[float, ...]:
    """Ranking key of a plan; sorting is stable, so the order of `PLANS` breaks a tie."""
    keys = {
        "operations": float(choice.operations),
        "cost": round(choice.cost * COST_TICKS),
        "closeness": round(choice.closeness * CLOSENESS_TICKS),
    }
    return tuple(keys[name] for name in prefer)


def attempt(problem: SearchProblem, examined: Examined) -> Combination:
    """Write out a combination with the machining that serves it best: its best plan, or cuts that come as near as they can.

    Without a plan the deck is cut by the least that meets deck and squish limits, or that comes nearest to them, and further
    only where compression wants it; then the head is milled toward the target.

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
    >>> from borewright.selection.demands import small_problem
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
    wanted = float(swept_volume(tables.bore, tables.stroke)[0]) / (tables.problem.target.value - 1.0)
    mill = min(max((clearance - wanted) / rate, 0.0), most)
    return mill if mill > LENGTH_SLACK else 0.0
