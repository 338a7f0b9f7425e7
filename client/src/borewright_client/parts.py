"""What goes into requests: the shapes of objects, named as in the OpenAPI document, and the words.

Generated from the calculations: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from typing import Literal, NotRequired, TypedDict

from borewright_client._types import Quantity

__all__ = [
    "Alloy",
    "Aspiration",
    "BoreMaterial",
    "BoreReadingPart",
    "ClearanceRangePart",
    "CoatingMeasured",
    "CrownPart",
    "DutyPart",
    "Fuel",
    "GapLimitsPart",
    "GapRangePart",
    "GasketPart",
    "Material",
    "MeasuredGapsPart",
    "OilRailPart",
    "RingTemperaturesPart",
    "RingsPart",
    "SecondRingPart",
    "Service",
    "SkirtLimitsPart",
    "SkirtReadingPart",
    "SkirtTemperaturesPart",
    "StackPart",
    "TopLandPart",
    "TopRingPart",
]

Alloy = Literal["2618", "4032", "hypereutectic"]
Aspiration = Literal["natural", "boost", "nitrous"]
BoreMaterial = Literal["grey_iron", "ductile_iron", "ductile_iron_annealed", "aluminium_356"]
CoatingMeasured = Literal["over", "under"]
Fuel = Literal["gasoline", "ethanol", "methanol"]
Material = Literal["grey_iron", "ductile_iron", "ductile_iron_annealed", "stainless_440a", "steel_4140", "steel_1040"]
Service = Literal["street", "sport", "race"]


class GasketPart(TypedDict):
    """A head gasket as compressed: by bore, by area, or by its poured volume.

    Give exactly one of: bore with thickness; area with thickness; volume.
    """

    bore: NotRequired[Quantity]
    """diameter of the gasket's opening"""
    area: NotRequired[Quantity]
    """area of an opening that is not round"""
    thickness: NotRequired[Quantity]
    """thickness as compressed"""
    volume: NotRequired[Quantity]
    """volume inside the opening as compressed"""


class StackPart(TypedDict):
    """What adds up to the deck height: half the stroke, rod and compression height."""

    deck_height: Quantity
    """crank centre line to deck"""
    rod_length: Quantity
    """connecting rod, centre to centre"""
    compression_height: Quantity
    """pin centre to the flat of the crown"""


class CrownPart(TypedDict):
    """A piston crown: what stands above its flat, what is cut below it."""

    dome: NotRequired[Quantity]
    """volume standing above the flat: takes clearance away (default '0 cm3')"""
    recess: NotRequired[Quantity]
    """dish and valve reliefs: adds clearance (default '0 cm3')"""


class TopLandPart(TypedDict):
    """The crevice above the top ring."""

    height: Quantity
    """crown edge to the top ring's upper side"""
    diameter: Quantity
    """diameter of the top land"""


class DutyPart(TypedDict):
    """Aspiration, service and fuel."""

    aspiration: NotRequired[Aspiration]
    """how the engine gets its air (default 'natural')"""
    service: NotRequired[Service]
    """how hard it is used (default 'street')"""
    fuel: NotRequired[Fuel]
    """a fuel of the reference table (default 'gasoline')"""


class TopRingPart(TypedDict):
    """The top ring."""

    material: NotRequired[Material]
    """out of the materials table (default 'ductile_iron_annealed')"""


class SecondRingPart(TypedDict):
    """The second ring."""

    material: NotRequired[Material]
    """out of the materials table (default 'grey_iron')"""


class OilRailPart(TypedDict):
    """The rails of the oil ring."""

    material: NotRequired[Material]
    """out of the materials table (default 'steel_1040')"""


class RingsPart(TypedDict):
    """What the rings are made of."""

    top: NotRequired[TopRingPart]
    """the top ring"""
    second: NotRequired[SecondRingPart]
    """the second ring"""
    oil_rail: NotRequired[OilRailPart]
    """the rails of the oil ring"""


class RingTemperaturesPart(TypedDict):
    """How hot rings and bore run, and how warm they were when measured."""

    ring: NotRequired[Quantity]
    """of the top ring when hot"""
    second_ring: NotRequired[Quantity]
    """of the second ring when hot; left out, it follows from the top ring and the bore"""
    oil_rail: NotRequired[Quantity]
    """of the oil rails when hot; left out, it follows from the top ring and the bore"""
    bore: NotRequired[Quantity]
    """of the cylinder wall where the rings run, when hot"""
    assembly: NotRequired[Quantity]
    """of the parts when they were measured"""


class MeasuredGapsPart(TypedDict):
    """The gaps of one cylinder's rings, measured cold and square in that cylinder."""

    cylinder: int
    """number of the cylinder"""
    top: NotRequired[Quantity]
    """gap of the top ring"""
    second: NotRequired[Quantity]
    """gap of the second ring"""
    oil_rail: NotRequired[Quantity]
    """the smaller gap of the two oil rails"""


class GapRangePart(TypedDict):
    """The caller's own limits for a gap."""

    low: NotRequired[Quantity]
    """smallest gap wanted"""
    high: NotRequired[Quantity]
    """largest gap wanted"""


class GapLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    top: NotRequired[GapRangePart]
    """for the top ring"""
    second: NotRequired[GapRangePart]
    """for the second ring"""
    oil_rail: NotRequired[GapRangePart]
    """for the oil rails"""


class BoreReadingPart(TypedDict):
    """One bore as measured."""

    cylinder: int
    """number of the cylinder"""
    diameter: Quantity
    """diameter of the cylinder"""


class SkirtReadingPart(TypedDict):
    """One skirt as measured."""

    piston: int
    """number of the piston"""
    diameter: Quantity
    """diameter of the skirt at its gauge point, across the thrust faces"""


class SkirtTemperaturesPart(TypedDict):
    """How hot skirt and bore run, and how warm they were when measured."""

    skirt: NotRequired[Quantity]
    """of the skirt at its gauge point, when hot"""
    bore: NotRequired[Quantity]
    """of the cylinder wall where the skirt runs, when hot"""
    assembly: NotRequired[Quantity]
    """of the parts when they were measured"""


class ClearanceRangePart(TypedDict):
    """The caller's own range for the cold clearance to the metal of the skirt."""

    low: Quantity
    """smallest cold clearance wanted"""
    high: Quantity
    """largest cold clearance wanted"""


class SkirtLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    clearance: NotRequired[ClearanceRangePart]
    """cold clearance to the metal of the skirt"""
