"""Whether the fuel stands the build: octane required, margin, peak pressure, retard to live, and how far compression and boost can go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.answers import Answer, Figure, Rows, Section, Truth, Word
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Many, Part, Quantity, Request, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Basis, Check, Outcome
from borewright.calculations.combustion.bands import available
from borewright.calculations.combustion.detonation_margin.answer import (
    CostBand,
    DriverAnswer,
    OctaneBand,
    PressureBand,
    RatingBand,
    RatioBand,
    RetardBand,
    SpeedAnswer,
    TracePointAnswer,
    by_speed,
    drivers,
    rating,
    scaled,
    trace,
)
from borewright.calculations.combustion.knock_limits import RANGES
from borewright.calculations.combustion.knock_range import knock
from borewright.calculations.combustion.knock_result import Knock
from borewright.calculations.combustion.knock_speeds import filled, over_speed
from borewright.calculations.common.cylinder_state import Engine, engine
from borewright.calculations.common.duty import duty_cautions
from borewright.calculations.common.engine import bore, cylinders, stroke
from borewright.calculations.common.engine_state import EngineStatePart, FuelPart, engine_speed
from borewright.calculations.common.own_limits import MostRetardPart, retard_check
from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.end_gas import HIGHEST_OCTANE
from borewright.practice.tables import table

SOLVED, NO_TIMING, NOT_SOLVED = "solved", "no quiet timing", "not solved"
UNKNOWN, BEYOND = "unknown", "beyond the scale"
LIMIT_FOUND, LIMIT_BEYOND, LIMIT_BELOW = "found", "over 13:1, past what was published", "under 5:1"
LIMIT_REACHES = (LIMIT_FOUND, LIMIT_BEYOND, LIMIT_BELOW, UNKNOWN)
REACHES = ("reference fuels", "performance numbers", BEYOND, UNKNOWN)


class LeastOctaneMarginPart(RequestPart):
    """The octane numbers the caller wants in hand."""

    low = Quantity("ratio", "-50", "50", "least octane margin wanted", required=True)


class HighestPressurePart(RequestPart):
    """The pressure the caller's parts stand."""

    high = Quantity("pressure", "500 kPa", "100 MPa", "highest pressure allowed in the cylinder, absolute", required=True)


class DetonationLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    octane_margin = Part(LeastOctaneMarginPart, "octane numbers in hand at MBT timing")
    peak_pressure = Part(HighestPressurePart, "pressure in the cylinder")
    spark_retard = Part(MostRetardPart, "retard from MBT timing")


class SpeedsPart(RequestPart):
    """A range of speeds; one speed alone where both ends are the same."""

    low = engine_speed(required=True)
    high = engine_speed(required=True)


class CurvePointPart(RequestPart):
    """The engine at one speed of its full-load curve."""

    speed = engine_speed(required=True)
    volumetric_efficiency = Quantity("ratio", "0.1", "1.4", "gas drawn in over what the swept volume holds at the manifold's density")
    boost = Quantity("pressure", "0 kPa", "400 kPa", "boost above ambient (gauge), in the manifold")


class DetonationMarginRequest(EngineStatePart, Request):
    """What detonation-margin needs."""

    bore = bore()
    stroke = stroke()
    cylinders = cylinders()
    speed = engine_speed(required=True)
    fuel = Part(FuelPart, "what it burns", required=True)
    speeds = Part(SpeedsPart, "the range of speeds; left out, from where such an engine is pulled at full load to the speed asked")
    torque_curve = Many(
        Part(CurvePointPart, "one speed"),
        "how it fills and is boosted over the speeds; straight between the points, held beyond them",
        longest=40,
    )
    limits = Part(DetonationLimitsPart, "the caller's own limits, which replace those of common practice")


class DetonationMarginAnswer(Answer):
    """What detonation-margin answers; bands are what the model may be off by, tolerances come on top within each figure."""

    state = Word(
        "whether the cycle could be solved, and a timing found at which this fuel stays quiet", options=(SOLVED, NO_TIMING, NOT_SOLVED)
    )
    worst_speed = Figure("rotation", "where over the range of speeds the octane margin is least; null where not known", nullable=True)
    octane_required = Section(
        OctaneBand, "octane requirement: what the engine needs at maximum brake torque (MBT) timing, at the worst speed"
    )
    octane_available = Section(OctaneBand, "the fuel's octane number in the engine, RON − K(RON − MON)")
    octane_margin = Section(OctaneBand, "available less required at MBT timing, at the worst speed")
    rating_required = Section(RatingBand, "rating on the request's own scale at which nothing would be left of the margin")
    octane_reach = Word(
        "how far the octane scale carries the number required: up to 100 reference fuels are blended to it, above it counts performance "
        "numbers, and beyond 120.3 there is no such fuel and the number is only a comparison",
        options=REACHES,
    )
    knock_limited = Truth("whether the fuel asks for later timing than MBT at any speed of the range")
    peak_pressure = Section(PressureBand, "highest pressure in the cylinder at MBT timing over the range, absolute")
    peak_pressure_angle = Figure("angle", "where it stands, after top dead center; null where not known", nullable=True)
    allowed_peak_pressure = Figure("pressure", "highest pressure at the timing the fuel allows; null where not known", nullable=True)
    retard_required = Section(
        RetardBand, "retard from MBT timing until the end gas stays quiet, at the speed that asks for most; 0 where MBT timing does"
    )
    retard_cost = Section(CostBand, "power that the retard costs there")
    retard_allowed = Figure(
        "angle", "retard that is normal in this kind of engine, or the request's limit: the limits below are stated at it"
    )
    compression_ratio_limit = Section(
        RatioBand,
        "knock-limited: the fuel just stands that retard at every speed; build to its low end; null above 13, and "
        "where not known: compression_ratio_limit_reach says which",
    )
    compression_ratio_limit_reach = Word(
        "whether the value was found: past 13:1 no octane requirement over compression was published that the model could be held to, and "
        "what it gives there is bold; the low end holds where it is not null",
        options=LIMIT_REACHES,
    )
    compression_ratio_limit_speed = Figure("rotation", "the speed at which knock sets it; null where not known", nullable=True)
    boost_limit = Section(
        PressureBand,
        "boost at which the fuel just stands that retard at every speed, above ambient; its low end is what to set; "
        "0 where none is left, null above 300 kPa",
    )
    boost_limit_speed = Figure("rotation", "the speed at which knock sets it; null where not known", nullable=True)
    by_speed = Rows(Section(SpeedAnswer, "one speed"), "the engine over its range, the speed asked among them")
    drivers = Rows(Section(DriverAnswer, "one of them"), "what drives the band of the octane margin, largest first")
    trace = Rows(Section(TracePointAnswer, "one crank angle"), "the cycle at the timing the fuel allows, at MBT timing where none is quiet")


def compute(request: dict[str, Any]) -> Outcome:
    """The cycle at MBT timing and at the timing the fuel allows, with the knock integral of the end gas."""
    outcome = Outcome({})
    found = engine(filled(request), outcome)
    if found.octane is None:
        raise ValueError("a fuel's octane rating must be there")
    for place, point in enumerate(request.get("torque_curve", ())):
        told = "a point of the curve says nothing but its speed: give volumetric_efficiency, boost or both"
        outcome.refuse_where(len(point) < 2, f"#/torque_curve/{place}", told, Code.MISSING)
    own = request.get("limits", {}).get("spark_retard")
    allowed = np.asarray(found.kind.retard if own is None else own["high"])
    over = over_speed(request, found, outcome)
    result = knock(over, found.octane, allowed)
    states = np.where(result.allowed_solved, SOLVED, np.where(result.best_solved, NO_TIMING, NOT_SOLVED))
    required = result.octane_required.value
    outcome.values = {
        "state": states,
        "worst_speed": result.worst_speed,
        "octane_required": scaled(result.octane_required),
        "octane_available": scaled(available(found.octane)),
        "octane_margin": scaled(result.octane_margin),
        "rating_required": rating(request["fuel"]["octane"], result.octane_margin),
        "octane_reach": np.where(~np.isfinite(required), UNKNOWN, np.where(required <= 100.0, *REACHES[:2])),
        "knock_limited": result.knock_limited,
        "peak_pressure": result.peak_pressure.tree(),
        "peak_pressure_angle": result.peak_pressure_angle,
        "allowed_peak_pressure": result.allowed_peak_pressure,
        "retard_required": result.retard.tree(),
        "retard_cost": result.cost.tree(),
        "retard_allowed": allowed + 0.0 * required,
        "compression_ratio_limit": result.compression_limit.tree(),
        "compression_ratio_limit_reach": _limit_reach(result),
        "compression_ratio_limit_speed": result.compression_speed,
        "boost_limit": result.boost_limit.tree(),
        "boost_limit_speed": result.boost_speed,
        "by_speed": by_speed(result.by_speed, float(found.octane.value[0])) if result.best_solved[0] else [],
        "drivers": drivers(result) if result.best_solved[0] else [],
        "trace": trace(result.trace, result.trace_speed),
    }
    beyond = required > HIGHEST_OCTANE
    outcome.values["octane_reach"] = np.where(beyond, BEYOND, outcome.values["octane_reach"])
    outcome.values["retard_allowed"] = np.broadcast_to(allowed, required.shape)
    boost: Mapping[str, Any] = request.get("boost", {})
    outcome.checks = [*_checks(request, found, result, allowed), *_nitrous_checks(request, found.nitrous_power, result)]
    outcome.cautions = [
        *duty_cautions(found.duty["aspiration"]),
        *(["boost"] if boost else []),
        *(["nitrous"] if "nitrous" in request else []),
    ]
    return outcome


def _limit_reach(result: Knock) -> npt.NDArray[np.str_]:
    value = result.compression_limit.value
    told = np.where(value <= RANGES["compression_ratio"][0], LIMIT_BELOW, np.where(np.isfinite(value), LIMIT_FOUND, UNKNOWN))
    return np.asarray(np.where(result.compression_beyond, LIMIT_BEYOND, told))


def _checks(request: Mapping[str, Any], engine: Engine, result: Knock, allowed: FloatArray) -> list[Check]:
    limits, why = request.get("limits", {}), str(result.reason[0])
    unsolved = "" if result.best_solved[0] else f"the cycle could not be solved: {why}"
    wanted, kind, duty = table("cycle").row("octane_margin"), engine.kind, engine.duty
    found = []
    own = limits.get("octane_margin")
    told = unsolved or (
        "octane numbers in hand at MBT timing; where there are none: later timing, less compression or boost, a cooler charge "
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
    margin, available_number = result.octane_margin, np.inf if engine.octane is None else engine.octane.value
    required = result.octane_required.value
    unrated = (required > HIGHEST_OCTANE) & (available_number > HIGHEST_OCTANE)
    value, least = (np.where(unrated, np.nan, each) for each in (margin.value, margin.low))
    if not unsolved:
        at = f"at the worst speed of the range, {result.worst_speed[0] * 30.0 / np.pi:.0f} rpm: "
        told, at_worst = at + told, at + at_worst
        if required[0] > HIGHEST_OCTANE:
            told = f"no fuel is rated as high as this asks for ({HIGHEST_OCTANE:.1f} is the end of the scale); {told}"
    found.append(Check("octane-margin", "ratio", value, low, None, told, basis, source, soft=own is None))
    found.append(Check("octane-margin-at-worst", "ratio", least, lowest, None, at_worst, basis, day, soft=True))
    # where no timing is quiet, the retard needed is more than the latest that was tried
    retard = np.where(result.allowed_solved, result.retard.value, np.where(result.best_solved, result.latest_retard, np.nan))
    told = unsolved or (
        "retard that the fuel asks for at its worst speed, against what is normal in this kind of engine"
        if result.allowed_solved[0]
        else f"{why}: less compression or boost, or a better fuel"
    )
    found.append(retard_check(retard, limits.get("spark_retard"), kind, told)[0])
    own = limits.get("peak_pressure")
    if own is None:
        told = "no limit is given: state one in limits, or ask strength what the parts stand"
        source, lacking = "common practice: parts decide, not a number", ("#/limits/peak_pressure",)
        found.append(Check("peak-pressure", "pressure", None, None, None, told, "common practice", source, missing=lacking))
    else:
        told = unsolved or "what the caller's parts stand, at MBT timing and the worst speed"
        found.append(Check("peak-pressure", "pressure", result.peak_pressure.value, None, own["high"], told, "caller", "the request"))
    named = {"boost": "boost", "nitrous": "nitrous"}.get(duty["aspiration"])
    if named is not None and named not in request:
        told = f"the duty says {named}, but how much is not given: this is the engine without it"
        given = f"#/{named}"
        found.append(Check(f"{named}-given", "ratio", None, None, None, told, "caller", "the request", missing=(given,)))
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
    question="Does the fuel stand this build?",
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
            "bore": "3.892 in",
            "stroke": "3.360 in",
            "cylinders": 8,
            "rod_length": "5.860 in",
            "compression_ratio": "9.2 ± 0.1",
            "speed": "4500 rpm",
            "fuel": {"octane": {"rating": 93, "scale": "aki"}},
            "duty": {"aspiration": "boost", "service": "street"},
            "boost": {"pressure": "6 psi", "intercooler_effectiveness": 0.6},
        },
        "a turbocharged engine with direct injection, by its torque curve": {
            "bore": "84.3 mm",
            "stroke": "85.3 mm",
            "cylinders": 4,
            "compression_ratio": 10,
            "speed": "5500 rpm",
            "injection": "direct",
            "fuel": {"octane": {"ron": 98, "mon": 88}},
            "boost": {"pressure": "90 kPa", "intercooler_effectiveness": 0.75},
            "torque_curve": [
                {"speed": "1500 rpm", "volumetric_efficiency": 0.84, "boost": "40 kPa"},
                {"speed": "2200 rpm", "volumetric_efficiency": 0.88, "boost": "100 kPa"},
                {"speed": "4500 rpm", "volumetric_efficiency": 0.92, "boost": "100 kPa"},
                {"speed": "5500 rpm", "volumetric_efficiency": 0.88, "boost": "90 kPa"},
            ],
        },
        "a naturally aspirated engine from its clearance volume": {
            "bore": "84.3 mm",
            "stroke": "85.3 mm",
            "cylinders": 4,
            "chamber_volume": "41 cm3",
            "gasket": {"bore": "85.3 mm", "thickness": "1.1 mm"},
            "stack": {"deck_height": "215.5 mm", "rod_length": "142.35 mm", "compression_height": "30.3 mm"},
            "intake_closing": "60 deg",
            "speed": "3500 rpm",
            "fuel": {"octane": {"rating": 95, "scale": "ron"}},
            "ambient": {"temperature": "35 degC", "altitude": "500 m"},
            "limits": {"octane_margin": {"low": 3}, "peak_pressure": {"high": "9 MPa"}},
        },
        "nitrous oxide": {
            "bore": "98.1 mm",
            "stroke": "85.3 mm",
            "cylinders": 8,
            "compression_ratio": 10.5,
            "speed": "5500 rpm",
            "fuel": {"octane": {"rating": 98, "scale": "ron"}, "equivalence_ratio": 1.2},
            "nitrous": {"power": "75 kW"},
            "duty": {"aspiration": "nitrous", "service": "sport"},
        },
    },
    sources=(
        "A. M. Douaud and P. Eyzat, SAE 780080 (1978), for the ignition delay over pressure and temperature",
        "H. P. Russ, SAE 960497 (1996), abstract, for what compression, spark, air and mixture are worth, to which the rest is calibrated",
        "J. C. Livengood and P. C. Wu, Fifth Symposium (International) on Combustion (1955), pp. 347-356",
        "G. Woschni, SAE 670931 (1967); J. B. Heywood, Internal Combustion Engine Fundamentals (1988), ch. 9 and 12",
        "G. T. Kalghatgi, SAE 2001-01-3584 (2001), from memory, for RON, MON and the engine",
        "common practice for what a request leaves out, as the table cycle says",
    ),
    published=(
        "test_cycle",
        "test_knock",
        "test_wiebe",
        "test_heat_loss",
        "test_common_practice_detonation",
        "test_octane_requirement",
        "test_engines_on_their_fuel",
    ),
    cautions=("knock", "knock-model"),
    batch=True,
    propagation="additive",
    most_toleranced=24,
    most_rows=2000,  # a row takes about 1.5 ms, twice that with a long torque curve, and a request 30 s at most
)
