"""Piston, pin and rod as strength needs them: masses, sizes, materials, temperatures; what can't be is refused here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from borewright.calculations.base.fields import Part, Quantity, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Outcome
from borewright.calculations.common.materials import material_for
from borewright.calculations.common.temperatures import part_temperature
from borewright.calculations.strength.hot_strength import OwnStrengthPart
from borewright.physics.arrays import FloatArray


class StrengthPistonPart(RequestPart):
    """The piston."""

    mass = Quantity("mass", "10 g", "50 kg", "the piston with its rings and pin retainers", required=True)
    alloy = material_for("piston", "what it is made of, out of the materials table", required=True)
    top_land = Quantity("length", "0.5 mm", "60 mm", "height of the top land, crown edge to the top ring's groove")
    second_land = Quantity("length", "0.5 mm", "60 mm", "height of the second land, between the grooves of the two upper rings")
    land_groove_root = Quantity("length", "10 mm", "500 mm", "diameter of the piston at the bottom of the top ring's groove")
    crown_thickness = Quantity("length", "1 mm", "80 mm", "thickness of the crown where it is thinnest over an unsupported area")
    crown_span = Quantity(
        "length",
        "3 mm",
        "500 mm",
        "diameter of the largest circle of the crown's underside that neither bosses nor ribs nor the ring belt hold up",
    )


class StrengthPinPart(RequestPart):
    """The piston pin."""

    outer = Quantity("length", "5 mm", "200 mm", "outer diameter", required=True)
    inner = Quantity("length", "0 mm", "190 mm", "diameter of the hole; 0 for a solid pin", required=True)
    length = Quantity("length", "10 mm", "480 mm", "length", required=True)
    mass = Quantity("mass", "1 g", "20 kg", "mass", required=True)
    boss_span = Quantity("length", "3 mm", "400 mm", "gap between the inner faces of the piston's pin bosses")
    material = material_for("pin", "what it is made of, out of the materials table")


class RodShankPart(RequestPart):
    """The rod's shank where it is thinnest: as an I-section, or as any section of known area and radii of gyration."""

    alternatives = ((("height", "width", "web", "flange"), ("area", "gyration_swing", "gyration_side")),)

    height = Quantity("length", "3 mm", "300 mm", "I-section: over both flanges, across the rod in its plane of motion")
    width = Quantity("length", "2 mm", "300 mm", "I-section: width of the flanges, along the pin")
    web = Quantity("length", "0.5 mm", "300 mm", "I-section: thickness of the web, along the pin")
    flange = Quantity("length", "0.5 mm", "150 mm", "I-section: thickness of each flange, in the plane of motion")
    area = Quantity("area", "10 mm2", "30000 mm2", "area of the section")
    gyration_swing = Quantity(
        "length", "0.5 mm", "150 mm", "radius of gyration for bending in the plane of motion, about an axis along the pin"
    )
    gyration_side = Quantity("length", "0.5 mm", "150 mm", "radius of gyration for bending along the pin")


class StrengthRodPart(RequestPart):
    """The connecting rod; its length stands with the geometry."""

    mass = Quantity("mass", "10 g", "200 kg", "the whole rod with its cap and bolts")
    small_end_mass = Quantity("mass", "1 g", "100 kg", "its small end, weighed with the rod level; left out, a third of the whole")
    small_end_width = Quantity("length", "2 mm", "300 mm", "width of the small end along the pin")
    material = material_for("rod", "what it is made of, out of the materials table")
    shank = Part(RodShankPart, "the section of its shank where it is thinnest")


class StrengthTemperaturesPart(RequestPart):
    """How hot the parts run; left out, those of common practice for the duty."""

    crown = part_temperature("of the piston's crown where it is hottest")
    top_land = part_temperature("of the top land at the groove")
    second_land = part_temperature("of the second land at the groove")
    pin_boss = part_temperature("of the pin bosses")
    pin = part_temperature("of the pin")
    rod = part_temperature("of the rod's shank")


class StrengthsPart(RequestPart):
    """The caller's own strengths, which replace those of the tables where they are given."""

    crown = Part(OwnStrengthPart, "of the piston's crown")
    top_land = Part(OwnStrengthPart, "of the top land")
    second_land = Part(OwnStrengthPart, "of the second land")
    pin_boss = Part(OwnStrengthPart, "of the pin bosses")
    pin = Part(OwnStrengthPart, "of the pin")
    rod = Part(OwnStrengthPart, "of the rod's shank")


I_SECTION = ("height", "width", "web", "flange")
ANY_SECTION = ("area", "gyration_swing", "gyration_side")


def is_i_section(shank: Mapping[str, Any]) -> bool:
    """Whether a shank is given by the sizes of an I-section.

    >>> is_i_section({"height": 1.0, "area": 2.0}), is_i_section(dict.fromkeys(I_SECTION, 1.0))
    (False, True)
    """
    return all(name in shank for name in I_SECTION)


def possible_piston(piston: Mapping[str, Any], bore: FloatArray, outcome: Outcome) -> dict[str, Any]:
    """The piston; sizes that can't be are refused.

    >>> import numpy as np
    >>> outcome = Outcome({})
    >>> possible_piston({"land_groove_root": np.array([0.1])}, np.array([0.1]), outcome)["land_groove_root"].tolist()
    [nan]
    >>> outcome.impossible[0].pointer
    '#/piston/land_groove_root'
    """
    found = dict(piston)
    if "land_groove_root" in piston:
        root = piston["land_groove_root"]
        told = "the bottom of a groove must be smaller than the bore"
        found["land_groove_root"] = outcome.possible(root, root >= bore, "#/piston/land_groove_root", told)
    if "crown_span" in piston:
        span = piston["crown_span"]
        found["crown_span"] = outcome.possible(
            span, span > bore, "#/piston/crown_span", "no part of the crown can be wider than the bore: check both sizes"
        )
    return found


def possible_pin(pin: Mapping[str, Any], bore: FloatArray, outcome: Outcome) -> dict[str, Any]:
    """The pin; sizes that can't be are refused.

    >>> import numpy as np
    >>> outcome = Outcome({})
    >>> sizes = {"outer": np.array([0.02]), "inner": np.array([0.03]), "length": np.array([0.06])}
    >>> float(possible_pin(sizes, np.array([0.1]), outcome)["inner"][0]), outcome.impossible[0].pointer
    (nan, '#/pin/inner')
    """
    found = dict(pin)
    outer, inner, length = pin["outer"], pin["inner"], pin["length"]
    found["outer"] = outcome.possible(outer, outer >= bore, "#/pin/outer", "the pin can't be as thick as the bore: check both sizes")
    found["inner"] = outcome.possible(inner, inner >= outer, "#/pin/inner", "the hole must be smaller than the pin")
    found["length"] = outcome.possible(
        length, length > bore, "#/pin/length", "the pin can't be longer than the bore is wide: check both sizes"
    )
    if "boss_span" in pin:
        span = pin["boss_span"]
        told = "the pin must reach into both bosses: it is shorter than the gap"
        found["boss_span"] = outcome.possible(span, span >= length, "#/pin/boss_span", told)
    return found


def possible_rod(rod: Mapping[str, Any], pin: Mapping[str, Any], outcome: Outcome) -> dict[str, Any]:
    """The rod; sizes that can't be are refused.

    >>> import numpy as np
    >>> outcome = Outcome({})
    >>> rod = {"mass": np.array([0.5]), "small_end_mass": np.array([0.6])}
    >>> float(possible_rod(rod, {}, outcome)["small_end_mass"][0]), outcome.impossible[0].pointer
    (nan, '#/rod/small_end_mass')
    """
    found = dict(rod)
    if "mass" in rod and "small_end_mass" in rod:
        end = rod["small_end_mass"]
        told = "one end can't weigh as much as the whole rod: weigh both again"
        found["small_end_mass"] = outcome.possible(end, end >= rod["mass"], "#/rod/small_end_mass", told)
    if "small_end_width" in rod and "boss_span" in pin:
        width = rod["small_end_width"]
        told = "the small end must fit between the pin bosses"
        found["small_end_width"] = outcome.possible(width, width > pin["boss_span"], "#/rod/small_end_width", told)
    if "shank" in rod:
        found["shank"] = _possible_shank(rod["shank"], outcome)
    return found


def _possible_shank(shank: Mapping[str, Any], outcome: Outcome) -> dict[str, Any]:
    part = dict(shank)
    drawn = is_i_section(shank)
    for name in ANY_SECTION if drawn else I_SECTION:
        told = "the section is known without it, so this would not be used: leave it out"
        outcome.refuse_where(name in shank, f"#/rod/shank/{name}", told, Code.NOT_APPLICABLE)
    if drawn:
        web, flange = shank["web"], shank["flange"]
        told = "the web can't be thicker than the flanges are wide: check both sizes"
        part["web"] = outcome.possible(web, web > shank["width"], "#/rod/shank/web", told)
        told = "two flanges can't be thicker than the whole section: check both sizes"
        part["flange"] = outcome.possible(flange, 2 * flange > shank["height"], "#/rod/shank/flange", told)
    return part
