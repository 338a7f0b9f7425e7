"""What an engine has to be fed for the power aimed at: fuel and air, injectors or jets, pump and throttle."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Section
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Assumed, Choice, Part, Quantity, Request, RequestPart, Whole
from borewright.calculations.base.outcome import Assumption, Check, Outcome
from borewright.calculations.common.burned_fuel import BurnedFuel, assume, burned_fuel, sound_blend
from borewright.calculations.common.defaults import part_or_default
from borewright.calculations.common.duty import FUELS, DutyPart
from borewright.calculations.common.engine_state import BlendPart
from borewright.physics.arrays import FloatArray
from borewright.physics.gas.fuel import stoichiometric_air_fuel_ratio
from borewright.physics.gas.orifice import orifice_area, orifice_drop
from borewright.physics.mechanism.volumes import circle_area
from borewright.practice.tables import table

AIR_GAS_CONSTANT = 287.05  # [J/(kg·K)] U.S. Standard Atmosphere, 1976


def _usual(row: str, column: str) -> Assumed:
    found = table("supply").row(row)
    return Assumed(found.word(column), found.basis, found.source)


class SuppliedFuelPart(RequestPart):
    """What the engine burns at full load."""

    name = Choice(FUELS, "a fuel of the reference table; left out, the duty's")
    blend = Part(BlendPart, "a blend instead, in parts by volume")
    equivalence_ratio = Quantity(
        "ratio", "0.6", "1.6", "fuel over what burns completely, above 1 where it is rich", assumed=_usual("mixture", "equivalence_ratio")
    )


class InjectorsPart(RequestPart):
    """The injectors, or how many there are to be."""

    count = Whole(1, 48, "injectors that feed the engine", required=True)
    flow = Quantity(
        "fuel_mass_flow", "0.3 kg/h", "2000 kg/h", "of one held open, at its rated pressure and on gasoline; left out, it is sized"
    )
    rated_pressure = Quantity(
        "pressure", "50 kPa", "25 MPa", "pressure across it at which that flow is stated", assumed=_usual("injector", "pressure")
    )
    fuel_pressure = Quantity("pressure", "50 kPa", "25 MPa", "pressure across it in the engine; left out, the rated one")


class JetsPart(RequestPart):
    """The main jets of carburetors."""

    count = Whole(1, 48, "main jets that feed the engine", required=True)
    depression = Quantity("pressure", "0.2 kPa", "50 kPa", "pressure across a jet at full load", assumed=_usual("jet", "depression"))


class FuelPumpPart(RequestPart):
    """The fuel pump."""

    flow = Quantity("fuel_volume_flow", "1 L/h", "5000 L/h", "what it delivers at the pressure it works against", required=True)


class ThrottlePart(RequestPart):
    """The throttle plates."""

    count = Whole(1, 48, "throttle bores that feed the engine", required=True)
    diameter = Quantity("length", "10 mm", "250 mm", "of each bore; left out, it is sized")


class SupplyAmbientPart(RequestPart):
    """The air before the throttle."""

    pressure = Quantity("pressure", "40 kPa", "110 kPa", "of the air, absolute")
    temperature = Quantity("temperature", "-50 degC", "85 degC", "of the air at the inlet")


class FuelAirSupplyRequest(Request):
    """What fuel-air-supply needs."""

    target_power = Quantity("power", "1 kW", "5000 kW", "power aimed at, at the crank", required=True)
    duty = Part(DutyPart, "what the engine is for")
    fuel = Part(SuppliedFuelPart, "what it burns")
    brake_specific_fuel_consumption = Quantity(
        "specific_consumption", "150 g/kWh", "1500 g/kWh", "fuel for the power at full load; left out, what is usual for the duty"
    )
    injectors = Part(InjectorsPart, "injectors")
    jets = Part(JetsPart, "main jets")
    fuel_pump = Part(FuelPumpPart, "the fuel pump there is")
    throttle = Part(ThrottlePart, "the throttle")
    ambient = Part(SupplyAmbientPart, "the air that it draws")


class SupplyInjectorAnswer(AnswerPart):
    """What an injector has to deliver."""

    flow = Figure("fuel_mass_flow", "of one held open at its rated pressure, on gasoline, for the power at the duty cycle allowed")
    volume_flow = Figure("injector_flow", "the same as volume")
    duty_cycle = Figure("percentage", "share of the time that the injector there is stays open; null where none is given", nullable=True)
    power_limit = Figure("power", "power that the injectors there are feed at the duty cycle allowed", nullable=True)


class SupplyJetAnswer(AnswerPart):
    """What a main jet has to be."""

    flow = Figure("fuel_mass_flow", "fuel through one jet")
    diameter = Figure("length", "of its bore, to start from: richer first, then by plug or probe")


class SupplyPumpAnswer(AnswerPart):
    """What a pump has to deliver."""

    wanted = Figure("fuel_volume_flow", "at the pressure it works against, the usual reserve included")


class SupplyThrottleAnswer(AnswerPart):
    """What the throttle has to be."""

    diameter = Figure("length", "of each bore, for the usual pressure drop at full load")
    drop = Figure("pressure", "pressure drop of the throttle there is; null where none is given", nullable=True)


class FuelAirSupplyAnswer(Answer):
    """What fuel-air-supply answers."""

    brake_specific_fuel_consumption = Figure("specific_consumption", "fuel for the power at full load")
    air_fuel_ratio = Figure("ratio", "mass of air for the fuel at the mixture asked")
    fuel_flow = Figure("fuel_mass_flow", "fuel for the power")
    fuel_volume_flow = Figure("fuel_volume_flow", "the same as volume")
    air_flow = Figure("mass_flow", "air for the power")
    air_volume_flow = Figure("air_volume_flow", "the same as volume, in the air before the throttle")
    injector = Section(SupplyInjectorAnswer, "null where no injectors are asked", nullable=True)
    jet = Section(SupplyJetAnswer, "null where no jets are asked", nullable=True)
    pump = Section(SupplyPumpAnswer, "the fuel pump")
    throttle = Section(SupplyThrottleAnswer, "null where no throttle is asked", nullable=True)


def compute(request: dict[str, Any]) -> Outcome:
    """Fuel ṁ_f = P·bsfc, air ṁ_a = ṁ_f·AFR/φ; openings by Bernoulli's equation with their coefficients of discharge."""
    outcome = Outcome({})
    rows = table("supply")
    duty = part_or_default(request, outcome, "duty", DutyPart)
    given = part_or_default(request, outcome, "fuel", SuppliedFuelPart)
    given = sound_blend(given, outcome)
    burned = burned_fuel(given, duty)
    consumption = _consumption(request, duty, burned, outcome)
    ratio = stoichiometric_air_fuel_ratio(burned.fuel) / given["equivalence_ratio"]
    fuel_flow = request["target_power"] * consumption
    air_flow = fuel_flow * ratio
    density, liquid = _air_density(request, outcome), burned.density
    reserve = rows.row("pump")
    wanted = fuel_flow / liquid * reserve.si("reserve")
    outcome.assumptions.append(Assumption("pump.reserve", np.array([reserve.si("reserve")]), reserve.basis, reserve.source, "ratio"))
    outcome.values = {
        "brake_specific_fuel_consumption": consumption + 0.0 * fuel_flow,
        "air_fuel_ratio": ratio + 0.0 * fuel_flow,
        "fuel_flow": fuel_flow,
        "fuel_volume_flow": fuel_flow / liquid,
        "air_flow": air_flow,
        "air_volume_flow": air_flow / density,
        "injector": _injector(request, fuel_flow, liquid, outcome),
        "jet": _jet(request, fuel_flow, liquid, outcome),
        "pump": {"wanted": wanted},
        "throttle": _throttle(request, air_flow, density, outcome),
    }
    if "fuel_pump" in request:
        told = "what the pump delivers at the pressure it works against, against what the power takes with the usual reserve"
        flow = request["fuel_pump"]["flow"]
        outcome.checks.append(Check("pump-flow", "fuel_volume_flow", flow, wanted, None, told, reserve.basis, reserve.source))
    return outcome


def _consumption(request: Mapping[str, Any], duty: Mapping[str, Any], burned: BurnedFuel, outcome: Outcome) -> FloatArray:
    """Fuel for the power [kg/J]: as stated, or the usual one on gasoline carried over by the heating values."""
    if "brake_specific_fuel_consumption" in request:
        return np.asarray(request["brake_specific_fuel_consumption"])
    row = table("supply").row(f"consumption_{duty['aspiration']}")
    rows = table("fuels")
    masses = {name: share * rows.row(name).si("density") for name, share in burned.volumes.items()}
    own = sum(mass * rows.row(name).si("lower_heating_value") for name, mass in masses.items()) / sum(masses.values())
    heat = rows.row("gasoline").si("lower_heating_value") / own
    return assume(outcome, "brake_specific_fuel_consumption", np.array([row.si("consumption") * heat]), row, "specific_consumption")


def _air_density(request: Mapping[str, Any], outcome: Outcome) -> FloatArray:
    ambient, row = request.get("ambient", {}), table("cycle").row("ambient")
    found = {}
    for name in ("pressure", "temperature"):
        found[name] = ambient[name] if name in ambient else assume(outcome, f"ambient.{name}", np.array([row.si(name)]), row, name)
    return np.asarray(found["pressure"] / (AIR_GAS_CONSTANT * found["temperature"]))


def _injector(request: Mapping[str, Any], fuel_flow: FloatArray, liquid: float, outcome: Outcome) -> dict[str, Any] | None:
    """Flow goes as the root of the pressure and of the fuel's density: a rating on gasoline is carried over."""
    own = request.get("injectors")
    if own is None:
        return None
    row, gasoline = table("supply").row("injector"), table("fuels").row("gasoline").si("density")
    most = row.si("duty_cycle")
    over = np.sqrt(own.get("fuel_pressure", own["rated_pressure"]) / own["rated_pressure"] * liquid / gasoline)
    each = fuel_flow / own["count"] / over  # of gasoline at the rated pressure, held open all the time
    values: dict[str, Any] = {"flow": each / most, "volume_flow": each / most / gasoline, "duty_cycle": None, "power_limit": None}
    outcome.assumptions.append(Assumption("injectors.duty_cycle", np.array([most]), row.basis, row.source, "percentage"))
    if "flow" in own:
        values["duty_cycle"] = each / own["flow"]
        values["power_limit"] = request["target_power"] * own["flow"] * most / each
        told = "share of the time that the injector is open at the power aimed at: beyond the limit it no longer closes in between"
        outcome.checks.append(Check("injector-duty", "percentage", values["duty_cycle"], None, most, told, row.basis, row.source))
    return values


def _jet(request: Mapping[str, Any], fuel_flow: FloatArray, liquid: float, outcome: Outcome) -> dict[str, Any] | None:
    own = request.get("jets")
    if own is None:
        return None
    row = table("supply").row("jet")
    discharge = assume(outcome, "jets.discharge", np.array([row.si("discharge")]), row)
    each = fuel_flow / own["count"]
    area = orifice_area(each, own["depression"], liquid, discharge)
    return {"flow": each, "diameter": np.sqrt(4.0 * area / np.pi)}


def _throttle(request: Mapping[str, Any], air_flow: FloatArray, density: FloatArray, outcome: Outcome) -> dict[str, Any] | None:
    own = request.get("throttle")
    if own is None:
        return None
    row = table("supply").row("throttle")
    discharge = assume(outcome, "throttle.discharge", np.array([row.si("discharge")]), row)
    usual = assume(outcome, "throttle.drop", np.array([row.si("drop")]), row, "pressure")
    each = air_flow / own["count"]
    area = orifice_area(each, usual, density, discharge)
    values: dict[str, Any] = {"diameter": np.sqrt(4.0 * area / np.pi), "drop": None}
    if "diameter" in own:
        values["drop"] = orifice_drop(each, circle_area(own["diameter"]), density, discharge)
        told = "pressure lost past the open throttle at the power aimed at: above it the throttle holds the engine back"
        outcome.checks.append(Check("throttle-drop", "pressure", values["drop"], None, usual, told, row.basis, row.source, soft=True))
    return values


CALCULATION = Calculation(
    name="fuel-air-supply",
    title="Fuel and air supply",
    question="Which injectors or jets, pump and throttle does it want?",
    text="What the power aimed at takes in fuel and air, and what injectors or jets, fuel pump and throttle it asks for.",
    request=FuelAirSupplyRequest,
    answer=FuelAirSupplyAnswer,
    compute=compute,
    headline=("fuel_flow",),
    examples={
        "injectors for five hundred horsepower": {
            "units": "inch",
            "target_power": "500 hp",
            "injectors": {"count": 8, "flow": "36 lb/h", "fuel_pressure": "58 psi"},
            "fuel_pump": {"flow": "67 gal/h"},
            "throttle": {"count": 1, "diameter": "3.54 in"},
        },
        "boost on ethanol": {
            "target_power": "300 kW",
            "duty": {"aspiration": "boost", "service": "sport", "fuel": "ethanol"},
            "injectors": {"count": 4},
        },
        "a carburetor": {
            "units": "inch",
            "target_power": "350 hp ± 10 hp",
            "jets": {"count": 4},
            "throttle": {"count": 4},
        },
    },
    sources=(
        "common practice, as the table supply says",
        "Bernoulli's equation with a coefficient of discharge; J. B. Heywood, Internal Combustion Engine Fundamentals (1988), app. C",
    ),
    published=("test_fuel_air_supply",),
    cautions=("fuel-fire", "lean"),
    batch=False,
)
