"""Part lists as columns."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.mechanism.volumes import circle_area
from borewright.rules.judging import LENGTH_SLACK
from borewright.rules.stack import gasket_opening
from borewright.selection.candidates import Head
from borewright.selection.demands import SearchProblem

# Prices are counted in millionths, so that equal totals are equal whatever the order they are added in.
COST_TICKS = 1e6


def column(values: Iterable[float | None], unknown: float = np.nan) -> FloatArray:
    """List of facts as an array, with those not given as `unknown`.

    Parameters
    ----------
    values : iterable of float or None
    unknown : float

    Returns
    -------
    array

    Examples
    --------
    >>> column([0.1, None], unknown=0.0).tolist()
    [0.1, 0.0]
    """
    return np.array([unknown if value is None else value for value in values], dtype=np.float64)


def cost_ticks(prices: Iterable[float | None]) -> FloatArray:
    """Prices in whole millionths of the caller's currency; no price is nought.

    Parameters
    ----------
    prices : iterable of float or None

    Returns
    -------
    array

    Examples
    --------
    >>> cost_ticks([0.1, 0.2, None]).tolist()
    [100000.0, 200000.0, 0.0]
    """
    return np.rint(column(prices, 0.0) * COST_TICKS)


@dataclass(frozen=True, slots=True)
class Tables:
    """Columns of a problem's lists, in list order [m, m2, m3, cost ticks]; a fact not given is NaN or an open limit.

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> tabulate(small_problem()).plans
    (0, 1, 2, 3)
    """

    problem: SearchProblem
    stroke: FloatArray
    crank_cost: FloatArray
    crank_journal: FloatArray
    crank_width: FloatArray
    counterweight: FloatArray
    counterweight_gap: FloatArray
    rod_length: FloatArray
    rod_cost: FloatArray
    rod_journal: FloatArray
    rod_width: FloatArray
    small_end: FloatArray
    press_rod: BoolArray
    bore: FloatArray
    area: FloatArray
    compression_height: FloatArray
    crown_volume: FloatArray
    pin_diameter: FloatArray
    takes_press: BoolArray
    takes_floating: BoolArray
    pin_length: FloatArray
    retainer: FloatArray
    boss_below_pin: FloatArray
    width_at_boss: FloatArray
    bored: BoolArray
    piston_cost: FloatArray
    gasket_bore: FloatArray
    gasket_volume: FloatArray
    squish_lowest: FloatArray
    squish_highest: FloatArray
    gasket_cost: FloatArray
    head_minimum: FloatArray
    head_maximum: FloatArray
    chamber_volume: FloatArray
    mill_rate: FloatArray
    mill_maximum: FloatArray
    head_cost: FloatArray
    cut_maximum: float
    hone_cost: float
    plan_cost: FloatArray
    plans: tuple[int, ...]
    cost_maximum: float


def _whole_chamber(heads: Iterable[Head]) -> FloatArray:
    """Depth at which a chamber is milled away [m]: no head is milled deeper, whatever its limit."""
    return column((head.chamber_volume / head.mill_rate if head.mill_rate > 0.0 else None for head in heads), np.inf)


def tabulate(problem: SearchProblem) -> Tables:
    """Lay a problem's lists out as columns.

    Parameters
    ----------
    problem : SearchProblem

    Returns
    -------
    Tables

    Examples
    --------
    >>> from borewright.selection.demands import Target
    >>> from borewright.selection.candidates import Block, Crank
    >>> block = Block(deck_height=0.229, bore=0.1, maximum_bore=0.101, cylinders=8)
    >>> tabulate(SearchProblem(block, (Crank("c", 0.088),), (), (), (), (), Target(10.0, 9.5, 10.5))).stroke.tolist()
    [0.088]
    """
    cranks, rods, pistons, gaskets, heads = problem.cranks, problem.rods, problem.pistons, problem.gaskets, problem.heads
    machining, limits = problem.machining, problem.limits
    bore = column(p.bore for p in pistons)
    bored = bore > problem.block.bore + limits.bore_tolerance + LENGTH_SLACK
    thickness = column(g.thickness for g in gaskets)
    opening = gasket_opening(column(g.bore for g in gaskets), column(g.area for g in gaskets))
    poured = column(g.volume for g in gaskets)
    low, high = limits.squish.low - thickness, limits.squish.high - thickness
    deck, mill, hone = machining.deck_cut, machining.head_mill, machining.small_end_hone
    shop_mill = 0.0 if mill is None else mill.maximum
    cut_prices = [None if cut is None else cut.price for cut in (deck, mill, hone)]
    deck_cost, mill_cost, hone_cost, bore_cost = cost_ticks([*cut_prices, machining.bore_price]).tolist()
    return Tables(
        problem=problem,
        stroke=column(c.stroke for c in cranks),
        crank_cost=cost_ticks(c.price for c in cranks),
        crank_journal=column(c.rod_journal_diameter for c in cranks),
        crank_width=column(c.rod_journal_width for c in cranks),
        counterweight=column(c.counterweight_radius for c in cranks),
        counterweight_gap=column(c.counterweight_gap for c in cranks),
        rod_length=column(r.length for r in rods),
        rod_cost=cost_ticks(r.price for r in rods),
        rod_journal=column(r.journal_diameter for r in rods),
        rod_width=column(r.journal_width for r in rods),
        small_end=column(r.small_end_bore for r in rods),
        press_rod=np.array([r.pin_retention == "press" for r in rods], dtype=np.bool_),
        bore=bore,
        area=circle_area(bore),
        compression_height=column(p.compression_height for p in pistons),
        crown_volume=column(p.crown_volume for p in pistons),
        pin_diameter=column(p.pin_diameter for p in pistons),
        takes_press=np.array(["press" in p.pin_retentions for p in pistons], dtype=np.bool_),
        takes_floating=np.array(["floating" in p.pin_retentions for p in pistons], dtype=np.bool_),
        pin_length=column(p.pin_length for p in pistons),
        retainer=column(p.retainer_thickness for p in pistons),
        boss_below_pin=column(p.boss_below_pin for p in pistons),
        width_at_boss=column(p.width_at_boss for p in pistons),
        bored=bored,
        piston_cost=cost_ticks(p.price for p in pistons) + np.where(bored, bore_cost, 0.0),
        gasket_bore=np.where(np.isnan(opening), np.inf, opening),
        gasket_volume=np.where(np.isnan(poured), circle_area(np.nan_to_num(opening)) * thickness, poured),
        squish_lowest=np.where(np.isnan(low), -np.inf, low),
        squish_highest=np.where(np.isnan(high), np.inf, high),
        gasket_cost=cost_ticks(g.price for g in gaskets),
        head_minimum=column((h.minimum_bore for h in heads), -np.inf) - limits.bore_tolerance,
        head_maximum=column((h.maximum_bore for h in heads), np.inf) + limits.bore_tolerance,
        chamber_volume=column(h.chamber_volume for h in heads),
        mill_rate=column(h.mill_rate for h in heads),
        mill_maximum=np.minimum(np.minimum(column((h.mill_maximum for h in heads), np.inf), shop_mill), _whole_chamber(heads)),
        head_cost=cost_ticks(h.price for h in heads),
        cut_maximum=0.0 if deck is None else deck.maximum,
        hone_cost=hone_cost,
        plan_cost=np.array([0.0, deck_cost, mill_cost, deck_cost + mill_cost]),
        plans=(0, *((1,) if deck else ()), *((2,) if mill else ()), *((3,) if deck and mill else ())),
        cost_maximum=np.inf if limits.price is None else float(cost_ticks([limits.price])[0]),
    )
