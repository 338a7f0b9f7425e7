"""What strength answers: part by part, the weakest, and how far pressure, boost and nitrous may go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

import numpy as np

from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Rows, Section, Word
from borewright.calculations.base.outcome import VERDICTS, Basis, Check
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
    "pin-ovalisation",
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
    factor_of_safety = Figure("ratio", "strength over load by the method", nullable=True)
    verdict = Word("against the factor of safety wanted", options=VERDICTS)
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
    """A result that could not be worked out, and why."""

    name = Word("the result")
    reason = Word("why, and what would fill it")


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
    peak_pressure_to_limit = Figure(
        "pressure",
        "peak pressure, absolute, at which the weakest part reaches the factor of safety wanted; null with a reason",
        nullable=True,
    )
    peak_pressure_limited_by = Word("the part that sets it", options=NAMES, nullable=True)
    boost_to_limit = Figure(
        "pressure",
        "boost over ambient at which the weakest part reaches the factor of safety wanted, all else as it is; null with a reason",
        nullable=True,
    )
    boost_limited_by = Word("the part that sets it", options=NAMES, nullable=True)
    nitrous_to_limit = Figure(
        "mass_flow",
        "nitrous oxide of the whole engine at which the weakest part reaches the factor of safety wanted, all else as it is; "
        "null with a reason",
        nullable=True,
    )
    nitrous_limited_by = Word("the part that sets it", options=NAMES, nullable=True)
    missing = Rows(Section(UnknownStrengthAnswer, "a missing result"), "results that are null, each with its reason")


def part_check(row: Stressed, wanted: FloatArray, basis: Basis, source: str) -> Check:
    """A part's factor of safety against the one wanted; of common practice's, what is left above 1 is only watched.

    >>> from borewright.calculations.strength.stressed import unknown
    >>> part_check(unknown("crown", "piston", "", "", "not known: add piston.crown_thickness"), np.array([1.5]), "caller", "").judge()
    'unknown'
    """
    factor = row.factor[:, 0]
    if not np.isfinite(factor[0]):
        return Check(row.name, "ratio", None, wanted, None, row.lacking, basis, source)
    reason = f"below it the {row.part} does not last: a stronger one, or less pressure, speed or mass"
    return Check(row.name, "ratio", factor, wanted, None, reason, basis, source, soft=basis != "caller" and bool(factor[0] >= 1.0))


def part_values(row: Stressed, check: Check, temperature: FloatArray) -> dict[str, Any]:
    """One part of the answer, from a row under one pressure per state."""

    def flat(values: FloatArray | None) -> FloatArray | None:
        return None if values is None else np.asarray(values[:, 0])

    verdict = check.judge(lambda inside: inside)
    return {
        "name": row.name,
        "load": flat(row.load),
        "stress": flat(row.stress),
        "mean_stress": flat(row.mean),
        "alternating_stress": flat(row.alternating),
        "strength": flat(row.strength),
        "fatigue_strength": flat(row.fatigue_strength),
        "temperature": temperature,
        "factor_of_safety": flat(row.factor),
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
    if own is not None:
        return Check("pin-boss-pressure", "stress", pressure, None, own["high"], reason, "caller", "the request")
    return Check("pin-boss-pressure", "stress", pressure, None, row.si("pressure_high"), reason, "common practice", row.source, soft=True)


def missing_rows(reasons: Mapping[str, str]) -> list[dict[str, str]]:
    """The rows of `missing`, of the results that have a reason.

    >>> missing_rows({"boost_to_limit": "not reached", "nitrous_to_limit": ""})
    [{'name': 'boost_to_limit', 'reason': 'not reached'}]
    """
    return [{"name": name, "reason": reason} for name, reason in reasons.items() if reason]
