"""Valves in a request: lift near top dead center, reliefs, how the valves stand, sizes across, the caller's own limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np

from borewright.calculations.base.fields import Assumed, Part, Quantity, RequestPart
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.valve import lift_between

SIDES = ("intake", "exhaust")
GRID = np.radians(0.5)  # between measured angles; the least clearance is flat there, so that this finds it to about a micrometer


class LiftPart(RequestPart):
    """Lift at one crank angle."""

    crank = Quantity("angle", "-120 deg", "120 deg", "after top dead center of the overlap; negative before it", required=True)
    intake = Quantity("length", "0 mm", "60 mm", "lift of the intake valve, along its axis")
    exhaust = Quantity("length", "0 mm", "60 mm", "lift of the exhaust valve, along its axis")


def _depth(text: str) -> Quantity:
    return Quantity(
        "length", "-60 mm", "60 mm", text, assumed=Assumed("0 mm", "common practice", "a crown without a relief, the least room")
    )


class ReliefPart(RequestPart):
    """Depth of the valve pockets (reliefs) in the crown."""

    intake = _depth("valve-pocket depth: crown's flat to the floor of the intake relief, along the bore; negative above the flat")
    exhaust = _depth("valve-pocket depth: crown's flat to the floor of the exhaust relief, along the bore; negative above the flat")


def valve_angle(text: str, *, required: bool = False) -> Quantity:
    """How far a valve leans from the bore.

    >>> valve_angle("of the intake valve").kind
    'angle'
    """
    return Quantity("angle", "0 deg", "60 deg", text, required=required)


def valve_drop(text: str, *, required: bool = False) -> Quantity:
    """How far a closed valve stands back from the head's face.

    >>> valve_drop("of the intake valve").signed
    True
    """
    return Quantity("length", "-20 mm", "60 mm", text, required=required)


class ValveAnglesPart(RequestPart):
    """How far each valve leans."""

    intake = valve_angle("intake valve's axis to the bore's", required=True)
    exhaust = valve_angle("exhaust valve's axis to the bore's", required=True)


class ValveDropsPart(RequestPart):
    """How far each closed valve stands back from the head's face."""

    intake = valve_drop(
        "valve recession: head's face to the closed intake valve, along the bore; negative where it stands proud", required=True
    )
    exhaust = valve_drop(
        "valve recession: head's face to the closed exhaust valve, along the bore; negative where it stands proud", required=True
    )


class RadialPart(RequestPart):
    """Sizes of one valve and its relief across the valve's axis."""

    spellings: ClassVar[Mapping[str, str]] = {"centre_offset": "center_offset"}
    valve_diameter = Quantity("length", "2 mm", "200 mm", "diameter of the valve's head", required=True)
    relief_diameter = Quantity("length", "2 mm", "300 mm", "diameter of the relief", required=True)
    center_offset = Quantity(
        "length",
        "0 mm",
        "50 mm",
        "between the axes of valve and relief",
        assumed=Assumed("0 mm", "common practice", "a relief cut on the valve's axis"),
    )


class RadialsPart(RequestPart):
    """Sizes across for each side."""

    intake = Part(RadialPart, "intake valve and relief")
    exhaust = Part(RadialPart, "exhaust valve and relief")


class LeastClearancePart(RequestPart):
    """The caller's own least clearance."""

    low = Quantity("length", "0 mm", "20 mm", "least clearance wanted", required=True)


class ValveLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    intake_clearance = Part(LeastClearancePart, "intake valve to piston, along the valve's axis")
    exhaust_clearance = Part(LeastClearancePart, "exhaust valve to piston, along the valve's axis")
    radial_clearance = Part(LeastClearancePart, "a valve's edge to the wall of its relief")


@dataclass(frozen=True)
class LiftCurve:
    """Lift of one side between the angles at which it was measured.

    known : array (samples,) [rad], the nominal angles, rising
    angle : array (points, 1 or states) [rad]
    lift : array (points, states) [m]
    """

    known: FloatArray
    angle: FloatArray
    lift: FloatArray


def lift_curve(entries: Sequence[Mapping[str, Any]], side: str) -> LiftCurve:
    """Lay a side's lift out over its measured angles and half degrees between them.

    entries : those that have the side's lift, no nominal angle twice

    Tolerances of the angles move the curve with them: between two measured angles, as much of either as is near.

    >>> entries = [{"crank": np.radians([at]), "intake": np.array([lift])} for at, lift in ((0.0, 1e-3), (2.0, 1.4e-3))]
    >>> curve = lift_curve(entries, "intake")
    >>> np.degrees(curve.angle[:, 0]).round(6).tolist(), (curve.lift[:, 0] * 1e3).round(6).tolist()
    ([0.0, 0.5, 1.0, 1.5, 2.0], [1.0, 1.1, 1.2, 1.3, 1.4])
    """
    cranks = np.stack(np.broadcast_arrays(*(np.atleast_1d(entry["crank"]) for entry in entries)))
    lifts = np.stack(np.broadcast_arrays(*(np.atleast_1d(entry[side]) for entry in entries)))
    order = np.argsort(cranks[:, 0])
    cranks, lifts = cranks[order], lifts[order]
    known = cranks[:, 0]
    if known.size == 1:
        return LiftCurve(known, cranks, lifts)
    steps = np.maximum(np.ceil(np.diff(known) / GRID - 1e-6), 1.0).astype(np.int64)
    first = np.repeat(np.arange(steps.size), steps)
    within = (np.arange(first.size) - np.repeat(np.cumsum(steps) - steps, steps)) / np.repeat(steps, steps)
    first, within = np.append(first, steps.size - 1), np.append(within, 1.0)
    # so written, a measured angle comes out to the last digit
    angle = cranks[first] * (1.0 - within)[:, np.newaxis] + cranks[first + 1] * within[:, np.newaxis]
    nominal = np.clip(angle[:, 0], known[0], known[-1])
    return LiftCurve(known, angle, np.maximum(lift_between(nominal, known, lifts), 0.0))
