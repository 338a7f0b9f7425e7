"""Whether block, crank, rod and piston go together: deck, rod ratio, speeds, skirt, counterweights, pin, lands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.assembly.assembly_fit.checks import Asked, checks, facts_of
from borewright.calculations.assembly.assembly_fit.guidance import Guidance, OriginalPart, RockAnswer
from borewright.calculations.assembly.assembly_fit.pin_fit import PinFitAnswer, fit_range, pin_fit
from borewright.calculations.base.answers import Answer, Figure, Section
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Part, Quantity, Request, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Outcome
from borewright.calculations.common.assembly import (
    AssemblyBlockPart,
    AssemblyCrankPart,
    AssemblyPistonPart,
    AssemblyRodPart,
    FittedGasketPart,
)
from borewright.calculations.common.defaults import part_or_default
from borewright.calculations.common.duty import CylinderDutyPart, duty_cautions
from borewright.calculations.common.engine import bore, pin_offset
from borewright.calculations.common.levers import SquishLimitsPart
from borewright.calculations.common.linkage import linkage
from borewright.calculations.common.own_limits import FitLimitsPart, LengthLimitsPart, RatioLimitsPart, SpeedLimitsPart, refuse_crossed
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.piston_motion import peak_acceleration
from borewright.practice.tables import table
from borewright.rules.judging import outside
from borewright.rules.motion import COUNTERWEIGHT_TO_BOSS, COUNTERWEIGHT_TO_SKIRT, MEAN_PISTON_SPEED, ROD_RATIO, SKIRT_EXPOSED
from borewright.rules.piston import PIN_END_ROOM, PIN_WITHIN_BOSSES
from borewright.rules.rule import Facts, Rule
from borewright.rules.stack import SQUISH


class AssemblyLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    deck_clearance = Part(LengthLimitsPart, "piston below the deck at top dead center")
    squish = Part(SquishLimitsPart, "crown's flat to head at top dead center")
    rod_ratio = Part(RatioLimitsPart, "rod length over stroke")
    mean_piston_speed = Part(SpeedLimitsPart, "mean piston speed")
    skirt_exposed_at_bdc = Part(LengthLimitsPart, "how far the skirt leaves the cylinder")
    skirt_in_bore_at_bdc = Part(RatioLimitsPart, "share of the skirt that stays in the cylinder")
    counterweight_clearance = Part(LengthLimitsPart, "between counterweight and piston")
    pin_fit_rod = Part(FitLimitsPart, "pin in the small end")
    pin_fit_piston = Part(FitLimitsPart, "pin in the bosses")
    pin_end_room = Part(LengthLimitsPart, "between each end of the pin and the wall")
    top_land = Part(LengthLimitsPart, "height of the top land")
    second_land = Part(LengthLimitsPart, "height of the second land")


class AssemblyFitRequest(Request):
    """What assembly-fit needs; what is left out beyond the stack makes its results null and its checks unknown."""

    block = Part(AssemblyBlockPart, "the block", required=True)
    crank = Part(AssemblyCrankPart, "the crankshaft", required=True)
    rod = Part(AssemblyRodPart, "the connecting rod", required=True)
    piston = Part(AssemblyPistonPart, "the piston with its pin", required=True)
    bore = bore(required=False)
    speed = Quantity("rotation", "1 rpm", "30000 rpm", "highest speed the engine is to run at")
    pin_offset = pin_offset()
    gasket = Part(FittedGasketPart, "the head gasket as compressed")
    skirt_clearance = Quantity("length", "0 mm", "5 mm", "cold clearance of the skirt, on the diameter: tells how the piston rocks")
    original = Part(OriginalPart, "what came out of this block, to compare the skirt left in the bore with")
    duty = Part(CylinderDutyPart, "what the engine is for")
    limits = Part(AssemblyLimitsPart, "the caller's own limits, which replace those of common practice")


class AssemblyFitAnswer(Answer):
    """What assembly-fit answers."""

    deck_clearance = Figure("length", "piston below the deck at its top; negative where it stands above")
    squish = Figure("length", "deck clearance and gasket thickness together; null without the gasket", nullable=True)
    rod_ratio = Figure("ratio", "rod length over stroke")
    mean_piston_speed = Figure("speed", "two strokes a turn; null without the speed", nullable=True)
    peak_acceleration = Figure("acceleration", "largest acceleration of the piston in a turn; null without the speed", nullable=True)
    skirt_exposed_at_bdc = Figure(
        "length",
        "how far the skirt's lower edge leaves the cylinder at the bottom; negative where it stays inside; null where not known",
        nullable=True,
    )
    skirt_in_bore_at_bdc = Figure(
        "ratio", "share of the skirt that is still in the cylinder at the bottom; null without its length", nullable=True
    )
    original_skirt_in_bore_at_bdc = Figure("ratio", "the same with the parts that came out; null where not known", nullable=True)
    rock = Section(RockAnswer, "how the piston rocks; null without skirt clearance, skirt length and bore", nullable=True)
    ring_pack_height = Figure("length", "crown's edge to the lower side of the oil ring's groove; null where not known", nullable=True)
    pin_to_ring_pack = Figure(
        "length", "between that and the top of the pin; below zero where its bore cuts the groove; null where not known", nullable=True
    )
    counterweight_clearance = Figure(
        "length", "of boss and skirt, the nearer one, from the counterweights; null where unknown", nullable=True
    )
    boss_counterweight_clearance = Figure("length", "of the pin bosses alone; null where not known", nullable=True)
    skirt_counterweight_clearance = Figure("length", "of the skirt's lower edge alone; null where not known", nullable=True)
    pin_fit_rod = Section(PinFitAnswer, "pin in the small end, for the retention wanted")
    pin_fit_piston = Section(PinFitAnswer, "pin in the bosses")
    pin_end_room = Figure("length", "from each end of the pin, retainer included, to the wall; null where not known", nullable=True)
    pin_boss_room = Figure("length", "from each end of the pin, retainer included, to the boss's face; null where not known", nullable=True)


def compute(request: dict[str, Any]) -> Outcome:
    """Deck H − L − r − h, exact slider-crank motion, and what comes near what at bottom dead center."""
    outcome = Outcome({})
    duty = part_or_default(request, outcome, "duty", CylinderDutyPart)
    request = {**request, "piston": _possible(request, outcome)}
    block, rod, piston, limits = request["block"], request["rod"], request["piston"], request.get("limits", {})
    refuse_crossed(limits, outcome)
    turning = linkage(request, outcome, request["crank"]["stroke"], rod["length"], "#/rod/length")
    stroke, length, offset = turning.stroke, turning.rod_length, turning.pin_offset
    retention = rod.get("wanted_retention", rod.get("pin_retention"))
    if "cylinder_length" in block:
        outcome.refuse_where(
            block["cylinder_length"] >= block["deck_height"],
            "#/block/cylinder_length",
            "the cylinder can't reach down to the crank: check its length and the deck height",
            Code.IMPOSSIBLE,
        )
    facts = facts_of(request, turning, retention)
    squish = _known(SQUISH, facts)
    if squish is not None:
        outcome.refuse_where(
            outside(squish, 0.0, None) > 0.0,
            "#/piston/compression_height",
            "the piston would stand inside the head: deck clearance and gasket thickness together are below zero: check both",
            Code.IMPOSSIBLE,
        )
    boss, skirt = _known(COUNTERWEIGHT_TO_BOSS, facts), _known(COUNTERWEIGHT_TO_SKIRT, facts)
    near = [each for each in (boss, skirt) if each is not None]
    practice, speed = table("assembly"), request.get("speed")
    wanted_rod = fit_range(limits.get("pin_fit_rod"), None if retention is None else practice.row(f"pin_rod_{retention}"))
    wanted_piston = fit_range(limits.get("pin_fit_piston"), practice.row("pin_piston"))
    outcome.values = {
        "deck_clearance": facts["deck_clearance"],
        "squish": squish,
        "rod_ratio": _known(ROD_RATIO, facts),
        "mean_piston_speed": _known(MEAN_PISTON_SPEED, facts),
        "peak_acceleration": None if speed is None else _peak_acceleration(stroke, length, offset) * speed**2,
        "skirt_exposed_at_bdc": _known(SKIRT_EXPOSED, facts),
        "counterweight_clearance": np.minimum(near[0], near[-1]) if near else None,
        "boss_counterweight_clearance": boss,
        "skirt_counterweight_clearance": skirt,
        "pin_fit_rod": pin_fit(rod.get("small_end_bore"), piston.get("pin_diameter"), wanted_rod),
        "pin_fit_piston": pin_fit(piston.get("pin_bore"), piston.get("pin_diameter"), wanted_piston),
        "pin_end_room": _known(PIN_END_ROOM, facts),
        "pin_boss_room": _known(PIN_WITHIN_BOSSES, facts),
    }
    guidance = Guidance(request, facts, outcome)
    outcome.values = {**outcome.values, **guidance.values()}
    outcome.checks = [*checks(Asked(facts, duty, limits, rod, wanted_rod, wanted_piston)), *guidance.checks(squish)]
    outcome.cautions = [*duty_cautions(duty["aspiration"]), *(["pin-pressing"] if "press" in (retention, rod.get("pin_retention")) else [])]
    return outcome


def _possible(request: Mapping[str, Any], outcome: Outcome) -> dict[str, Any]:
    """The piston; sizes that can't be are refused."""
    piston, diameter = dict(request["piston"]), request.get("bore")
    if "pin_diameter" in piston:
        pin, height = piston["pin_diameter"], piston["compression_height"]
        outcome.refuse_where(
            pin >= 2 * height,
            "#/piston/pin_diameter",
            "the pin would stick out of the crown, its radius reaches the compression height: check both sizes",
            Code.IMPOSSIBLE,
        )
        if diameter is not None:
            piston["pin_diameter"] = outcome.possible(
                pin, pin >= diameter, "#/piston/pin_diameter", "the pin can't be as thick as the bore: check both sizes"
            )
    if "width_at_boss" in piston and diameter is not None:
        width = piston["width_at_boss"]
        piston["width_at_boss"] = outcome.possible(
            width, width > diameter, "#/piston/width_at_boss", "the piston can't be wider than the bore: check both sizes"
        )
    return piston


def _known(rule: Rule, facts: Facts) -> FloatArray | None:
    """The value of a rule, None where a size is missing for it."""
    return None if rule.lacking(facts) else rule.found(facts)


def _peak_acceleration(stroke: FloatArray, rod: FloatArray, offset: FloatArray) -> FloatArray:
    """Peak acceleration at one radian a second [m/s²]; the corners of other inputs repeat the same linkage, which is searched once."""
    each = np.stack(np.broadcast_arrays(stroke, rod, offset), axis=-1)
    different, place = np.unique(each, axis=0, return_inverse=True)
    return peak_acceleration(different[:, 0], different[:, 1], 1.0, different[:, 2])[place.reshape(-1)]


CALCULATION = Calculation(
    name="assembly-fit",
    title="Assembly fit",
    question="Do block, crank, rod and piston go together?",
    text=(
        "Whether block, crank, rod and piston go together: where the piston stands at the deck, rod ratio, mean piston speed and peak "
        "acceleration, how far the skirt leaves the cylinder, clearance to the counterweights, the fit of the pin and what to hone, and "
        "the ring lands the duty wants."
    ),
    request=AssemblyFitRequest,
    answer=AssemblyFitAnswer,
    compute=compute,
    headline=("deck_clearance",),
    examples={
        "a long-stroke build, press-fit rods made to float": {
            "units": "inch",
            "block": {"deck_height": "9.140 in ± 0.003 in", "cylinder_length": 5.5},
            "crank": {"stroke": 3.63, "counterweight_radius": 3.5},
            "rod": {
                "length": "6.160 in ± 0.001 in",
                "small_end_bore": "0.9499 in ± 0.0001 in",
                "pin_retention": "press",
                "wanted_retention": "floating",
            },
            "piston": {
                "compression_height": "1.145 in ± 0.001 in",
                "skirt_below_pin": 1.1,
                "boss_below_pin": 0.75,
                "pin_diameter": 0.951,
                "pin_length": 2.5,
                "pin_bore": 0.9517,
                "width_at_boss": 2.75,
                "retainer_thickness": 0.08,
                "top_land": 0.280,
                "second_land": 0.170,
            },
            "bore": 3.892,
            "speed": "6000 rpm",
            "gasket": {"thickness": "0.040 in ± 0.001 in"},
            "duty": {"aspiration": "boost", "service": "street"},
        },
        "the stack alone": {
            "block": {"deck_height": "218.5 mm"},
            "crank": {"stroke": "85.3 mm"},
            "rod": {"length": "142.35 mm"},
            "piston": {"compression_height": "33 mm"},
        },
    },
    sources=(
        "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eqs. 2.4-2.11",
        "ISO 286-1, ISO code system for tolerances on linear sizes, part 1 (widths of pin and hole)",
        "common practice for limits, as the table assembly says",
    ),
    published=("test_assembly_fit", "test_slider_crank", "test_tolerance_widths", "test_piston_in_bore"),
    cautions=("turn-by-hand",),
    light=True,
)
