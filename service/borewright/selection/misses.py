"""How far parts are from going together, over the columns of part lists: each fit rule's miss, and the few that are plain answers.

A miss is 0 where the rule is kept and where a size is not known; a rule that is a plain yes or no misses by 1.
`REASONS` is the fixed order: a combination is counted under the first rule it breaks.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.rules.judging import LENGTH_SLACK, outside
from borewright.rules.listed import BORE, HEAD_BORE, JOURNAL_DIAMETER, JOURNAL_WIDTH, PIN_FIT
from borewright.rules.motion import COUNTERWEIGHT_TO_BOSS
from borewright.rules.piston import PIN_END_ROOM, SECOND_LAND, TOP_LAND, retainer_room
from borewright.rules.rule import Limit
from borewright.rules.stack import BORE_TO_GASKET
from borewright.selection.demands import SearchProblem
from borewright.selection.tables import Tables, column

REASONS: tuple[str, ...] = (
    "bore",
    "duty-allowed",
    "top-land",
    "second-land",
    "bore-to-gasket-clearance",
    "head-bore",
    "pin-retention",
    "pin-fit",
    "pin-end-room",
    "journal-diameter",
    "journal-width",
    "counterweight-to-boss",
    "deck-clearance",
    "squish",
    "compression-target",
    "cost",
)
YES_OR_NO = frozenset({"duty-allowed", "pin-retention"})


def bore_limits(problem: SearchProblem) -> tuple[Limit, ...]:
    """What the bore of a piston must keep to, in a block that is bored or not; sizes that a list rounds are the same.

    Parameters
    ----------
    problem : SearchProblem

    Returns
    -------
    tuple of Limit [m]
        The bores the block can be brought to; without boring also the bore as it stands.

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> [(round(limit.low, 6), round(limit.high, 6)) for limit in bore_limits(small_problem())]
    [(0.1016, 0.1026)]
    """
    block, same = problem.block, problem.limits.bore_tolerance
    limits = [Limit(block.smallest_bore - same, block.maximum_bore + same)]
    if problem.machining.bore_price is None:
        limits.append(Limit(block.bore - same, block.bore + same))
    return tuple(limits)


def piston_misses(tables: Tables) -> dict[str, FloatArray]:
    """What each piston misses of the rules that concern it and the block alone, in the order of `REASONS`.

    Parameters
    ----------
    tables : Tables

    Returns
    -------
    dict of array [m] or [1], one value a piston

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> from dataclasses import replace
    >>> from borewright.selection.demands import Machining
    >>> no_boring = replace(small_problem(), machining=Machining())
    >>> piston_misses(tabulate(no_boring))["bore"].round(6).tolist()
    [0.0, 0.0005]
    """
    problem = tables.problem
    limits, duty, pistons = problem.limits, problem.duty, problem.pistons
    allowed = [
        (p.aspirations is None or duty.aspiration in p.aspirations) and (p.services is None or duty.service in p.services) for p in pistons
    ]
    top, second = column(p.top_land_height for p in pistons), column(p.second_land_height for p in pistons)
    return {
        "bore": np.max([BORE.miss({"bore": tables.bore}, limit) for limit in bore_limits(problem)], axis=0),
        "duty-allowed": np.where(np.array(allowed, dtype=np.bool_), 0.0, 1.0),
        "top-land": TOP_LAND.miss({"piston.top_land": top}, Limit(limits.top_land, None)),
        "second-land": SECOND_LAND.miss({"piston.second_land": second}, Limit(limits.second_land, None)),
    }


@dataclass(frozen=True, slots=True)
class PinPairs:
    """Some rods with every piston: what each pair misses of the pin's rules, in the order of `REASONS`, and what is honed.

    misses : array [m] or [1] by reason, rods × pistons
    hone : whether the small end is honed so that the pin floats
    amount : how much that takes off the diameter [m]

    Examples
    --------
    >>> PinPairs({"pin-fit": np.array([[0.0, 1e-5]])}, np.zeros((1, 2), dtype=bool), np.zeros((1, 2))).fits.tolist()
    [[True, False]]
    """

    misses: dict[str, FloatArray]
    hone: BoolArray
    amount: FloatArray

    @property
    def fits(self) -> BoolArray:
        """Which pairs keep all of these rules."""
        return np.asarray(np.logical_and.reduce([miss == 0.0 for miss in self.misses.values()]))


def pin_pairs(tables: Tables, rods: slice) -> PinPairs:
    """Retention, fit and end room of the pin, for some rods with every piston.

    The small end stays as it is where the piston takes its retention and the fit is inside its span. Otherwise it is honed
    to float, to the middle of the clearance span or as near as the hone goes.

    Parameters
    ----------
    tables : Tables
    rods : slice

    Returns
    -------
    PinPairs

    Examples
    --------
    The pressed rod would be honed, were its fit not inside the limits:

    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> pairs = pin_pairs(tabulate(small_problem()), slice(0, 1))
    >>> pairs.hone.tolist(), list(pairs.misses)
    ([[False, False]], ['pin-retention', 'pin-fit', 'pin-end-room'])
    """
    limits, on_offer = tables.problem.limits, tables.problem.machining.small_end_hone
    press = tables.press_rod[rods, None]
    stays = np.where(press, tables.takes_press, tables.takes_floating)
    can_hone = tables.takes_floating & (on_offer is not None)
    furthest = 0.0 if on_offer is None else on_offer.maximum
    fit = PIN_FIT.found({"rod.small_end_bore": tables.small_end[rods, None], "piston.pin_diameter": tables.pin_diameter})
    pressed, floating = limits.press_interference, limits.floating_clearance
    standing = np.where(press, _missed(fit, -pressed.high, -pressed.low), _missed(fit, floating.low, floating.high))
    as_it_is = np.where(stays, standing, np.inf)
    reached = np.maximum(_missed(fit + furthest, floating.low, None), _missed(fit, None, floating.high))
    honed = np.where(can_hone, reached, np.inf)
    hone = (as_it_is > 0.0) & (honed < as_it_is)
    amount = np.where(hone, np.clip(0.5 * (floating.low + floating.high) - fit, 0.0, furthest), 0.0)
    held = stays | (press & can_hone)
    sizes = {
        "bore": tables.bore,
        "piston.pin_diameter": tables.pin_diameter,
        "piston.pin_length": tables.pin_length,
        "piston.retainer_thickness": retainer_room(tables.retainer, press & ~hone),
    }
    misses = {
        "pin-retention": np.where(held, 0.0, 1.0),
        "pin-fit": np.where(held, np.minimum(as_it_is, honed), 0.0),
        "pin-end-room": PIN_END_ROOM.miss(sizes, Limit(limits.pin_end_room, None)),
    }
    return PinPairs({reason: np.broadcast_to(miss, hone.shape) for reason, miss in misses.items()}, hone, amount)


def _missed(value: FloatArray, low: ArrayLike | None, high: ArrayLike | None) -> FloatArray:
    """How far a length lies outside its limits; 0 where it is not known."""
    missed = outside(value, low, high)
    return np.where(np.isnan(missed), 0.0, missed)


def journal_misses(tables: Tables) -> dict[str, FloatArray]:
    """Rod journal rules for every crank against every rod, in the order of `REASONS`.

    Parameters
    ----------
    tables : Tables

    Returns
    -------
    dict of array [m], cranks × rods

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> journal_misses(tabulate(small_problem()))["journal-diameter"].tolist()
    [[0.0, 0.0]]
    """
    limits = tables.problem.limits
    sizes = {
        "crank.rod_journal_diameter": tables.crank_journal[:, None],
        "rod.journal_diameter": tables.rod_journal,
        "crank.rod_journal_width": tables.crank_width[:, None],
        "rod.journal_width": tables.rod_width,
    }
    return {
        "journal-diameter": JOURNAL_DIAMETER.miss(sizes, Limit(None, limits.journal_diameter_tolerance)),
        "journal-width": JOURNAL_WIDTH.miss(sizes, Limit(None, limits.journal_width_tolerance)),
    }


def gasket_misses(tables: Tables, bore: FloatArray, opening: ArrayLike) -> FloatArray:
    """How much the openings of gaskets lack for cylinders of a bore.

    Parameters
    ----------
    tables : Tables
    bore, opening : array [m]
        An opening that is not known is infinite.

    Returns
    -------
    array [m]

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> gasket_misses(tabulate(small_problem()), np.array([0.1016, 0.1045]), 0.104).round(6).tolist()
    [0.0, 0.0005]
    """
    return BORE_TO_GASKET.miss({"bore": bore, "gasket.bore": opening}, Limit(tables.problem.limits.bore_to_gasket_clearance, None))


def head_misses(bore: FloatArray, minimum: ArrayLike, maximum: ArrayLike) -> FloatArray:
    """How far a bore is from those that heads are made for.

    Parameters
    ----------
    bore, minimum, maximum : array [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> head_misses(np.array([0.095, 0.100]), 0.098, 0.106).round(6).tolist()
    [0.003, 0.0]
    """
    return HEAD_BORE.miss({"bore": bore}, Limit(minimum, maximum))


def gaskets_that_fit(tables: Tables) -> FloatArray:
    """How many gaskets have bore enough for each piston.

    Parameters
    ----------
    tables : Tables

    Returns
    -------
    array, one value a piston

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> gaskets_that_fit(tabulate(small_problem())).tolist()
    [1.0, 1.0]
    """
    wanted = tables.bore + tables.problem.limits.bore_to_gasket_clearance - LENGTH_SLACK
    return (len(tables.gasket_bore) - np.searchsorted(np.sort(tables.gasket_bore), wanted)).astype(np.float64)


def heads_that_fit(tables: Tables) -> FloatArray:
    """How many heads take each piston's bore.

    Parameters
    ----------
    tables : Tables

    Returns
    -------
    array, one value a piston

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> heads_that_fit(tabulate(small_problem())).tolist()
    [2.0, 2.0]
    """
    begun = np.searchsorted(np.sort(tables.head_minimum), tables.bore + LENGTH_SLACK, side="right")
    ended = np.searchsorted(np.sort(tables.head_maximum), tables.bore - LENGTH_SLACK, side="left")
    return (begun - ended).astype(np.float64)


def fits_gasket(tables: Tables, bore: FloatArray | float, gasket_bore: FloatArray | float) -> BoolArray:
    """Whether gaskets have bore enough for cylinders, as `gasket_misses` but for vectors of the search.

    Parameters
    ----------
    tables : Tables
    bore, gasket_bore : array or float [m]

    Returns
    -------
    array of bool

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> fits_gasket(tabulate(small_problem()), np.array([0.1016, 0.1045]), 0.104).tolist()
    [True, False]
    """
    return np.asarray(bore + tables.problem.limits.bore_to_gasket_clearance - LENGTH_SLACK <= gasket_bore)


def fits_head(bore: FloatArray | float, minimum: FloatArray | float, maximum: FloatArray | float) -> BoolArray:
    """Whether heads take cylinders of a bore, as `head_misses` but for vectors of the search.

    Parameters
    ----------
    bore, minimum, maximum : array or float [m]

    Returns
    -------
    array of bool

    Examples
    --------
    >>> fits_head(0.1, np.array([0.098, 0.101]), np.array([0.103, 0.105])).tolist()
    [True, False]
    """
    return np.asarray((minimum <= bore + LENGTH_SLACK) & (maximum >= bore - LENGTH_SLACK))


def counterweight_misses(tables: Tables, cranks: slice, stroke: FloatArray, rod_length: FloatArray) -> FloatArray:
    """How much the counterweights of some cranks lack to the bosses of every piston, on some rods.

    Parameters
    ----------
    tables : Tables
    cranks : slice
    stroke, rod_length : array [m]
        Of shapes that broadcast with cranks × rods × pistons.

    Returns
    -------
    array [m], cranks × rods × pistons

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.tables import tabulate
    >>> tables = tabulate(small_problem())
    >>> counterweight_misses(tables, slice(0, 1), tables.stroke[:, None, None], tables.rod_length[:, None]).tolist()
    [[[0.0, 0.0], [0.0, 0.0]]]
    """
    radius, limit = tables.counterweight[cranks, None, None], Limit(tables.problem.limits.counterweight_clearance, None)
    if np.isnan(radius).all() or np.isnan(tables.boss_below_pin).all():
        return np.zeros(np.broadcast_shapes(stroke.shape, rod_length.shape, tables.boss_below_pin.shape))
    sizes = {"crank.stroke": stroke, "rod.length": rod_length, "crank.counterweight_radius": radius}
    sizes |= {"piston.boss_below_pin": tables.boss_below_pin}
    gap, width = tables.counterweight_gap[cranks, None, None], tables.width_at_boss
    if not (np.isnan(gap).all() or np.isnan(width).all()):
        sizes |= {"crank.counterweight_gap": gap, "piston.width_at_boss": width}
    return COUNTERWEIGHT_TO_BOSS.miss(sizes, limit)


def compression_miss(lowest: ArrayLike, highest: ArrayLike, low: float, high: float) -> FloatArray:
    """How far the compression ratios a combination can reach stay outside the window [low, high].

    Parameters
    ----------
    lowest, highest : array [1]
    low, high : float [1]

    Returns
    -------
    array [1]

    Examples
    --------
    >>> compression_miss([9.0, 11.0], [9.4, 11.5], 9.8, 10.2).round(6).tolist()
    [0.4, 0.8]
    """
    return np.maximum(np.maximum(np.asarray(lowest) - high, low - np.asarray(highest)), 0.0)


def squish_miss(lowest: FloatArray, highest: FloatArray) -> FloatArray:
    """How far the deck clearances that suit deck and squish limits are from meeting; see `machining.clearance_range`.

    Parameters
    ----------
    lowest, highest : array [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> squish_miss(np.array([0.0, 0.0004]), np.array(0.0003)).round(6).tolist()
    [0.0, 0.0001]
    """
    return outside(lowest - highest, None, 0.0)


def deck_miss(built: FloatArray, low: float, high: float, cut_maximum: float) -> FloatArray:
    """How far the deck clearance stays outside its limits when the deck is cut as the shop can.

    A cut only lowers it: too little clearance cannot be helped, too much can by at most `cut_maximum`.

    Parameters
    ----------
    built : array [m]
    low, high, cut_maximum : float [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> deck_miss(np.array([0.0005, 0.0012, -0.0001]), 0.0, 0.0006, 0.0004).round(6).tolist()
    [0.0, 0.0002, 0.0001]
    """
    return np.maximum(outside(built, low, None), outside(built - cut_maximum, None, high))
