"""How to reach a compression ratio: each lever alone, and the ranked combinations."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from marshmallow import fields

from borewright.calculations.base.answers import COMMON_FIELDS, Answer, CheckAnswer, Count, Figure, Plain, Rows, Section, Truth, Word
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Assumed, Choice, Label, Part, Quantity
from borewright.calculations.base.outcome import VERDICTS, WORST_LAST, Check, Outcome, Verdict
from borewright.calculations.base.verdicts import worst_verdict
from borewright.calculations.common.duty import CylinderDutyPart
from borewright.calculations.common.engine import GeometryRequest
from borewright.calculations.common.geometry import (
    Geometry,
    compression_values,
    duty_check,
    gasket_bore_check,
    geometry,
    squish_check,
)
from borewright.calculations.common.levers import LeversPart, check_levers
from borewright.calculations.compression.compression import CompressionAnswer
from borewright.calculations.compression.compression_target.alone import Alone, LeversAloneAnswer
from borewright.calculations.compression.compression_target.costing import Costing
from borewright.calculations.compression.compression_target.head_drop import Intake, bank_angle, head_drop, intake, intake_face_angle
from borewright.calculations.compression.compression_target.plans import Bench, Candidate, candidates
from borewright.calculations.compression.compression_target.target import Asked, asked
from borewright.physics.arrays import FloatArray

RANKED_BY = ("work", "cost")


class CompressionTargetRequest(GeometryRequest):
    """What compression needs, the ratio wanted and what may be changed for it."""

    alternatives = (*GeometryRequest.alternatives, (("target",), ("target_dynamic",)))

    duty = Part(CylinderDutyPart, "what the engine is for: adds a check of the ratio against common practice")
    target = Quantity("ratio", "2", "40", "compression ratio wanted; its tolerance is the window that counts as reached")
    target_dynamic = Quantity(
        "ratio", "1.5", "40", "ratio counted from intake closing that is wanted instead; needs intake_closing and the rod's length"
    )
    levers = Part(LeversPart, "what may be changed", required=True)
    bank_angle = bank_angle()
    intake_face_angle = intake_face_angle()
    rank_by = Choice(
        RANKED_BY,
        "what decides between plans: the work, or what they cost by the prices and hours given with the levers",
        assumed=Assumed("work", "common practice", "the least machining first"),
    )
    top = Label(1, 50, "most plans to answer", assumed=Assumed(10, "common practice", "ten plans are enough to choose from"))


class CompressionStateAnswer(CompressionAnswer):
    """The compression of one build, without what belongs to the answer as a whole."""

    class Meta:
        """The checks and the like stand at the top of the answer."""

        exclude = COMMON_FIELDS


class PlanAnswer(CompressionStateAnswer):
    """One combination: what is done, and the compression that comes of it."""

    class Meta:
        """A plan has checks of its own under the same name, so nothing is left out but the rest."""

        exclude = tuple(name for name in COMMON_FIELDS if name not in ("verdict", "checks"))

    steps = Rows(Word("one step"), "what is done")
    operations = Count("machining operations")
    metal_removed = Figure("length", "depths cut off heads and decks together; a chamber opened up counts as its depth over the bore")
    head_mill = Figure("length", "milled off each head")
    deck_cut = Figure("length", "cut off each deck")
    crown_cut = Figure("length", "cut into each crown")
    cost = Plain("parts and work together, in the caller's currency; null where nothing is priced", nullable=True)
    hours = Figure("time", "time of the work; null where no hours are given", nullable=True)
    gasket = Word("gasket fitted; null where it stays", nullable=True)
    crown = Word("crown fitted; null where it stays", nullable=True)
    chamber_volume = Figure("volume", "chamber volume after the work")
    off_target = Figure("ratio", "ratio less the target; of the dynamic ratio where that is asked for")
    intake_face_cut = Figure(
        "length",
        "what must come off each intake face of a V engine, below zero where it opens; null where the gasket does not say",
        nullable=True,
    )
    intake_rail_cut = Figure("length", "what must come off the manifold's end rails; null as the face cut", nullable=True)
    verdict = Word("the worst of its checks", options=VERDICTS)
    checks = Rows(fields.Nested(CheckAnswer), "each judged value of this plan")


class CompressionTargetAnswer(Answer):
    """What compression-target answers."""

    feasible = Truth("whether any plan reaches the target")
    now = Section(CompressionStateAnswer, "the compression as it stands")
    single = Section(LeversAloneAnswer, "each lever alone")
    plans = Rows(
        Section(PlanAnswer, "one plan"),
        "combinations that reach the target within the limits of squish: those that pass before those to watch, then fewest machining "
        "operations, then least metal, then closest, or by cost where that is asked for; empty if none does",
    )
    cheapest = Section(
        PlanAnswer, "the plan of all that costs least, those that pass before those to watch; null without prices", nullable=True
    )
    saving = Plain("what the cheapest costs less than the first plan, in the caller's currency; null without prices", nullable=True)
    nearest = Section(PlanAnswer, "where no plan does, the combination that comes nearest, with what it fails", nullable=True)


class Planner:
    """Turns combinations into plans: the changed build goes through the same arithmetic as any other."""

    def __init__(self, request: Mapping[str, Any], target: Asked, joint: Intake | None, costing: Costing) -> None:
        self.request, self.target, self.joint, self.costing = request, target, joint, costing

    def checks(self, build: Mapping[str, Any], found: Geometry, ratio: FloatArray | None) -> list[Check]:
        """What a build is held to, in every state."""
        limits = self.request["levers"].get("limits", {}).get("squish")
        judged = (
            self.target.check(ratio),
            squish_check(found.deck_clearance, found.gasket_thickness, limits, self.request.get("duty")),
            gasket_bore_check(found.bore, build["gasket"]),
            None if ratio is None else duty_check(ratio, self.request.get("duty")),
        )
        return [check for check in judged if check is not None]

    def built(self, candidate: Candidate) -> tuple[dict[str, Any], Geometry, list[Check]] | None:
        """The changed build, its geometry and its checks; None where a corner of the tolerances can't exist."""
        build = candidate.build(self.request)
        outcome = Outcome({})
        found = geometry(build, outcome)
        return None if outcome.impossible else (build, found, self.checks(build, found, found.ratio))

    def plan(self, candidate: Candidate, built: tuple[dict[str, Any], Geometry, list[Check]]) -> dict[str, Any]:
        """One plan in every state."""
        build, found, checks = built
        gasket, crown = (build[name]["name"] if name in build and "name" in build[name] else None for name in ("gasket", "crown"))
        values = {
            **compression_values(found, self.request.get("intake_closing")),
            "steps": _steps(candidate, gasket, crown),
            "operations": candidate.operations,
            "metal_removed": np.full(1, candidate.metal),
            "head_mill": np.full(1, candidate.head_mill),
            "deck_cut": np.full(1, candidate.deck_cut),
            "crown_cut": np.full(1, candidate.crown_cut),
            **self.costing.answer(candidate),
            "gasket": gasket,
            "crown": crown,
            "chamber_volume": build["chamber_volume"],
            "off_target": self.target.of(found.ratio) - self.target.value,
            "verdict": worst_verdict(checks)[0],
            "checks": checks,
        }
        if self.joint is not None:
            drop = head_drop(self.request["gasket"], build["gasket"], candidate.head_mill + candidate.deck_cut)
            values.update(self.joint.values(drop))
        return values

    def first(self, found: list[Candidate], most: int) -> list[dict[str, Any]]:
        """The first plans that hold in every state: those that pass before those to watch, each in the order they come in."""
        ranked: dict[Verdict, list[Candidate]] = {verdict: [] for verdict in WORST_LAST}
        for candidate in found:
            built = self.built(candidate)
            if built is not None:
                ranked[worst_verdict(built[2])[0]].append(candidate)
            if len(ranked["pass"]) == most:
                break
        first = [candidate for verdict in WORST_LAST for candidate in ranked[verdict]][:most]
        return [self.plan(candidate, built) for candidate in first if (built := self.built(candidate)) is not None]

    def nearest(self, found: list[Candidate]) -> dict[str, Any] | None:
        """The first combination that holds in every state, whatever it fails."""
        for candidate in found:
            built = self.built(candidate)
            if built is not None:
                return self.plan(candidate, built)
        return None


def _steps(candidate: Candidate, gasket: str | None, crown: str | None) -> list[str]:
    change = "open up the chambers" if candidate.chamber_change > 0 else "fit heads with smaller chambers"
    steps = [
        (candidate.head_mill > 0, "mill the heads"),
        (candidate.deck_cut > 0, "cut the decks"),
        (candidate.chamber_change != 0, change),
        (candidate.crown_cut > 0, "cut the crowns"),
        (gasket is not None, f"fit the gasket {gasket}"),
        (crown is not None, f"fit the crown {crown}"),
    ]
    return [text for applies, text in steps if applies] or ["leave the build as it stands"]


def compute(request: dict[str, Any]) -> Outcome:
    """Clearance wanted V_s/(r − 1) against the clearance of each combination; the difference has to be cut."""
    outcome = Outcome({})
    found = geometry(request, outcome)
    request = {**request, "levers": check_levers(request["levers"], request["chamber_volume"], request["bore"], outcome)}
    joint = intake(request, outcome)
    if any(impossible.states[0] for impossible in outcome.impossible):
        return outcome
    wanted = asked(request, found, outcome)
    if wanted is None:
        return outcome
    bench = Bench(request, found, wanted.static())
    costing = Costing(request["levers"], outcome)
    planner = Planner(request, wanted, joint, costing)
    reaching, offered = candidates(bench)
    by_cost = costing.ranked(reaching) if costing.priced else reaching
    plans = planner.first(by_cost if request["rank_by"] == "cost" else reaching, request["top"])
    cheapest = planner.first(by_cost, 1)[0] if plans and costing.priced else None
    nearest = None if plans else planner.nearest(offered)
    outcome.values = {
        "feasible": bool(plans),
        "now": compression_values(found, request.get("intake_closing")),
        "single": Alone(request, found, bench, joint).answers(),
        "plans": plans,
        "cheapest": cheapest,
        "saving": None if cheapest is None else plans[0]["cost"] - cheapest["cost"],
    }
    if not plans:
        outcome.values = {**outcome.values, "nearest": nearest}
    best = plans[0] if plans else nearest
    outcome.checks = list(best["checks"]) if best is not None else planner.checks(request, found, None)
    if ("bank_angle" in request) != ("intake_face_angle" in request):
        outcome.cautions.append("intake-face-half-known")
    return outcome


CALCULATION = Calculation(
    name="compression-target",
    title="Compression target",
    question="What has to be cut or changed to reach a ratio?",
    text="How to reach a compression ratio: what each lever alone would have to be, and the combinations of them, ranked.",
    request=CompressionTargetRequest,
    answer=CompressionTargetAnswer,
    compute=compute,
    headline=("now.compression_ratio",),
    examples={
        "a V engine, with heads, decks and gaskets to choose from": {
            "units": "inch",
            "bore": 3.892,
            "stroke": 3.36,
            "cylinders": 8,
            "chamber_volume": "57 cm3 ± 0.5 cm3",
            "gasket": {"bore": 3.962, "thickness": "0.040 in ± 0.001 in"},
            "deck_clearance": "0.015 in ± 0.002 in",
            "crown": {"recess": "5 cm3"},
            "target": "10.5 ± 0.1",
            "levers": {
                "head_mill": {"max": 0.03, "chamber_area": "68 cm2"},
                "deck_cut": {"max": 0.015},
                "gaskets": [{"name": "thin", "bore": 3.962, "thickness": 0.027}, {"name": "wide", "bore": 4.028, "thickness": 0.039}],
                "crowns": [{"name": "flat top", "recess": "3 cm3"}, {"name": "small dome", "dome": "2 cm3"}],
                "limits": {"squish": {"low": 0.035, "high": 0.055}},
            },
            "bank_angle": "90 deg",
            "intake_face_angle": "80 deg",
            "top": 5,
        },
        "too much ratio from intake closing, crowns to be cut, and what it costs": {
            "bore": "84.3 mm",
            "stroke": "85.3 mm",
            "cylinders": 4,
            "chamber_volume": "38 cm3",
            "gasket": {"bore": "85.3 mm", "thickness": "1.1 mm"},
            "deck_clearance": "0.1 mm",
            "rod_length": "142.35 mm",
            "intake_closing": "60 deg",
            "target_dynamic": "8.6 ± 0.1",
            "levers": {
                "crown_cut": {"max": "3 mm", "diameter": "60 mm", "hours": "3 h"},
                "chamber_volume": {"min": "38 cm3", "max": "44 cm3", "hours": "5 h", "price": 40},
                "gaskets": [{"name": "thick", "bore": "85.3 mm", "thickness": "1.4 mm", "price": 130}],
                "labor_rate": 70,
            },
            "rank_by": "cost",
        },
        "a metric four with a poured milling profile, out of reach": {
            "bore": "84.3 mm",
            "stroke": "85.3 mm",
            "cylinders": 4,
            "chamber_volume": "41 cm3",
            "gasket": {"bore": "85.3 mm", "thickness": "1.1 mm"},
            "stack": {"deck_height": "215.5 mm", "rod_length": "142.35 mm", "compression_height": "30.3 mm"},
            "target": "13",
            "levers": {
                "head_mill": {
                    "max": "0.8 mm",
                    "profile": [{"depth": "0.4 mm", "volume": "39.1 cm3"}, {"depth": "0.8 mm", "volume": "37.4 cm3"}],
                },
                "chamber_volume": {"min": "38 cm3", "max": "44 cm3"},
            },
        },
    },
    sources=(
        "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eqs. 2.1-2.6",
        "plane geometry of a V engine's intake face, derived beside the formula",
    ),
    published=("test_compression_target", "test_common_practice_compression", "test_slider_crank"),
    cautions=("knock", "thin-crown", "cut-brings-valves-nearer"),
    most_toleranced=12,
)
