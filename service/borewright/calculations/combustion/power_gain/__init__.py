"""What a change of compression, boost or nitrous oxide is worth in power: common practice, ideal cycles, and the cylinder cycle."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.answers import Answer, Rows, Section
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Part, Quantity, QuantityOrPart, Request, RequestPart
from borewright.calculations.base.outcome import Assumption, Check, Outcome
from borewright.calculations.base.problems import FieldError, ImpossibleBuild
from borewright.calculations.combustion.bands import spread
from borewright.calculations.combustion.power_gain.answer import CycleGain, Gain, GainBand, Missing
from borewright.calculations.combustion.power_gain.build_states import (
    BuildState,
    build_state,
    differences,
    merged_assumptions,
)
from borewright.calculations.combustion.power_gain.nitrous_share import nitrous_share, power_with
from borewright.calculations.common.cautions import BOOST, NITROUS
from borewright.calculations.common.cylinder_state import Engine
from borewright.calculations.common.engine_state import ConditionPart, EngineStatePart
from borewright.calculations.common.own_limits import MostRetardPart
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.gas.otto import air_standard_efficiency, fuel_air_efficiency
from borewright.practice.tables import table

HEYWOOD = "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), sections 5.4 and 5.5"
MOST_CYCLES = 5_000
KNOCK_DECIDES = "The cycle's timing is an estimate: the engine's own knock decides what it gains."


def _side(text: str) -> QuantityOrPart:
    return QuantityOrPart("ratio", "4", "20", EngineStatePart, text, required=True)


class PowerLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    spark_retard = Part(MostRetardPart, "retard from best torque")


class PowerGainRequest(ConditionPart, Request):
    """What power-gain needs; what stands beside from and to holds for both, an object's own fields go before it."""

    class Meta:
        """Fields whose names are words of the language."""

        include: ClassVar[dict[str, Quantity]] = {
            "from": _side("before the change: a compression ratio, or an object with the build's state")
        }

    to = _side("after the change: a compression ratio, or an object with the build's state")
    baseline_power = Quantity("power", "1 kW", "20000 kW", "power before the change", required=True)
    limits = Part(PowerLimitsPart, "the caller's own limits, which replace those of common practice")


class PowerGainAnswer(Answer):
    """What power-gain answers."""

    practice = Section(
        Gain, "4 % of power a point of compression, common practice; null where more than compression changes", nullable=True
    )
    air_standard = Section(
        Gain, "ratio of the cold-air Otto efficiencies, γ = 1.4; null where more than compression changes", nullable=True
    )
    fuel_air = Section(
        Gain,
        "ratio of the fuel-air cycle efficiencies, real gas and dissociation: an upper bound on what is indicated; null as above",
        nullable=True,
    )
    cycle = Section(CycleGain, "ratio of the powers at the crank by the cylinder cycle; null where the engine is not given", nullable=True)
    estimate = Section(GainBand, "band over the methods that apply", nullable=True)
    missing = Rows(Section(Missing, "a missing result"), "results that are not in this answer")


def compute(request: dict[str, Any]) -> Outcome:
    """Relative gains η₂/η₁ − 1 of the ideal cycles, P₂/P₁ − 1 of the cylinder cycle at the crank, and the trade's rules."""
    outcome = Outcome({})
    before, after = build_state(request, "from"), build_state(request, "to")
    power, ratios = request["baseline_power"], (before.ratio(outcome), after.ratio(outcome))
    points, apart = ratios[1] - ratios[0], differences(before, after)
    lacking = list(dict.fromkeys([*before.lacking(), *after.lacking()]))
    engines = None if lacking else _engines(before, after, outcome)
    gains = {
        "practice": _practice(points, power, apart, engines, outcome),
        "air_standard": _where_alike(air_standard_efficiency(ratios[1]) / air_standard_efficiency(ratios[0]) - 1.0, apart),
        "fuel_air": _where_alike(fuel_air_efficiency(ratios[1]) / fuel_air_efficiency(ratios[0]) - 1.0, apart),
    }
    missing = [{"name": name, "reason": _why(name, apart)} for name, gain in gains.items() if np.isnan(gain[0])]
    cycle: dict[str, Any] | None = None
    if engines is None:
        missing.append(
            {"name": "cycle", "reason": f"the cylinder cycle needs {', '.join(lacking)}: give them beside from and to, or in both"}
        )
    else:
        cycle, why = _cycle(before, after, engines, power, outcome, request.get("limits", {}).get("spark_retard"))
        gains["cycle"] = cycle["gain"]
        if why:
            missing.append({"name": "cycle", "reason": why})
    outcome.values = {
        **{name: _section(_gain(gain, power)) for name, gain in gains.items() if name != "cycle"},
        "cycle": None if cycle is None else _section(cycle),
        "estimate": _estimate(gains, () if cycle is None else (cycle["gain_low"], cycle["gain_high"]), power),
        "missing": missing,
    }
    row = table("power").row("compression-point")
    reason = "a change of more than about three points reaches beyond what the rule of thumb was made for"
    outcome.checks.insert(0, Check("points-changed", "ratio", points, -3.0, 3.0, reason, "common practice", row.source, soft=True))
    outcome.assumptions += [
        Assumption("fuel_air.fuel", "isooctane, equivalence ratio 1, 350 K and 1 atm before compression", "published", HEYWOOD),
        Assumption("air_standard.heat_capacity_ratio", 1.4, "published", "cold-air standard: Moran & Shapiro, ex. 9.1, from memory"),
    ]
    either = {**before.whole, **after.whole}
    outcome.cautions = [*([BOOST] if "boost" in either else []), *([NITROUS] if "nitrous" in either else [])]
    return outcome


def _engines(before: BuildState, after: BuildState, outcome: Outcome) -> tuple[Engine, Engine]:
    """Both sides for the cycle, what was assumed of them listed."""
    sides = {side.name: side.engine(outcome) for side in (before, after)}
    outcome.assumptions += merged_assumptions({name: assumed for name, (_, assumed) in sides.items()})
    return sides[before.name][0], sides[after.name][0]


def _where_alike(gain: FloatArray, apart: Mapping[str, BoolArray], beside: tuple[str, ...] = ()) -> FloatArray:
    """A gain where the sides differ in nothing but compression and some other fields, else NaN."""
    for name, states in apart.items():
        if name not in beside:
            gain = np.where(states, np.nan, gain)
    return gain


def _practice(
    points: FloatArray, power: FloatArray, apart: Mapping[str, BoolArray], engines: tuple[Engine, Engine] | None, outcome: Outcome
) -> FloatArray:
    """The trade's rules: so much a point; power follows the manifold's absolute pressure; nitrous oxide adds what it is sold as."""
    rows = table("power")
    gain = np.asarray(rows.row("compression-point").si("gain_per_point") * points)
    if engines is None:
        return _where_alike(gain, apart)
    manifold = [np.asarray(each.state.ambient_pressure) + np.asarray(each.state.boost) for each in engines]
    sold = [np.asarray(each.nitrous_power) for each in engines]
    for name in ("boost", "nitrous"):
        if name in apart:
            row = rows.row(f"{name}-rule")
            outcome.assumptions.append(Assumption(f"practice.{name}", row.word("rule"), "common practice", row.source))
    return _where_alike((1.0 + gain) * manifold[1] / manifold[0] - 1.0 + (sold[1] - sold[0]) / power, apart, ("boost", "nitrous"))


def _gain(gain: FloatArray, power: FloatArray) -> dict[str, FloatArray]:
    return {"gain": gain, "power_gain": gain * power, "power": (1.0 + gain) * power}


def _section(values: dict[str, Any]) -> dict[str, Any] | None:
    return values if bool(np.isfinite(values["gain"]).any()) else None


def _why(name: str, apart: Mapping[str, BoolArray]) -> str:
    fields = " and ".join(each.replace("_", " ") for each, states in apart.items() if states[0])
    if name != "practice":
        return f"its efficiency does not tell how much more charge is burned, and the states differ in {fields}"
    if set(apart) <= {"boost", "nitrous"}:
        return "the rules for boost and nitrous oxide need the engine: give what the cylinder cycle needs"
    return f"the rules are made for compression, boost and nitrous oxide alone, and the states differ in {fields}"


def _cycle(
    before: BuildState,
    after: BuildState,
    engines: tuple[Engine, Engine],
    power: FloatArray,
    outcome: Outcome,
    most: Mapping[str, Any] | None,
) -> tuple[dict[str, Any], str]:
    """The cycle's gain, and why the nominal state has none."""
    for each in engines:
        if spread(each.state)[1] > MOST_CYCLES:
            told = f"the cylinder cycle is run for every row: send at most {MOST_CYCLES} of an engine, or leave its fields out"
            raise ImpossibleBuild([FieldError("#/columns", told)])
    share = nitrous_share(*engines, power / _cylinders(before))
    if share is not None and np.isfinite(share[0]):
        told = "power of the cycle's engine before the change over the baseline power: its nitrous oxide is taken in this proportion"
        outcome.assumptions.append(Assumption("cycle.nitrous_share", share, "published", told, "ratio"))
    old, new = (power_with(each, share) for each in engines)
    more = _cylinders(after) / _cylinders(before)
    gain, best = new.allowed / old.allowed * more - 1.0, new.best / old.best * more - 1.0
    own = table("power").row("cycle")
    uncertainty = np.array([own.si("uncertainty")])
    outcome.assumptions.append(Assumption("cycle.uncertainty", uncertainty, "common practice", own.source, "percentage"))
    ends = [new.poor / old.poor * more - 1.0, gain, new.good / old.good * more - 1.0]
    room = uncertainty * np.abs(gain)
    row = table("cycle").row("spark_retard")
    told = "retard that the fuel asks for after the change: what the change is worth is lost with it"
    if most is None:
        outcome.checks.append(Check("spark-retard", "angle", new.retard, None, row.si("retard"), told, "common practice", row.source))
    else:
        outcome.checks.append(Check("spark-retard", "angle", new.retard, None, most["high"], told, "caller", "the request"))
    values = {
        **_gain(gain, power),
        "knock_limited": new.knock_limited,
        "knock_limited_before": old.knock_limited,
        "gain_low": np.minimum.reduce(ends) - room,  # not known where the poor end of the fuel has no quiet timing
        "gain_high": np.fmax.reduce(ends) + room,
        "gain_at_best_torque": best,
        "retard_before": np.where(np.isfinite(old.allowed), old.retard, np.nan),
        "retard_after": np.where(np.isfinite(new.allowed), new.retard, np.nan),
    }
    whys = [f"{side.name}: {cycle.reason[0]}" for side, cycle in ((before, old), (after, new)) if cycle.reason[0]]
    if share is not None and not np.isfinite(share[0]):
        whys = ["the nitrous oxide before the change would make all of the baseline power by itself: check both"]
    why = "" if np.isfinite(gain[0]) else "; ".join(whys) or "the engine gives no power at the crank"
    return values, why


def _cylinders(side: BuildState) -> FloatArray:
    return np.asarray(side.whole.get("cylinders", np.ones(1)), dtype=np.float64)


def _estimate(gains: Mapping[str, FloatArray], ends: tuple[FloatArray, ...], power: FloatArray) -> dict[str, Any] | None:
    """Smallest, median and largest of the methods that apply; the cycle's own ends widen the band."""
    every = np.sort(np.stack(np.broadcast_arrays(*gains.values())), axis=0)  # what does not apply is last
    count = np.isfinite(every).sum(axis=0)
    if not count.any():
        return None

    def at(place: npt.NDArray[np.intp]) -> FloatArray:
        found: FloatArray = np.take_along_axis(every, np.maximum(place, 0)[None, :], axis=0)[0]
        return found

    middle = 0.5 * (at((count - 1) // 2) + at(count // 2))
    low, high = at(np.zeros_like(count)), at(count - 1)
    for end in ends:
        low, high = np.fmin(low, end), np.fmax(high, end)
    bounds = {"low": low, "value": np.where(count > 0, middle, np.nan), "high": high}
    return {name: _gain(gain, power) for name, gain in bounds.items()}


CALCULATION = Calculation(
    name="power-gain",
    title="Power gain",
    text=(
        "What a change of compression, boost or nitrous oxide is worth in power: by the trade's rule, by the air-standard and the fuel-air "
        "cycle, and by the cylinder cycle at the timing the fuel allows."
    ),
    request=PowerGainRequest,
    answer=PowerGainAnswer,
    compute=compute,
    headline=("estimate.value.gain", "cycle.gain"),
    examples={
        "a point more": {"units": "inch", "from": "10 ± 0.1", "to": "11 ± 0.1", "baseline_power": "500 hp"},
        "a point more, on a fuel": {
            "units": "inch",
            "from": 9.5,
            "to": 10.5,
            "baseline_power": "380 hp",
            "bore": 4.0,
            "stroke": 3.48,
            "rod_length": 5.7,
            "speed": "5200 rpm",
            "fuel": {"octane": {"rating": 91, "scale": "aki"}},
        },
        "boost on less compression": {
            "from": 10.5,
            "to": {
                "compression_ratio": 9.2,
                "boost": {"pressure": "50 kPa", "intercooler_effectiveness": 0.6, "drive": "crank"},
            },
            "baseline_power": "280 kW",
            "bore": "101.6 mm",
            "stroke": "88.4 mm",
            "cylinders": 8,
            "speed": "5500 rpm",
            "fuel": {"octane": {"rating": 98, "scale": "ron"}},
        },
    },
    sources=("common practice", HEYWOOD, "the cylinder cycle, as detonation-margin"),
    published=("test_otto", "test_fuel_air_cycle", "test_cycle", "test_common_practice_power"),
    cautions=("More compression needs more octane: ask detonation-margin before choosing it; knock can break pistons.", KNOCK_DECIDES),
    batch=True,
    propagation="additive",
    most_toleranced=24,
)
