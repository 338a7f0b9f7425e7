"""Bearings in a request: journals, housings and shells as measured, the shells on offer, what the bearing runs at."""

from __future__ import annotations

from borewright.calculations.base.fields import Assumed, Choice, Many, Part, Quantity, Request, RequestPart, Text
from borewright.calculations.common.duty import CylinderDutyPart
from borewright.calculations.common.materials import SPELLINGS, materials_for
from borewright.calculations.common.own_limits import LengthLimitsPart
from borewright.calculations.common.temperatures import measuring_temperature, part_temperature
from borewright.practice.tables import table

KINDS = ("main", "rod")
GRADES = tuple(table("oils").rows)
MOST_BEARINGS = 25
MOST_SHELLS = 12
HOUSINGS = tuple(dict.fromkeys((*materials_for("bore"), *materials_for("rod"))))


class JournalReadingPart(RequestPart):
    """What the micrometer says at one place along a journal."""

    position = Quantity("length", "0 mm", "500 mm", "place along the journal", required=True)
    vertical = Quantity("length", "2 mm", "400 mm", "diameter through the crankshaft's throw, or up and down", required=True)
    horizontal = Quantity("length", "2 mm", "400 mm", "diameter across that", required=True)


class JournalPart(RequestPart):
    """A journal: its diameter, or what was read along it."""

    alternatives = ((("diameter",), ("readings",)),)

    diameter = Quantity("length", "2 mm", "400 mm", "diameter of the journal")
    readings = Many(
        Part(JournalReadingPart, "one place"), "diameters along the journal, instead of one; two places or more tell taper", longest=8
    )


class HousingPart(RequestPart):
    """The bore that the shells sit in."""

    bore = Quantity("length", "2.5 mm", "420 mm", "diameter of the housing, its bolts tight and no shells in it", required=True)


class ShellPart(RequestPart):
    """The shells that are in it or come in."""

    thickness = Quantity("length", "0.1 mm", "25 mm", "wall at the crown of the shell", required=True)


class OfferedShellPart(RequestPart):
    """Shells on offer."""

    alternatives = ((("undersize",), ("thickness",)),)

    name = Text(64, "what the shop calls them")
    undersize = Quantity(
        "length",
        "-0.2 mm",
        "3 mm",
        "how much smaller the journal is that they are made for; their wall is thicker by half of it than `shell`, below zero thinner",
    )
    thickness = Quantity("length", "0.1 mm", "25 mm", "wall at the crown, instead of an undersize")


class BearingPart(RequestPart):
    """One bearing; what it leaves out is that of all."""

    name = Text(32, "name or number of the bearing", required=True)
    journal = Part(JournalPart, "its journal")
    housing = Part(HousingPart, "its housing")
    shell = Part(ShellPart, "its shells")


class OilPart(RequestPart):
    """The oil in the film."""

    alternatives = ((("viscosity",), ("grade",)),)

    viscosity = Quantity("viscosity", "0.5 mPa·s", "1000 mPa·s", "dynamic viscosity in the film")
    grade = Choice(GRADES, "viscosity grade, out of the oils table; its thin end is taken")
    temperature = Quantity("temperature", "40 degC", "180 degC", "of the oil in the film; left out, the journal's", required=False)


class RunningPart(RequestPart):
    """What loads the bearing."""

    alternatives = ((("peak_load",), ("peak_pressure", "bore", "stroke", "rod_length", "reciprocating_mass")),)

    speed = Quantity("rotation", "100 rpm", "25000 rpm", "of the crankshaft", required=True)
    peak_load = Quantity("force", "10 N", "2000 kN", "highest load on the bearing over a cycle")
    peak_pressure = Quantity("pressure", "1 bar", "400 bar", "highest pressure in the cylinder, absolute")
    bore = Quantity("length", "5 mm", "500 mm", "diameter of the cylinder")
    stroke = Quantity("length", "5 mm", "600 mm", "twice the crank throw")
    rod_length = Quantity("length", "8 mm", "1200 mm", "connecting rod, center to center")
    reciprocating_mass = Quantity("mass", "1 g", "50 kg", "piston, pin, rings and the rod's small end")
    rotating_mass = Quantity(
        "mass", "0 g", "50 kg", "the rod's big end", assumed=Assumed("0 g", "common practice", "left out where nothing is said")
    )


class BearingTemperaturesPart(RequestPart):
    """Temperatures of the parts of a bearing."""

    journal = part_temperature("of journal and shells when running")
    housing = part_temperature("of the housing when running")
    assembly = measuring_temperature()


class BearingLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    clearance = Part(LengthLimitsPart, "oil clearance on the diameter, cold")
    side_clearance = Part(LengthLimitsPart, "between rods and cheeks")
    end_float = Part(LengthLimitsPart, "of the crankshaft")
    out_of_round = Part(LengthLimitsPart, "of a journal")
    taper = Part(LengthLimitsPart, "of a journal")


class BearingClearanceRequest(Request):
    """What bearing clearance needs."""

    kind = Choice(KINDS, "main bearings, or the rods' big ends", required=True)
    journal = Part(JournalPart, "the journal, where all are alike")
    housing = Part(HousingPart, "the housing, where all are alike")
    shell = Part(ShellPart, "the shells, where all are alike")
    bearings = Many(
        Part(BearingPart, "one bearing"), "the bearings one by one; each may leave out what is stated for all", longest=MOST_BEARINGS
    )
    shells = Many(Part(OfferedShellPart, "one size"), "the shells on offer: undersizes, or select walls", longest=MOST_SHELLS)
    duty = Part(CylinderDutyPart, "what the engine is for")
    housing_material = Choice(
        HOUSINGS,
        "what the housing is made of, out of the materials table; left out, gray iron for mains and steel for rods",
        spellings=SPELLINGS,
    )
    width = Quantity("length", "1 mm", "300 mm", "of the shell, across which it carries; the oil film needs it")
    side_clearance = Quantity("length", "0 mm", "10 mm", "between the rods of one pin and its cheeks, as measured")
    end_float = Quantity("length", "0 mm", "5 mm", "of the crankshaft in its thrust bearing, as measured")
    temperatures = Part(BearingTemperaturesPart, "temperatures; left out, those of common practice for the duty")
    oil = Part(OilPart, "the oil; the film needs it")
    running = Part(RunningPart, "speed and load; the film needs them")
    limits = Part(BearingLimitsPart, "the caller's own limits, say from the instructions that came with the shells")
