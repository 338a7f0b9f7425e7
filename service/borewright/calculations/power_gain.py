"""What a change of compression is worth in power, by common practice and by the ideal cycles."""

from __future__ import annotations

from typing import Any, ClassVar

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Rows, Section, Word
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Quantity, Request
from borewright.calculations.base.outcome import Assumption, Check, Outcome
from borewright.physics.otto import air_standard_efficiency, fuel_air_efficiency
from borewright.practice.tables import table

Array = npt.NDArray[np.float64]
HEYWOOD = "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), sections 5.4 and 5.5"


def _ratio(text: str) -> Quantity:
    return Quantity("ratio", "4", "20", text, required=True)


class PowerGainRequest(Request):
    """What power-gain needs."""

    class Meta:
        """Fields whose names are words of the language."""

        include: ClassVar[dict[str, Quantity]] = {"from": _ratio("compression ratio before the change")}

    to = _ratio("compression ratio after the change")
    baseline_power = Quantity("power", "1 kW", "20000 kW", "power before the change", required=True)


class Gain(AnswerPart):
    """One estimate of the gain."""

    gain = Figure("percentage", "share of the baseline power gained; negative is a loss")
    power_gain = Figure("power", "power gained")
    power = Figure("power", "power after the change")


class GainBand(AnswerPart):
    """The estimate as a band."""

    low = Section(Gain, "the smallest of the methods")
    value = Section(Gain, "the median of the methods")
    high = Section(Gain, "the largest of the methods")


class Missing(AnswerPart):
    """A result that could not be worked out, and why."""

    name = Word("the result")
    reason = Word("why, and what would fill it")


class PowerGainAnswer(Answer):
    """What power-gain answers."""

    practice = Section(Gain, "4 % of power a point, common practice")
    air_standard = Section(Gain, "ratio of the cold-air Otto efficiencies, γ = 1.4")
    fuel_air = Section(Gain, "ratio of the fuel-air cycle efficiencies, real gas properties and dissociation: an upper bound")
    estimate = Section(GainBand, "band over the methods")
    missing = Rows(Section(Missing, "a missing result"), "results that are not in this answer")


def _gain(gain: Array, power: Array) -> dict[str, Array]:
    return {"gain": gain, "power_gain": gain * power, "power": (1.0 + gain) * power}


def compute(request: dict[str, Any]) -> Outcome:
    """Relative gains η₂/η₁ − 1 of the cycles, and 4 % a point."""
    before, after, power = request["from"], request["to"], request["baseline_power"]
    row = table("power").row("compression-point")
    practice = row.si("gain_per_point") * (after - before)
    air = air_standard_efficiency(after) / air_standard_efficiency(before) - 1.0
    fuel = fuel_air_efficiency(after) / fuel_air_efficiency(before) - 1.0
    every = np.sort(np.stack(np.broadcast_arrays(practice, air, fuel)), axis=0)
    outcome = Outcome(
        {
            "practice": _gain(practice, power),
            "air_standard": _gain(air, power),
            "fuel_air": _gain(fuel, power),
            "estimate": {name: _gain(every[index], power) for name, index in (("low", 0), ("value", 1), ("high", 2))},
            "missing": [{"name": "cycle", "reason": "the closed cylinder cycle is not part of this version"}],
        }
    )
    reason = "a change of more than about three points reaches beyond what the rule of thumb was made for"
    outcome.checks = [Check("points-changed", "ratio", after - before, -3.0, 3.0, reason, "common practice", row.source, soft=True)]
    outcome.assumptions = [
        Assumption("fuel_air.fuel", "isooctane, equivalence ratio 1, 350 K and 1 atm before compression", "published", HEYWOOD),
        Assumption("air_standard.heat_capacity_ratio", 1.4, "published", "cold-air standard: Moran & Shapiro, ex. 9.1, from memory"),
    ]
    return outcome


CALCULATION = Calculation(
    name="power-gain",
    title="Power gain",
    text="What a change of compression is worth in power: by the trade's rule, by the air-standard cycle and by the fuel-air cycle.",
    request=PowerGainRequest,
    answer=PowerGainAnswer,
    compute=compute,
    headline=("estimate.value.gain",),
    examples={"a point more": {"units": "inch", "from": "10 ± 0.1", "to": "11 ± 0.1", "baseline_power": "500 hp"}},
    sources=("common practice", HEYWOOD),
    published=("test_otto", "test_fuel_air_cycle", "test_common_practice_power"),
    cautions=("More compression needs more octane: ask detonation-margin before choosing it; knock can break pistons.",),
    batch=True,
)
