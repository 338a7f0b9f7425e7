"""From a request to the cylinder that the cycle runs, every default listed with where it comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.common.burned_fuel import Octane, assume, burned_fuel, charge_heating, octane_in_the_engine, sound_blend
from borewright.calculations.common.defaults import part_or_default
from borewright.calculations.common.duty import DutyPart
from borewright.calculations.common.engine_kind import EngineKind, engine_kind
from borewright.calculations.common.geometry import geometry
from borewright.calculations.common.linkage import rod_that_turns
from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.cycle import KNOCK_BURNED_FRACTION
from borewright.physics.cycle.end_gas import DELAY_MULTIPLIER, OCTANE_POWER_CALIBRATED
from borewright.physics.cycle.nitrous import flow_for_gain
from borewright.physics.cycle.nitrous import nitrous_flow as per_power
from borewright.physics.cycle.state import (
    COMBUSTION_EFFICIENCY,
    HEAT_TRANSFER_FACTOR,
    NITROUS_EVAPORATED,
    CylinderState,
    burn_duration,
    exhaust_rise,
    filling_over_speed,
)
from borewright.physics.gas import fuel as fuels
from borewright.physics.gas.atmosphere import standard_pressure
from borewright.practice.tables import table

VOLUME_FIELDS = ("chamber_volume", "gasket", "deck_clearance", "stack", "crown", "top_land")
NO_KNOCK = 160.0  # the highest octane number the cycle takes


@dataclass(frozen=True)
class Engine:
    """One cylinder of a request, its fuel's octane number, and which of its inputs were guessed.

    nitrous_power : what the whole engine's nitrous oxide is sold as [W]
    kind : how it is fed and cooled, and what is usual in that kind
    """

    state: CylinderState
    nitrous_power: FloatArray
    octane: Octane | None
    duty: Mapping[str, Any]
    volumetric_efficiency_assumed: bool
    kind: EngineKind


def engine(request: Mapping[str, Any], outcome: Outcome, nitrous_flow: FloatArray | None = None) -> Engine:
    """The cylinder of an EngineStatePart; what can't exist is marked in the outcome, what can't be solved is left to the cycle.

    request : arrays of the part [SI]; bore, stroke, speed and a compression must be there, cylinders where there is nitrous oxide.
        Without a fuel the cycle is never held back by knock.
    nitrous_flow : of one cylinder [kg/s], where it is known already: to find it takes cycles
    """
    duty = part_or_default(request, outcome, "duty", DutyPart)
    ratio, rod = compression(request, outcome)
    if rod is None:
        row = table("cycle").row("rod_length")
        rod = assume(outcome, "rod_length", row.si("rod_ratio") * request["stroke"], row, "length")
    offset = request.get("pin_offset")
    if offset is None:
        offset = np.zeros(1)
        outcome.assumptions.append(Assumption("pin_offset", offset, "common practice", "a pin on the cylinder axis", "length"))
    closing, opening = _events(request, outcome)
    pressure, temperature = _ambient(request, outcome)
    given = sound_blend(request.get("fuel", {}), outcome)
    burned = burned_fuel(given, duty)
    kind = engine_kind(request, duty, burned.alcohol, outcome)
    octane = octane_in_the_engine(given, burned, kind, outcome)
    boost: Mapping[str, Any] = request.get("boost", {})
    over = boost.get("pressure", np.zeros(1))
    efficiency, guessed = _volumetric_efficiency(request, outcome, duty)
    state = CylinderState(
        bore=request["bore"],
        stroke=request["stroke"],
        rod_length=rod,
        compression_ratio=ratio,
        speed=request["speed"],
        pin_offset=offset,
        intake_closing=closing,
        exhaust_opening=opening,
        octane=np.full(1, NO_KNOCK) if octane is None else octane.value,
        equivalence_ratio=_equivalence_ratio(request, kind, outcome),
        volumetric_efficiency=efficiency,
        filling_temperature=_filling_temperature(request, guessed),
        ambient_pressure=pressure,
        ambient_temperature=temperature,
        boost=over,
        exhaust_pressure=exhaust_pressure(pressure, over, request["stroke"] * request["speed"] / np.pi, boost, outcome),
        charge_heating=charge_heating(burned, kind, outcome),
        wall_temperature=np.array([kind.cooling.si("temperature")]),
        cylinders=request.get("cylinders", np.array([CylinderState.cylinders])),
        fuel=burned.fuel,
        **_compressor(boost),
    )
    state, sold = _with_nitrous(state, request, outcome, nitrous_flow)
    _list_the_model(state, kind, outcome)
    return Engine(state, sold, octane, duty, guessed, kind)


def _list_the_model(state: CylinderState, kind: EngineKind, outcome: Outcome) -> None:
    """The cycle's own constants that no request can change."""
    duration = burn_duration(np.asarray(state.stroke) * np.asarray(state.speed) / np.pi)
    burning = "calibrated: 50 degrees at 8.6 m/s; S. D. Hires and others, SAE 780232 (1978), for the speed; from memory"
    heat = "calibration of Woschni's coefficient, SAE 670931 (1967), to where MBT timing has half of the charge burned"
    heywood = "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), from memory"
    fuel = state.fuel
    made = "NASA TM-4513 (1993) for the heats, atom balance for the air: of the species that stand for the fuel, as vapor"
    target = "calibrated to what engines were found to ask for: H. P. Russ, SAE 960497 (abstract), and octane over compression"
    heard = "calibration: the last tenth of the charge lies cool along the walls and is not heard"
    outcome.assumptions += [
        Assumption("model.burn_duration", duration, "calibrated", burning, "angle"),
        Assumption("model.heat_transfer_factor", np.array([HEAT_TRANSFER_FACTOR]), "calibrated", heat, "ratio"),
        Assumption("model.wall_temperature", state.wall_temperature, "common practice", kind.cooling.source, "temperature"),
        Assumption(
            "model.combustion_efficiency", np.array([COMBUSTION_EFFICIENCY]), "common practice", f"common practice: {heywood}", "ratio"
        ),
        Assumption("model.knock_integral_until_burned", np.array([KNOCK_BURNED_FRACTION]), "calibrated", heard, "ratio"),
        Assumption("model.fuel", fuel.name, "common practice", "common practice: these species stand for the fuel"),
        Assumption("model.fuel_heating_value", np.array([fuels.lower_heating_value(fuel)]), "derived", made, "specific_energy"),
        Assumption("model.stoichiometric_ratio", np.array([fuels.stoichiometric_air_fuel_ratio(fuel)]), "derived", made, "ratio"),
        Assumption("model.delay_multiplier", np.array([DELAY_MULTIPLIER]), "calibrated", target, "ratio"),
        Assumption("model.octane_power", np.array([OCTANE_POWER_CALIBRATED]), "calibrated", target, "ratio"),
    ]


def compression(request: Mapping[str, Any], outcome: Outcome) -> tuple[FloatArray, FloatArray | None]:
    """Compression ratio [1] and rod length [m], None where it is not given; from the ratio itself or from the clearance volume.

    request : arrays of an EngineStatePart [SI], with bore and stroke where the ratio is not given

    >>> float(compression({"compression_ratio": np.array([10.5])}, Outcome({}))[0][0])
    10.5
    """
    if "compression_ratio" not in request:
        found = geometry({"cylinders": np.ones(1), **request}, outcome)
        return found.ratio, found.rod_length
    for name in VOLUME_FIELDS:
        outcome.refuse_where(
            name in request, f"#/{name}", "compression_ratio is given, so this would not be used: leave one of them out", Code.GIVEN_TWICE
        )
    rod = request.get("rod_length")
    if rod is not None and "stroke" in request:
        rod_that_turns(request["stroke"], rod, request.get("pin_offset", np.zeros(1)), "#/rod_length", outcome)
    return request["compression_ratio"], rod


def _events(request: Mapping[str, Any], outcome: Outcome) -> tuple[FloatArray, FloatArray]:
    """Intake closing after and exhaust opening before bottom dead center [rad]."""
    found = {}
    for name in ("intake_closing", "exhaust_opening"):
        row = table("cycle").row(name)
        found[name] = request[name] if name in request else assume(outcome, name, np.array([row.si("angle")]), row, "angle")
    crossed = found["intake_closing"] + found["exhaust_opening"] >= 2.0 * np.pi
    told = "the exhaust would open before the intake has closed: its opening counts back from bottom dead center; check both angles"
    outcome.refuse_where(crossed, "#/exhaust_opening", told, Code.IMPOSSIBLE)
    return found["intake_closing"], found["exhaust_opening"]


def _ambient(request: Mapping[str, Any], outcome: Outcome) -> tuple[FloatArray, FloatArray]:
    """Pressure [Pa] and temperature [K] of the air drawn in."""
    given, row = request.get("ambient", {}), table("cycle").row("ambient")
    if "altitude" in given:
        outcome.refuse_where(
            "pressure" in given, "#/ambient/altitude", "the pressure is given as well: leave one of them out", Code.GIVEN_TWICE
        )
        pressure = standard_pressure(given["altitude"])
        outcome.assumptions.append(Assumption("ambient.pressure", pressure, "published", "US Standard Atmosphere 1976", "pressure"))
    else:
        pressure = given.get("pressure")
    if pressure is None:
        pressure = assume(outcome, "ambient.pressure", np.array([row.si("pressure")]), row, "pressure")
    temperature = given.get("temperature")
    if temperature is None:
        temperature = assume(outcome, "ambient.temperature", np.array([row.si("temperature")]), row, "temperature")
    return pressure, temperature


def _equivalence_ratio(request: Mapping[str, Any], kind: EngineKind, outcome: Outcome) -> FloatArray:
    given = request.get("fuel", {}).get("equivalence_ratio")
    if given is not None:
        return np.asarray(given)
    row = table("cycle").row("equivalence_ratio_aircraft" if kind.aircraft else "equivalence_ratio")
    return assume(outcome, "fuel.equivalence_ratio", np.array([row.si("equivalence_ratio")]), row)


def exhaust_pressure(
    ambient: FloatArray, boost: FloatArray, piston_speed: FloatArray, given: Mapping[str, Any], outcome: Outcome | None = None
) -> FloatArray:
    """Pressure in the exhaust at a boost and a mean piston speed [Pa]: a turbine's back pressure, and what the pipes hold back.

    given : the boost of the request, empty without one

    >>> slow = np.zeros(1)
    >>> float(exhaust_pressure(np.array([1e5]), np.array([0.5e5]), slow, {"drive": "exhaust"})[0])
    150000.0
    >>> float(exhaust_pressure(np.array([1e5]), np.array([0.5e5]), slow, {"drive": "crank"})[0])
    100000.0
    """
    held = ambient + exhaust_rise(piston_speed) + 0.0 * boost
    row = table("knock").row("exhaust")
    if given.get("drive", "exhaust") != "crank":
        held = held + table("cycle").row("back_pressure").si("back_pressure") * boost
        row = table("cycle").row("back_pressure") if given else row
    if outcome is not None:
        assume(outcome, "exhaust_pressure", held, row, "pressure")
    return held


def _compressor(boost: Mapping[str, Any]) -> dict[str, Any]:
    """Efficiency, intercooler and what drives the compressor; the usual ones where there is none, for the boost that it could stand."""
    rows = table("cycle")
    return {
        "compressor_efficiency": boost.get("compressor_efficiency", np.array([rows.row("compressor").si("efficiency")])),
        "intercooler_effectiveness": boost.get("intercooler_effectiveness", np.array([rows.row("intercooler").si("effectiveness")])),
        "compressor_drive": np.array([1.0 if boost.get("drive") == "crank" else 0.0]),
    }


def _with_nitrous(
    state: CylinderState, request: Mapping[str, Any], outcome: Outcome, flow: FloatArray | None
) -> tuple[CylinderState, FloatArray]:
    """The state with its nitrous oxide, and the power that the whole engine's is sold as [W].

    The flow is the one with which the cycle gains that power: the cycle burns all of it, so it is less than a kit delivers and is
    not shown. A flow that is given counts as the power that practice gets from it.
    """
    given = request.get("nitrous")
    if given is None:
        return state, np.zeros(1)
    rows, fuel = table("cycle"), state.fuel
    kit, late = rows.row("nitrous"), rows.row("nitrous_retard")
    count = request["cylinders"]
    if "power" in given:
        sold = given["power"]
    else:
        share = assume(outcome, "nitrous.brake_efficiency", np.array([kit.si("efficiency")]), kit)
        sold = given["mass_flow"] / per_power(1.0, fuel, share)
        assume(outcome, "nitrous.power", sold, kit, "power")
    evaporated = assume(outcome, "model.nitrous_evaporated", np.array([NITROUS_EVAPORATED]), rows.row("nitrous_evaporated"))
    mixture = assume(outcome, "nitrous.mixture_of_the_power_sold", np.array([kit.si("equivalence_ratio")]), kit)
    retard = assume(outcome, "nitrous.retard_of_the_power_sold", late.si("retard_low") * sold / late.si("power"), late, "angle")
    bare = replace(state, nitrous_evaporated=evaporated, bottle_temperature=given["bottle_temperature"])
    if flow is not None:
        return replace(bare, nitrous_flow=flow), np.asarray(sold)
    flow = flow_for_gain(bare, sold / count, np.maximum(mixture, state.equivalence_ratio), retard)
    plain = per_power(sold / count, fuel, kit.si("efficiency"))  # the cycle then says why it has no solution
    return replace(bare, nitrous_flow=np.where(np.isfinite(flow), flow, plain)), np.asarray(sold)


def _filling_temperature(request: Mapping[str, Any], guessed: bool) -> FloatArray:
    """Air that the volumetric efficiency is stated for [K]: that of practice where it is guessed, else the air beside it (NaN)."""
    if guessed:
        return np.array([table("cycle").row("ambient").si("temperature")])
    return np.asarray(request.get("filling_temperature", np.array([np.nan])))


def _volumetric_efficiency(request: Mapping[str, Any], outcome: Outcome, duty: Mapping[str, Any]) -> tuple[FloatArray, bool]:
    """At the speed asked: as given, or the usual one at the speed that such an engine is tuned for, less what it loses away from it."""
    if "volumetric_efficiency" in request:
        return request["volumetric_efficiency"], False
    row = table("cycle").row("volumetric_efficiency")
    stroke = request.get("heads_stroke", request["stroke"])  # that of the engine which the heads were tuned for
    value = row.si(duty["service"]) * filling(stroke * request["speed"] / np.pi, duty)
    return assume(outcome, "volumetric_efficiency", value, row), True


def filling(piston_speed: FloatArray, duty: Mapping[str, Any]) -> FloatArray:
    """Volumetric efficiency over that at the speed an engine of this duty is tuned for [1].

    >>> filling(np.array([10.0]), {"service": "street"}).tolist()
    [1.0]
    """
    return filling_over_speed(piston_speed, table("knock").row(f"filling_{duty['service']}").si("best_filling"))
