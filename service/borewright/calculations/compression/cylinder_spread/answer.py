"""What cylinder spread answers: each cylinder, how far they lie apart, and what evens them."""

from __future__ import annotations

from borewright.calculations.base.answers import Answer, AnswerPart, Count, Figure, Rows, Section
from borewright.calculations.compression.cylinder_spread.exchange import ExchangeAnswer


class CylinderRow(AnswerPart):
    """One cylinder."""

    cylinder = Count("number of the cylinder")
    compression_ratio = Figure("ratio", "its compression ratio")
    chamber_volume = Figure("volume", "its chamber")
    deck_clearance = Figure("length", "its piston below the deck at the top; negative where it stands above")
    squish = Figure("length", "deck clearance and gasket together; null where the gasket's thickness is not known", nullable=True)
    clearance_volume = Figure("volume", "all that is left above its piston")
    piston = Figure("mass", "its piston, as weighed; null where it was not", nullable=True)
    top_gap = Figure("length", "gap of its top ring; null where it was not measured", nullable=True)
    second_gap = Figure("length", "gap of its second ring; null where it was not measured", nullable=True)
    open_chamber = Figure("volume", "to be ground out of its chamber, or off its crown, for the ratio of the lowest cylinder")
    deck_cut = Figure("length", "to come off the deck over it for the deck clearance of the least")
    take_off = Figure("mass", "what its piston weighs more than the lightest; null where it was not weighed", nullable=True)


class _Ends(AnswerPart):
    lowest_cylinder = Count("the cylinder that has the smallest")
    highest_cylinder = Count("the cylinder that has the largest")


class RatioSpread(_Ends):
    """A ratio over the cylinders."""

    lowest = Figure("ratio", "the smallest")
    highest = Figure("ratio", "the largest")
    spread = Figure("ratio", "largest less smallest")


class VolumeSpread(_Ends):
    """A volume over the cylinders."""

    lowest = Figure("volume", "the smallest")
    highest = Figure("volume", "the largest")
    spread = Figure("volume", "largest less smallest")


class LengthSpread(_Ends):
    """A length over the cylinders that it is known of."""

    lowest = Figure("length", "the smallest")
    highest = Figure("length", "the largest")
    spread = Figure("length", "largest less smallest")


class MassSpread(_Ends):
    """A mass over the cylinders that it is known of."""

    lowest = Figure("mass", "the smallest")
    highest = Figure("mass", "the largest")
    spread = Figure("mass", "largest less smallest")


class SpreadLeft(AnswerPart):
    """The spread of the ratio that one piece of work leaves."""

    chambers = Figure("ratio", "with every chamber opened to the largest")
    decks = Figure("ratio", "with every piston brought as near to its deck as the nearest")
    crowns = Figure("ratio", "with every crown as the one that leaves most room")
    all = Figure("ratio", "with all three, from what the bores leave")


class CylinderSpreadAnswer(Answer):
    """What cylinder spread answers."""

    cylinders = Rows(Section(CylinderRow, "one cylinder"), "each cylinder, in the order given")
    ratio = Section(RatioSpread, "compression ratio over the cylinders")
    chamber = Section(VolumeSpread, "chambers over the cylinders")
    deck = Section(LengthSpread, "deck clearances over the cylinders")
    piston = Section(MassSpread, "pistons on the scale; null where fewer than two were weighed", nullable=True)
    top_gap = Section(LengthSpread, "gaps of the top rings; null where fewer than two were measured", nullable=True)
    second_gap = Section(LengthSpread, "gaps of the second rings; null where fewer than two were measured", nullable=True)
    exchange = Rows(
        Section(ExchangeAnswer, "one way"),
        "what exchanging pistons, rods, or both between the cylinders would leave, before any metal is cut: advice, no part of the checks",
    )
    left = Section(SpreadLeft, "the spread of the ratio that each piece of work leaves")
