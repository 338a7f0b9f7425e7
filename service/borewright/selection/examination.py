"""One combination looked at whole: does this piston fit this block, rod and head, and what is the compression."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from borewright.selection import rules
from borewright.selection.demands import PREFER, Places, Preference, SearchProblem, Span
from borewright.selection.machining import PLANS, ratio_reached
from borewright.selection.outcome import Broken, Combination, Examined
from borewright.selection.pair_rules import journal_misses, pin_fits, piston_misses, retention_misses
from borewright.selection.ranking import CLOSENESS_TICKS
from borewright.selection.rules import YES_OR_NO
from borewright.selection.single import ALONE, alone, plans_of, stack_of
from borewright.selection.tables import COST_TICKS, Tables, tabulate
from borewright.selection.written import cost_of, planned


def _fit_misses(tables: Tables) -> dict[str, float]:
    """What one combination misses of every rule up to the counterweight, in the order of `REASONS`."""
    limits = tables.problem.limits
    misses = {reason: float(miss[0]) for reason, miss in piston_misses(tables).items()}
    misses["gasket-bore-too-small"] = float(rules.gasket_bore_miss(tables.gasket_bore, tables.bore, limits.gasket_overhang)[0])
    misses["head-bore"] = float(rules.head_bore_miss(tables.bore, tables.head_minimum, tables.head_maximum)[0])
    misses["pin-retention"] = float(retention_misses(tables, ALONE)[0, 0])
    pin = float(pin_fits(tables, ALONE)[0][0, 0])
    misses["pin-diameter-mismatch"] = pin if np.isfinite(pin) else 0.0
    misses["journal-mismatch"] = float(journal_misses(tables)[0, 0])
    counterweight = rules.counterweight_miss(
        tables.stroke, tables.rod_length, tables.boss_below_pin, tables.counterweight, limits.counterweight_clearance
    )
    misses["counterweight"] = float(counterweight[0])
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
    >>> from borewright.selection.example import small_problem
    >>> found = examine(small_problem(), (0, 0, 0, 0, 1))
    >>> found.fits, [(plan.operations, plan.cost, round(plan.compression_ratio, 6)) for plan in found.plans]
    (True, [(1, 1110.0, 10.0), (1, 1120.0, 10.0)])
    >>> [broken.reason for broken in examine(small_problem(), (0, 1, 0, 0, 0)).broken]
    ['deck-stack', 'squish', 'compression-out-of-reach']
    """
    tables = tabulate(alone(problem, places))
    target, stack = problem.target, stack_of(tables)
    misses = _fit_misses(tables)
    misses["deck-stack"], misses["squish"] = float(stack.deck_miss[0]), float(stack.squish_miss[0])
    plans, swept, smallest, largest = plans_of(tables, stack)
    reach = Span(float(ratio_reached(swept, largest)[0]), float(ratio_reached(swept, smallest)[0]))
    allowed = misses["deck-stack"] == 0.0 and misses["squish"] == 0.0
    feasible = [plan for plan in range(len(PLANS)) if plans.feasible[plan, 0]]
    if not feasible:
        misses["compression-out-of-reach"] = float(rules.compression_miss(reach.low, reach.high, target.low, target.high))
    costs = {plan: cost_of(tables, plan) for plan in feasible}
    affordable = [plan for plan in feasible if costs[plan] <= tables.cost_maximum]
    if feasible and not affordable:
        misses["price-limit"] = (min(costs.values()) - tables.cost_maximum) / COST_TICKS
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
