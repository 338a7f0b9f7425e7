"""What power-gain is asked: a build before, and what changes of it."""

from __future__ import annotations

from typing import ClassVar

from borewright.calculations.base.fields import Choice, Part, Quantity, QuantityOrPart, Request, RequestPart
from borewright.calculations.common.duty import ASPIRATIONS, FUELS, SERVICES
from borewright.calculations.common.engine_state import DRIVES, BlendPart, ConditionPart, EngineStatePart, OctanePart
from borewright.calculations.common.own_limits import MostRetardPart

OMITTED = "; left out, as before"


class HeadMilledPart(RequestPart):
    """What came off the heads, and what the chamber loses by it."""

    depth = Quantity("length", "0 mm", "10 mm", "milled off each head", required=True)
    chamber_area = Quantity("area", "1 cm2", "2200 cm2", "of the chamber's opening at the head's face; left out, a share of the bore's")


def _head_mill() -> QuantityOrPart:
    return QuantityOrPart("length", "0 mm", "10 mm", HeadMilledPart, "milled off each head: a depth, or with the chamber's area")


class MovingPart(RequestPart):
    """What has to be spun up: masses of one cylinder, inertias of the whole engine."""

    reciprocating_mass = Quantity("mass", "0 g", "20 kg", "piston, pin, rings and the rod's small end, of one cylinder")
    rotating_mass = Quantity("mass", "0 g", "20 kg", "the rod's big end with its shells, of one cylinder")
    crank_inertia = Quantity("moment_of_inertia", "0 kg·m2", "50 kg·m2", "moment of inertia of the crank, without rods")
    flywheel_inertia = Quantity("moment_of_inertia", "0 kg·m2", "50 kg·m2", "moment of inertia of flywheel, clutch and damper")


class FuelChangePart(RequestPart):
    """What changes of the fuel."""

    name = Choice(FUELS, "a fuel of the reference table" + OMITTED)
    blend = Part(BlendPart, "a blend instead, in parts by volume" + OMITTED)
    octane_weight = Quantity("ratio", "-2", "2", "K of the octane index RON − K(RON − MON)" + OMITTED)
    octane = Part(OctanePart, "how it is rated against knock" + OMITTED)
    equivalence_ratio = Quantity("ratio", "0.6", "1.6", "fuel over what burns completely" + OMITTED)


class DutyChangePart(RequestPart):
    """What changes of the duty."""

    aspiration = Choice(ASPIRATIONS, "how the engine gets its air" + OMITTED)
    service = Choice(SERVICES, "how hard it is used" + OMITTED)
    fuel = Choice(FUELS, "a fuel of the reference table" + OMITTED)


class BoostChangePart(RequestPart):
    """What changes of the boost."""

    pressure = Quantity("pressure", "0 kPa", "400 kPa", "boost above ambient (gauge), in the manifold" + OMITTED)
    compressor_efficiency = Quantity("ratio", "0.3", "1", "isentropic, of the compressor" + OMITTED)
    intercooler_effectiveness = Quantity("ratio", "0", "1", "share of the way back to ambient temperature" + OMITTED)
    drive = Choice(DRIVES, "what drives it" + OMITTED)


class NitrousChangePart(RequestPart):
    """What changes of the nitrous oxide."""

    power = Quantity("power", "0 kW", "2000 kW", "power it is to add at the crank" + OMITTED)
    mass_flow = Quantity("mass_flow", "0 g/s", "2000 g/s", "nitrous oxide as the kit delivers it, instead of the power" + OMITTED)
    bottle_temperature = Quantity("temperature", "-40 degC", "35 degC", "of the liquid in its bottle" + OMITTED)


class StackChangePart(RequestPart):
    """What changes of the stack."""

    deck_height = Quantity("length", "50 mm", "2000 mm", "crank center line to deck" + OMITTED)
    rod_length = Quantity("length", "30 mm", "1200 mm", "connecting rod, center to center" + OMITTED)
    compression_height = Quantity("length", "10 mm", "250 mm", "pin center to the flat of the crown" + OMITTED)


class BeforePart(EngineStatePart):
    """The build before the change."""

    moving = Part(MovingPart, "what has to be spun up")


class AfterPart(EngineStatePart):
    """What changes of the build: all that is left out stays as before."""

    alternatives: ClassVar[tuple[tuple[tuple[str, ...], ...], ...]] = ()

    fuel = Part(FuelChangePart, "what changes of the fuel")
    duty = Part(DutyChangePart, "what changes of the duty")
    boost = Part(BoostChangePart, "what changes of the boost")
    nitrous = Part(NitrousChangePart, "what changes of the nitrous oxide")
    stack = Part(StackChangePart, "what changes of the stack")
    moving = Part(MovingPart, "what changes of what has to be spun up")
    head_mill = _head_mill()
    deck_cut = Quantity("length", "0 mm", "10 mm", "cut off each deck")


class SpinUpPart(RequestPart):
    """How fast the engine gains speed: as such, or by the car's acceleration in a gear."""

    alternatives = ((("rate",), ("acceleration", "overall_ratio", "tire_radius")),)

    rate = Quantity("rotation_rate", "0 rpm/s", "50000 rpm/s", "speed gained in a second")
    acceleration = Quantity("acceleration", "0 m/s2", "100 m/s2", "of the car")
    overall_ratio = Quantity("ratio", "0.1", "100", "turns of the crank for one of the wheels: gear times axle")
    tire_radius = Quantity("length", "100 mm", "1000 mm", "rolling radius of the driven wheels")


class PowerLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    spark_retard = Part(MostRetardPart, "retard from MBT timing")


class PowerGainRequest(ConditionPart, Request):
    """What power-gain needs; what stands beside before and after holds for both, an object's own fields go before it."""

    before = QuantityOrPart(
        "ratio", "4", "20", BeforePart, "before the change: a compression ratio, or an object with the build's state", required=True
    )
    after = QuantityOrPart(
        "ratio", "4", "20", AfterPart, "after the change: a compression ratio, or an object with what changes of the build", required=True
    )
    baseline_power = Quantity("power", "1 kW", "20000 kW", "power before the change", required=True)
    moving = Part(MovingPart, "what has to be spun up")
    spin_up = Part(SpinUpPart, "how fast the engine gains speed, for the power that its own moving masses take")
    limits = Part(PowerLimitsPart, "the caller's own limits, which replace those of common practice")
