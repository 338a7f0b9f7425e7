"""What strength answers: part by part, the weakest, and how far pressure, boost and nitrous may go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

import numpy as np

from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Rows, Section, Truth, Word
from borewright.calculations.base.outcome import VERDICTS, Basis, Check
from borewright.calculations.common.rule_checks import fields_named
from borewright.calculations.strength.case import TIMINGS
from borewright.calculations.strength.limits import FUEL
from borewright.calculations.strength.loads import LoadPointAnswer, LoadsAnswer
from borewright.calculations.strength.stressed import Stressed
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import table

NAMES = (
    "crown",
    "top-land-bending",
    "top-land-shear",
    "second-land-bending",
    "second-land-shear",
    "pin-boss-bearing",
    "pin-bending",
    "pin-shear",
    "pin-ovalization",
    "pin-combined",
    "rod-tension",
    "rod-buckling",
    "rod-fatigue",
)


class StressedPartAnswer(AnswerPart):
    """One part under one kind of stress; null where something is missing for it, and the reason says what."""

    class Meta:
        """Fields whose names are methods of a schema."""

        include: ClassVar[dict[str, Figure]] = {"load": Figure("force", "largest load on it", nullable=True)}

    name = Word("which part, and what it is stressed by", options=NAMES)
    stress = Figure("stress", "largest stress", nullable=True)
    mean_stress = Figure("stress", "middle of the swing, tension above zero; null where fatigue does not decide", nullable=True)
    alternating_stress = Figure("stress", "half of the swing; null where fatigue does not decide", nullable=True)
    strength = Figure("stress", "ultimate, yield or buckling stress at the temperature, as the method asks", nullable=True)
    fatigue_strength = Figure(
        "stress", "for a reversed load, at the temperature, with surface and notch; null where not asked", nullable=True
    )
    temperature = Figure("temperature", "of the material there")
    factor_of_safety = Figure(
        "ratio", "strength over load by the method, at the speed where it is nearest to the one wanted", nullable=True
    )
    factor_wanted = Figure("ratio", "factor of safety wanted, by the method and the material, or the caller's", nullable=True)
    speed = Figure("rotation", "the speed at which it is so", nullable=True)
    factor_as_fuel_allows = Figure(
        "ratio",
        "the factor of safety at the timing the fuel allows; null without an octane number or where no timing is quiet",
        nullable=True,
    )
    verdict = Word("against the factor of safety wanted; unknown where the hindcast does not reach", options=VERDICTS)
    reason = Word("why, and what to do")
    method = Word("how the factor of safety is found")
    life = Word("load cycles that the fatigue strength is stated for; null where fatigue does not decide", nullable=True)
    exposure = Word("how long the material is at temperature for the strength stated; null where no strength is", nullable=True)
    source = Word("where stress and strength come from")


class ShankAnswer(AnswerPart):
    """The rod's shank as a strut."""

    area = Figure("area", "of its section")
    gyration_swing = Figure("length", "radius of gyration for bending in the plane of motion")
    gyration_side = Figure("length", "radius of gyration for bending along the pin")


class UnknownStrengthAnswer(AnswerPart):
    """A result that could not be calculated, and why."""

    name = Word("the result")
    reason = Word("why, and what would fill it")


class PeakPressuresAnswer(AnswerPart):
    """Peak pressure by timing, absolute."""

    mbt = Figure(
        "pressure",
        "at MBT timing, which parts are judged at; null where the pressure was given or no cycle could be calculated",
        nullable=True,
    )
    fuel_allows = Figure(
        "pressure", "at the timing the fuel allows; null without an octane number or where no timing is quiet", nullable=True
    )


class HindcastAnswer(AnswerPart):
    """The engines that the model was held against: textbook proportions, at the pressures they live with."""

    reach = Word("how far they reach")
    inside = Truth("whether this engine lies within")
    outside = Rows(Word("a quantity of it that does not"), "what lies beyond; verdicts that would pass are unknown then")


class StrengthAnswer(Answer):
    """What strength answers."""

    class Meta:
        """Fields whose names are methods of a schema."""

        include: ClassVar[dict[str, Section]] = {"loads": Section(LoadsAnswer, "the largest loads of a cycle")}

    weakest = Word("the part with the smallest factor of safety of those that are known; null where none is", options=NAMES, nullable=True)
    least_factor = Figure("ratio", "its factor of safety", nullable=True)
    parts = Rows(Section(StressedPartAnswer, "one part"), "every part and kind of stress")
    trace = Rows(Section(LoadPointAnswer, "one crank angle"), "forces over the two turns of a cycle; empty where the pressure was given")
    pin_closing = Figure(
        "length", "how much the gas presses the pin's diameter oval; null where material or load are not known", nullable=True
    )
    rod_shank = Section(ShankAnswer, "the rod's shank; null where it is not given", nullable=True)
    timing = Word("the timing that the pressures are of which the parts are judged at", options=TIMINGS)
    peak_pressures = Section(PeakPressuresAnswer, "peak pressure at the speed asked, by timing")
    peak_pressure_to_limit = Figure(
        "pressure",
        "peak pressure, absolute, at which the first part reaches the factor of safety wanted; low and high end as strengths may be off; "
        "null with a reason",
        nullable=True,
    )
    peak_pressure_limited_by = Word("the part that sets it", options=NAMES, nullable=True)
    boost_to_limit = Figure(
        "pressure",
        "boost over ambient at which a part reaches the factor of safety wanted or the fuel is used up, all else as it is; "
        "low and high end as strengths, pressures and octane may be off: go by the low end; null with a reason",
        nullable=True,
    )
    boost_limited_by = Word("the part that sets it, or the fuel", options=(*NAMES, FUEL), nullable=True)
    boost_limited_at = Figure("rotation", "the speed at which it does", nullable=True)
    nitrous_to_limit = Figure(
        "mass_flow",
        "nitrous oxide of the whole engine as a kit delivers it, at the speed asked, at which a part reaches the factor wanted or "
        "the fuel is used up, all else as it is; low and high end as for boost: go by the low end; null with a reason",
        nullable=True,
    )
    nitrous_limited_by = Word("the part that sets it, or the fuel", options=(*NAMES, FUEL), nullable=True)
    nitrous_limited_at = Figure("rotation", "the speed at which it does", nullable=True)
    limits_without = Rows(Word("a part", options=NAMES), "parts that are not known, so that the limits do not count them")
    not_judged = Rows(Word("a part"), "what can break and is not in any figure here")
    hindcast = Section(HindcastAnswer, "how far the engines reach that the model was held against")
    missing = Rows(Section(UnknownStrengthAnswer, "a missing result"), "results that are null, each with its reason")


def part_check(row: Stressed, basis: Basis, source: str) -> Check:
    """A part's factor of safety against the one wanted; of practice's, what is left above two thirds of it is only watched.

    >>> from borewright.calculations.strength.stressed import unknown
    >>> part_check(unknown("crown", "piston", "", "", "not known: add piston.crown_thickness"), "caller", "").judge()
    'unknown'
    """
    factor, wanted = row.factor[:, 0], row.wanted[:, 0]
    known = bool(np.isfinite(factor[0]))
    low = np.where(np.isfinite(wanted), wanted, 1.0)
    if not known:
        return Check(row.name, "ratio", None, low, None, row.lacking, basis, source, missing=fields_named(row.lacking))
    reason = f"below it the {row.part} does not last: a stronger one, or less pressure, speed or mass"
    watched = basis != "caller" and bool(factor[0] >= wanted[0] * table("strength").row("factor_fails").si("share"))
    return Check(row.name, "ratio", factor, low, None, reason, basis, source, soft=watched)


def part_values(row: Stressed, check: Check, temperature: FloatArray, speed: FloatArray, allowed: FloatArray) -> dict[str, Any]:
    """One part of the answer, from a row under one condition per state.

    speed : at which it is so [rad/s]; allowed : factor of safety at the timing the fuel allows
    """

    def flat(values: FloatArray | None) -> FloatArray | None:
        return None if values is None else np.asarray(values[:, 0])

    verdict = check.judge(lambda inside: inside)
    factor = row.factor[:, 0]
    return {
        "name": row.name,
        "load": flat(row.load),
        "stress": flat(row.stress),
        "mean_stress": flat(row.mean),
        "alternating_stress": flat(row.alternating),
        "strength": flat(row.strength),
        "fatigue_strength": flat(row.fatigue_strength),
        "temperature": temperature,
        "factor_of_safety": factor,
        "factor_wanted": flat(row.wanted),
        "speed": np.where(np.isfinite(factor), speed, np.nan),
        "factor_as_fuel_allows": allowed,
        "verdict": verdict,
        "reason": "as wanted" if verdict == "pass" else check.reason,
        "method": row.method,
        "life": row.hot.life if row.hot is not None and row.fatigue_strength is not None else None,
        "exposure": None if row.hot is None else row.hot.exposure,
        "source": row.source if row.hot is None else f"{row.source}; {row.hot.source}",
    }


def boss_check(bearing: Stressed, own: Mapping[str, Any] | None = None) -> Check:
    """The working pressure of the pin on its bosses against common practice, or against the caller's own limit.

    >>> from borewright.calculations.strength.stressed import unknown
    >>> boss_check(unknown("pin-boss-bearing", "piston", "", "", "not known: add pin.boss_span")).reason
    'not known: add pin.boss_span'
    """
    row = table("strength").row("pin_boss")
    known = bool(np.isfinite(bearing.stress[0, 0]))
    reason = "above it bare bosses gall or hammer out: a wider pin, longer bosses, bushes or a coating" if known else bearing.lacking
    pressure = bearing.stress[:, 0] if known else None
    missing = () if known else fields_named(bearing.lacking)
    if own is not None:
        return Check("pin-boss-bearing-pressure", "stress", pressure, None, own["high"], reason, "caller", "the request", missing=missing)
    high = row.si("pressure_high")
    return Check("pin-boss-bearing-pressure", "stress", pressure, None, high, reason, "published", row.source, soft=True, missing=missing)


def ovality_check(closing: FloatArray | None) -> Check:
    """How much the load presses the pin oval, against practice.

    >>> ovality_check(np.array([60e-6])).judge(), ovality_check(None).judge()
    ('watch', 'unknown')
    """
    row = table("strength").row("pin_ovality")
    reason = (
        "above it the pin works like a pump in its bosses and splits them: a thicker wall" if closing is not None else "add pin.material"
    )
    return Check("pin-ovality", "length", closing, None, row.si("closing_high"), reason, "common practice", row.source, soft=True)


def missing_rows(reasons: Mapping[str, str]) -> list[dict[str, str]]:
    """The rows of `missing`, of the results that have a reason.

    >>> missing_rows({"boost_to_limit": "not reached", "nitrous_to_limit": ""})
    [{'name': 'boost_to_limit', 'reason': 'not reached'}]
    """
    return [{"name": name, "reason": reason} for name, reason in reasons.items() if reason]
