"""Whether parts are made for one another by the nominal sizes of their lists, which round; how a fit is finished is another rule."""

from __future__ import annotations

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.physics.fits.clearances import diametral_clearance
from borewright.rules.rule import Rule


def difference(one: FloatArray, other: FloatArray) -> FloatArray:
    """How far two sizes are from one another.

    >>> round(float(difference(np.array(0.09886), np.array(3.892 * 0.0254))) * 1e6, 6)
    3.2
    """
    return np.abs(one - other)


def _bore(bore: FloatArray) -> FloatArray:
    return bore


_HOW_MADE = "the rod must be made for the crankshaft's rod journal"

PIN_FIT = Rule(
    name="pin-fit",
    formula=diametral_clearance,
    needs={"hole": "rod.small_end_bore", "shaft": "piston.pin_diameter"},
    reason="small end less pin by their lists, as finished; below zero is interference: measure both before they go together",
    row=("part_selection", "pin_fit_floating"),
)
JOURNAL_DIAMETER = Rule(
    name="journal-diameter",
    formula=difference,
    needs={"one": "crank.rod_journal_diameter", "other": "rod.journal_diameter"},
    reason=_HOW_MADE,
    row=("part_selection", "journal_diameter_difference"),
)
JOURNAL_WIDTH = Rule(
    name="journal-width",
    formula=difference,
    needs={"one": "crank.rod_journal_width", "other": "rod.journal_width"},
    reason=_HOW_MADE,
    row=("part_selection", "journal_width_difference"),
)
BORE = Rule(
    name="bore",
    formula=_bore,
    needs={"bore": "bore"},
    reason="the block must clean up at the bore the pistons are made for, and its walls must allow it; rounded sizes are the same",
)
BORE_DIFFERENCE = Rule(
    name="bore",
    formula=difference,
    needs={"one": "bore", "other": "block.bore"},
    reason="sizes that a list rounds are the same size",
    row=("part_selection", "bore_difference"),
)
HEAD_BORE = Rule(
    name="head-bore",
    formula=_bore,
    needs={"bore": "bore"},
    reason="the list must say that the head seals this bore and its valves clear it; sizes that a list rounds are the same",
)
