"""The fields of an engine's geometry, with the sizes that can be."""

from __future__ import annotations

from typing import ClassVar

from borewright.calculations.base.fields import Assumed, Part, Quantity, Request, RequestPart, Whole

SMALLEST_BORE = "5 mm"  # of model engines
NO_GASKET = "; 0 mm where the head seats without one"


def bore(*, required: bool = True) -> Quantity:
    """The bore of a cylinder.

    >>> bore().kind
    'length'
    """
    return Quantity("length", SMALLEST_BORE, "500 mm", "diameter of the cylinder", required=required)


def stroke(*, required: bool = True) -> Quantity:
    """The stroke of the crankshaft.

    >>> stroke().required
    True
    """
    return Quantity("length", "4 mm", "600 mm", "twice the crank throw", required=required)


def cylinders(*, required: bool = True) -> Whole:
    """The number of cylinders.

    >>> cylinders().high
    24
    """
    return Whole(1, 24, "number of cylinders", required=required)


def rod_length(*, required: bool = False) -> Quantity:
    """The length of the connecting rod.

    >>> rod_length().required
    False
    """
    return Quantity("length", "8 mm", "1200 mm", "connecting rod, center to center", required=required)


def deck_clearance() -> Quantity:
    """The piston's place at top dead center.

    >>> deck_clearance().signed
    True
    """
    return Quantity("length", "-10 mm", "30 mm", "piston below the deck at top dead center; negative where it stands above")


def pin_offset() -> Quantity:
    """The offset of the pin, on the axis where nothing is said.

    >>> pin_offset().assumed.value
    '0 mm'
    """
    return Quantity(
        "length",
        "-25 mm",
        "25 mm",
        "pin offset from the cylinder axis",
        assumed=Assumed("0 mm", "common practice", "a pin on the cylinder axis"),
    )


class StackPart(RequestPart):
    """What adds up to the deck height: half the stroke, rod and compression height."""

    deck_height = Quantity("length", "12 mm", "2000 mm", "crank center line to deck", required=True)
    rod_length = Quantity("length", "8 mm", "1200 mm", "connecting rod, center to center", required=True)
    compression_height = Quantity("length", "2 mm", "250 mm", "pin center to the flat of the crown", required=True)


class GasketPart(RequestPart):
    """A head gasket as compressed: by bore, by area, or by its poured volume."""

    alternatives = ((("bore", "thickness"), ("area", "thickness"), ("volume",)),)

    bore = Quantity("length", SMALLEST_BORE, "520 mm", "diameter of the gasket's opening")
    area = Quantity("area", "0.2 cm2", "2200 cm2", "area of an opening that is not round")
    thickness = Quantity("length", "0 mm", "12 mm", f"thickness as compressed{NO_GASKET}")
    volume = Quantity("volume", "0 cm3", "1000 cm3", "volume inside the opening as compressed")


class CrownPart(RequestPart):
    """A piston crown: what stands above its flat, what is cut below it."""

    dome = Quantity(
        "volume",
        "0 cm3",
        "500 cm3",
        "volume standing above the flat: takes clearance away",
        assumed=Assumed("0 cm3", "common practice", "a crown without a dome"),
    )
    recess = Quantity(
        "volume",
        "0 cm3",
        "1000 cm3",
        "dish and valve reliefs: adds clearance",
        assumed=Assumed("0 cm3", "common practice", "a crown without dish or reliefs"),
    )


class TopLandPart(RequestPart):
    """The crevice above the top ring."""

    height = Quantity("length", "0.1 mm", "60 mm", "crown edge to the top ring's upper side", required=True)
    diameter = Quantity("length", "4 mm", "500 mm", "diameter of the top land", required=True)


class GeometryRequest(Request):
    """Everything that decides the compression of a cylinder."""

    alternatives: ClassVar[tuple[tuple[tuple[str, ...], ...], ...]] = ((("deck_clearance",), ("stack",)),)

    bore = bore()
    stroke = stroke()
    cylinders = cylinders()
    chamber_volume = Quantity("volume", "0 cm3", "5000 cm3", "chamber in the head, as poured", required=True)
    gasket = Part(GasketPart, f"the head gasket as compressed{NO_GASKET}", required=True)
    deck_clearance = deck_clearance()
    stack = Part(StackPart, "deck height, rod length and compression height, instead of the deck clearance")
    crown = Part(CrownPart, "the piston crown")
    top_land = Part(TopLandPart, "the crevice above the top ring; left out, it counts as nothing")
    rod_length = rod_length()
    pin_offset = pin_offset()
    intake_closing = Quantity("angle", "0 deg", "150 deg", "intake valve closing after bottom dead center")
