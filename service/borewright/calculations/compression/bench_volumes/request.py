"""A crown on the bench: the pour over it, and the sizes of its dishes and valve pockets."""

from __future__ import annotations

from borewright.calculations.base.fields import Assumed, Choice, Flag, Many, Part, Quantity, Request, RequestPart, Whole
from borewright.calculations.common.engine import TopLandPart, bore

SHAPES = ("flat", "spherical")


class CrownPourPart(RequestPart):
    """A pour through a plate on the deck, with the piston down a known depth."""

    depth = Quantity("length", "-10 mm", "100 mm", "deck to the flat of the crown, by depth gauge or dial", required=True)
    volume = Quantity("volume", "0 cm3", "5000 cm3", "what the space under the plate took", required=True)
    dome_height = Quantity("length", "0 mm", "100 mm", "flat to the top of the dome; it must lie below the plate")
    sealed = Flag(
        "whether grease seals the gap around the crown, so that the fluid stays above it",
        assumed=Assumed(True, "common practice", "the gap around the crown is sealed with grease before the pour"),
    )


class DishPart(RequestPart):
    """A round dish."""

    diameter = Quantity("length", "1 mm", "500 mm", "of the dish at the flat", required=True)
    depth = Quantity("length", "0 mm", "100 mm", "flat to the floor, at its middle", required=True)
    shape = Choice(SHAPES, "a flat floor, or the cap of a sphere", assumed=Assumed("flat", "common practice", "a dish with a flat floor"))
    corner_radius = Quantity(
        "length",
        "0 mm",
        "50 mm",
        "between wall and floor, where the floor is flat",
        assumed=Assumed("0 mm", "common practice", "a sharp corner"),
    )


class PocketPart(RequestPart):
    """A valve pocket."""

    diameter = Quantity("length", "1 mm", "200 mm", "of the cutter", required=True)
    depth = Quantity(
        "length",
        "-60 mm",
        "60 mm",
        "flat to the deepest edge of its floor, along the bore; negative where the floor lies above the flat, in a dome",
        required=True,
    )
    angle = Quantity(
        "angle",
        "0 deg",
        "60 deg",
        "of the cutter's axis from the bore's",
        assumed=Assumed("0 deg", "common practice", "a pocket cut straight down"),
    )
    count = Whole(1, 5, "how many like it the crown has", assumed=Assumed(1, "common practice", "one pocket"))


class BenchPart(RequestPart):
    """What was measured of a crown: a pour, sizes, or both."""

    pour = Part(CrownPourPart, "the pour over the crown")
    dishes = Many(Part(DishPart, "one dish"), "the dishes of the crown, by their sizes", longest=10)
    pockets = Many(Part(PocketPart, "one pocket"), "the valve pockets of the crown, by their sizes", longest=10)
    domed = Flag(
        "whether anything stands above the flat; a dome is known by a pour alone",
        assumed=Assumed(False, "common practice", "a crown without a dome"),
    )


class BenchVolumesRequest(Request):
    """What bench-volumes needs."""

    bore = bore()
    bench = Part(BenchPart, "what was measured of the crown: a pour, the sizes of dishes and pockets, or both", required=True)
    top_land = Part(TopLandPart, "the crevice above the top ring, which an unsealed pour fills as well")
