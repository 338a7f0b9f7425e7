"""Cylinders one by one in a request: what was measured in each, and what holds for all."""

from __future__ import annotations

from borewright.calculations.base.fields import Label, Many, Part, Quantity, Request, RequestPart
from borewright.calculations.common.duty import CylinderDutyPart
from borewright.calculations.common.engine import (
    CrownPart,
    GasketPart,
    StackPart,
    TopLandPart,
    bore,
    cylinders,
    deck_clearance,
    pin_offset,
    rod_length,
    stroke,
)
from borewright.calculations.common.levers import SquishLimitsPart

MOST_CYLINDERS = 24


def chamber_volume() -> Quantity:
    """The chamber of a cylinder, as poured.

    >>> chamber_volume().kind
    'volume'
    """
    return Quantity("volume", "0 cm3", "5000 cm3", "chamber in the head, as poured")


def _ring_gap(which: str) -> Quantity:
    return Quantity("length", "0 mm", "20 mm", f"gap of the {which} ring in this cylinder, as measured")


class CylinderPart(RequestPart):
    """One cylinder; what it leaves out is that of all."""

    cylinder = Label(1, MOST_CYLINDERS, "number of the cylinder", required=True)
    bore = bore(required=False)
    chamber_volume = chamber_volume()
    deck_clearance = deck_clearance()
    crown = Part(CrownPart, "its piston's crown")
    piston = Quantity("mass", "1 g", "200 kg", "its piston, bare, as weighed")
    compression_height = Quantity(
        "length", "2 mm", "250 mm", "of its piston, pin center to the flat of the crown, as measured: tells what exchanging pistons evens"
    )
    rod_length = rod_length()
    top_gap = _ring_gap("top")
    second_gap = _ring_gap("second")


class RatioSpreadPart(RequestPart):
    """The caller's own limit of a spread."""

    high = Quantity("ratio", "0", "40", "largest less smallest", required=True)


class VolumeSpreadPart(RequestPart):
    """The caller's own limit of a spread."""

    high = Quantity("volume", "0 cm3", "1000 cm3", "largest less smallest", required=True)


class LengthSpreadPart(RequestPart):
    """The caller's own limit of a spread."""

    high = Quantity("length", "0 mm", "30 mm", "largest less smallest", required=True)


class PistonSpreadPart(RequestPart):
    """The caller's own limit of a spread."""

    high = Quantity("mass", "0 g", "10 kg", "heaviest less lightest", required=True)


class CylinderSpreadLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    squish = Part(SquishLimitsPart, "limits of squish")
    ratio_spread = Part(RatioSpreadPart, "of the compression ratio over the cylinders")
    chamber_spread = Part(VolumeSpreadPart, "of the chambers")
    deck_spread = Part(LengthSpreadPart, "of the deck clearances")
    piston_spread = Part(PistonSpreadPart, "of the pistons on the scale")


class CylinderSpreadRequest(Request):
    """What cylinder-spread needs."""

    bore = bore()
    stroke = stroke()
    cylinders = cylinders()
    gasket = Part(GasketPart, "the head gasket as compressed", required=True)
    by_cylinder = Many(
        Part(CylinderPart, "one cylinder"),
        "the cylinders one by one, with what was measured in each",
        shortest=2,
        longest=MOST_CYLINDERS,
        required=True,
    )
    chamber_volume = chamber_volume()
    deck_clearance = deck_clearance()
    stack = Part(StackPart, "deck height, rod length and compression height, for cylinders without a deck clearance of their own")
    crown = Part(CrownPart, "the piston crown, where all are alike")
    duty = Part(CylinderDutyPart, "what the engine is for: a diesel has a squish of its own")
    top_land = Part(TopLandPart, "the crevice above the top ring; left out, it counts as nothing")
    rod_length = rod_length()
    pin_offset = pin_offset()
    limits = Part(CylinderSpreadLimitsPart, "the caller's own limits, which replace those of common practice")
