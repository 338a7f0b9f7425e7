"""Whether the fuel stands the build: octane required, margin, peak pressure, retard to live, and how far compression and boost can go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.answers import Answer, Figure, Rows, Section, Truth, Word
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Part, Quantity, Request, RequestPart
from borewright.calculations.base.outcome import Basis, Check, Outcome
from borewright.calculations.combustion.detonation_margin.answer import (
    CostBand,
    DriverAnswer,
    OctaneBand,
    PressureBand,
    RatioBand,
    RetardBand,
    SpeedAnswer,
    TracePointAnswer,
    drivers,
    speeds,
    trace,
)
from borewright.calculations.combustion.knock_bands import Knock, available, knock
from borewright.calculations.common.cautions import BOOST, NITROUS, duty_cautions
from borewright.calculations.common.cylinder_state import engine, exhaust_pressure
from borewright.calculations.common.engine import bore, cylinders, stroke
from borewright.calculations.common.engine_state import EngineStatePart, FuelPart, engine_speed
from borewright.calculations.common.own_limits import MostRetardPart
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import table

SOLVED, NO_TIMING, NOT_SOLVED = "solved", "no quiet timing", "not solved"
KNOCK_DECIDES = (
    "These are estimates: the engine's own knock decides. Start rich and with late timing, listen, and read the plugs; "
    "knock breaks pistons and ring lands in seconds."
)
LOW_SPEED = "Knock comes first where the engine pulls hard at low speed: the margin at its highest speed is not the margin there."


class LeastOctaneMarginPart(RequestPart):
    """The octane numbers the caller wants in hand."""

    low = Quantity("ratio", "-50", "50", "least octane margin wanted", required=True)


class HighestPressurePart(RequestPart):
    """The pressure the caller's parts stand."""

    high = Quantity("pressure", "500 kPa", "100 MPa", "highest pressure allowed in the cylinder, absolute", required=True)


class DetonationLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    octane_margin = Part(LeastOctaneMarginPart, "octane numbers in hand at best-torque timing")
    peak_pressure = Part(HighestPressurePart, "pressure in the cylinder")
    spark_retard = Part(MostRetardPart, "retard from best torque")


class DetonationMarginRequest(EngineStatePart, Request):
    """What detonation-margin needs."""

    bore = bore()
    stroke = stroke()
    cylinders = cylinders()
    speed = engine_speed(required=True)
    fuel = Part(FuelPart, "what it burns", required=True)
    limits = Part(DetonationLimitsPart, "the caller's own limits, which replace those of common practice")


class DetonationMarginAnswer(Answer):
    """What detonation-margin answers; bands are what the model may be off by, tolerances come on top within each figure."""

    state = Word(
        "whether the cycle could be solved, and a timing found at which this fuel stays quiet", options=(SOLVED, NO_TIMING, NOT_SOLVED)
    )
    octane_required = Section(OctaneBand, "octane number that the engine asks for at best-torque timing, on the scale of reference fuels")
    octane_available = Section(OctaneBand, "the fuel's octane number in the engine, on the same scale")
    octane_margin = Section(OctaneBand, "available less required at best-torque timing")
    knock_limited = Truth("whether the fuel asks for later timing than best torque")
    peak_pressure = Section(PressureBand, "highest pressure in the cylinder at best-torque timing, absolute")
    peak_pressure_angle = Figure("angle", "where it stands, after top dead centre; null where not known", nullable=True)
    allowed_peak_pressure = Figure("pressure", "highest pressure at the timing the fuel allows; null where not known", nullable=True)
    spark_retard_to_live = Section(RetardBand, "retard from best torque until the end gas stays quiet; 0 where best torque does")
    retard_cost = Section(CostBand, "power that the retard costs")
    compression_ratio_limit = Section(RatioBand, "compression at which the fuel just stands best-torque timing; null above 18")
    boost_limit = Section(PressureBand, "boost at which it just does, above ambient; 0 where none is left, null above 300 kPa")
    speeds = Rows(
        Section(SpeedAnswer, "one speed"), "the engine at lower speeds, where it asks for more octane; its filling taken as the same"
    )
    drivers = Rows(Section(DriverAnswer, "one of them"), "what drives the band of the octane margin, largest first")
    trace = Rows(
        Section(TracePointAnswer, "one crank angle"), "the cycle at the timing the fuel allows, at best torque where none is quiet"
    )


def compute(request: dict[str, Any]) -> Outcome:
    """The cycle at best torque and at the timing the fuel allows, with the knock integral of the end gas."""
    outcome = Outcome({})
    found = engine(request, outcome)
    if found.octane is None:
        raise ValueError("a fuel's octane rating must be there")
    boost: Mapping[str, Any] = request.get("boost", {})

    def exhaust(fields: Mapping[str, FloatArray]) -> FloatArray:
        return exhaust_pressure(fields["ambient_pressure"], fields["boost"], fields["stroke"] * fields["speed"] / np.pi, boost)

    result = knock(found.state, found.octane, exhaust, volumetric_efficiency_assumed=found.volumetric_efficiency_assumed)
    states = np.where(result.allowed_solved, SOLVED, np.where(result.best_solved, NO_TIMING, NOT_SOLVED))
    outcome.values = {
        "state": states,
        "octane_required": result.octane_required.tree(),
        "octane_available": available(found.octane).tree(),
        "octane_margin": result.octane_margin.tree(),
        "knock_limited": result.knock_limited,
        "peak_pressure": result.peak_pressure.tree(),
        "peak_pressure_angle": result.peak_pressure_angle,
        "allowed_peak_pressure": result.allowed_peak_pressure,
        "spark_retard_to_live": result.retard.tree(),
        "retard_cost": result.cost.tree(),
        "compression_ratio_limit": result.compression_limit.tree(),
        "boost_limit": result.boost_limit.tree(),
        "speeds": speeds(found.state, float(found.octane.value[0])),
        "drivers": drivers(result),
        "trace": trace(result.trace, float(found.octane.value[0]), float(np.atleast_1d(request["speed"])[0])),
    }
    outcome.checks = [*_checks(request, found.duty, result), *_nitrous_checks(request, found.nitrous_power, result)]
    outcome.cautions = [*duty_cautions(found.duty["aspiration"]), *([BOOST] if boost else []), *([NITROUS] if "nitrous" in request else [])]
    return outcome


def _checks(request: Mapping[str, Any], duty: Mapping[str, Any], result: Knock) -> list[Check]:
    limits, why = request.get("limits", {}), str(result.reason[0])
    unsolved = "" if result.best_solved[0] else f"the cycle could not be solved: {why}"
    wanted, most = table("cycle").row("octane_margin"), table("cycle").row("spark_retard")
    found = []
    own = limits.get("octane_margin")
    told = unsolved or (
        "octane numbers in hand at best-torque timing; where there are none: later timing, less compression or boost, a cooler charge "
        "or a better fuel"
    )
    at_worst = unsolved or (
        "octane numbers in hand where all that is not known falls against the engine (drivers says what): below the limit, "
        "listen for knock first at part boost and late timing; a fuller request narrows the band"
    )
    basis: Basis = "common practice" if own is None else "caller"
    if own is None:
        low, source = wanted.si("margin"), wanted.source
        lowest, day = 0.0, "common practice: fuel for an engine is chosen for its worst day"
    else:
        low = lowest = own["low"]
        source = day = "the request"
    margin = result.octane_margin
    found.append(Check("octane-margin", "ratio", margin.value, low, None, told, basis, source, soft=own is None))
    found.append(Check("octane-margin-at-worst", "ratio", margin.low, lowest, None, at_worst, basis, day, soft=True))
    # where no timing is quiet, the retard needed is more than the latest that was tried
    retard = np.where(result.allowed_solved, result.retard.value, np.where(result.best_solved, result.latest_retard, np.nan))
    told = unsolved or (
        "retard that the fuel asks for" if result.allowed_solved[0] else f"{why}: less compression or boost, or a better fuel"
    )
    own = limits.get("spark_retard")
    if own is None:
        found.append(Check("spark-retard", "angle", retard, None, most.si("retard"), told, "common practice", most.source))
    else:
        found.append(Check("spark-retard", "angle", retard, None, own["high"], told, "caller", "the request"))
    own = limits.get("peak_pressure")
    if own is None:
        told = "no limit is given: state one in limits, or ask strength what the parts stand"
        found.append(
            Check("peak-pressure", "pressure", None, None, None, told, "common practice", "common practice: parts decide, not a number")
        )
    else:
        told = unsolved or "what the caller's parts stand, at best-torque timing"
        found.append(Check("peak-pressure", "pressure", result.peak_pressure.value, None, own["high"], told, "caller", "the request"))
    named = {"boost": "boost", "nitrous": "nitrous"}.get(duty["aspiration"])
    if named is not None and named not in request:
        told = f"the duty says {named}, but how much is not given: this is the engine without it"
        found.append(Check(f"{named}-given", "ratio", None, None, None, told, "caller", "the request"))
    return found


def _nitrous_checks(request: Mapping[str, Any], sold: FloatArray, result: Knock) -> list[Check]:
    """The cycle sees little of what nitrous oxide does to the end gas: what practice takes back for it is said beside."""
    if "nitrous" not in request:
        return []
    row = table("cycle").row("nitrous_retard")
    wanted = row.si("retard") * sold / row.si("power")
    told = (
        "retard that the fuel asks for, against what common practice takes back with nitrous oxide: where it is less, begin with practice"
    )
    return [Check("nitrous-retard", "angle", result.retard.value, wanted, None, told, "common practice", row.source, soft=True)]


CALCULATION = Calculation(
    name="detonation-margin",
    title="Detonation margin",
    text=(
        "Whether the fuel stands the build: octane number required and margin, peak pressure, the retard that lets it live and what that "
        "costs, and the compression and boost at which the fuel is used up, each as a band with what drives it."
    ),
    request=DetonationMarginRequest,
    answer=DetonationMarginAnswer,
    compute=compute,
    headline=("octane_margin.value",),
    examples={
        "a boosted street engine": {
            "units": "inch",
            "bore": "4.030 in",
            "stroke": "3.480 in",
            "cylinders": 8,
            "rod_length": "5.700 in",
            "compression_ratio": "9.2 ± 0.1",
            "speed": "4500 rpm",
            "fuel": {"octane": {"rating": 93, "scale": "aki"}},
            "duty": {"aspiration": "boost", "service": "street"},
            "boost": {"pressure": "6 psi", "intercooler_effectiveness": 0.6},
        },
        "a natural engine from its clearance volume": {
            "bore": "86 mm",
            "stroke": "86 mm",
            "cylinders": 4,
            "chamber_volume": "43 cm3",
            "gasket": {"bore": "87 mm", "thickness": "1.1 mm"},
            "stack": {"deck_height": "217 mm", "rod_length": "143.5 mm", "compression_height": "30.3 mm"},
            "intake_closing": "60 deg",
            "speed": "3500 rpm",
            "fuel": {"octane": {"rating": 95, "scale": "ron"}},
            "ambient": {"temperature": "35 degC", "altitude": "500 m"},
            "limits": {"octane_margin": {"low": 3}, "peak_pressure": {"high": "9 MPa"}},
        },
        "nitrous oxide": {
            "bore": "101.6 mm",
            "stroke": "88.4 mm",
            "cylinders": 8,
            "compression_ratio": 10.5,
            "speed": "5500 rpm",
            "fuel": {"octane": {"rating": 98, "scale": "ron"}, "equivalence_ratio": 1.2},
            "nitrous": {"power": "75 kW"},
            "duty": {"aspiration": "nitrous", "service": "sport"},
        },
    },
    sources=(
        "A. M. Douaud and P. Eyzat, SAE 780080 (1978), for the ignition delay",
        "J. C. Livengood and P. C. Wu, Fifth Symposium (International) on Combustion (1955), pp. 347-356",
        "G. Woschni, SAE 670931 (1967); J. B. Heywood, Internal Combustion Engine Fundamentals (1988), ch. 9 and 12",
        "G. T. Kalghatgi, SAE 2001-01-3584 (2001), from memory, for RON, MON and the engine",
        "common practice for what a request leaves out, as the table cycle says",
    ),
    published=("test_cycle", "test_knock", "test_wiebe", "test_heat_loss", "test_common_practice_detonation"),
    cautions=(KNOCK_DECIDES, LOW_SPEED),
    batch=True,
    propagation="additive",
    most_toleranced=24,
    most_rows=2000,  # a row takes about 9 ms, and a request 30 s at most
)
