"""Loads and stresses of piston, pin and rod over the cycle, their factors of safety, and how much boost or nitrous they stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, ClassVar

import numpy as np

from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Part, Quantity, Request, RequestPart
from borewright.calculations.base.outcome import Assumption, Basis, Outcome
from borewright.calculations.common.cautions import BOOST, NITROUS
from borewright.calculations.common.engine import bore, cylinders, stroke
from borewright.calculations.common.engine_state import EngineStatePart, engine_speed
from borewright.calculations.common.own_limits import HighestStressPart
from borewright.calculations.strength.answer import StrengthAnswer, boss_check, missing_rows, part_check, part_values
from borewright.calculations.strength.bench import Bench, assume_hot, later_heat, least, running_hot
from borewright.calculations.strength.case import bench_of, hanging_mass, heated_by, pressed_by_cycle, pressed_by_peak, running_gear
from borewright.calculations.strength.hot_strength import HotStrength
from borewright.calculations.strength.loads import Gear, extremes, trace
from borewright.calculations.strength.pin import LEAST_HOLE
from borewright.calculations.strength.rod import shank_section
from borewright.calculations.strength.running_gear import StrengthPinPart, StrengthPistonPart, StrengthRodPart, StrengthTemperaturesPart
from borewright.calculations.strength.search import Pressed, later_load
from borewright.calculations.strength.stressed import Stressed
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.piston_motion import peak_acceleration
from borewright.physics.stress import gas_force, pin_ovalisation
from borewright.practice.tables import table

ROTATING = (
    "A rod, a pin or a piston that lets go at speed comes through the block: keep people out of its plane, "
    "and replace what is at its limit."
)
LOADED = (
    "gas at its peak without what inertia takes off, as at low speed under full load, and inertia at exhaust top dead centre without gas; "
    "stress concentrations beyond those named are not in it"
)
NO_GAS = ("rod-tension",)
"""What the gas does not load."""
PLACES = {"top-land": "top_land", "second-land": "second_land", "pin-boss": "pin_boss", "crown": "crown", "pin": "pin", "rod": "rod"}


class StrengthLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice; the factor of safety stands beside them."""

    pin_boss_pressure = Part(HighestStressPart, "pressure of the pin on its bosses")


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
    factor_of_safety = Quantity("ratio", "1", "20", "factor of safety wanted of every part; left out, that of common practice")
    limits = Part(StrengthLimitsPart, "the caller's own limits, which replace those of common practice")
    peak_pressure = Quantity(
        "pressure", "500 kPa", "60 MPa", "highest pressure in the cylinder, absolute, where it is known: instead of the compression"
    )


def compute(request: dict[str, Any]) -> Outcome:
    """Largest gas and inertia forces; stresses and factors of safety of every part; the loads at which the weakest is at its limit."""
    outcome = Outcome({})
    by = pressed_by_peak if "peak_pressure" in request else pressed_by_cycle
    found, now = by(request, outcome)
    hanging = hanging_mass(request, outcome)
    gear = running_gear(request, found, hanging)
    hot_as = heated_by(request, found)
    bench = bench_of(request, gear, now, hanging, outcome)
    temperatures = request.get("temperatures", {})
    service = found.duty["service"]
    at = running_hot(temperatures, hot_as, service)
    assume_hot(temperatures, at, hot_as, service, outcome)
    wanted, basis, source = _wanted(request, outcome)
    hot = bench.hot(at)
    rows = [_without_gas(row, now) for row in bench.parts(now.peak[:, None], hot)]
    checks = [part_check(row, wanted, basis, source) for row in rows]
    smallest, weakest = least(rows)
    limits = {"peak_pressure": bench.pressure_limit(hot, wanted)}
    for load in ("boost", "nitrous"):
        limit = limits["peak_pressure"]
        if hot_as != load and now.cycle is not None:
            limit = bench.pressure_limit(bench.hot(running_hot(temperatures, load, service)), wanted)
            outcome.assumptions.append(later_heat(load, service))
        limits[load] = later_load(load, request, now, limit, outcome)
    bearing = next(row for row in rows if row.name == "pin-boss-bearing")
    outcome.checks = [*checks, boss_check(bearing, request.get("limits", {}).get("pin_boss_pressure"))]
    outcome.assumptions.append(Assumption("loads", LOADED, "common practice", "common practice for pistons, pins and rods"))
    known = np.isfinite(smallest[:, 0])
    outcome.values = {
        "weakest": weakest,
        "least_factor": np.where(known, smallest[:, 0], np.nan),
        "parts": [part_values(row, check, at[_place(row.name)]) for row, check in zip(rows, checks, strict=True)],
        "loads": _loads(gear, now),
        "pin_closing": _closing(bench, hot, now),
        "rod_shank": _shank(bench),
        **{f"{load}_to_limit": limit.value for load, limit in limits.items()},
        **{f"{load}_limited_by": limit.part if np.isfinite(limit.value[0]) else None for load, limit in limits.items()},
        "missing": missing_rows({f"{load}_to_limit": limit.reason for load, limit in limits.items()}),
    }
    if now.columns is not None and now.cycle is not None and now.solved[0]:
        outcome.values["trace"] = trace(gear, now.columns, now.cycle)
    return outcome


def _wanted(request: Mapping[str, Any], outcome: Outcome) -> tuple[FloatArray, Basis, str]:
    if "factor_of_safety" in request:
        return request["factor_of_safety"], "caller", "the request"
    row = table("strength").row("factor_of_safety")
    value = np.array([row.si("factor")])
    outcome.assumptions.append(Assumption("factor_of_safety", value, "common practice", row.source, "ratio"))
    return value, "common practice", row.source


def _place(name: str) -> str:
    return next(place for start, place in PLACES.items() if name.startswith(start))


def _without_gas(row: Stressed, now: Pressed) -> Stressed:
    """A row as it can be known where the cycle could not be worked out."""
    if now.solved.all() or row.name in NO_GAS:
        return row
    solved = now.solved[:, None]

    def known(values: FloatArray | None) -> FloatArray | None:
        return None if values is None else np.where(solved, values, np.nan)

    nothing = np.where(solved, 1.0, np.nan)
    return replace(
        row,
        load=row.load * nothing,
        stress=row.stress * nothing,
        mean=known(row.mean),
        alternating=known(row.alternating),
        factor=row.factor * nothing,
        lacking=row.lacking or f"not known: the cycle could not be worked out: {now.reason}",
    )


def _loads(gear: Gear, now: Pressed) -> dict[str, Any]:
    acceleration = peak_acceleration(gear.stroke, gear.rod_length, gear.speed, gear.pin_offset)
    nothing = np.full(1, np.nan)
    peak = np.where(now.solved, now.peak, np.nan)
    found: dict[str, Any] = {
        "peak_pressure": peak,
        "peak_pressure_angle": nothing if now.cycle is None else np.where(now.solved, now.cycle.peak_pressure_angle, np.nan),
        "peak_gas": np.where(now.solved, gas_force(now.peak, gear.bore, gear.crankcase), np.nan),
        "peak_acceleration": acceleration,
        "reciprocating_mass": gear.mass,
        "peak_inertia": gear.mass * acceleration,
        **dict.fromkeys(("net_highest", "net_highest_angle", "net_lowest", "net_lowest_angle"), nothing),
    }
    if now.columns is not None and now.cycle is not None:
        net = extremes(gear, now.columns, now.cycle)
        found |= {name: np.where(now.solved, value, np.nan) for name, value in net.items()}
    return found


def _closing(bench: Bench, hot: Mapping[str, HotStrength | None], now: Pressed) -> FloatArray | None:
    """How much the largest load presses the pin oval [m]."""
    material = hot["pin"]
    if material is None:
        return None
    pin = bench.pin
    force = np.maximum(gas_force(now.peak[:, None], bench.bore, bench.crankcase), bench.pull_pin)
    hole = np.maximum(pin["inner"], LEAST_HOLE * pin["outer"])
    closing = pin_ovalisation(force, pin["outer"], hole, pin["length"], material.elastic_modulus)[:, 0]
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
        "land_groove_root": "78.4 mm",
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
    text=(
        "What piston, pin and rod bear of gas and inertia, their stresses against what the material stands at its temperature, "
        "the weakest of them, and how much boost or nitrous oxide brings it down to the factor of safety wanted."
    ),
    request=StrengthRequest,
    answer=StrengthAnswer,
    compute=compute,
    headline=("least_factor",),
    examples={
        "a natural four, boost perhaps later": {
            "bore": "86 mm",
            "stroke": "86 mm",
            "cylinders": 4,
            "rod_length": "143.5 mm",
            "compression_ratio": "10.0 ± 0.1",
            "speed": "7000 rpm",
            "duty": {"aspiration": "natural", "service": "sport", "fuel": "gasoline"},
            "volumetric_efficiency": "0.95 ± 0.03",
            **PARTS,
        },
        "boosted, from its volumes": {
            "units": "inch",
            "bore": 4.03,
            "stroke": 3.48,
            "cylinders": 8,
            "chamber_volume": "76 cm3",
            "gasket": {"bore": 4.1, "thickness": 0.04},
            "deck_clearance": 0.005,
            "crown": {"recess": "12 cm3"},
            "rod_length": 6.0,
            "speed": 6200,
            "fuel": {"octane": {"rating": 93, "scale": "aki"}},
            "boost": {"pressure": 8, "intercooler_effectiveness": 0.7},
            "duty": {"aspiration": "boost", "service": "street", "fuel": "gasoline"},
            "piston": {"mass": "560 g", "alloy": "4032", "top_land": 0.3, "second_land": 0.18, "land_groove_root": 3.68},
            "pin": {"outer": 0.927, "inner": 0.5, "length": 2.75, "mass": "145 g", "boss_span": 1.1, "material": "steel_4140"},
            "rod": {"mass": "600 g", "small_end_width": 0.94, "material": "steel_4340"},
        },
        "from a measured peak pressure": {
            "bore": "86 mm",
            "stroke": "86 mm",
            "cylinders": 4,
            "rod_length": "143.5 mm",
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
    cautions=(
        BOOST,
        NITROUS,
        ROTATING,
        "Stresses are those of plain bodies: cracks, worn threads, bolts, the big end and used parts are not in them. Have used parts "
        "crack-tested, and let whoever made a part say what it stands.",
        "Detonation hits parts harder than any figure here: no factor of safety covers it.",
    ),
    most_toleranced=5,
)
