"""Where the piston stands at its top: at the deck, under the head, inside the gasket's opening."""

from __future__ import annotations

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.physics.fits.clearances import deck_clearance
from borewright.rules.rule import Rule

# m: a piston further above or below its deck belongs to another block (the range of a deck clearance given)
NO_STACK = (-10e-3, 30e-3)
# m: nearer than a micrometer the piston touches the head
TOUCHING = 1e-6


def squish(deck_clearance: FloatArray, gasket_thickness: FloatArray) -> FloatArray:
    """Crown's flat to head at top dead center, deck clearance and gasket thickness together [m].

    >>> round(float(squish(np.array(-0.024), np.array(0.059))), 6)
    0.035
    """
    return deck_clearance + gasket_thickness


def gasket_opening(gasket_bore: FloatArray, gasket_area: FloatArray) -> FloatArray:
    """Diameter of a gasket's opening, and of the circle of its area where that is what is given [m].

    >>> gasket_opening(np.array([0.1, np.nan]), np.array([np.nan, np.pi / 4 * 0.01])).round(6).tolist()
    [0.1, 0.1]
    """
    return np.where(np.isnan(gasket_bore), np.sqrt(4.0 * gasket_area / np.pi), gasket_bore)


def _beyond_bore(gasket_bore: FloatArray, bore: FloatArray, gasket_area: FloatArray | None = None) -> FloatArray:
    opening = gasket_bore if gasket_area is None else gasket_opening(gasket_bore, gasket_area)
    return opening - bore


DECK_CLEARANCE = Rule(
    name="deck-clearance",
    formula=deck_clearance,
    needs={
        "deck_height": "block.deck_height",
        "stroke": "crank.stroke",
        "rod_length": "rod.length",
        "compression_height": "piston.compression_height",
    },
    may_use={"pin_offset": "pin_offset"},
    reason="far from the deck the parts are not a set: check deck height, rod, stroke and compression height, or cut the deck",
    row=("assembly", "deck_clearance"),
    soft=True,
    hard_beyond=NO_STACK,
)
SQUISH = Rule(
    name="squish",
    formula=squish,
    needs={"deck_clearance": "deck_clearance", "gasket_thickness": "gasket.thickness"},
    reason="the flat of the crown must clear the head at speed, and be near enough to stir the charge: another gasket, or deck",
    row=("compression", "squish"),
    soft="high",
    least=TOUCHING,
)
BORE_TO_GASKET = Rule(
    name="bore-to-gasket-clearance",
    formula=_beyond_bore,
    needs={"gasket_bore": "gasket.bore", "bore": "bore"},
    may_use={"gasket_area": "gasket.area"},
    reason=("a gasket with a smaller bore than the cylinder hangs into the chamber, meets the piston and glows; an area is taken as round"),
    row=("part_selection", "bore_to_gasket_clearance"),
)
