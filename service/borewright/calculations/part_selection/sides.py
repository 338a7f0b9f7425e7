"""What would have to give for a rule that a combination breaks, in words, by the side on which it is missed."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from borewright.calculations.part_selection.search import ONLY
from borewright.rules.judging import LENGTH_SLACK
from borewright.selection.demands import SearchProblem, Span
from borewright.selection.examination import examine
from borewright.selection.misses import bore_limits
from borewright.selection.single import stack_of
from borewright.selection.tables import tabulate

GIVES = {  # what would have to give for each rule, by the side on which it is missed
    ("bore", "low"): "pistons of a larger bore, or another block",
    ("bore", "high"): "pistons of a smaller bore, or a block with more wall",
    ("bore", "as it stands"): "boring the block, or pistons of the bore as it stands",
    ("bore", "worn"): "sleeving the block, or another: it does not clean up at a bore that its walls allow",
    ("duty-allowed", ""): "pistons made for the duty, or an easier duty",
    ("top-land", ""): "pistons with a taller top land, or an easier duty",
    ("second-land", ""): "pistons with a taller second land, or an easier duty",
    ("bore-to-gasket-clearance", ""): "a gasket with a larger bore, or smaller pistons",
    ("head-bore", "low"): "heads made for smaller bores, or larger pistons",
    ("head-bore", "high"): "heads made for larger bores, or smaller pistons",
    ("pin-retention", ""): "rods and pistons that hold the pin the same way, or honing the small ends to let it float",
    ("pin-fit", "low"): "rods with a larger small end, pistons with a thinner pin, or a deeper hone",
    ("pin-fit", "high"): "rods with a smaller small end, or pistons with a thicker pin",
    ("pin-end-room", ""): "pistons with a shorter pin",
    ("journal-diameter", ""): "rods made for the diameter of the crankshaft's journals, or another crankshaft",
    ("journal-width", ""): "rods made for the width of the crankshaft's journals, or another crankshaft",
    ("counterweight-to-boss", ""): "a crankshaft with smaller counterweights, longer rods, or pistons with less below the pin",
    ("deck-clearance", "low"): "a lower compression height, shorter rods or less stroke, or a lower limit of deck clearance",
    ("deck-clearance", "high"): (
        "a taller compression height, longer rods or more stroke, a deeper deck cut, or a higher limit of deck clearance"
    ),
    ("squish", "low"): "a thicker gasket or a lower compression height, or a lower limit of squish",
    ("squish", "high"): "a thinner gasket, a taller compression height or a deeper deck cut, or a higher limit of squish",
    ("compression-target", "low"): "smaller chambers, less recess or more dome, a thinner gasket, more milling, or a lower ratio",
    ("compression-target", "high"): "larger chambers, more recess or less dome, a thicker gasket, or a higher ratio",
    ("cost", ""): "cheaper parts, less work, or a higher limit of cost",
}


def what(held: SearchProblem, reason: str) -> str:
    """What would have to give for a rule that a problem of one combination breaks.

    >>> from dataclasses import replace
    >>> from borewright.selection.demands import Target, small_problem
    >>> from borewright.selection.single import alone
    >>> high = replace(alone(small_problem(), ONLY), target=Target(14.0, 13.9, 14.1))
    >>> what(high, "compression-target")
    'smaller chambers, less recess or more dome, a thinner gasket, more milling, or a lower ratio'
    """
    return GIVES[reason, side(held, reason)]


def side(held: SearchProblem, reason: str) -> str:
    """The side on which a rule is missed; nothing where it has but one.

    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.single import alone
    >>> side(alone(small_problem(), ONLY), "cost")
    ''
    """
    return _SIDES[reason](held) if reason in _SIDES else ""


def _bore_side(held: SearchProblem) -> str:
    limits = bore_limits(held)
    within, bore = limits[0], held.pistons[0].bore
    low, high = float(np.asarray(within.low)), float(np.asarray(within.high))
    if low > high:
        return "worn"
    unfit = held.block.smallest_bore > held.block.bore + 2.0 * held.limits.bore_tolerance + LENGTH_SLACK  # and not bored
    if len(limits) > 1 and (unfit or low - LENGTH_SLACK <= bore <= high + LENGTH_SLACK):
        return "as it stands"
    return "low" if bore < low else "high"


def _head_side(held: SearchProblem) -> str:
    least = held.heads[0].minimum_bore
    return "low" if least is not None and held.pistons[0].bore < least else "high"


def _pin_side(held: SearchProblem) -> str:
    small, pin, press = held.rods[0].small_end_bore, held.pistons[0].pin_diameter, held.rods[0].pin_retention == "press"
    if small is None or pin is None:
        return "low"
    stays = ("press" if press else "floating") in held.pistons[0].pin_retentions
    low = -held.limits.press_interference.high if press and stays else held.limits.floating_clearance.low
    return "low" if small - pin < low else "high"


def _deck_side(held: SearchProblem) -> str:
    return "low" if float(stack_of(tabulate(held)).built[0]) < held.limits.deck_clearance.low else "high"


def _squish_side(held: SearchProblem) -> str:
    return "low" if deck_range(held).high + (held.gaskets[0].thickness or 0.0) < held.limits.squish.low else "high"


def _ratio_side(held: SearchProblem) -> str:
    return "low" if examine(held, ONLY).reach.high < held.target.low else "high"


_SIDES: Mapping[str, Callable[[SearchProblem], str]] = {
    "bore": _bore_side,
    "head-bore": _head_side,
    "pin-fit": _pin_side,
    "deck-clearance": _deck_side,
    "squish": _squish_side,
    "compression-target": _ratio_side,
}


def deck_range(held: SearchProblem) -> Span:
    """Deck clearances that the cut and the deck's own limits leave [m]; those of the cut alone where they leave none.

    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.single import alone
    >>> held = alone(small_problem(), ONLY)
    >>> left = deck_range(held)
    >>> held.limits.deck_clearance.low <= left.low <= left.high
    True
    """
    built, limits = float(stack_of(tabulate(held)).built[0]), held.limits.deck_clearance
    deepest = built - tabulate(held).cut_maximum
    low, high = max(deepest, limits.low), min(built, limits.high)
    return Span(low, high) if low <= high else Span(deepest, built)
