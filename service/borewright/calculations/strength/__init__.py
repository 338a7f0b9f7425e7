"""Loads and stresses of piston, pin and rod over the cycle, their factors of safety, and how much boost or nitrous they stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, ClassVar

import numpy as np

from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Assumed, Choice, Part, Quantity, Request, RequestPart
from borewright.calculations.base.outcome import Assumption, Basis, Check, Outcome
from borewright.calculations.common.engine import bore, cylinders, stroke
from borewright.calculations.common.engine_state import EngineStatePart, engine_speed
from borewright.calculations.common.own_limits import HighestStressPart
from borewright.calculations.strength.answer import StrengthAnswer, boss_check, missing_rows, ovality_check, part_check, part_values
from borewright.calculations.strength.bench import Bench
from borewright.calculations.strength.case import TIMINGS, bench_of, hanging_mass, pressed_by_cycle, pressed_by_peak, running_gear
from borewright.calculations.strength.heat import assume_hot, forced_shares, running_hot
from borewright.calculations.strength.hot_strength import EXPOSURES
from borewright.calculations.strength.judged import Case, Reach, judge, peak_pressures, reach_of
from borewright.calculations.strength.limits import Limit
from borewright.calculations.strength.loads import loads, trace
from borewright.calculations.strength.pin import LEAST_HOLE
from borewright.calculations.strength.rod import shank_section
from borewright.calculations.strength.running_gear import (
    StrengthPinPart,
    StrengthPistonPart,
    StrengthRodPart,
    StrengthsPart,
    StrengthTemperaturesPart,
)
from borewright.calculations.strength.search import Pressed, compressor_assumed, speeds_of
from borewright.calculations.strength.stressed import Stressed
from borewright.physics.arrays import FloatArray
from borewright.physics.stress import gas_force, pin_ovalization
from borewright.practice.tables import table

LOADED = (
    "gas and inertia at the same crank angle, at full load, pulling at 6 m/s of mean piston speed and at the speed asked: gas at its peak "
    "less the inertia there, and inertia at exhaust top dead center; nitrous oxide in the same share of the air at both; "
    "stress concentrations beyond those named are not in it"
)
NO_GAS = ("rod-tension",)
"""What the gas does not load."""
PLACES = {"top-land": "top_land", "second-land": "second_land", "pin-boss": "pin_boss", "crown": "crown", "pin": "pin", "rod": "rod"}
NOT_JUDGED = (
    "rod bolts",
    "the rod's big end and cap, cracked apart or not",
    "the rod's small end",
    "used parts, and any crack that is in a part already",
    "the piston's skirt and pin retainers",
)


class StrengthLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice; the factor of safety stands beside them."""

    pin_boss_bearing_pressure = Part(HighestStressPart, "pressure of the pin on its bosses")


class StrengthRequest(EngineStatePart, Request):
    """What strength needs: the engine as it runs, or its peak pressure, with piston, pin and rod."""

    alternatives: ClassVar[tuple[tuple[tuple[str, ...], ...], ...]] = (
        (
            ("peak_pressure",),
            ("compression_ratio",),
            ("chamber_volume", "gasket", "deck_clearance"),
            ("chamber_volume", "gasket", "stack"),
        ),
    )

    bore = bore()
    stroke = stroke()
    cylinders = cylinders()
    speed = engine_speed(required=True)
    piston = Part(StrengthPistonPart, "the piston", required=True)
    pin = Part(StrengthPinPart, "the piston pin", required=True)
    rod = Part(StrengthRodPart, "the connecting rod", required=True)
    temperatures = Part(StrengthTemperaturesPart, "how hot the parts run; left out, as common practice for the duty")
    strengths = Part(StrengthsPart, "the caller's own strengths of the materials as hot as they run; they replace those of the tables")
    exposure = Choice(
        EXPOSURES,
        "how long a piston is as hot as that: long for an engine's life at full load, short for runs of minutes",
        assumed=Assumed("long", "common practice", "the cautious side where nothing is said"),
    )
    factor_of_safety = Quantity("ratio", "1", "20", "factor of safety wanted of every part; left out, practice's by material and method")
    limits = Part(StrengthLimitsPart, "the caller's own limits, which replace those of common practice")
    peak_pressure = Quantity(
        "pressure", "500 kPa", "60 MPa", "highest pressure in the cylinder, absolute, where it is known: instead of the compression"
    )


def compute(request: dict[str, Any]) -> Outcome:
    """Gas and inertia at the same crank angle, speed by speed; stresses and factors of safety; the loads at which the first is used up."""
    outcome = Outcome({})
    by = pressed_by_peak if "peak_pressure" in request else pressed_by_cycle
    found, now = by(request, outcome)
    hanging = hanging_mass(request, outcome)
    gear = running_gear(request, found, hanging)
    bench = bench_of(request, gear, now, hanging, outcome)
    given, service = request.get("temperatures", {}), found.duty["service"]
    shares = forced_shares(request, found.duty, gear.bore, outcome)
    at = running_hot(given, service, shares)
    assume_hot(given, at, service, outcome)
    judged = judge(bench, now, at, speeds_of(gear.speed, gear.stroke))
    reach = reach_of(gear, now, found)
    own = "factor_of_safety" in request
    checks = [part_check(row, *_basis(row, own)) for row in judged.rows]
    checks = [_within(check, reach) for check in checks]
    limits = _limits(request, outcome, Case(found, gear, bench, now, given, shares))
    unknown = [row.name for row in judged.rows if not np.isfinite(row.factor[0, 0])]
    if unknown:
        outcome.cautions.append("limits-partly-known")
    bearing = next(row for row in judged.rows if row.name == "pin-boss-bearing")
    closing = _closing(bench, now)
    own_limit = request.get("limits", {}).get("pin_boss_bearing_pressure")
    outcome.checks = [*checks, boss_check(bearing, own_limit), ovality_check(closing)]
    outcome.assumptions.append(Assumption("loads", LOADED, "common practice", "common practice for pistons, pins and rods"))
    values = zip(judged.rows, checks, judged.speeds, judged.as_allowed, strict=True)
    outcome.values = {
        "weakest": judged.weakest,
        "least_factor": judged.least_factor,
        "parts": [part_values(row, check, at[_place(row.name)], speed, allowed) for row, check, speed, allowed in values],
        "loads": loads(gear, now),
        "pin_closing": closing,
        "rod_shank": _shank(bench),
        "timing": TIMINGS[1 if now.cycle is None else 0],
        "peak_pressures": peak_pressures(now),
        **{f"{load}_to_limit": limit.value for load, limit in limits.items()},
        **{f"{load}_limited_by": limit.by for load, limit in limits.items()},
        **{f"{load}_limited_at": _at(limits[load].speed) for load in ("boost", "nitrous")},
        "limits_without": unknown,
        "not_judged": list(NOT_JUDGED),
        "hindcast": reach.values(),
        "missing": missing_rows({f"{load}_to_limit": limit.reason for load, limit in limits.items()}),
    }
    if now.columns is not None and now.cycle is not None and now.solved[0]:
        outcome.values["trace"] = trace(gear, now.columns, now.cycle)
    return outcome


def _limits(request: Mapping[str, Any], outcome: Outcome, case: Case) -> dict[str, Limit]:
    compressor_assumed(request.get("boost", {}), outcome)
    return case.limits(request)


def _basis(row: Stressed, own: bool) -> tuple[Basis, str]:
    """What the factor wanted of a part rests on, and where it comes from."""
    if own:
        return "caller", "the request"
    if row.hot is None:
        return "common practice", "common practice: a factor of safety by material and method"
    return row.hot.wanted_row.basis, row.hot.wanted_row.source


def _within(check: Check, reach: Reach) -> Check:
    """A check whose pass is unknown where the hindcast does not reach."""
    if reach.outside and check.judge() == "pass":
        told = f"not known: no engine that the model was held against has such a {' or '.join(reach.outside)}"
        return replace(check, verdict="unknown", reason=told)
    return check


def _at(speed: float | None) -> FloatArray:
    return np.array([np.nan if speed is None else speed])


def _place(name: str) -> str:
    return next(place for start, place in PLACES.items() if name.startswith(start))


def _closing(bench: Bench, now: Pressed) -> FloatArray | None:
    """How much the largest load presses the pin oval [m]."""
    if "material" not in bench.pin:
        return None
    pin, moves = bench.pin, bench.moves
    modulus = table("materials").row(pin["material"]).si("elastic_modulus")
    net = gas_force(now.peak, bench.bore, bench.crankcase) - bench.on_pin * moves.at_peak
    force = np.maximum(net, bench.on_pin * moves.pulling).max(axis=1, keepdims=True)
    hole = np.maximum(pin["inner"], LEAST_HOLE * pin["outer"])
    closing = pin_ovalization(force, pin["outer"], hole, pin["length"], modulus)[:, 0]
    return np.where(now.solved, closing, np.nan)


def _shank(bench: Bench) -> dict[str, FloatArray] | None:
    if "shank" not in bench.rod:
        return None
    names = ("area", "gyration_swing", "gyration_side")
    return {name: values[:, 0] for name, values in zip(names, shank_section(bench.rod["shank"]), strict=True)}


PARTS: Mapping[str, Any] = {
    "piston": {
        "mass": "420 g",
        "alloy": "2618",
        "top_land": "7 mm",
        "second_land": "4.5 mm",
        "land_groove_root": "76.8 mm",
        "crown_thickness": "8 mm",
        "crown_span": "32 mm",
    },
    "pin": {
        "outer": "22 mm",
        "inner": "12 mm",
        "length": "60 mm",
        "mass": "125 g",
        "boss_span": "25 mm",
        "material": "steel_4340",
    },
    "rod": {
        "mass": "560 g",
        "small_end_mass": "175 g",
        "small_end_width": "22 mm",
        "material": "steel_4340",
        "shank": {"height": "24 mm", "width": "17 mm", "web": "4.5 mm", "flange": "4.5 mm"},
    },
}

CALCULATION = Calculation(
    name="strength",
    title="Strength",
    question="Do piston, pin and rod bear it, and what gives first?",
    text=(
        "What piston, pin and rod bear of gas and inertia, their stresses against what the material stands at its temperature, "
        "the weakest of them, and how much boost or nitrous oxide brings it down to the factor of safety wanted."
    ),
    request=StrengthRequest,
    answer=StrengthAnswer,
    compute=compute,
    headline=("least_factor",),
    examples={
        "a naturally aspirated four, boost perhaps later": {
            "bore": "84.3 mm",
            "stroke": "85.3 mm",
            "cylinders": 4,
            "rod_length": "142.35 mm",
            "compression_ratio": "10.0 ± 0.1",
            "speed": "7000 rpm",
            "duty": {"aspiration": "natural", "service": "sport", "fuel": "gasoline"},
            "volumetric_efficiency": "0.95 ± 0.03",
            **PARTS,
        },
        "boosted, from its volumes": {
            "units": "inch",
            "bore": 3.892,
            "stroke": 3.36,
            "cylinders": 8,
            "chamber_volume": "68 cm3",
            "gasket": {"bore": 3.962, "thickness": 0.04},
            "deck_clearance": 0.005,
            "crown": {"recess": "12 cm3"},
            "rod_length": 6.16,
            "speed": 6200,
            "fuel": {"octane": {"rating": 93, "scale": "aki"}},
            "boost": {"pressure": 8, "intercooler_effectiveness": 0.7},
            "duty": {"aspiration": "boost", "service": "street", "fuel": "gasoline"},
            "piston": {"mass": "560 g", "alloy": "4032", "top_land": 0.3, "second_land": 0.18, "land_groove_root": 3.545},
            "pin": {"outer": 0.951, "inner": 0.5, "length": 2.75, "mass": "145 g", "boss_span": 1.1, "material": "steel_4140"},
            "rod": {"mass": "600 g", "small_end_width": 0.94, "material": "steel_4340"},
        },
        "from a measured peak pressure": {
            "bore": "84.3 mm",
            "stroke": "85.3 mm",
            "cylinders": 4,
            "rod_length": "142.35 mm",
            "speed": "7000 rpm",
            "peak_pressure": "85 bar ± 3 bar",
            "factor_of_safety": 2,
            "units": "metric",
            "temperatures": {"crown": "250 degC", "pin": "150 degC"},
            **PARTS,
        },
    },
    sources=(
        "R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32",
        "J. E. Shigley and C. R. Mischke, Mechanical Engineering Design (fatigue, columns)",
        "W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain",
        "the closed cylinder cycle, as detonation-margin",
        "common practice for temperatures and factors, as the table strength says",
    ),
    published=("test_strength", "test_piston_strength"),
    cautions=("nitrous", "rotating-parts", "boost", "knock", "used-parts", "limit-in-steps"),
    most_toleranced=5,
)
