"""The pin in its holes and between the walls, and the height of the ring lands."""

from __future__ import annotations

import numpy as np

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.fits.clearances import diametral_clearance, hole_change, pin_boss_room, pin_end_room
from borewright.rules.rule import Rule


def _ends_at_best(bore: FloatArray, pin_diameter: FloatArray, pin_length: FloatArray, retainer: FloatArray) -> FloatArray:
    """Room at the ends of the pin were it as thin as a line, with no retainers, for what is not known of it."""
    return pin_end_room(bore, np.nan_to_num(pin_diameter), pin_length, np.nan_to_num(retainer))


def _height(land: FloatArray) -> FloatArray:
    return land


_IN_THE_ROD = {"hole": "rod.small_end_bore", "shaft": "piston.pin_diameter"}
_IN_THE_BOSSES = {"hole": "piston.pin_bore", "shaft": "piston.pin_diameter"}
_LOW = "a low land is hot and weak: it can crack or lift under the pressure of a harder duty; take another piston"

PIN_FIT_ROD_TIGHT = Rule(
    name="pin-fit-rod-tight",
    formula=diametral_clearance,
    needs=_IN_THE_ROD,
    reason="tighter than wanted: hone the small end (the change of the fit says how far)",
    row=("assembly", "pin_rod_floating"),
    soft=True,
)
PIN_FIT_ROD_LOOSE = Rule(
    name="pin-fit-rod-loose",
    formula=diametral_clearance,
    needs=_IN_THE_ROD,
    reason="looser than wanted: honing can't mend it; a bush, a larger pin or another rod",
    row=("assembly", "pin_rod_floating"),
)
PIN_FIT_PISTON_TIGHT = Rule(
    name="pin-fit-piston-tight",
    formula=diametral_clearance,
    needs=_IN_THE_BOSSES,
    reason="tighter than wanted: hone the pin bore (the change of the fit says how far), or the pin seizes",
    row=("assembly", "pin_piston"),
    soft=True,
)
PIN_FIT_PISTON_LOOSE = Rule(
    name="pin-fit-piston-loose",
    formula=diametral_clearance,
    needs=_IN_THE_BOSSES,
    reason="looser than wanted: the bosses hammer out; a larger pin or another piston",
    row=("assembly", "pin_piston"),
)
HONING_TO_FLOAT = Rule(
    name="honing-to-float",
    formula=hole_change,
    needs={**_IN_THE_ROD, "wanted_clearance": "wanted_clearance"},
    reason="far from it the small end was no usual press fit: measure again; the piston must have grooves for retainers",
    row=("assembly", "pin_rod_conversion"),
    soft=True,
)
PIN_END_ROOM = Rule(
    name="pin-end-room",
    formula=pin_end_room,
    needs={
        "bore": "bore",
        "pin_diameter": "piston.pin_diameter",
        "pin_length": "piston.pin_length",
        "retainer": "piston.retainer_thickness",
    },
    reason="pin or retainer reach the round wall: a shorter pin",
    row=("assembly", "pin_end_room"),
    at_best=_ends_at_best,
)
PIN_WITHIN_BOSSES = Rule(
    name="pin-within-bosses",
    formula=pin_boss_room,
    needs={"width": "piston.width_at_boss", "pin_length": "piston.pin_length", "retainer": "piston.retainer_thickness"},
    reason="pin and retainers must lie within the bosses: a shorter pin",
)
TOP_LAND = Rule(name="top-land", formula=_height, needs={"land": "piston.top_land"}, reason=_LOW, row=("assembly", "top_land_boost"))
SECOND_LAND = Rule(
    name="second-land", formula=_height, needs={"land": "piston.second_land"}, reason=_LOW, row=("assembly", "second_land_boost")
)


def retainer_room(given: FloatArray, pressed: BoolArray | bool) -> FloatArray:
    """Room that a pin retainer takes along the pin [m]: a pressed pin has none, and none need be given for it.

    >>> retainer_room(np.array([0.002, np.nan, np.nan]), np.array([True, True, False])).tolist()
    [0.002, 0.0, nan]
    """
    return np.where(np.isnan(given) & np.asarray(pressed), 0.0, given)
