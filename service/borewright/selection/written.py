"""One combination with its machining, written out as a choice."""

from __future__ import annotations

import numpy as np

from borewright.selection.demands import Places, SearchProblem
from borewright.selection.machining import PLANS, Machined, assembled
from borewright.selection.misses import pin_pairs
from borewright.selection.outcome import Combination, Operation, Work
from borewright.selection.single import ALONE, alone, dimensions, plans_of, stack_of
from borewright.selection.tables import COST_TICKS, Tables, tabulate


def unchecked(problem: SearchProblem) -> tuple[str, ...]:
    """Rules that a combination's part lists leave unknown.

    Parameters
    ----------
    problem : SearchProblem
        With one part in each list.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> unchecked(alone(small_problem(), (0, 0, 0, 0, 0)))
    ('head-bore', 'pin-end-room', 'counterweight-to-boss')
    """
    crank, rod, piston, gasket, head = problem.cranks[0], problem.rods[0], problem.pistons[0], problem.gaskets[0], problem.heads[0]
    limits = problem.limits
    floats = piston.retainer_thickness is None and not (rod.pin_retention == "press" and "press" in piston.pin_retentions)
    unknown = {
        "top-land": limits.top_land is not None and piston.top_land_height is None,
        "second-land": limits.second_land is not None and piston.second_land_height is None,
        "bore-to-gasket-clearance": gasket.bore is None and gasket.area is None,
        "head-bore": head.minimum_bore is None and head.maximum_bore is None,
        "pin-fit": rod.small_end_bore is None or piston.pin_diameter is None,
        "pin-end-room": piston.pin_length is None or piston.pin_diameter is None or floats,
        "journal-diameter": crank.rod_journal_diameter is None or rod.journal_diameter is None,
        "counterweight-to-boss": crank.counterweight_radius is None or piston.boss_below_pin is None,
        "squish": gasket.thickness is None,
    }
    return tuple(reason for reason, missing in unknown.items() if missing)


def cost_of(tables: Tables, plan: int) -> float:
    """Price of the parts and the machining of one combination under a plan.

    Parameters
    ----------
    tables : Tables
        With one part in each list.
    plan : int
        Position in `machining.PLANS`.

    Returns
    -------
    float [cost ticks]

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> cost_of(tabulate(alone(small_problem(), (0, 0, 0, 0, 1))), 1) / COST_TICKS
    1120.0
    """
    parts = tables.crank_cost + tables.rod_cost + tables.piston_cost + tables.gasket_cost + tables.head_cost
    honed = pin_pairs(tables, ALONE).hone[0, 0]
    return float(parts[0] + tables.plan_cost[plan]) + (tables.hone_cost if honed else 0.0)


def written_out(tables: Tables, places: Places, plan: int, deck_cut: float, head_mill: float) -> Combination:
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
    Combination

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> choice = written_out(tabulate(alone(small_problem(), (0, 0, 0, 0, 1))), (0, 0, 0, 0, 1), 1, 0.2e-3, 0.0)
    >>> round(choice.deck_clearance * 1e3, 6), choice.cost
    (0.3, 1120.0)
    """
    problem = tables.problem
    machining, piston, target = problem.machining, problem.pistons[0], problem.target
    pairs = pin_pairs(tables, ALONE)
    amounts: dict[Operation, tuple[float, float]] = {}
    if tables.bored[0]:
        amounts["bore"] = piston.bore - problem.block.bore, machining.bore_price or 0.0
    if pairs.hone[0, 0] and machining.small_end_hone is not None:
        amounts["small_end_hone"] = float(pairs.amount[0, 0]), machining.small_end_hone.price
    if "deck_cut" in PLANS[plan] and machining.deck_cut is not None:
        amounts["deck_cut"] = deck_cut, machining.deck_cut.price
    if "head_mill" in PLANS[plan] and machining.head_mill is not None:
        amounts["head_mill"] = head_mill, machining.head_mill.price
    build = assembled(**dimensions(problem, (0, 0, 0, 0, 0), deck_cut, head_mill))
    ratio, squish = float(build.compression_ratio), float(build.squish)
    return Combination(
        places=places,
        crank=problem.cranks[0],
        rod=problem.rods[0],
        piston=piston,
        gasket=problem.gaskets[0],
        head=problem.heads[0],
        work=tuple(Work(name, None if np.isnan(amount) else amount, price) for name, (amount, price) in amounts.items()),
        cost=cost_of(tables, plan) / COST_TICKS,
        compression_ratio=ratio,
        closeness=abs(ratio - target.value),
        deck_clearance=float(build.deck_clearance),
        squish=None if np.isnan(squish) else squish,
        swept_volume=float(build.swept_volume),
        clearance_volume=float(build.clearance_volume),
        displacement=float(build.swept_volume) * problem.block.cylinders,
        unchecked=unchecked(problem),
    )


def planned(tables: Tables, places: Places, plans: Machined, plan: int, built: float) -> Combination:
    """One plan of the one combination of some tables, written out.

    Parameters
    ----------
    tables : Tables
        With one part in each list.
    places : tuple of int
    plans : Machined
        As `plans_of` these tables.
    plan : int
    built : float [m]
        Deck clearance before any cut.

    Returns
    -------
    Combination

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> tables = tabulate(alone(small_problem(), (0, 0, 0, 0, 1)))
    >>> stack = stack_of(tables)
    >>> choice = planned(tables, (0, 0, 0, 0, 1), plans_of(tables, stack)[0], 2, float(stack.built[0]))
    >>> round(choice.compression_ratio, 6)
    10.0
    """
    return written_out(tables, places, plan, built - float(plans.deck_clearance[plan, 0]), float(plans.head_mill[plan, 0]))


def chosen(problem: SearchProblem, places: Places, plan: int) -> Combination:
    """One combination under one plan of `machining.PLANS`, written out.

    Parameters
    ----------
    problem : SearchProblem
    places : tuple of int
    plan : int

    Returns
    -------
    Combination

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> [work.operation for work in chosen(small_problem(), (0, 0, 0, 0, 1), 2).work]
    ['head_mill']
    """
    tables = tabulate(alone(problem, places))
    stack = stack_of(tables)
    return planned(tables, places, plans_of(tables, stack)[0], plan, float(stack.built[0]))
