"""The facts of a build: which of its places state the same one.

A place is a dotted path in the build ("crank.stroke"); one that names an object stands for all that is in it ("gasket").
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType


@dataclass(frozen=True)
class Fact:
    """One thing that is true of an engine.

    text : what it is, as it is read after "the"
    places : where it may be stated; one is enough
    margin : by how much places may differ beyond their tolerances, as they do not say quite the same [SI]
    """

    text: str
    places: tuple[str, ...]
    margin: float = 0.0


FACTS = (
    Fact("bore", ("bore", "running.bore")),
    Fact("bore as it stands", ("nominal_bore", "block.bore")),
    Fact("stroke", ("stroke", "crank.stroke", "running.stroke")),
    Fact("number of cylinders", ("cylinders", "block.cylinders")),
    Fact("rod length", ("rod_length", "rod.length", "stack.rod_length", "running.rod_length")),
    Fact("deck height", ("stack.deck_height", "block.deck_height")),
    Fact("compression height", ("stack.compression_height", "piston.compression_height")),
    Fact("pin offset", ("pin_offset",)),
    Fact("deck clearance", ("deck_clearance",)),
    Fact("chamber volume", ("chamber_volume",)),
    Fact("head gasket", ("gasket",)),
    Fact("crown", ("crown",)),
    Fact("metal milled off the heads", ("head_mill",)),
    Fact("metal cut off the decks", ("deck_cut",)),
    Fact("thickness of the gasket to be fitted", ("new_gasket_thickness",)),
    # the ring's upper side stands off the groove's by the side clearance
    Fact("height of the top land", ("top_land.height", "piston.top_land"), margin=0.1e-3),
    Fact("diameter of the top land", ("top_land.diameter",)),
    Fact("height of the second land", ("piston.second_land",)),
    Fact("pin diameter", ("piston.pin_diameter", "pin.outer")),
    Fact("pin length", ("piston.pin_length", "pin.length")),
    Fact("mass of the pin", ("pin.mass", "masses.pin")),
    Fact("mass of the rod's small end", ("rod.small_end_mass", "masses.rod_small_end")),
    Fact("reciprocating mass", ("moving.reciprocating_mass", "running.reciprocating_mass")),
    Fact("piston alloy", ("alloy", "piston.alloy")),
    Fact("bore material", ("bore_material",)),
    Fact("cooling", ("cooling",)),
    Fact("compression ratio", ("compression_ratio",)),
    Fact("highest pressure in the cylinder", ("peak_pressure", "running.peak_pressure")),
    Fact("compression ratio wanted", ("target", "target_compression.value")),
    Fact("speed the engine is turned to", ("speed", "running.speed")),
    Fact("speed at which a margin is asked", ("margin_speed",)),
    Fact("aspiration", ("duty.aspiration",)),
    Fact("service", ("duty.service",)),
    Fact("fuel", ("duty.fuel", "fuel.name")),
    Fact("octane rating", ("fuel.octane",)),
    Fact("octane weight", ("fuel.octane_weight",)),
    Fact("blend of fuels", ("fuel.blend",)),
    Fact("injection", ("injection",)),
    Fact("equivalence ratio", ("fuel.equivalence_ratio",)),
    Fact("boost", ("boost",)),
    Fact("nitrous oxide", ("nitrous",)),
    Fact("intake closing", ("intake_closing",)),
    Fact("exhaust opening", ("exhaust_opening",)),
    Fact("ambient air", ("ambient",)),
    Fact("volumetric efficiency", ("volumetric_efficiency",)),
    Fact("bank angle", ("bank_angle",)),
    Fact("temperature of the cylinder wall", ("temperatures.bore",)),
    Fact("temperature when the parts were measured", ("temperatures.assembly",)),
    Fact("limits of squish", ("limits.squish",)),
    Fact("limits of the deck clearance", ("limits.deck_clearance",)),
    Fact("limits of the top land", ("limits.top_land",)),
    Fact("limits of the second land", ("limits.second_land",)),
    Fact("limits of the room at the pin's ends", ("limits.pin_end_room",)),
    Fact("limits of the counterweight's clearance", ("limits.counterweight_clearance",)),
    Fact("limits of the spark's retard", ("limits.spark_retard",)),
    Fact("number of plans or choices wanted", ("top",)),
)

STANDS_IN: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "block.bore": ("bore", "the bore of the build, as none is stated for the block before machining"),
        "margin_speed": ("speed", "the speed the engine is turned to, as none is stated at which a margin is asked"),
    }
)
"""Where a place's fact is stated nowhere: the place of another fact that stands in, and why. The sheet lists it as an assumption."""


def within(path: str, place: str) -> bool:
    """Whether a dotted path is a place or lies inside it.

    >>> within("gasket.bore", "gasket"), within("gasket", "gasket"), within("gaskets", "gasket")
    (True, True, False)
    """
    return path == place or path.startswith(place + ".")


@lru_cache(maxsize=4096)
def fact_at(place: str) -> Fact | None:
    """The fact that a place states.

    >>> found = fact_at("crank.stroke")
    >>> found.text, found.places
    ('stroke', ('stroke', 'crank.stroke', 'running.stroke'))
    """
    return next((fact for fact in FACTS if any(within(place, named) for named in fact.places)), None)
