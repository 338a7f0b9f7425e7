"""One combination on its own: does this piston fit this block, rod and head, and what is the compression."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from borewright.physics.volumes import swept_volume
from borewright.selection import rules
from borewright.selection.demands import PREFER, Places, Preference, Problem, Span
from borewright.selection.machining import PLANS, Machined, assembled, clearance_range, machined
from borewright.selection.outcome import Broken, Choice, Examined, Operation, Work
from borewright.selection.ranking import CLOSENESS_TICKS
from borewright.selection.rules import YES_OR_NO, Floats
from borewright.selection.tables import COST_TICKS, Tables, journal_misses, pin_fits, piston_misses, retention_misses, tabulate

ALONE = slice(0, 1)


def alone(problem: Problem, places: Places) -> Problem:
    """Problem with only the parts at given places of its lists.

    Parameters
    ----------
    problem : Problem
    places : tuple of int
        Crank, rod, piston, gasket, head.

    Returns
    -------
    Problem

    Raises
    ------
    IndexError
        For a place that a list does not have.

    Examples
    --------
    >>> from borewright.selection.example import small_problem
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


def dimensions(problem: Problem, places: Places, deck_cut: float = 0.0, head_mill: float = 0.0) -> dict[str, float]:
    """Keyword arguments of `machining.assembled` for one combination, to be varied by whoever evaluates corners.

    Parameters
    ----------
    problem : Problem
    places : tuple of int
    deck_cut, head_mill : float [m]

    Returns
    -------
    dict of float [m, m2, m3]

    Examples
    --------
    >>> from borewright.selection.example import small_problem
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


def unchecked(problem: Problem) -> tuple[str, ...]:
    """Rules that a combination's part lists leave unknown.

    Parameters
    ----------
    problem : Problem
        With one part in each list.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> unchecked(alone(small_problem(), (0, 0, 0, 0, 0)))
    ('pin-length', 'head-bore', 'counterweight')
    """
    crank, rod, piston, gasket, head = problem.cranks[0], problem.rods[0], problem.pistons[0], problem.gaskets[0], problem.heads[0]
    limits = problem.limits
    unknown = {
        "land-height-for-duty": (limits.top_land is not None and piston.top_land_height is None)
        or (limits.second_land is not None and piston.second_land_height is None),
        "pin-length": piston.pin_length is None,
        "gasket-bore-too-small": gasket.bore is None,
        "head-bore": head.minimum_bore is None and head.maximum_bore is None,
        "pin-diameter-mismatch": rod.small_end_bore is None or piston.pin_diameter is None,
        "journal-mismatch": crank.rod_journal_diameter is None or rod.journal_diameter is None,
        "counterweight": crank.counterweight_radius is None or piston.boss_below_pin is None,
        "squish": gasket.thickness is None,
    }
    return tuple(reason for reason, missing in unknown.items() if missing)


@dataclass(frozen=True, slots=True)
class Stack:
    """One combination's piston at the deck: misses, clearance as built [m], and the range left to it [m].

    Where deck or squish limits cannot be met the range is what the cut alone leaves, so that compression can still be judged.

    Examples
    --------
    >>> zero = np.zeros(1)
    >>> float(Stack(zero, zero, zero, zero, zero).built[0])
    0.0
    """

    deck_miss: Floats
    squish_miss: Floats
    built: Floats
    lowest: Floats
    highest: Floats


def stack_of(tables: Tables) -> Stack:
    """Deck and squish of one combination; squish is judged over what the cut can do where the deck's own limits cannot be met.

    Parameters
    ----------
    tables : Tables
        With one part in each list.

    Returns
    -------
    Stack

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> round(float(stack_of(tabulate(alone(small_problem(), (0, 0, 0, 0, 0)))).built[0]) * 1e3, 6)
    0.5
    """
    block, limits = tables.problem.block, tables.problem.limits.deck_clearance
    built = rules.deck_clearance_as_built(block.deck_height, tables.stroke, tables.rod_length, tables.compression_height)
    deck_miss = rules.deck_stack_miss(built, limits, tables.cut_maximum)
    deepest = built - tables.cut_maximum
    met = bool(deck_miss[0] == 0.0)
    low, high = (np.maximum(deepest, limits.low), np.minimum(built, limits.high)) if met else (deepest, built)
    lowest, highest = clearance_range(low, high, tables.squish_lowest, tables.squish_highest)
    squish_miss = rules.squish_miss(lowest, highest)
    if not met or squish_miss[0] > 0.0:
        lowest, highest = deepest, built
    # A range that is empty by rounding alone is a single clearance.
    lowest = np.minimum(lowest, highest)
    return Stack(deck_miss, squish_miss, built, lowest, highest)


def _ratio(swept: Floats, clearance: Floats) -> Floats:
    """Compression ratio, infinite where the clearance is cut to nothing."""
    left = clearance > 0.0
    return np.where(left, 1.0 + swept / np.where(left, clearance, 1.0), np.inf)


def _cost(tables: Tables, plan: int) -> float:
    """Parts and machining of one combination under a plan [ticks]."""
    parts = tables.crank_cost + tables.rod_cost + tables.piston_cost + tables.gasket_cost + tables.head_cost
    honed = pin_fits(tables, ALONE)[1][0, 0]
    return float(parts[0] + tables.plan_cost[plan]) + (tables.hone_cost if honed else 0.0)


def _plans(tables: Tables, stack: Stack) -> tuple[Machined, Floats, Floats, Floats]:
    """Machining plans of one combination, with its swept volume and the clearance volumes at either end of its reach."""
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


def written_out(tables: Tables, places: Places, plan: int, deck_cut: float, head_mill: float) -> Choice:
    """The one combination of some tables with its cuts, written out.

    Parameters
    ----------
    tables : Tables
        With one part in each list.
    places : tuple of int
        Positions of the parts in the lists the tables were taken from.
    plan : int
        Which of `machining.PLANS` the cuts belong to.
    deck_cut, head_mill : float [m]

    Returns
    -------
    Choice

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> choice = written_out(tabulate(alone(small_problem(), (0, 0, 0, 0, 1))), (0, 0, 0, 0, 1), 1, 0.2e-3, 0.0)
    >>> round(choice.deck_clearance * 1e3, 6), choice.cost
    (0.3, 1120.0)
    """
    problem = tables.problem
    machining, piston, target = problem.machining, problem.pistons[0], problem.target
    _, hone, hone_amount = pin_fits(tables, ALONE)
    amounts: dict[Operation, tuple[float, float]] = {}
    if tables.bored[0]:
        amounts["bore"] = piston.bore - problem.block.bore, machining.bore_price or 0.0
    if hone[0, 0] and machining.small_end_hone is not None:
        amounts["small_end_hone"] = float(hone_amount[0, 0]), machining.small_end_hone.price
    if "deck_cut" in PLANS[plan] and machining.deck_cut is not None:
        amounts["deck_cut"] = deck_cut, machining.deck_cut.price
    if "head_mill" in PLANS[plan] and machining.head_mill is not None:
        amounts["head_mill"] = head_mill, machining.head_mill.price
    build = assembled(**dimensions(problem, (0, 0, 0, 0, 0), deck_cut, head_mill))
    ratio, squish = float(build.compression_ratio), float(build.squish)
    return Choice(
        places=places,
        crank=problem.cranks[0],
        rod=problem.rods[0],
        piston=piston,
        gasket=problem.gaskets[0],
        head=problem.heads[0],
        work=tuple(Work(name, None if np.isnan(amount) else amount, price) for name, (amount, price) in amounts.items()),
        cost=_cost(tables, plan) / COST_TICKS,
        compression_ratio=ratio,
        closeness=abs(ratio - target.value),
        deck_clearance=float(build.deck_clearance),
        squish=None if np.isnan(squish) else squish,
        swept_volume=float(build.swept_volume),
        clearance_volume=float(build.clearance_volume),
        displacement=float(build.swept_volume) * problem.block.cylinders,
        unchecked=unchecked(problem),
    )


def _choice(tables: Tables, places: Places, plans: Machined, plan: int, built: float) -> Choice:
    """One plan of the one combination of some tables, written out."""
    return written_out(tables, places, plan, built - float(plans.deck_clearance[plan, 0]), float(plans.head_mill[plan, 0]))


def chosen(problem: Problem, places: Places, plan: int) -> Choice:
    """One combination under one plan of `machining.PLANS`, written out.

    Parameters
    ----------
    problem : Problem
    places : tuple of int
    plan : int

    Returns
    -------
    Choice

    Examples
    --------
    >>> from borewright.selection.example import small_problem
    >>> [work.operation for work in chosen(small_problem(), (0, 0, 0, 0, 1), 2).work]
    ['head_mill']
    """
    tables = tabulate(alone(problem, places))
    stack = stack_of(tables)
    return _choice(tables, places, _plans(tables, stack)[0], plan, float(stack.built[0]))


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


def examine(problem: Problem, places: Places, prefer: Sequence[Preference] = PREFER) -> Examined:
    """Look at one combination: every rule it breaks, not only the first, and every way of machining that meets the target.

    Parameters
    ----------
    problem : Problem
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
    plans, swept, smallest, largest = _plans(tables, stack)
    reach = Span(float(_ratio(swept, largest)[0]), float(_ratio(swept, smallest)[0]))
    allowed = misses["deck-stack"] == 0.0 and misses["squish"] == 0.0
    feasible = [plan for plan in range(len(PLANS)) if plans.feasible[plan, 0]]
    if not feasible:
        misses["compression-out-of-reach"] = float(rules.compression_miss(reach.low, reach.high, target.low, target.high))
    costs = {plan: _cost(tables, plan) for plan in feasible}
    affordable = [plan for plan in feasible if costs[plan] <= tables.cost_maximum]
    if feasible and not affordable:
        misses["price-limit"] = (min(costs.values()) - tables.cost_maximum) / COST_TICKS
    choices = [_choice(tables, places, plans, plan, float(stack.built[0])) for plan in affordable or feasible] if allowed else []
    choices.sort(key=lambda choice: _rank(choice, prefer))
    broken = tuple(Broken(reason, None if reason in YES_OR_NO else by) for reason, by in misses.items() if by > 0.0)
    return Examined(places, broken, tuple(choices), reach)


def _rank(choice: Choice, prefer: Sequence[Preference]) -> tuple[float, ...]:
    """Ranking key of a plan; sorting is stable, so the order of `PLANS` breaks a tie."""
    keys = {
        "operations": float(choice.operations),
        "cost": round(choice.cost * COST_TICKS),
        "closeness": round(choice.closeness * CLOSENESS_TICKS),
    }
    return tuple(keys[name] for name in prefer)
