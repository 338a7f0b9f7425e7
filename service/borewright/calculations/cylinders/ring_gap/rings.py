"""Rings in a request: what they are made of, how hot they run, the gaps that were measured, the caller's own limits."""

from __future__ import annotations

from borewright.calculations.base.fields import Assumed, Label, Part, Quantity, RequestPart
from borewright.calculations.common.materials import material_for
from borewright.calculations.common.temperatures import measuring_temperature, part_temperature

USUAL = "the usual ring where nothing is said"


class TopRingPart(RequestPart):
    """The top ring."""

    material = material_for("ring", "out of the materials table", assumed=Assumed("ductile_iron_annealed", "common practice", USUAL))


class SecondRingPart(RequestPart):
    """The second ring."""

    material = material_for("ring", "out of the materials table", assumed=Assumed("gray_iron", "common practice", USUAL))


class OilRailPart(RequestPart):
    """The rails of the oil ring."""

    material = material_for("ring", "out of the materials table", assumed=Assumed("steel_1040", "common practice", USUAL))


class RingsPart(RequestPart):
    """What the rings are made of."""

    top = Part(TopRingPart, "the top ring")
    second = Part(SecondRingPart, "the second ring")
    oil_rail = Part(OilRailPart, "the rails of the oil ring")


class RingTemperaturesPart(RequestPart):
    """How hot rings and bore run, and how warm they were when measured."""

    ring = part_temperature("of the top ring when hot")
    second_ring = part_temperature("of the second ring when hot; left out, it follows from the top ring and the bore")
    oil_rail = part_temperature("of the oil rails when hot; left out, it follows from the top ring and the bore")
    bore = part_temperature("of the cylinder wall where the rings run, when hot")
    assembly = measuring_temperature()


def ring_gap(text: str) -> Quantity:
    """The end gap of a ring.

    >>> ring_gap("of the top ring").kind
    'length'
    """
    return Quantity("length", "0 mm", "12 mm", text)


class MeasuredGapsPart(RequestPart):
    """The gaps of one cylinder's rings, measured cold and square in that cylinder."""

    cylinder = Label(1, 24, "number of the cylinder", required=True)
    top = ring_gap("gap of the top ring")
    second = ring_gap("gap of the second ring")
    oil_rail = ring_gap("the smaller gap of the two oil rails")


class GapRangePart(RequestPart):
    """The caller's own limits for a gap."""

    low = ring_gap("smallest gap wanted")
    high = ring_gap("largest gap wanted")


class GapLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    top = Part(GapRangePart, "for the top ring")
    second = Part(GapRangePart, "for the second ring")
    oil_rail = Part(GapRangePart, "for the oil rails")
