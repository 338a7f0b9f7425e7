"""How throws and bores stand: a layout by name, or throws and cylinders of the caller's own, as arrays over states and cylinders."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.fields import Label, Quantity, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Outcome
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.balance_layouts import LAYOUTS

MOST_THROWS = 24
NO_PITCH = 1.0  # [m], where all cylinders stand in one plane and moments are nothing
HALF_TURN = np.pi
OPPOSED = 1e-6  # [rad], how near to half a turn two bores lie opposite each other


class CrankThrowPart(RequestPart):
    """One throw of a crank of one's own."""

    angle = Quantity("angle", "-720 deg", "720 deg", "where it points, in the direction of rotation from any one direction", required=True)
    position = Quantity("length", "-10 m", "10 m", "where it stands along the crank, from any one place; left out, no moments are given")


class CrankCylinderPart(RequestPart):
    """One cylinder on a throw."""

    throw = Label(1, MOST_THROWS, "its throw, counted from 1 as the throws are listed", required=True)
    bank_angle = Quantity(
        "angle", "-360 deg", "360 deg", "where its bore points, in the direction of rotation from the engine's middle plane", required=True
    )
    position = Quantity("length", "-10 m", "10 m", "where it stands along the crank; left out, where its throw does")


@dataclass(frozen=True)
class Arrangement:
    """Throws, bores and places, cylinder by cylinder.

    throws : array (states, cylinders) [rad]
    banks : array (states, cylinders) [rad]
    positions : array (states, cylinders) [1], in spacings from the middle of the crank
    pins : which throw each cylinder is on
    spacing : array (states,) [m]; None where it is not known, so that there are no moments
    source : where it comes from
    """

    throws: FloatArray
    banks: FloatArray
    positions: FloatArray
    pins: Sequence[object]
    spacing: FloatArray | None
    source: str

    @property
    def count(self) -> int:
        """How many cylinders there are."""
        return len(self.pins)

    @property
    def rods_on_a_pin(self) -> int:
        """The most rods that share a pin.

        >>> named("v8-90-cross-plane", None).rods_on_a_pin, named("opposed-2", None).rods_on_a_pin
        (2, 1)
        """
        return max(self.pins.count(pin) for pin in self.pins)


def arrangement(request: Mapping[str, Any], outcome: Outcome) -> Arrangement:
    """The arrangement that a request asks for; what can't be is marked in the outcome."""
    if "layout" in request:
        found = named(request["layout"], request.get("cylinder_spacing"))
        if "bank_angle" not in request:
            return found
        in_line = not found.banks.any()
        outcome.refuse_where(
            in_line, "#/bank_angle", "this layout has one bank: leave the angle out, or choose another layout", Code.NOT_APPLICABLE
        )
        between = np.asarray(request["bank_angle"])
        _tell_a_shared_pin(outcome, found, between)
        banks: FloatArray = np.sign(found.banks) * between[:, None] / 2.0
        return Arrangement(found.throws, banks, found.positions, found.pins, found.spacing, found.source)
    own = "with cylinders of your own each says where its bore points: leave the angle between banks out"
    outcome.refuse_where("bank_angle" in request, "#/bank_angle", own, Code.NOT_APPLICABLE)
    return _own(request["throws"], request["cylinders"], request.get("cylinder_spacing"), outcome)


def named(name: str, spacing: FloatArray | None) -> Arrangement:
    """A layout by its name.

    >>> named("inline-3", None).positions.tolist()
    [[-1.0, 0.0, 1.0]]
    """
    layout = LAYOUTS[name]
    pins = list(zip(layout.throw_degrees, layout.positions, strict=True))
    positions = np.asarray(layout.positions)[None, :]
    return Arrangement(
        layout.throws[None, :], layout.banks[None, :], positions, pins, spacing, "the throw angles and positions of the layout"
    )


def _own(
    throws: Sequence[Mapping[str, Any]], cylinders: Sequence[Mapping[str, Any]], spacing: FloatArray | None, outcome: Outcome
) -> Arrangement:
    pins, places = [], []
    for index, cylinder in enumerate(cylinders):
        known = cylinder["throw"] <= len(throws)
        there = f"there are {len(throws)} throws: choose one of them, or add the throw that is missing"
        outcome.refuse_where(not known, f"#/cylinders/{index}/throw", there, Code.IMPOSSIBLE)
        pins.append(cylinder["throw"] if known else 1)
        places.append(cylinder.get("position", throws[pins[-1] - 1].get("position")))
    for index in sorted(set(range(1, len(throws) + 1)) - set(pins)):
        outcome.refuse_where(
            True, f"#/throws/{index - 1}", "no cylinder is on this throw: leave it out, or name it in cylinders", Code.NOT_APPLICABLE
        )
    angles = _side_by_side([throws[pin - 1]["angle"] for pin in pins])
    banks = _side_by_side([cylinder["bank_angle"] for cylinder in cylinders])
    source = "the cylinders on each throw, in the request"
    if any(place is None for place in places):
        lone = len(throws) == 1 and all(place is None for place in places)  # all in one plane
        return Arrangement(angles, banks, np.zeros_like(banks), pins, np.array([NO_PITCH]) if lone else None, source)
    along = _side_by_side(places)
    middle = (along.min(axis=1) + along.max(axis=1)) / 2.0
    if spacing is None:
        several = len(np.unique(along[0])) - 1
        reach = along.max(axis=1) - along.min(axis=1)
        spacing = reach / several if several else np.full_like(reach, NO_PITCH)
    return Arrangement(angles, banks, (along - middle[:, None]) / spacing[:, None], pins, spacing, source)


def _tell_a_shared_pin(outcome: Outcome, found: Arrangement, between: FloatArray) -> None:
    """An opposed engine has a throw for each cylinder; a layout with shared pins, opened to half a turn, is another engine."""
    if found.rods_on_a_pin > 1 and abs(float(between[0]) - HALF_TURN) < OPPOSED:
        outcome.cautions.append("shared-pin")


def _side_by_side(columns: Sequence[FloatArray]) -> FloatArray:
    """Arrays over states as one of shape (states, cylinders)."""
    return np.stack(np.broadcast_arrays(*columns), axis=1)
