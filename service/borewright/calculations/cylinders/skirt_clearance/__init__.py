"""Clearance between skirt and bore: what the alloy wants cold, what is left hot, which piston suits which cylinder, what to hone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Any

import numpy as np

from borewright.calculations.base.answers import Answer, AnswerPart, Count, Figure, Rows, Section, Word
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Assumed, Choice, Many, Part, Quantity, Request, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import VERDICTS, Assumption, Basis, Check, Outcome
from borewright.calculations.base.verdicts import worst_verdict
from borewright.calculations.common.defaults import part_or_default
from borewright.calculations.common.duty import BoostLevelPart, CylinderDutyPart, between, cooling, forced, forced_cautions
from borewright.calculations.common.engine import bore, cylinders
from borewright.calculations.common.engine_state import NitrousPart
from borewright.calculations.common.materials import bore_material, material_for, mean_expansion
from borewright.calculations.common.temperatures import assembly_temperature, hot_or_usual
from borewright.calculations.cylinders.skirt_clearance.pairing import pick_and_pair
from borewright.calculations.cylinders.skirt_clearance.skirts import (
    BoreReadingPart,
    ClearanceRangePart,
    SkirtReadingPart,
    SkirtTemperaturesPart,
    skirt_diameter,
)
from borewright.physics.arrays import FloatArray
from borewright.physics.fits.thermal import hot_diametral_clearance
from borewright.practice.tables import table

IN_ALUMINUM = ("aluminum_356", "plated_aluminum")
"""Bores that grow nearly as much as the piston."""
STRANGER = 0.05  # of the bore: no piston is that far from its own cylinder


class SkirtLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    clearance = Part(ClearanceRangePart, "cold clearance to the metal of the skirt")


class SkirtClearanceRequest(Request):
    """What skirt clearance needs."""

    alternatives = ((("bore",), ("bores",)),)

    bore = bore(required=False)
    bores = Many(Part(BoreReadingPart, "one cylinder"), "the bores as measured, instead of one bore for all", longest=24)
    alloy = material_for("piston", "what the pistons are made of, out of the materials table", required=True)
    bore_material = bore_material()
    duty = Part(CylinderDutyPart, "what the engine is for")
    boost = Part(BoostLevelPart, "how much boost there is; left out, the usual of a boosted duty")
    nitrous = Part(NitrousPart, "how much nitrous oxide the whole engine gets; left out, the usual of such a duty")
    cylinders = cylinders(required=False)
    cooling = cooling()
    skirt = skirt_diameter()
    skirts = Many(
        Part(SkirtReadingPart, "one piston"),
        "the skirts as measured; with bores, one for each of them, or more to pick from: eight of ten",
        longest=48,
    )
    coating_thickness = Quantity(
        "length",
        "0 mm",
        "0.5 mm",
        "coating on each side of the skirt",
        assumed=Assumed("0 mm", "common practice", "a skirt without a coating"),
    )
    coating_measured = Choice(
        ("over", "under"),
        "whether the skirts were measured over the coating or before it was put on",
        assumed=Assumed("over", "common practice", "a finished piston is measured as it comes"),
    )
    temperatures = Part(SkirtTemperaturesPart, "temperatures; left out, those of common practice for the duty")
    limits = Part(SkirtLimitsPart, "the caller's own limits, say from the instructions that came with the pistons")


class ClearanceRange(AnswerPart):
    """A range of cold clearances."""

    low = Figure("length", "smallest")
    high = Figure("length", "largest")


class PairAnswer(AnswerPart):
    """One piston in its cylinder."""

    piston = Count("number of the piston")
    cylinder = Count("number of the cylinder")
    clearance = Figure("length", "cold clearance to the metal of the skirt")
    verdict = Word("how it stands", options=VERDICTS)
    reason = Word("why, and what to do")


class HoneAnswer(AnswerPart):
    """What one cylinder is honed to."""

    cylinder = Count("number of the cylinder")
    diameter = Figure("length", "bore that gives its piston the middle of the recommended clearance; the bore as it is where it is wider")
    stock = Figure("length", "what the hone takes off the diameter")


class SkirtClearanceAnswer(Answer):
    """What skirt clearance answers."""

    recommended = Section(ClearanceRange, "cold clearance to the metal of the skirt for the alloy, the duty and the bore")
    hot_clearance = Figure("length", "what the tightest piston has left when hot; negative where the skirt is squeezed")
    target_bore = Figure("length", "bore that gives the largest skirt the middle of the recommended clearance")
    clearance = Figure("length", "cold clearance of the tightest piston to the metal of its skirt; needs a skirt", nullable=True)
    clearance_over_coating = Figure("length", "cold clearance of the tightest piston over its coating; needs a skirt", nullable=True)
    pairing = Rows(Section(PairAnswer, "one piston"), "the assignment that keeps the worst deviation from the middle smallest")
    spare = Rows(Count("number of the piston"), "pistons that are left over where there are more than bores: those that would fit worse")
    hone_to = Rows(Section(HoneAnswer, "one cylinder"), "what each cylinder is honed to for its piston")


@dataclass(frozen=True)
class Wanted:
    """The cold clearance wanted, in SI arrays, and where it comes from."""

    low: FloatArray
    high: FloatArray
    basis: Basis
    source: str

    @property
    def middle(self) -> FloatArray:
        """Middle of the range [m]."""
        return (self.low + self.high) / 2

    def checks(self, tightest: FloatArray, loosest: FloatArray) -> list[Check]:
        """The two ways in which a clearance can be wrong.

        tightest, loosest : array [m]
        """
        tight = "tighter than the alloy wants: the skirt scuffs; hone the bore"
        loose = "looser than wanted: the piston rocks and knocks when cold; look for a larger piston"
        return [
            Check("skirt-clearance", "length", tightest, self.low, None, tight, self.basis, self.source),
            Check("skirt-slap", "length", loosest, None, self.high, loose, self.basis, self.source, soft=True),
        ]


def compute(request: dict[str, Any]) -> Outcome:
    """Cold clearance by practice, hot clearance D(1 + α_b·ΔT_b) − d(1 + α_s·ΔT_s), and the ordered pairing."""
    outcome = Outcome({})
    duty = part_or_default(request, outcome, "duty", CylinderDutyPart)
    bores = [entry["diameter"] for entry in request["bores"]] if "bores" in request else [request["bore"]]
    running = _running(request, outcome, duty, sum(bores) / len(bores))
    wanted = _wanted(request, outcome, bores, running)
    coat = request["coating_thickness"]
    metal_less = 2 * coat if request["coating_measured"] == "over" else 0.0 * coat
    skirts = [skirt - metal_less for skirt in _skirts(request, outcome)]
    measured = bool(skirts)
    if not measured:
        skirts = [sum(bores) / len(bores) - wanted.middle]
        outcome.assumptions.append(
            Assumption("skirt", skirts[0], "common practice", "a skirt made to the middle of the recommended clearance", "length")
        )
    pairs = _pairs(request, outcome, bores, skirts, wanted)
    clearances = [bores[of] - skirts[with_] for of, with_ in pairs]
    apart = reduce(np.logical_or, [np.abs(gap) > STRANGER * bores[of] for gap, (of, _) in zip(clearances, pairs, strict=True)])
    outcome.refuse_where(
        apart,
        "#/skirts" if "skirts" in request else "#/skirt",
        "skirt and bore differ by more than a twentieth: check the sizes and their units",
        Code.IMPOSSIBLE,
    )
    hot = _hot(request, [(bores[of], skirts[with_]) for of, with_ in pairs], running)
    tightest, loosest = reduce(np.minimum, clearances), reduce(np.maximum, clearances)
    outcome.values = values = {
        "recommended": {"low": wanted.low, "high": wanted.high},
        "hot_clearance": hot,
        "target_bore": reduce(np.maximum, [skirts[with_] for _, with_ in pairs]) + wanted.middle,
    }
    if measured:
        values["clearance"] = tightest
        values["clearance_over_coating"] = tightest - 2 * coat
        outcome.checks.extend(wanted.checks(tightest, loosest))
        entry_reason = "below zero the coated piston does not go in"
        outcome.checks.append(Check("coated-entry", "length", tightest - 2 * coat, 0.0, None, entry_reason, "derived", "geometry"))
    if "bores" in request and "skirts" in request:
        named = [(request["bores"][of]["cylinder"], request["skirts"][with_]["piston"], of, with_) for of, with_ in pairs]
        values["pairing"] = [_pair(piston, cylinder, bores[of] - skirts[with_], wanted) for cylinder, piston, of, with_ in named]
        chosen = {with_ for _, with_ in pairs}
        values["spare"] = [entry["piston"] for index, entry in enumerate(request["skirts"]) if index not in chosen]
        values["hone_to"] = [_hone(cylinder, bores[of], skirts[with_] + wanted.middle) for cylinder, _, of, with_ in named]
    squeezed = "below zero the skirt is squeezed at these temperatures: a flexible skirt gives a little, more of it scuffs and seizes"
    source = "D(1 + α_bore·ΔT_bore) − d(1 + α_skirt·ΔT_skirt), with the expansions of the materials table"
    outcome.checks.append(Check("hot-clearance", "length", hot, 0.0, None, squeezed, "published", source, soft=True))
    outcome.cautions = forced_cautions(duty["aspiration"], running.shares)
    if request["alloy"] == "hypereutectic" and len(outcome.cautions) > 0:
        outcome.cautions.append("brittle-piston")
    return outcome


@dataclass(frozen=True)
class Running:
    """An engine at work: how far it is forced, what that adds to the clearance over the bore [1], temperatures of skirt and bore, both hot
    and cold [K], and where all that comes from."""

    shares: Mapping[str, FloatArray]
    extra: FloatArray
    skirt: FloatArray
    wall: FloatArray
    cold: FloatArray
    source: str


def _running(request: Mapping[str, Any], outcome: Outcome, duty: Mapping[str, Any], diameter: FloatArray) -> Running:
    rows, service = table("skirt_clearances"), duty["service"]
    shares = forced(request, outcome, duty, diameter)
    air = [rows.row("air")] if request["cooling"] == "air" else []

    def at(column: str, shift: str) -> FloatArray:
        return np.asarray(between("skirt_clearances", service, column, shares) + sum(row.si(shift) for row in air))

    named = [f"natural_{service}", *(f"{aspiration}_{service}" for aspiration, share in shares.items() if share.any())]
    source = "; ".join(row.source.partition(": ")[2] for row in (rows.row(named[-1]), *air))
    given, told = request.get("temperatures", {}), f"common practice: {source}"
    cold = assembly_temperature(given, outcome)
    skirt = hot_or_usual(given, outcome, "skirt", at("skirt_temperature", "skirt_shift"), told)
    wall = hot_or_usual(given, outcome, "bore", at("bore_temperature", "bore_shift"), told)
    return Running(shares, at("extra", "extra"), skirt, wall, cold, source)


def _wanted(request: Mapping[str, Any], outcome: Outcome, bores: Sequence[FloatArray], running: Running) -> Wanted:
    own: Mapping[str, Any] | None = request.get("limits", {}).get("clearance")
    if own is not None:
        outcome.refuse_where(
            own["low"] > own["high"], "#/limits/clearance/high", "this lies below the smallest clearance: raise it", Code.WRONG_ORDER
        )
        return Wanted(own["low"], own["high"], "caller", "the request")
    in_aluminum = request["bore_material"] in IN_ALUMINUM
    alloy = table("skirt_clearances").row(request["alloy"] + ("_aluminum" if in_aluminum else ""))
    low, high = (sum(bores) / len(bores) * (alloy.si(side) + running.extra) for side in ("low", "high"))
    largest = reduce(np.maximum, bores)
    skirt_grows, wall_grows = _growth(request, running)
    # a skirt that just fits when hot; the sliver over it is rounding's
    needed = largest * (1.0 - (1.0 + wall_grows) / (1.0 + skirt_grows) + 1e-9)
    told = f"{alloy.source}; {running.source}; no less than what the heat takes"
    return Wanted(np.maximum(low, needed), np.maximum(low, needed) + (high - low), "common practice", told)


def _growth(request: Mapping[str, Any], running: Running) -> tuple[FloatArray, FloatArray]:
    """How much skirt and bore grow from cold to hot, over their diameters [1]."""
    skirt, wall = mean_expansion(request["alloy"], running.skirt), mean_expansion(request["bore_material"], running.wall)
    return skirt * (running.skirt - running.cold), wall * (running.wall - running.cold)


def _skirts(request: Mapping[str, Any], outcome: Outcome) -> list[FloatArray]:
    if "skirts" not in request:
        return [request["skirt"]] if "skirt" in request else []
    outcome.refuse_where("skirt" in request, "#/skirt", "the skirts are listed too: give one or the other", Code.GIVEN_TWICE)
    return [entry["diameter"] for entry in request["skirts"]]


def _pairs(
    request: Mapping[str, Any], outcome: Outcome, bores: Sequence[FloatArray], skirts: Sequence[FloatArray], wanted: Wanted
) -> list[tuple[int, int]]:
    """Which bore runs with which skirt; without both lists every skirt may meet every bore."""
    for of, name in (("bores", "cylinder"), ("skirts", "piston")):
        seen: set[int] = set()
        for index, entry in enumerate(request.get(of, [])):
            outcome.refuse_where(
                entry[name] in seen, f"#/{of}/{index}/{name}", f"this {name} stands here twice: give each once", Code.GIVEN_TWICE
            )
            seen.add(entry[name])
    if "bores" in request and "skirts" in request:
        if len(bores) <= len(skirts):
            # the nominal sizes decide; lists are no columns of a batch, so every row pairs alike
            sizes = ([size[0] for size in bores], [size[0] for size in skirts])
            return list(enumerate(pick_and_pair(*sizes, float(wanted.middle[0])).tolist()))
        outcome.refuse_where(
            True,
            "#/skirts",
            f"{len(bores)} bores and {len(skirts)} skirts can't be paired: give a skirt for each bore, or more to pick from",
            Code.WRONG_LENGTH,
        )
    return [(of, with_) for of in range(len(bores)) for with_ in range(len(skirts))]


def _hot(request: Mapping[str, Any], pairs: Sequence[tuple[FloatArray, FloatArray]], running: Running) -> FloatArray:
    skirt, wall = mean_expansion(request["alloy"], running.skirt), mean_expansion(request["bore_material"], running.wall)
    hot, hot_wall = running.skirt - running.cold, running.wall - running.cold
    return reduce(np.minimum, [hot_diametral_clearance(of, with_, wall, hot_wall, skirt, hot) for of, with_ in pairs])


def _pair(piston: int, cylinder: int, clearance: FloatArray, wanted: Wanted) -> dict[str, Any]:
    verdict, reason = worst_verdict(wanted.checks(clearance, clearance))
    reason = "as wanted" if verdict == "pass" else reason
    return {"piston": piston, "cylinder": cylinder, "clearance": clearance, "verdict": verdict, "reason": reason}


def _hone(cylinder: int, now: FloatArray, target: FloatArray) -> dict[str, Any]:
    diameter = np.maximum(now, target)
    return {"cylinder": cylinder, "diameter": diameter, "stock": diameter - now}


CALCULATION = Calculation(
    name="skirt-clearance",
    title="Skirt clearance",
    question="How much clearance do the skirts want, and which piston goes where?",
    text=(
        "The cold clearance a piston's skirt wants for its alloy and duty, what is left of it when hot, which piston suits which cylinder, "
        "and what to hone. Clearances are to the metal of the skirt; a coating counts on both sides."
    ),
    request=SkirtClearanceRequest,
    answer=SkirtClearanceAnswer,
    compute=compute,
    headline=("hot_clearance", "target_bore"),
    examples={
        "one bore, forged pistons": {
            "units": "inch",
            "bore": "3.892 in ± 0.0002 in",
            "alloy": "4032",
            "duty": {"aspiration": "natural", "service": "street", "fuel": "gasoline"},
            "skirt": "3.8893 in ± 0.0001 in",
        },
        "four cylinders to pair and hone": {
            "bores": [
                {"cylinder": 1, "diameter": "84.32 mm"},
                {"cylinder": 2, "diameter": "84.30 mm"},
                {"cylinder": 3, "diameter": "84.31 mm"},
                {"cylinder": 4, "diameter": "84.33 mm"},
            ],
            "skirts": [
                {"piston": 1, "diameter": "84.239 mm"},
                {"piston": 2, "diameter": "84.259 mm"},
                {"piston": 3, "diameter": "84.229 mm"},
                {"piston": 4, "diameter": "84.254 mm"},
            ],
            "alloy": "2618",
            "duty": {"aspiration": "boost", "service": "street"},
            "coating_thickness": "0.01 mm",
        },
    },
    sources=(
        "hot clearance: difference of two diameters, C = D(1 + α_bore·ΔT_bore) − d(1 + α_skirt·ΔT_skirt)",
        "expansion: ASM Handbook vol. 2; W. D. Callister, Fundamentals of Materials Science and Engineering, table B.6",
        "common practice for the cold clearance by alloy and duty, as the table skirt_clearances says",
    ),
    published=("test_skirt_clearance",),
    cautions=("skirt-seizure", "instructions", "skirt-measuring"),
    batch=True,
    most_toleranced=17,
    light=True,
)
