"""Ring end gaps: what practice files for the duty, what the heat closes, and how the gaps that were measured stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import reduce
from typing import Any

import numpy as np

from borewright.calculations.base.answers import Answer, AnswerPart, Count, Figure, Rows, Section, Word
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Many, Part, Request
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import VERDICTS, Assumption, Basis, Check, Outcome
from borewright.calculations.base.verdicts import worst_verdict
from borewright.calculations.common.defaults import part_or_default
from borewright.calculations.common.duty import BoostLevelPart, CylinderDutyPart, between, cooling, forced, forced_cautions
from borewright.calculations.common.engine import bore, cylinders
from borewright.calculations.common.engine_state import NitrousPart
from borewright.calculations.common.materials import bore_material, material_for, mean_expansion
from borewright.calculations.common.temperatures import assembly_temperature, hot_or_usual
from borewright.calculations.cylinders.ring_gap.rings import (
    GapLimitsPart,
    MeasuredGapsPart,
    OilRailPart,
    RingsPart,
    RingTemperaturesPart,
    SecondRingPart,
    TopRingPart,
)
from borewright.physics.arrays import FloatArray
from borewright.physics.fits.thermal import ring_closure
from borewright.practice.tables import table

RINGS = ("top", "second", "oil_rail")
CLOSURE_SOURCE = "πD(α_ring·ΔT_ring − α_bore·ΔT_bore), with the expansions of the materials table"


class RingGapRequest(Request):
    """What ring gaps need."""

    bore = bore()
    duty = Part(CylinderDutyPart, "what the engine is for")
    boost = Part(BoostLevelPart, "how much boost there is; left out, the usual of a boosted duty")
    nitrous = Part(NitrousPart, "how much nitrous oxide the whole engine gets; left out, the usual of such a duty")
    cylinders = cylinders(required=False)
    cooling = cooling()
    alloy = material_for("piston", "what the pistons are made of, out of the materials table; left out, a forging")
    rings = Part(RingsPart, "what the rings are made of")
    bore_material = bore_material()
    temperatures = Part(RingTemperaturesPart, "temperatures; left out, those of common practice for the duty")
    measured = Many(Part(MeasuredGapsPart, "one cylinder"), "the gaps as measured, cylinder by cylinder", longest=24)
    limits = Part(GapLimitsPart, "the caller's own limits, say from the instructions that came with the rings")


class RingGapPart(AnswerPart):
    """The gap of one ring."""

    practice_gap = Figure("length", "cold gap by common practice for the duty and the bore")
    thermal_closure = Figure("length", "how much of the gap the heat closes; negative where it opens")
    butting_gap = Figure("length", "cold gap at which the ends just meet when hot")
    recommended_gap = Figure("length", "the larger of practice and closure with margin; the second ring no tighter than the top")


class CylinderGapPart(AnswerPart):
    """One gap that was measured."""

    cylinder = Count("number of the cylinder")
    ring = Word("which ring", options=RINGS)
    gap = Figure("length", "the gap as measured")
    verdict = Word("how it stands", options=VERDICTS)
    reason = Word("why, and what to do")
    file_off = Figure("length", "what to file off the ends to reach the gap wanted; 0 where it is wide enough")


class RingGapAnswer(Answer):
    """What ring gaps answer."""

    top = Section(RingGapPart, "the top ring")
    second = Section(RingGapPart, "the second ring")
    oil_rail = Section(RingGapPart, "the rails of the oil ring")
    cylinders = Rows(Section(CylinderGapPart, "one gap"), "every gap that was measured")


@dataclass(frozen=True)
class GapLimit:
    """One limit of a gap, and where it comes from."""

    value: FloatArray
    basis: Basis
    source: str


@dataclass(frozen=True)
class Wanted:
    """What a ring's gap is held against."""

    butting: FloatArray
    low: GapLimit
    high: GapLimit

    def checks(self, ring: str, tightest: FloatArray, widest: FloatArray) -> list[Check]:
        """The three ways in which a gap can be wrong.

        tightest, widest : array [m]
        """
        named, low, high = ring.replace("_", "-"), self.low, self.high
        butts = "a gap below this butts when hot: file it before the engine runs"
        wide = "a gap this wide loses compression and oil: look for another ring"
        return [
            Check(f"{named}-butting", "length", tightest, self.butting, None, butts, "derived", CLOSURE_SOURCE),
            Check(f"{named}-gap", "length", tightest, low.value, None, "tighter than wanted: file it", low.basis, low.source, soft=True),
            Check(f"{named}-blow-by", "length", widest, None, high.value, wide, high.basis, high.source, soft=True),
        ]


def compute(request: dict[str, Any]) -> Outcome:
    """Practice for the duty and closure πD(α_r·ΔT_r − α_b·ΔT_b), whichever asks for more."""
    outcome = Outcome({})
    diameter = request["bore"]
    duty = part_or_default(request, outcome, "duty", CylinderDutyPart)
    practice = table("ring_gaps")
    usual = _usual(request, outcome, duty)
    margin = practice.row("margin").si("margin")
    outcome.assumptions.append(Assumption("margin", np.array([margin]), "common practice", practice.row("margin").source, "length"))
    closures = _closures(request, outcome, usual)
    gaps = {
        "top": diameter * usual.gap["top"],
        "second": diameter * usual.gap["second"],
        "oil_rail": np.full_like(diameter, practice.row("oil_rail").si("minimum")),
    }
    recommended = {ring: np.maximum(gaps[ring], closures[ring] + margin) for ring in RINGS}
    recommended["second"] = np.maximum(recommended["second"], recommended["top"])
    values: dict[str, Any] = {
        ring: {
            "practice_gap": gaps[ring],
            "thermal_closure": closures[ring],
            "butting_gap": np.maximum(closures[ring], 0.0),
            "recommended_gap": recommended[ring],
        }
        for ring in RINGS
    }
    wanted = {ring: _wanted(request, outcome, ring, values[ring], usual.source) for ring in RINGS}
    if "measured" in request:
        values["cylinders"] = _judged(request["measured"], outcome, wanted)
    outcome.values = values
    outcome.cautions = forced_cautions(duty["aspiration"], usual.shares)
    return outcome


@dataclass(frozen=True)
class Usual:
    """What practice has for an engine: gaps over the bore by ring [1], temperatures of ring and bore [K], how far it is forced, source."""

    gap: Mapping[str, FloatArray]
    hot: Mapping[str, FloatArray]
    shares: Mapping[str, FloatArray]
    source: str


def _usual(request: Mapping[str, Any], outcome: Outcome, duty: Mapping[str, Any]) -> Usual:
    rows, service = table("ring_gaps"), duty["service"]
    shares = forced(request, outcome, duty, request["bore"])
    kinds = {
        "diesel": duty["fuel"] == "diesel",
        "air": request["cooling"] == "air",
        "hypereutectic": request.get("alloy") == "hypereutectic",
    }
    shifts = [rows.row(kind) for kind, so in kinds.items() if so]
    counted = rows.row("diesel").si("forced_share") if kinds["diesel"] else 1.0

    def at(column: str, shift: str) -> FloatArray:
        return between("ring_gaps", service, column, shares, counted) + sum(row.si(shift) for row in shifts)

    gap = {ring: at(ring, f"{ring}_shift") for ring in ("top", "second")}
    hot = {place: at(f"{place}_temperature", f"{place}_shift") for place in ("ring", "bore")}
    named = [rows.row(f"natural_{service}")]
    named += [rows.row(f"{aspiration}_{service}") for aspiration, share in shares.items() if share.any()]
    sources = [row.source for row in (*named, *shifts)]
    return Usual(gap, hot, shares, "; ".join([sources[0], *(each.partition(": ")[2] for each in sources[1:])]))


def _closures(request: Mapping[str, Any], outcome: Outcome, usual: Usual) -> dict[str, FloatArray]:
    given = request.get("temperatures", {})
    cold = assembly_temperature(given, outcome)
    hot = {"top": hot_or_usual(given, outcome, "ring", usual.hot["ring"], usual.source)}
    wall = hot_or_usual(given, outcome, "bore", usual.hot["bore"], usual.source)
    cooling = table("ring_gaps").row("cooling")
    for ring, field in (("second", "second_ring"), ("oil_rail", "oil_rail")):
        if field in given:
            hot[ring] = given[field]
        else:
            hot[ring] = wall + cooling.si(f"{ring}_share") * (hot["top"] - wall)
            outcome.assumptions.append(Assumption(f"temperatures.{field}", hot[ring], "common practice", cooling.source, "temperature"))
    wall_expansion = mean_expansion(request["bore_material"], wall)
    rings = request.get("rings", {})
    closures = {}
    for ring, part in (("top", TopRingPart), ("second", SecondRingPart), ("oil_rail", OilRailPart)):
        material = part_or_default(rings, outcome, ring, part, within="rings")["material"]
        expansion = mean_expansion(material, hot[ring])
        closures[ring] = ring_closure(request["bore"], expansion, hot[ring] - cold, wall_expansion, wall - cold)
    return closures


def _wanted(request: Mapping[str, Any], outcome: Outcome, ring: str, values: Mapping[str, FloatArray], source: str) -> Wanted:
    own: Mapping[str, Any] = request.get("limits", {}).get(ring, {})
    rail, wide = table("ring_gaps").row("oil_rail"), table("ring_gaps").row("wide")
    if ring == "oil_rail":
        source = rail.source
    low = GapLimit(own["low"], "caller", "the request") if "low" in own else GapLimit(values["recommended_gap"], "common practice", source)
    if "high" in own:
        high = GapLimit(own["high"], "caller", "the request")
        outcome.refuse_where(
            low.value > high.value, f"#/limits/{ring}/high", "this lies below the smallest gap wanted: raise it", Code.WRONG_ORDER
        )
    elif ring == "oil_rail":
        high = GapLimit(np.maximum(low.value, rail.si("maximum")), "common practice", rail.source)
    else:
        high = GapLimit(low.value * wide.si("wide"), "common practice", wide.source)
    return Wanted(values["butting_gap"], low, high)


def _judged(measured: list[Mapping[str, Any]], outcome: Outcome, wanted: Mapping[str, Wanted]) -> list[dict[str, Any]]:
    seen: set[int] = set()
    for index, entry in enumerate(measured):
        if entry["cylinder"] in seen:
            outcome.refuse_where(True, f"#/measured/{index}/cylinder", "this cylinder stands here twice: give each once", Code.GIVEN_TWICE)
        seen.add(entry["cylinder"])
    rows = []
    for entry in measured:
        for ring in RINGS:
            if ring in entry:
                gap = entry[ring]
                verdict, reason = worst_verdict(wanted[ring].checks(ring, gap, gap))
                rows.append(
                    {
                        "cylinder": entry["cylinder"],
                        "ring": ring,
                        "gap": gap,
                        "verdict": verdict,
                        "reason": "as wanted" if verdict == "pass" else reason,
                        "file_off": np.maximum(wanted[ring].low.value - gap, 0.0),
                    }
                )
    for ring in RINGS:
        gaps = [entry[ring] for entry in measured if ring in entry]
        if gaps:
            outcome.checks.extend(wanted[ring].checks(ring, reduce(np.minimum, gaps), reduce(np.maximum, gaps)))
    return rows


CALCULATION = Calculation(
    name="ring-gap",
    title="Ring gap",
    question="How far are the rings filed?",
    text=(
        "The end gap each ring wants, by common practice for the duty and by how much the heat closes it, "
        "and what to file off the gaps that were measured."
    ),
    request=RingGapRequest,
    answer=RingGapAnswer,
    compute=compute,
    headline=("top.recommended_gap",),
    examples={
        "a boosted street engine, measured": {
            "units": "inch",
            "bore": "3.892 in",
            "duty": {"aspiration": "boost", "service": "street", "fuel": "gasoline"},
            "rings": {"top": {"material": "steel_4140"}, "second": {"material": "gray_iron"}},
            "measured": [
                {"cylinder": 1, "top": "0.0205 in ± 0.0005 in", "second": "0.024 in"},
                {"cylinder": 2, "top": "0.014 in", "second": "0.021 in"},
            ],
        },
        "nitrous oxide for a quarter more power": {
            "units": "inch",
            "bore": "3.892 in",
            "cylinders": 8,
            "duty": {"aspiration": "nitrous", "service": "sport", "fuel": "gasoline"},
            "nitrous": {"power": "100 hp"},
        },
        "temperatures of one's own": {
            "bore": "100 mm",
            "duty": {"aspiration": "natural", "service": "street"},
            "rings": {"top": {"material": "gray_iron"}, "second": {"material": "gray_iron"}},
            "temperatures": {"ring": "220 degC", "bore": "100 degC", "assembly": "20 degC"},
        },
    },
    sources=(
        "closure of a ring's gap: difference of two circumferences, ΔG = πD(α_ring·ΔT_ring − α_bore·ΔT_bore)",
        "W. D. Callister, Fundamentals of Materials Science and Engineering, 3rd ed., table B.6 (expansion)",
        "R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32 (gap of a ring in its cylinder)",
        "common practice for the gap by duty, as the table ring_gaps says",
    ),
    published=("test_ring_gap", "test_ring_closure"),
    cautions=("ring-butting", "instructions", "ring-filing"),
    batch=True,
    most_toleranced=17,
    light=True,
)
