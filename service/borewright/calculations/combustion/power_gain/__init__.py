"""What a change of compression, boost or nitrous oxide is worth in power: common practice, ideal cycles, and the cylinder cycle."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Check, Outcome
from borewright.calculations.base.problems import FieldError, InvalidRequest
from borewright.calculations.combustion.bands import spread
from borewright.calculations.combustion.power_gain.answer import PowerGainAnswer
from borewright.calculations.combustion.power_gain.breathing import Breathing, breathing_check, held_by_heads
from borewright.calculations.combustion.power_gain.build_states import (
    BuildState,
    build_states,
    differences,
    merged_assumptions,
)
from borewright.calculations.combustion.power_gain.cycle_power import Side, cycle_powers, ratio_ends
from borewright.calculations.combustion.power_gain.nitrous_share import share_of_nitrous, with_share
from borewright.calculations.combustion.power_gain.request import PowerGainRequest
from borewright.calculations.combustion.power_gain.spin_up import spinning
from borewright.calculations.common.cylinder_state import Engine
from borewright.calculations.common.own_limits import retard_check
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.state import RANGES
from borewright.physics.gas.air import COLDEST, sae_j1349_factor
from borewright.physics.gas.otto import air_standard_efficiency, standard_fuel_air_efficiency
from borewright.practice.tables import table

HEYWOOD = "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), sections 5.4 and 5.5"
J1349 = "SAE J1349, Engine power test code, 1990"
MOST_CYCLES = 5_000
LATE = "retard that the fuel asks for after the change: what the change is worth is lost with it"
PRACTICE_SEES = {"boost", "nitrous", "ambient"}
FILLINGS = RANGES["volumetric_efficiency"][:2]


def compute(request: dict[str, Any]) -> Outcome:
    """Relative gains η₂/η₁ − 1 of the ideal cycles, P₂/P₁ − 1 of the cylinder cycle at the crank, and the trade's rules."""
    outcome = Outcome({})
    before, after = build_states(request, outcome)
    power, ratios = request["baseline_power"], (before.ratio(outcome), after.ratio(outcome))
    points, apart = ratios[1] - ratios[0], differences(before, after)
    lacking = list(dict.fromkeys([*before.lacking(), *after.lacking()]))
    engines = None if lacking else _engines(before, after, outcome)
    gains = {
        "practice": _practice(points, power, apart, engines, outcome),
        "air_standard": _where_alike(_ratio_gain(air_standard_efficiency, *ratios), apart),
        "fuel_air": _where_alike(_ratio_gain(standard_fuel_air_efficiency, *ratios), apart),
    }
    missing = [{"name": name, "reason": _why(name, apart)} for name, gain in gains.items() if np.isnan(gain[0])]
    speeds = tuple(side.whole.get("speed") for side in (before, after))
    told = _Told(power, *speeds)
    cycle: dict[str, Any] | None = None
    if engines is None:
        missing.append(
            {"name": "cycle", "reason": f"the cylinder cycle needs {', '.join(lacking)}: give them beside before and after, or before"}
        )
    else:
        cycle, why = _cycle((before, after), engines, told, outcome, request.get("limits", {}).get("spark_retard"))
        gains["cycle"] = cycle["gain"]
        if why:
            missing.append({"name": "cycle", "reason": why})
    moving, why = spinning(before.whole, after.whole, request.get("spin_up"), outcome)
    if why and ("spin_up" in request or "moving" in {**before.whole, **after.whole}):
        missing.append({"name": "spin_up", "reason": why})
    outcome.values = {
        **{name: _section(told.gain(gain)) for name, gain in gains.items() if name != "cycle"},
        "cycle": None if cycle is None else _section(cycle),
        "estimate": _estimate(gains, () if cycle is None else (cycle["gain_low"], cycle["gain_high"]), told),
        "torque_before": told.torque_before,
        "spin_up": moving,
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
    outcome.cautions = [*(["boost"] if "boost" in either else []), *(["nitrous"] if "nitrous" in either else [])]
    return outcome


class _Told:
    """Gains told as power and torque: the power before the change, and the speeds of both sides, None where not given."""

    def __init__(self, power: FloatArray, before: FloatArray | None, after: FloatArray | None) -> None:
        self.power, self.speed_after = power, after
        self.torque_before = None if before is None else power / before

    def gain(self, gain: FloatArray) -> dict[str, Any]:
        power = (1.0 + gain) * self.power
        torque = None if self.speed_after is None else power / self.speed_after
        more = None if torque is None or self.torque_before is None else torque - self.torque_before
        return {"gain": gain, "power_gain": gain * self.power, "power": power, "torque_gain": more, "torque": torque}


def _ratio_gain(efficiency: Callable[[FloatArray], FloatArray], before: FloatArray, after: FloatArray) -> FloatArray:
    """Gain of an ideal cycle."""
    return np.asarray(efficiency(after) / efficiency(before) - 1.0)


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
    """The trade's rules: so much a point; power follows the manifold's absolute pressure; nitrous oxide adds what it is sold as; the air
    as SAE J1349 corrects it."""
    rows = table("power")
    gain = np.asarray(rows.row("compression-point").si("gain_per_point") * points)
    if engines is None:
        return _where_alike(gain, apart)
    states = [each.state for each in engines]
    if not {"boost", "nitrous"} & set(apart) and all(np.all(np.asarray(state.boost) == 0.0) for state in states):
        air = [sae_j1349_factor(state.ambient_pressure, np.maximum(state.ambient_temperature, COLDEST)) for state in states]
        if "ambient" in apart:
            told = "the air by the ratio of its correction factors, which take the mechanical efficiency as 85 %; humidity left out"
            outcome.assumptions.append(Assumption("practice.ambient", told, "published", J1349))
        return _where_alike((1.0 + gain) * air[0] / air[1] - 1.0, apart, ("ambient",))
    manifold = [np.asarray(each.state.ambient_pressure) + np.asarray(each.state.boost) for each in engines]
    sold = [np.asarray(each.nitrous_power) for each in engines]
    for name in ("boost", "nitrous"):
        if name in apart:
            row = rows.row(f"{name}-rule")
            outcome.assumptions.append(Assumption(f"practice.{name}", row.word("rule"), "common practice", row.source))
    return _where_alike((1.0 + gain) * manifold[1] / manifold[0] - 1.0 + (sold[1] - sold[0]) / power, apart, ("boost", "nitrous"))


def _section(values: dict[str, Any]) -> dict[str, Any] | None:
    return values if bool(np.isfinite(values["gain"]).any()) else None


def _why(name: str, apart: Mapping[str, BoolArray]) -> str:
    fields = " and ".join(each.replace("_", " ") for each, states in apart.items() if states[0])
    if name != "practice":
        return f"its efficiency tells neither how much charge is burned nor what knock allows, and the states differ in {fields}"
    if set(apart) <= PRACTICE_SEES and not ("ambient" in apart and len(apart) > 1):
        return "the rules for boost, nitrous oxide and the air need the engine, and that for the air one without boost"
    return f"the rules are made for compression, and boost, nitrous oxide or the air besides, and the states differ in {fields}"


def _cycle(
    builds: tuple[BuildState, BuildState],
    engines: tuple[Engine, Engine],
    told: _Told,
    outcome: Outcome,
    most: Mapping[str, Any] | None,
) -> tuple[dict[str, Any], str]:
    """The cycle's gain, and why the nominal state has none."""
    for each in engines:
        if spread(each.state)[1] > MOST_CYCLES:
            many = f"the cylinder cycle is run for every row: send at most {MOST_CYCLES} of an engine, or leave its fields out"
            raise InvalidRequest([FieldError("#/columns", many, Code.TOO_MUCH)])
    sides = _sides(builds, engines, outcome)
    share = share_of_nitrous(*sides, told.power / _cylinders(builds[0]))
    if share is not None and np.isfinite(share[0]):
        text = "power of the cycle's engine before the change over the baseline power: its nitrous oxide is taken in this proportion"
        outcome.assumptions.append(Assumption("cycle.nitrous_share", share, "derived", text, "ratio"))
    old, new = cycle_powers(*(with_share(each, share) for each in sides))
    more = _cylinders(builds[1]) / _cylinders(builds[0])
    gain, best = new.allowed / old.allowed * more - 1.0, new.best / old.best * more - 1.0
    own = table("power").row("cycle")
    uncertainty = np.array([own.si("uncertainty")])
    outcome.assumptions.append(Assumption("cycle.uncertainty", uncertainty, "common practice", own.source, "percentage"))
    ends = {name: [end * more - 1.0 for end in pair] for name, pair in ratio_ends(old, new).items()}
    room = uncertainty * np.abs(gain)
    outcome.checks.append(retard_check(new.retard, most, engines[1].kind, LATE)[0])
    low, high = ends.pop("fuel")
    others = [end for pair in ends.values() for end in pair]
    values = {
        **told.gain(gain),
        "knock_limited": new.knock_limited,
        "knock_limited_before": old.knock_limited,
        # not known where the poor end of the fuel has no quiet timing
        "gain_low": np.minimum.reduce([low, gain, np.fmin.reduce([high, *others])]) - room,
        "gain_high": np.fmax.reduce([low, gain, high, *others]) + room,
        "gain_at_mbt": best,
        "retard_before": np.where(np.isfinite(old.allowed), old.retard, np.nan),
        "retard_after": np.where(np.isfinite(new.allowed), new.retard, np.nan),
    }
    whys = [f"{side.name}: {cycle.reason[0]}" for side, cycle in zip(builds, (old, new), strict=True) if cycle.reason[0]]
    if share is not None and not np.isfinite(share[0]):
        whys = ["the nitrous oxide before the change would make all of the baseline power by itself: check both"]
    why = "" if np.isfinite(gain[0]) else "; ".join(whys) or "the engine gives no power at the crank"
    return values, why


def _sides(builds: tuple[BuildState, BuildState], engines: tuple[Engine, Engine], outcome: Outcome) -> tuple[Side, Side]:
    """Both engines for the cycle, the filling of a larger one held back by the heads that it keeps."""
    before, after = (_side(each) for each in engines)
    held = _breathing(builds, engines)
    if held is None:
        return before, after
    outcome.checks.append(breathing_check(held))
    row = table("power").row("breathing")
    factor = held.factor(held.share)
    outcome.assumptions.append(Assumption("after.breathing", factor, "common practice", row.source, "ratio"))
    state = after.state
    state = replace(state, volumetric_efficiency=np.clip(np.asarray(state.volumetric_efficiency) * factor, *FILLINGS))
    ends = [held.factor(share) / factor for share in (held.high, held.low)]
    return before, Side(state, after.octane, (np.minimum(*ends), np.maximum(*ends)))


def _side(engine: Engine) -> Side:
    if engine.octane is None:
        raise ValueError("a fuel's octane rating must be there")
    return Side(engine.state, engine.octane)


def _breathing(builds: tuple[BuildState, BuildState], engines: tuple[Engine, Engine]) -> Breathing | None:
    """What the heads hold back of a change of displacement; None where there is none, or the filling after it is stated."""
    old, new = ((np.asarray(each.state.bore), np.asarray(each.state.stroke)) for each in engines)
    same = all(np.array_equal(one, other) for one, other in zip(old, new, strict=True))
    if same or "volumetric_efficiency" in builds[1].own:
        return None
    return held_by_heads(old, new, np.asarray(engines[1].state.speed), str(engines[1].duty["service"]))


def _cylinders(side: BuildState) -> FloatArray:
    return np.asarray(side.whole.get("cylinders", np.ones(1)), dtype=np.float64)


def _estimate(gains: Mapping[str, FloatArray], ends: tuple[FloatArray, ...], told: _Told) -> dict[str, Any] | None:
    """Smallest and largest of the methods that apply, the cycle's own ends included; between them the cycle, else the median."""
    every = np.sort(np.stack(np.broadcast_arrays(*gains.values())), axis=0)  # what does not apply is last
    count = np.isfinite(every).sum(axis=0)
    if not count.any():
        return None

    def at(place: Any) -> FloatArray:
        found: FloatArray = np.take_along_axis(every, np.maximum(place, 0)[None, :], axis=0)[0]
        return found

    middle = 0.5 * (at((count - 1) // 2) + at(count // 2))
    if "cycle" in gains:
        middle = np.where(np.isfinite(gains["cycle"]), gains["cycle"], middle)
    low, high = at(np.zeros_like(count)), at(count - 1)
    for end in ends:
        low, high = np.fmin(low, end), np.fmax(high, end)
    bounds = {"low": low, "value": np.where(count > 0, middle, np.nan), "high": high}
    return {name: told.gain(gain) for name, gain in bounds.items()}


CALCULATION = Calculation(
    name="power-gain",
    title="Power gain",
    question="What is the change worth in power?",
    text=(
        "What a change of a build is worth in power and torque: by the trade's rule, by the air-standard and the fuel-air cycle, and by "
        "the cylinder cycle at the timing the fuel allows; and what lighter moving parts free while the engine gains speed."
    ),
    request=PowerGainRequest,
    answer=PowerGainAnswer,
    compute=compute,
    headline=("estimate.value.gain", "cycle.gain"),
    examples={
        "a point more": {"units": "inch", "before": "10 ± 0.1", "after": "11 ± 0.1", "baseline_power": "500 hp"},
        "a point more, on a fuel": {
            "units": "inch",
            "before": 9.5,
            "after": 10.5,
            "baseline_power": "380 hp",
            "bore": 3.862,
            "stroke": 3.36,
            "rod_length": 5.86,
            "speed": "5200 rpm",
            "fuel": {"octane": {"rating": 91, "scale": "aki"}},
        },
        "boost on less compression": {
            "before": 10.5,
            "after": {
                "compression_ratio": 9.2,
                "boost": {"pressure": "50 kPa", "intercooler_effectiveness": 0.6, "drive": "crank"},
            },
            "baseline_power": "280 kW",
            "bore": "98.1 mm",
            "stroke": "85.3 mm",
            "cylinders": 8,
            "speed": "5500 rpm",
            "fuel": {"octane": {"rating": 98, "scale": "ron"}},
        },
        "a stroker on the same heads, with lighter rods": {
            "units": "inch",
            "before": {
                "chamber_volume": "57 cm3",
                "gasket": {"bore": "3.962 in", "thickness": "0.039 in"},
                "deck_clearance": "0.02 in",
                "crown": {"recess": "6 cm3"},
            },
            "after": {
                "stroke": "3.63 in",
                "crown": {"recess": "14 cm3"},
                "moving": {"rotating_mass": "410 g", "reciprocating_mass": "680 g"},
            },
            "baseline_power": "360 hp",
            "bore": "3.892 in",
            "stroke": "3.36 in",
            "cylinders": 8,
            "rod_length": "6.16 in",
            "speed": "5400 rpm",
            "fuel": {"octane": {"rating": 93, "scale": "aki"}},
            "moving": {
                "reciprocating_mass": "750 g",
                "rotating_mass": "460 g",
                "crank_inertia": "0.12 kg·m2",
                "flywheel_inertia": "0.15 kg·m2",
            },
            "spin_up": {"rate": "600 rpm/s"},
        },
        "the head milled": {
            "units": "inch",
            "before": 9.2,
            "after": {"head_mill": "0.030 in"},
            "baseline_power": "240 hp",
            "bore": "3.862 in",
            "stroke": "3.36 in",
            "speed": "4800 rpm",
            "fuel": {"octane": {"rating": 91, "scale": "aki"}},
        },
    },
    sources=("common practice", HEYWOOD, J1349, "the cylinder cycle, as detonation-margin"),
    published=(
        "test_otto",
        "test_fuel_air_cycle",
        "test_cycle",
        "test_friction",
        "test_nitrous",
        "test_power_slopes",
        "test_common_practice_power",
    ),
    cautions=("knock",),
    batch=True,
    propagation="thorough",
    most_toleranced=24,
)
