"""The valve train after milling: pushrod, lifter, rocker and spring, and the timing of an overhead cam."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from borewright.calculations.assembly.valve_train.request import ValveTrainRequest
from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Section
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Check, Outcome
from borewright.calculations.common.own_limits import limited_check, refuse_crossed
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.valve_train import (
    cam_retard,
    lifter_compression,
    pitch_radius,
    pivot_rise,
    pushrod_for_drop,
    rocker_sweep,
)
from borewright.practice.tables import Row, table

REASONS = {
    "lifter-preload": "too little and the lifter is noisy, too much and it holds the valve open: fit the pushrod that is named",
    "valve-lash": "below zero the valve is held open: set the lash again, or fit the pushrod that is named",
    "coil-bind": "coils that meet at full lift break springs and bend pushrods: another spring, or a seat that is cut deeper",
    "retainer-room": "a retainer that meets the seal drops the valve: shorten the guide, or fit longer valves",
    "rocker-sweep": "a wide sweep wears stem and guide sideways: bring the rocker square at half lift with another pushrod",
    "cam-timing": "past it the cam is set right with an adjustable sprocket, an offset key or a shim under the head",
}


class Pushrod(AnswerPart):
    """The pushrod after the work."""

    same_geometry = Figure("length", "length that leaves rocker and lifter as they were")
    change = Figure("length", "how much shorter that is than the present one; below zero longer")


class Lifter(AnswerPart):
    """The lifter after the work, with the pushrod that is fitted."""

    pressed = Figure("length", "how much further it is pressed together; below zero it is let out")
    preload = Figure("length", "preload at the lifter; null for a solid one", nullable=True)
    lash = Figure("length", "lash at the valve until it is set again; null for a hydraulic one", nullable=True)


class Rocker(AnswerPart):
    """The rocker after the work."""

    pivot_rise = Figure("length", "how far the nut of a stud lets it up for the same preload; nothing on a fixed pivot")
    sweep_before = Figure("length", "way of its contact across the tip before the work; null without arm and lift", nullable=True)
    sweep = Figure("length", "the same after it; null without arm and lift", nullable=True)


class CamTiming(AnswerPart):
    """The timing of an overhead cam after the work."""

    retard = Figure("angle", "how far the cam lags, in degrees of the crankshaft; below zero it leads")
    at_cam = Figure("angle", "the same at the cam's sprocket")


class ValveTrainAnswer(Answer):
    """What valve train answers."""

    nearer_by = Figure("length", "how much nearer the crankshaft the head comes, along the bore")
    pushrod = Section(Pushrod, "the pushrod; null without one", nullable=True)
    lifter = Section(Lifter, "the lifter; null without pushrod, rocker and lifter", nullable=True)
    rocker = Section(Rocker, "the rocker; null without one", nullable=True)
    coil_bind_room = Figure("length", "what the spring has left at full lift; null without spring and lift", nullable=True)
    retainer_room = Figure("length", "what the retainer has left above the seal at full lift; null without either", nullable=True)
    cam = Section(CamTiming, "timing of an overhead cam; null without its drive", nullable=True)


def compute(request: dict[str, Any]) -> Outcome:
    """d off the head along the bore: d·cos δ into the lifter, d·cos ψ/r off the cam's timing; s of the stem into spring and rocker."""
    outcome = Outcome({})
    limits = request.get("limits", {})
    refuse_crossed({name: own for name, own in limits.items() if name != "cam_shift"}, outcome)
    drop = _drop(request, outcome)
    in_block = request["camshaft"] == "block"
    for name, wrong in (("cam_drive", in_block), ("pushrod", not in_block)):
        other = "in the block" if in_block else "over the head"
        outcome.refuse_where(
            wrong and name in request,
            f"#/{name}",
            f"a camshaft {other} has none: take this out, or say where the cam is",
            Code.NOT_APPLICABLE,
        )
    pushrod = _pushrod(request, drop) if in_block else None
    pressed = _pressed(request, pushrod, drop)
    lifter = _lifter(request, pressed)
    rocker = _rocker(request, pressed)
    lift, rise = request.get("valve_lift"), request["stem_rise"]
    spring, seal = request.get("spring"), request.get("retainer_to_seal")
    bind = None if spring is None or lift is None else spring["installed_height"] + rise - spring["coil_bind_height"] - lift
    room = None if seal is None or lift is None else seal + rise - lift
    cam = None if in_block or "cam_drive" not in request else _cam(request["cam_drive"], drop)
    outcome.values = {
        "nearer_by": drop,
        "pushrod": pushrod,
        "lifter": lifter,
        "rocker": rocker,
        "coil_bind_room": bind,
        "retainer_room": room,
        "cam": cam,
    }
    outcome.checks = list(_checks(request, lifter, rocker, bind, room, cam))
    return outcome


def _drop(request: Mapping[str, Any], outcome: Outcome) -> FloatArray:
    drop = request["head_mill"] + request["deck_cut"]
    if "new_gasket_thickness" not in request:
        return np.asarray(drop)
    lacking = "gasket" not in request
    outcome.refuse_where(lacking, "#/gasket", "what another gasket changes needs the present one: state its thickness", Code.MISSING)
    return np.asarray(drop if lacking else drop + request["gasket"]["thickness"] - request["new_gasket_thickness"])


def _pushrod(request: Mapping[str, Any], drop: FloatArray) -> dict[str, FloatArray] | None:
    """The pushrod that makes up for the head's drop, and for stem and base circle where the rocker is known."""
    given = request.get("pushrod")
    if given is None:
        return None
    wanted = pushrod_for_drop(given["length"], drop, given["lean"])
    if "rocker" in request:
        wanted = wanted - lifter_compression(np.zeros(1), request["stem_rise"], request["base_circle_loss"], request["rocker"]["ratio"])
    return {"same_geometry": wanted, "change": given["length"] - wanted}


def _pressed(request: Mapping[str, Any], pushrod: Mapping[str, FloatArray] | None, drop: FloatArray) -> FloatArray | None:
    """How much further the lifter is pressed together with the pushrod that is fitted."""
    if pushrod is None or "rocker" not in request:
        return None
    given = request["pushrod"]
    fitted = given.get("fitted_length", given["length"])
    shorter = fitted - pushrod_for_drop(given["length"], drop, given["lean"])
    return lifter_compression(shorter, request["stem_rise"], request["base_circle_loss"], request["rocker"]["ratio"])


def _lifter(request: Mapping[str, Any], pressed: FloatArray | None) -> dict[str, FloatArray | None] | None:
    given = request.get("lifter")
    if given is None or pressed is None:
        return None
    # a nut on a stud sets the preload or lash again, so that they stay as they were
    gone = np.zeros(1) if request["rocker"]["mounting"] == "stud" else pressed
    return {
        "pressed": pressed,
        "preload": given["preload"] + gone if "preload" in given else None,
        "lash": given["lash"] - gone * request["rocker"]["ratio"] if "lash" in given else None,
    }


def _rocker(request: Mapping[str, Any], pressed: FloatArray | None) -> dict[str, FloatArray | None] | None:
    given = request.get("rocker")
    if given is None:
        return None
    rise = pivot_rise(pressed, given["ratio"]) if given["mounting"] == "stud" and pressed is not None else np.zeros(1)
    arm, lift = given.get("arm_length"), request.get("valve_lift")
    # a tip that comes up by s, or a pivot that goes down, leaves the arm's tip end that much higher against the pivot
    after = given["off_square"] + request["stem_rise"] - rise
    return {
        "pivot_rise": rise,
        "sweep_before": None if arm is None or lift is None else rocker_sweep(arm, lift, given["off_square"]),
        "sweep": None if arm is None or lift is None else rocker_sweep(arm, lift, after),
    }


def _cam(drive: Mapping[str, Any], drop: FloatArray) -> dict[str, FloatArray]:
    if "pitch_diameter" in drive:
        radius = drive["pitch_diameter"] / 2.0
    else:
        radius = pitch_radius(drive["teeth"], drive["pitch"], chain=drive["drive"] == "chain")
    at_cam = cam_retard(drop, radius, drive["lean"])
    return {"retard": 2.0 * at_cam, "at_cam": at_cam}


def _checks(
    request: Mapping[str, Any],
    lifter: Mapping[str, FloatArray | None] | None,
    rocker: Mapping[str, FloatArray | None] | None,
    bind: FloatArray | None,
    room: FloatArray | None,
    cam: Mapping[str, FloatArray] | None,
) -> Iterator[Check]:
    limits, practice = request.get("limits", {}), table("valve_train")
    given = request.get("lifter", {})
    for name, row, asked, kind, value, needs in (
        ("lifter-preload", "preload", "preload" in given, "length", None if lifter is None else lifter["preload"], ("pushrod", "rocker")),
        ("valve-lash", "lash", "lash" in given, "length", None if lifter is None else lifter["lash"], ("pushrod", "rocker")),
        ("coil-bind", "coil_bind", "spring" in request, "length", bind, ("valve_lift",)),
        ("retainer-room", "retainer", "retainer_to_seal" in request, "length", room, ("valve_lift",)),
    ):
        if asked:
            check = limited_check(name, kind, value, limits.get(row), practice.row(row), REASONS[name])
            yield check if value is not None else _unknown(check, request, needs)
    if "stem_diameter" in request and rocker is not None:
        sweep = rocker["sweep"]
        share = None if sweep is None else sweep / request["stem_diameter"]
        check = _soft("rocker-sweep", "ratio", share, practice.row("rocker_sweep"), "ratio_")
        yield check if share is not None else _unknown(check, request, ("valve_lift", "rocker/arm_length"))
    if request["camshaft"] == "overhead":
        retard = None if cam is None else np.abs(cam["retard"])
        own = limits.get("cam_shift")
        check = _soft("cam-timing", "angle", retard, practice.row("cam_shift"), "angle_")
        if own is not None:
            check = limited_check("cam-timing", "angle", retard, own, None, REASONS["cam-timing"])
        yield check if cam is not None else _unknown(check, request, ("cam_drive",))


def _soft(name: str, kind: str, value: FloatArray | None, row: Row, columns: str) -> Check:
    return limited_check(name, kind, value, None, row, REASONS[name], columns=columns, soft=True)


def _unknown(check: Check, request: Mapping[str, Any], needs: tuple[str, ...]) -> Check:
    lacking = [name for name in needs if not _states(request, name)]
    named = " and ".join(name.replace("/", ".") for name in lacking)
    return replace(check, reason=f"not known: add {named}", missing=tuple(f"#/{name}" for name in lacking))


def _states(request: Mapping[str, Any], path: str) -> bool:
    first, _, rest = path.partition("/")
    return first in request and (not rest or rest in request[first])


CALCULATION = Calculation(
    name="valve-train",
    title="Valve train",
    question="What becomes of pushrods, preload and springs?",
    text=(
        "What milling, decking, another gasket, valve work or a reground cam does to the valve train: the pushrod that keeps its geometry, "
        "lifter preload or lash, the rocker's sweep, coil bind and retainer room, and how far an overhead cam lags."
    ),
    request=ValveTrainRequest,
    answer=ValveTrainAnswer,
    compute=compute,
    headline=("lifter.preload", "cam.retard", "nearer_by"),
    examples={
        "pushrods, heads milled and decks cut": {
            "units": "inch",
            "camshaft": "block",
            "head_mill": "0.030 in ± 0.001 in",
            "deck_cut": 0.010,
            "stem_rise": 0.010,
            "valve_lift": 0.520,
            "pushrod": {"length": 7.8, "lean": "6 deg"},
            "rocker": {"ratio": 1.6, "arm_length": 1.45, "mounting": "fixed"},
            "lifter": {"preload": "0.035 in ± 0.005 in"},
            "spring": {"installed_height": 1.8, "coil_bind_height": 1.15},
            "retainer_to_seal": 0.62,
            "stem_diameter": 0.341,
        },
        "an overhead cam on a chain": {
            "camshaft": "overhead",
            "head_mill": "0.5 mm",
            "gasket": {"thickness": "1.3 mm"},
            "new_gasket_thickness": "1.1 mm",
            "cam_drive": {"teeth": 38, "pitch": "9.525 mm", "lean": "10 deg"},
        },
    },
    sources=(
        "law of cosines, lever and Pythagoras, derived beside the formulas",
        "ISO 606 for the pitch circle of a sprocket",
        "common practice for preload, coil bind, retainer, sweep and timing, as the table valve_train says",
    ),
    published=("test_valve_train",),
    cautions=("valve-contact", "cut-moves-valve-train"),
    batch=True,
    light=True,
)
