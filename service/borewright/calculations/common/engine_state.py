"""An engine at one running condition, as a request says it: geometry, speed, fuel, boost, nitrous oxide, valve events, ambient air."""

from __future__ import annotations

from typing import ClassVar

from borewright.calculations.base.fields import Assumed, Choice, Label, Part, Quantity, RequestPart
from borewright.calculations.common.duty import FUELS, DutyPart
from borewright.calculations.common.engine import (
    CrownPart,
    GasketPart,
    StackPart,
    TopLandPart,
    bore,
    cylinders,
    deck_clearance,
    rod_length,
    stroke,
)
from borewright.calculations.common.engine_kind import COOLINGS, INJECTIONS
from borewright.practice.tables import table

SCALES = ("ron", "mon", "aki")
DRIVES = ("exhaust", "crank")


def _usual(row: str, column: str) -> Assumed:
    found = table("cycle").row(row)
    return Assumed(found.word(column), found.basis, found.source)


def engine_speed(*, required: bool = False) -> Quantity:
    """The speed of the crank at full load.

    >>> engine_speed().kind
    'rotation'
    """
    return Quantity("rotation", "500 rpm", "20000 rpm", "speed of the crank, at full load", required=required)


class OctanePart(RequestPart):
    """How a fuel is rated against knock: on one scale, or by both methods where both are known."""

    alternatives = ((("rating", "scale"), ("ron", "mon")),)

    rating = Quantity("ratio", "50", "140", "the octane rating")
    scale = Choice(SCALES, "research (ron), motor (mon) or their mean, the anti-knock index (aki)")
    ron = Quantity("ratio", "50", "140", "by the research method")
    mon = Quantity("ratio", "50", "140", "by the motor method")


class BlendPart(RequestPart):
    """What a fuel is blended of, in parts by volume: {"gasoline": 15, "ethanol": 85}, or in any other whole numbers."""

    gasoline = Label(0, 100, "parts by volume")
    ethanol = Label(0, 100, "parts by volume")
    methanol = Label(0, 100, "parts by volume")


class FuelPart(RequestPart):
    """What the engine burns."""

    name = Choice(FUELS, "a fuel of the reference table; left out, the duty's")
    blend = Part(BlendPart, "a blend instead, in parts by volume; its octane number is the blend's own")
    octane_weight = Quantity(
        "ratio",
        "-2",
        "2",
        "K of the octane index RON − K(RON − MON); left out, what is usual in this kind of engine",
    )
    octane = Part(OctanePart, "how it is rated against knock", required=True)
    equivalence_ratio = Quantity(
        "ratio",
        "0.6",
        "1.6",
        "fuel over what burns completely, above 1 where it is rich; oxygen of nitrous oxide counts as well; left out, what is usual in "
        "this kind of engine",
    )


class BoostPart(RequestPart):
    """A compressor before the engine."""

    pressure = Quantity("pressure", "0 kPa", "400 kPa", "boost above ambient (gauge), in the manifold", required=True)
    compressor_efficiency = Quantity("ratio", "0.3", "1", "isentropic, of the compressor", assumed=_usual("compressor", "efficiency"))
    intercooler_effectiveness = Quantity(
        "ratio", "0", "1", "share of the way back to ambient temperature; 0 without one", assumed=_usual("intercooler", "effectiveness")
    )
    drive = Choice(
        DRIVES,
        "what drives it: an exhaust turbine, which holds the exhaust back, or the crank",
        assumed=Assumed("exhaust", "common practice", "the usual case where nothing is said"),
    )


class NitrousPart(RequestPart):
    """Nitrous oxide for the whole engine: by the power it is sold as, or by its flow."""

    alternatives = ((("power",), ("mass_flow",)),)

    power = Quantity("power", "0 kW", "2000 kW", "power it is to add at the crank")
    mass_flow = Quantity("mass_flow", "0 g/s", "2000 g/s", "nitrous oxide as the kit delivers it, fuel not counted")
    bottle_temperature = Quantity(
        "temperature", "-40 degC", "35 degC", "of the liquid in its bottle", assumed=_usual("nitrous_bottle", "temperature")
    )


class AmbientPart(RequestPart):
    """The air that the engine draws."""

    pressure = Quantity("pressure", "40 kPa", "110 kPa", "of the air, absolute")
    altitude = Quantity("altitude", "-400 m", "7000 m", "above sea level, instead of the pressure")
    temperature = Quantity("temperature", "-50 degC", "85 degC", "of the air at the inlet")


class ConditionPart(RequestPart):
    """Everything about a running engine but its compression."""

    bore = bore(required=False)
    stroke = stroke(required=False)
    cylinders = cylinders(required=False)
    injection = Choice(INJECTIONS, "where the fuel joins the air; port where nothing is said")
    cooling = Choice(COOLINGS, "what cools the cylinders; liquid where nothing is said")
    rod_length = rod_length()
    pin_offset = Quantity("length", "-25 mm", "25 mm", "pin offset from the cylinder axis; 0 where nothing is said")
    speed = engine_speed()
    fuel = Part(FuelPart, "what it burns")
    duty = Part(DutyPart, "what the engine is for")
    boost = Part(BoostPart, "a compressor; left out, there is none")
    nitrous = Part(NitrousPart, "nitrous oxide; left out, there is none")
    intake_closing = Quantity("angle", "0 deg", "150 deg", "intake valve closing after bottom dead center")
    exhaust_opening = Quantity("angle", "0 deg", "359 deg", "exhaust valve opening before bottom dead center")
    ambient = Part(AmbientPart, "the air that it draws")
    volumetric_efficiency = Quantity("ratio", "0.1", "1.4", "gas drawn in over what the swept volume holds at the manifold's density")


class EngineStatePart(ConditionPart):
    """A running engine: its compression as a number, or from the parts of its clearance volume."""

    alternatives: ClassVar[tuple[tuple[tuple[str, ...], ...], ...]] = (
        (("compression_ratio",), ("chamber_volume", "gasket", "deck_clearance"), ("chamber_volume", "gasket", "stack")),
    )

    compression_ratio = Quantity("ratio", "4", "25", "(swept + clearance) / clearance, where it is known")
    chamber_volume = Quantity("volume", "0 cm3", "5000 cm3", "chamber in the head, as poured")
    gasket = Part(GasketPart, "the head gasket as compressed")
    deck_clearance = deck_clearance()
    stack = Part(StackPart, "deck height, rod length and compression height, instead of the deck clearance")
    crown = Part(CrownPart, "the piston crown")
    top_land = Part(TopLandPart, "the crevice above the top ring; left out, it counts as nothing")
