"""The parts that are put together: block, crank, rod, piston, and the gasket over them."""

from __future__ import annotations

from borewright.calculations.base.fields import Choice, Part, Quantity, RequestPart
from borewright.calculations.common.engine import NO_GASKET, rod_length, stroke

RETENTIONS = ("press", "floating")


def counterweight_gap() -> Quantity:
    """The gap between the counterweights of a throw.

    >>> counterweight_gap().kind
    'length'
    """
    return Quantity(
        "length",
        "5 mm",
        "500 mm",
        "along the crank, between the counterweights on both sides of the rod: bosses narrower than this pass between them",
    )


def width_at_boss() -> Quantity:
    """The width of a piston over its bosses.

    >>> width_at_boss().required
    False
    """
    return Quantity("length", "3 mm", "500 mm", "width of the piston along the pin, over the outer faces of the bosses")


def retainer_thickness() -> Quantity:
    """The room that a pin retainer takes.

    >>> retainer_thickness().kind
    'length'
    """
    return Quantity("length", "0 mm", "20 mm", "room one pin retainer takes along the pin, end play included")


class AssemblyBlockPart(RequestPart):
    """The block."""

    deck_height = Quantity("length", "12 mm", "2000 mm", "crank center line to deck", required=True)
    cylinder_length = Quantity("length", "5 mm", "2000 mm", "deck to the lower end of the cylinder")


class AssemblyCrankPart(RequestPart):
    """The crankshaft."""

    stroke = stroke()
    counterweight_radius = Quantity("length", "3 mm", "1000 mm", "largest radius of the counterweights from the crank's center line")
    counterweight_gap = counterweight_gap()


class AssemblyRodPart(RequestPart):
    """The connecting rod."""

    length = rod_length(required=True)
    small_end_bore = Quantity("length", "1 mm", "200 mm", "diameter of the small end, in its bush where it has one")
    pin_retention = Choice(RETENTIONS, "how the rod holds the pin now")
    wanted_retention = Choice(RETENTIONS, "how it is to hold the pin; left out, as now")


class GroovesPart(RequestPart):
    """The heights of a piston's ring grooves."""

    top = Quantity("length", "0.1 mm", "30 mm", "of the top ring", required=True)
    second = Quantity("length", "0 mm", "30 mm", "of the second ring; 0 mm for a piston with two rings", required=True)
    oil = Quantity("length", "0 mm", "40 mm", "of the oil ring; 0 mm for a piston without one", required=True)


class AssemblyPistonPart(RequestPart):
    """The piston with its pin."""

    compression_height = Quantity("length", "2 mm", "250 mm", "pin center to the flat of the crown", required=True)
    skirt_below_pin = Quantity("length", "0 mm", "500 mm", "pin center to the lower edge of the skirt")
    boss_below_pin = Quantity("length", "0 mm", "300 mm", "pin center to the lowest point of the pin bosses")
    pin_diameter = Quantity("length", "1 mm", "200 mm", "outer diameter of the pin")
    pin_length = Quantity("length", "3 mm", "480 mm", "length of the pin")
    pin_bore = Quantity("length", "1 mm", "200 mm", "diameter of the pin bore in the bosses")
    width_at_boss = width_at_boss()
    retainer_thickness = retainer_thickness()
    top_land = Quantity("length", "0 mm", "60 mm", "height of the top land, crown edge to the top ring's groove")
    second_land = Quantity("length", "0 mm", "60 mm", "height of the second land, between the grooves of the two upper rings")
    third_land = Quantity("length", "0 mm", "60 mm", "height of the third land, between the second ring's groove and the oil ring's")
    grooves = Part(GroovesPart, "the ring grooves: with the lands and the pin, whether all of it goes into the compression height")
    skirt_length = Quantity("length", "1 mm", "500 mm", "upper end of the skirt's running surface to its lower edge")


class FittedGasketPart(RequestPart):
    """A head gasket as compressed, of which the thickness matters here."""

    thickness = Quantity("length", "0 mm", "12 mm", f"thickness as compressed{NO_GASKET}", required=True)
    bore = Quantity("length", "5 mm", "520 mm", "diameter of the gasket's opening; with the bore of the cylinder it is checked")
    area = Quantity("area", "0.2 cm2", "2200 cm2", "area of the opening, instead of its diameter")
    volume = Quantity("volume", "0 cm3", "1000 cm3", "volume inside the opening; taken as part of the gasket, nothing here needs it")
