"""Bobweight of a crank, and the shaking forces and moments that its layout and its counterweights leave."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.assembly.crank_balance.arrangement import (
    MOST_THROWS,
    Arrangement,
    CrankCylinderPart,
    CrankThrowPart,
    arrangement,
)
from borewright.calculations.assembly.crank_balance.masses import (
    MassesPart,
    MassSpreadPart,
    TakeOffAnswer,
    WeighedPart,
    reciprocating_mass,
    rotating_mass,
    take_offs,
)
from borewright.calculations.assembly.crank_balance.shaking import LeastShakeAnswer, Shaking, ThrowAnswer, VectorsAnswer, largest
from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Rows, Section, Truth, Word
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Assumed, Choice, Many, Part, Quantity, Request, RequestPart, Whole
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Check, Outcome
from borewright.calculations.common.engine import rod_length, stroke
from borewright.calculations.common.own_limits import RatioLimitsPart, limited_check, refuse_crossed
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.balance import bob_weight, primary_unit, secondary_unit
from borewright.physics.mechanism.balance_layouts import LAYOUTS
from borewright.practice.tables import table

FACTOR = table("balance").row("balance_factor")


class BalanceLimitsPart(RequestPart):
    """The caller's own limits."""

    balance_factor = Part(RatioLimitsPart, "of the share of the reciprocating mass in the bobweight")
    mass_spread = Part(MassSpreadPart, "of the difference between like parts of the cylinders")


class CrankBalanceRequest(Request):
    """What balancing a crank needs."""

    masses = Part(MassesPart, "what hangs on the crank: one piston's, one rod's and one journal's share", required=True)
    weighed = Many(Part(WeighedPart, "one cylinder"), "the parts of each cylinder on the scale, to see how they match", longest=24)
    balance_factor = Quantity(
        "ratio",
        "0",
        "1",
        "share of the reciprocating mass in the bobweight: 50 %, or 0.5",
        assumed=Assumed(FACTOR.word("usual"), FACTOR.basis, FACTOR.source),
    )
    layout = Choice(LAYOUTS, "how throws and bores stand; the answer's throws show it in angles")
    throws = Many(Part(CrankThrowPart, "one throw"), "a crank of one's own, throw by throw, in place of a layout", longest=MOST_THROWS)
    cylinders = Many(Part(CrankCylinderPart, "one cylinder"), "the cylinders on these throws, one by one", longest=MOST_THROWS)
    rods_per_journal = Whole(1, 4, "rods on one crank journal; left out, as the layout has them")
    stroke = stroke(required=False)
    rod_length = rod_length()
    speed = Quantity("rotation", "1 rpm", "30000 rpm", "speed of the crank at which forces and moments are given")
    cylinder_spacing = Quantity(
        "length",
        "5 mm",
        "1500 mm",
        "along the crank, from a throw to the next: the bore spacing of a bank, half of it in a flat engine; "
        "with throws of one's own left out, as their positions have it",
    )
    bank_angle = Quantity("angle", "10 deg", "180 deg", "angle between the banks where it is not the layout's; the crank stays as it is")
    limits = Part(BalanceLimitsPart, "the caller's own limits")
    alternatives = ((("layout",), ("throws", "cylinders")),)


class UnknownForceAnswer(AnswerPart):
    """Forces or moments that could not be calculated, and why."""

    name = Word("the result")
    reason = Word("what would fill it")


class CrankBalanceAnswer(Answer):
    """What balancing a crank answers. Forces and moments are the largest of a turn; moments are about the middle of the crank."""

    reciprocating = Figure("mass", "what goes up and down in one cylinder")
    rotating = Figure("mass", "what turns with the pin, of one rod")
    bob_weight = Figure("mass", "what to hang on each journal")
    bob_weights_needed = Truth("false where the throws balance each other, so that the bare crank is spun without bobweights")
    primary_unit = Figure("force", "first-order force of one cylinder, m·ω²·r", nullable=True)
    secondary_unit = Figure("force", "second-order force of one cylinder, m·ω²·r·(r/l)", nullable=True)
    primary_force = Figure("force", "first-order force of all cylinders, with only the rotating mass counterweighted", nullable=True)
    primary_force_left = Figure("force", "first-order force that is left with the counterweights at the balance factor", nullable=True)
    primary_moment = Figure("torque", "first-order moment of all cylinders, with only the rotating mass counterweighted", nullable=True)
    primary_moment_left = Figure("torque", "first-order moment that is left with the counterweights at the balance factor", nullable=True)
    secondary_force = Figure("force", "second-order force of all cylinders, which counterweights do not change", nullable=True)
    secondary_moment = Figure("torque", "second-order moment of all cylinders, which counterweights do not change", nullable=True)
    least_shake = Section(
        LeastShakeAnswer, "what the balance factor can do; null where the throws balance each other and it changes nothing", nullable=True
    )
    vectors = Section(VectorsAnswer, "the turning vectors behind forces and moments")
    throws = Rows(Section(ThrowAnswer, "one cylinder"), "the layout in angles, cylinder by cylinder")
    take_off = Rows(Section(TakeOffAnswer, "one part"), "each weighed part against the lightest of its like")
    missing = Rows(Section(UnknownForceAnswer, "a missing result"), "results that are not in this answer")


def compute(request: dict[str, Any]) -> Outcome:
    """Bobweight n·m_rot + n·k·m_rec + m_oil; forces and moments as sums over throw angles of vectors with and against the crank."""
    outcome = Outcome({})
    masses, factor = request["masses"], request["balance_factor"]
    limits = request.get("limits", {})
    refuse_crossed(limits, outcome)
    reciprocating, rotating = reciprocating_mass(masses), rotating_mass(masses)
    reason = "outside this range more of the reciprocating mass shakes along the bores, or across them: be sure it is meant"
    outcome.checks = [
        limited_check("balance-factor", "ratio", factor, limits.get("balance_factor"), FACTOR, reason, soft=True),
        _rod_ends(masses),
    ]
    arranged = arrangement(request, outcome)
    rods = _rods(request, outcome, arranged)
    shaking = Shaking(arranged, factor)
    vectors = shaking.vectors()
    values: dict[str, Any] = {
        "reciprocating": reciprocating,
        "rotating": rotating,
        "bob_weight": bob_weight(rotating, reciprocating, rods, factor, masses["oil"]),
        "bob_weights_needed": shaking.bob_weights_needed(),
        **_forces(request, outcome, reciprocating, vectors, arranged.spacing),
        "least_shake": shaking.least(),
        "vectors": vectors,
        "throws": shaking.throws(),
    }
    if "weighed" in request:
        values["take_off"] = take_offs(request, outcome, arranged.count)
    values["missing"] = _missing(request, arranged.spacing)
    outcome.values = values
    return outcome


def _rods(request: Mapping[str, Any], outcome: Outcome, arranged: Arrangement) -> FloatArray:
    own, source = arranged.rods_on_a_pin, arranged.source
    if "rods_per_journal" not in request:
        outcome.assumptions.append(Assumption("rods_per_journal", own, "common practice", source))
        return np.array([float(own)])
    rods = np.asarray(request["rods_per_journal"])
    reason = f"the layout has {own} on a journal: be sure that the bobweight is meant for as many as given"
    outcome.checks.append(Check("rods-per-journal", "ratio", rods, own, own, reason, "common practice", source, soft=True))
    return rods


def _rod_ends(masses: Mapping[str, FloatArray]) -> Check:
    row = table("balance").row("rod_ends")
    share = masses["rod_small_end"] / masses["rod_big_end"]
    reason = "the small end weighs more than the big end: look whether the two were exchanged"
    return Check("rod-ends", "ratio", share, None, row.si("high"), reason, "common practice", row.source, soft=True)


def _forces(
    request: Mapping[str, Any],
    outcome: Outcome,
    reciprocating: FloatArray,
    vectors: Mapping[str, dict[str, FloatArray]],
    spacing: FloatArray | None,
) -> dict[str, FloatArray]:
    found: dict[str, FloatArray] = {}
    length, rod, speed = (request.get(name) for name in ("stroke", "rod_length", "speed"))
    if length is not None and rod is not None:
        short = rod <= length / 2.0
        outcome.refuse_where(short, "#/rod_length", "the rod must be longer than the crank throw, or the crank can't turn", Code.IMPOSSIBLE)
        rod = np.where(short, length, rod)
    if length is None or speed is None:
        return found
    first = found["primary_unit"] = primary_unit(reciprocating, length, speed)
    found["primary_force"] = first * largest(vectors["primary_force"])
    found["primary_force_left"] = first * largest(vectors["primary_force"], "forward_left")
    if spacing is not None:
        found["primary_moment"] = first * spacing * largest(vectors["primary_moment"])
        found["primary_moment_left"] = first * spacing * largest(vectors["primary_moment"], "forward_left")
    if rod is not None:
        second = found["secondary_unit"] = secondary_unit(reciprocating, length, rod, speed)
        found["secondary_force"] = second * largest(vectors["secondary_force"])
        if spacing is not None:
            found["secondary_moment"] = second * spacing * largest(vectors["secondary_moment"])
    return found


NEEDS: Mapping[str, tuple[str, ...]] = {
    "primary_force": ("stroke", "speed"),
    "primary_moment": ("stroke", "speed", "cylinder_spacing"),
    "secondary_force": ("stroke", "rod_length", "speed"),
    "secondary_moment": ("stroke", "rod_length", "speed", "cylinder_spacing"),
}


def _missing(request: Mapping[str, Any], spacing: FloatArray | None) -> list[dict[str, str]]:
    spaced = "cylinder_spacing" if "layout" in request else "throws.position"
    known = {*request, *(() if spacing is None else ("cylinder_spacing",))}
    lacking = {
        name: [spaced if need == "cylinder_spacing" else need for need in needs if need not in known] for name, needs in NEEDS.items()
    }
    return [{"name": name, "reason": f"it needs {' and '.join(fields)}"} for name, fields in lacking.items() if fields]


CALCULATION = Calculation(
    name="crank-balance",
    title="Crank balance",
    question="What do the bobweights weigh, and what shakes?",
    text=(
        "The bobweight for balancing a crank, how well its parts match, and the primary and secondary forces and moments at a speed: "
        "calculated from the angles of throws and bores, with what the counterweights leave of them. "
        "Rods that share a pin are taken to lie in one plane, and orders beyond the second are left out."
    ),
    request=CrankBalanceRequest,
    answer=CrankBalanceAnswer,
    compute=compute,
    headline=("bob_weight",),
    examples={
        "a cross-plane eight": {
            "units": "inch",
            "masses": {
                "piston": "540 g ± 0.5 g",
                "pin": "150 g",
                "rings": "60 g",
                "locks": "3 g",
                "rod_small_end": "187 g ± 1 g",
                "rod_big_end": "430 g ± 1 g",
                "bearings": "45 g",
                "oil": "5 g",
            },
            "balance_factor": "50 %",
            "layout": "v8-90-cross-plane",
            "rods_per_journal": 2,
            "stroke": 3.36,
            "rod_length": 6.16,
            "speed": 6500,
            "cylinder_spacing": 4.31,
            "weighed": [
                {"cylinder": 1, "piston": "540.0 g", "rod_big_end": "430.4 g"},
                {"cylinder": 2, "piston": "541.6 g", "rod_big_end": "430.0 g"},
                {"cylinder": 3, "piston": "540.3 g", "rod_big_end": "430.8 g"},
            ],
        },
        "an in-line four": {
            "masses": {
                "piston": "290 g",
                "pin": "85 g",
                "rings": "28 g",
                "locks": "2 g",
                "rod_small_end": "150 g",
                "rod_big_end": "360 g",
                "bearings": "38 g",
            },
            "layout": "inline-4",
            "stroke": "85.3 mm",
            "rod_length": "142.35 mm",
            "speed": "7000 rpm",
            "cylinder_spacing": "94 mm",
        },
        "a twin of one's own": {
            "masses": {
                "piston": "420 g",
                "pin": "110 g",
                "rings": "36 g",
                "locks": "3 g",
                "rod_small_end": "160 g",
                "rod_big_end": "340 g",
                "bearings": "30 g",
            },
            "throws": [{"angle": "0 deg", "position": "0 mm"}, {"angle": "-76 deg", "position": "40 mm"}],
            "cylinders": [{"throw": 1, "bank_angle": "-26 deg"}, {"throw": 2, "bank_angle": "26 deg"}],
            "stroke": "68 mm",
            "rod_length": "125 mm",
            "speed": "8000 rpm",
        },
        "the bobweight alone": {
            "masses": {
                "piston": "480 g",
                "pin": "140 g",
                "rings": "50 g",
                "rod_small_end": "170 g",
                "rod_big_end": "400 g",
                "bearings": "40 g",
            },
            "layout": "v6-90-common-pin",
        },
    },
    sources=(
        "common practice for the bobweight and the matching of masses, as the table balance says",
        "J. P. Den Hartog, Mechanical Vibrations, ch. 5",
        "R. S. Khurmi and J. K. Gupta, Theory of Machines, ch. 22 (balancing of reciprocating masses)",
    ),
    published=("test_balance", "test_crank_balance"),
    cautions=("rotating-parts", "balancing", "lightening", "damper-and-flywheel"),
    light=True,
)
