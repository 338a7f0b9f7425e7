"""Valve to piston clearance through the overlap, before and after milling, decking or another gasket."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.assembly.valve_clearance.checks import valve_checks
from borewright.calculations.assembly.valve_clearance.valves import (
    SIDES,
    LiftCurve,
    LiftPart,
    RadialsPart,
    ReliefPart,
    ValveAnglesPart,
    ValveDropsPart,
    ValveLimitsPart,
    lift_curve,
    valve_angle,
    valve_drop,
)
from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Section, Word
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Assumed, Many, Part, Quantity, Request
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import VERDICTS, Check, Outcome
from borewright.calculations.base.verdicts import worst_verdict
from borewright.calculations.common.assembly import FittedGasketPart
from borewright.calculations.common.defaults import part_or_default
from borewright.calculations.common.engine import StackPart, bore, deck_clearance, pin_offset, rod_length, stroke
from borewright.calculations.common.geometry import gasket_bore_check, stack_clearance
from borewright.calculations.common.linkage import Linkage, linkage, refuse_other_rod
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.crank import piston_travel
from borewright.physics.mechanism.extremes import minimum_along
from borewright.physics.mechanism.valve import axial_clearance, radial_clearance
from borewright.rules.judging import inside, outside

NEAREST_ANGLES = np.radians(1e-3)
"""Below what any degree wheel shows, slopes between two lifts mean nothing [rad]."""
NO_CUT = Assumed("0 mm", "common practice", "no metal is cut")


class ValveClearanceRequest(Request):
    """What valve-clearance needs."""

    alternatives = (
        (("deck_clearance", "rod_length"), ("stack",)),
        (("valve_angle",), ("valve_angles",)),
        (("valve_drop",), ("valve_drops",)),
    )

    stroke = stroke()
    deck_clearance = deck_clearance()
    rod_length = rod_length()
    stack = Part(StackPart, "deck height, rod length and compression height, instead of deck clearance and rod length")
    pin_offset = pin_offset()
    gasket = Part(FittedGasketPart, "the head gasket as compressed", required=True)
    bore = bore(required=False)
    lift = Many(
        Part(LiftPart, "one crank angle"), "lift through the overlap, every few degrees from before to after it", longest=100, required=True
    )
    relief = Part(ReliefPart, "how deep the reliefs are")
    valve_angle = valve_angle("of both valves' axes to the bore's")
    valve_angles = Part(ValveAnglesPart, "the angle of each valve, instead of one for both")
    valve_drop = valve_drop("head's face to the closed valves' faces, along the bore; negative where they hang out")
    valve_drops = Part(ValveDropsPart, "the drop of each valve, instead of one for both")
    radial = Part(RadialsPart, "sizes across, for the clearance at the valves' edges")
    head_mill = Quantity("length", "0 mm", "10 mm", "to be milled off the head", assumed=NO_CUT)
    deck_cut = Quantity("length", "0 mm", "10 mm", "to be cut off the deck", assumed=NO_CUT)
    new_gasket_thickness = Quantity("length", "0 mm", "12 mm", "thickness, as compressed, of another gasket to be fitted")
    limits = Part(ValveLimitsPart, "the caller's own limits, which replace those of common practice")


class ValveState(AnswerPart):
    """One valve over its piston."""

    minimum = Figure("length", "least clearance along the valve's axis; negative where they meet")
    crank = Figure("angle", "crank angle at which it comes, after top dead center of the overlap")
    radial = Figure("length", "valve's edge to the wall of its relief, at the worst; null without the sizes", nullable=True)
    verdict = Word("how it stands", options=VERDICTS)


class ValveSide(ValveState):
    """One valve after the machining asked for, and before it."""

    change = Figure("length", "what the machining does to the clearance along the valve's axis")
    room = Figure("length", "how much more may come off head or deck until the limit is reached; negative where too much is off")
    before = Section(ValveState, "as it stands now")


class ValveClearanceAnswer(Answer):
    """What valve-clearance answers; a side without lift is null."""

    intake = Section(ValveSide, "the intake valve, after the machining asked for", nullable=True)
    exhaust = Section(ValveSide, "the exhaust valve, after the machining asked for", nullable=True)
    nearer_by = Figure("length", "how much nearer the crown head and piston come, along the bore")


def compute(request: dict[str, Any]) -> Outcome:
    """(x(θ) + g + u + v)·cos α − l(θ), least over the angles measured and half degrees between them."""
    outcome = Outcome({})
    entries = request["lift"]
    curves = _curves(entries, outcome)
    if curves is None:
        return outcome
    turning, deck = _deck(request, outcome)
    gasket, mill, cut = request["gasket"]["thickness"], request["head_mill"], request["deck_cut"]
    fitted = request.get("new_gasket_thickness", gasket)
    met = "the piston would stand inside the head: deck clearance and gasket thickness together are below zero: check both"
    place = "#/stack/compression_height" if "stack" in request else "#/deck_clearance"
    outcome.refuse_where(outside(deck + gasket, 0.0, None) > 0.0, place, met, Code.IMPOSSIBLE)
    outcome.refuse_where(
        inside(deck + gasket, 0.0, None) & (outside(deck - cut + fitted, 0.0, None) > 0.0),
        "#/deck_cut" if "new_gasket_thickness" not in request else "#/new_gasket_thickness",
        f"after the machining {met}",
        Code.IMPOSSIBLE,
    )
    nearer = mill + cut + gasket - fitted
    relief = part_or_default(request, outcome, "relief", ReliefPart)
    values: dict[str, Any] = {"intake": None, "exhaust": None, "nearer_by": nearer}
    for side, curve in curves.items():
        depth = deck + piston_travel(curve.angle, turning.stroke, turning.rod_length, turning.pin_offset)
        angle, drop = _of(request, "valve_angle", side), _of(request, "valve_drop", side)
        clearance = axial_clearance(depth, gasket, curve.lift, relief[side], drop, angle)
        index, before = minimum_along(clearance, axis=0)
        at, lowest, lift = (_taken(each, index.astype(np.intp)) for each in (curve.angle, depth, curve.lift))
        # what is cut closes every angle alike, so that the least clearance stays where it is
        after = axial_clearance(lowest - cut, fitted, lift, relief[side], drop - mill, angle)
        across = request.get("radial", {}).get(side)
        states: list[dict[str, Any]] = []
        made: list[Check] = []
        for axial, moved in ((after, nearer), (before, np.zeros(1))):
            edge = None if across is None else _edge(across, moved, angle)
            checks = valve_checks(request, side, axial, edge, at, curve, lift)
            states.append({"minimum": axial, "crank": at, "radial": edge, "verdict": worst_verdict(checks)[0]})
            made = made or checks
        outcome.checks.extend(made)
        least = np.asarray(made[0].low, dtype=np.float64)
        values[side] = {**states[0], "change": after - before, "room": (after - least) / np.cos(angle), "before": states[1]}
    if "bore" in request:
        outcome.checks.append(gasket_bore_check(request["bore"], request["gasket"]))
    outcome.values = values
    return outcome


def _curves(entries: list[Mapping[str, Any]], outcome: Outcome) -> dict[str, LiftCurve] | None:
    """The lift of each side that has some; None where the list can't be used."""
    seen: set[float] = set()
    for index, entry in enumerate(entries):
        nominal = float(entry["crank"][0])
        outcome.refuse_where(nominal in seen, f"#/lift/{index}/crank", "this angle stands here twice: give each once", Code.GIVEN_TWICE)
        outcome.refuse_where(
            not any(side in entry for side in SIDES),
            f"#/lift/{index}",
            "an angle without lift says nothing: add intake or exhaust",
            Code.MISSING,
        )
        seen.add(nominal)
    if outcome.impossible:
        return None
    rising = sorted(entries, key=lambda entry: float(entry["crank"][0]))
    for lower, upper in pairwise(rising):
        outcome.refuse_where(
            upper["crank"] - lower["crank"] < NEAREST_ANGLES,
            "#/lift",
            "two angles, or the tolerances around them, stand nearer than 0.001 degrees: measure them further apart",
            Code.GIVEN_TWICE,
        )
    if outcome.impossible:
        return None
    return {side: lift_curve(having, side) for side in SIDES if (having := [entry for entry in entries if side in entry])}


def _deck(request: Mapping[str, Any], outcome: Outcome) -> tuple[Linkage, FloatArray]:
    """Crank and rod, and the piston's place below the deck at its top [m]."""
    stack = request.get("stack")
    if stack is None:
        turning = linkage(request, outcome, request["stroke"], request["rod_length"], "#/rod_length")
        return turning, np.asarray(request["deck_clearance"])
    refuse_other_rod(request, outcome)
    outcome.refuse_where("deck_clearance" in request, "#/deck_clearance", "the stack gives this: leave one of them out", Code.GIVEN_TWICE)
    turning = linkage(request, outcome, request["stroke"], stack["rod_length"], "#/stack/rod_length")
    return turning, stack_clearance(turning.stroke, turning.rod_length, turning.pin_offset, stack)


def _of(request: Mapping[str, Any], name: str, side: str) -> FloatArray:
    """What is given for both sides, or for each."""
    return np.asarray(request[name] if name in request else request[f"{name}s"][side])


def _taken(values: FloatArray, index: npt.NDArray[np.intp]) -> FloatArray:
    """The value of each state at its own place along the curve."""
    laid = np.broadcast_to(values, (values.shape[0], *np.broadcast_shapes(values.shape[1:], index.shape)))
    return np.asarray(np.take_along_axis(laid, np.broadcast_to(index, laid.shape[1:])[np.newaxis], axis=0)[0])


def _edge(across: Mapping[str, Any], moved: FloatArray, angle: FloatArray) -> FloatArray:
    """Clearance at the valve's edge [m].

    A head that comes nearer carries a leaning valve sideways over its relief by d·sin α; which way is not known, so it counts against it.
    """
    offset = across["center_offset"] + np.abs(moved) * np.sin(angle)
    return radial_clearance(across["relief_diameter"], across["valve_diameter"], offset)


CALCULATION = Calculation(
    name="valve-clearance",
    title="Valve clearance",
    question="Do the valves clear the pistons?",
    text=(
        "The clearance between each valve and its piston through the overlap, along the valve's axis and at its edge: how small it gets, "
        "at which crank angle, before and after milling the head, cutting the deck or fitting another gasket, and how much more may be cut."
    ),
    request=ValveClearanceRequest,
    answer=ValveClearanceAnswer,
    compute=compute,
    headline=("intake.minimum", "exhaust.minimum"),
    examples={
        "heads to be milled": {
            "units": "inch",
            "stroke": 3.36,
            "deck_clearance": "0.005 in ± 0.002 in",
            "rod_length": 5.86,
            "gasket": {"thickness": "0.040 in ± 0.001 in"},
            "lift": [
                {"crank": "-20 deg", "intake": 0.020, "exhaust": 0.190},
                {"crank": "-10 deg", "intake": 0.045, "exhaust": 0.125},
                {"crank": "-5 deg", "intake": 0.062, "exhaust": 0.100},
                {"crank": "0 deg", "intake": "0.081 in ± 0.003 in", "exhaust": "0.078 in ± 0.003 in"},
                {"crank": "5 deg", "intake": 0.104, "exhaust": 0.060},
                {"crank": "10 deg", "intake": "0.130 in ± 0.003 in", "exhaust": 0.044},
                {"crank": "20 deg", "intake": 0.192, "exhaust": 0.019},
            ],
            "relief": {"intake": "0.120 in ± 0.005 in", "exhaust": "0.130 in ± 0.005 in"},
            "valve_angle": "18 deg",
            "valve_drop": 0.060,
            "radial": {"intake": {"valve_diameter": 1.965, "relief_diameter": 2.12, "center_offset": 0.010}},
            "head_mill": 0.030,
        },
        "from the stack, a thinner gasket": {
            "stroke": "85.3 mm",
            "stack": {"deck_height": "215.5 mm", "rod_length": "142.35 mm", "compression_height": "30.3 mm"},
            "gasket": {"thickness": "1.3 mm"},
            "new_gasket_thickness": "1.0 mm",
            "lift": [
                {"crank": "-20 deg", "intake": "0.3 mm", "exhaust": "3.4 mm"},
                {"crank": "-10 deg", "intake": "0.7 mm", "exhaust": "2.3 mm"},
                {"crank": "0 deg", "intake": "1.5 mm", "exhaust": "1.4 mm"},
                {"crank": "10 deg", "intake": "2.5 mm", "exhaust": "0.6 mm"},
                {"crank": "20 deg", "intake": "3.7 mm", "exhaust": "0.2 mm"},
            ],
            "relief": {"intake": "1.8 mm", "exhaust": "1.8 mm"},
            "valve_angles": {"intake": "16 deg", "exhaust": "17 deg"},
            "valve_drops": {"intake": "1.2 mm", "exhaust": "1.0 mm"},
            "limits": {"intake_clearance": {"low": "1.8 mm"}},
        },
    },
    sources=(
        "slider-crank: J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.5",
        "F. N. Fritsch and R. E. Carlson, Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17 (1980), between measured lifts",
        "common practice for limits, as the table valve_clearance says",
    ),
    published=("test_valve_clearance", "test_slider_crank"),
    cautions=("valve-contact", "cut-moves-valve-train"),
    most_toleranced=12,
    light=True,
)
