"""Power as observed carried to standard air, with the air as it was: dry pressure, density and density altitude."""

from __future__ import annotations

from typing import Any

import numpy as np

from borewright.calculations.base.answers import Answer, Figure
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Choice, Part, Quantity, Request, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Check, Outcome
from borewright.calculations.common.own_limits import RatioLimitsPart, limited_check, refuse_crossed
from borewright.physics.arrays import FloatArray
from borewright.physics.gas import air
from borewright.physics.gas.atmosphere import density_altitude, station_pressure
from borewright.physics.gas.humidity import relative_humidity, wet_bulb_vapor_pressure
from borewright.practice.tables import Row, table

STANDARDS = ("sae-j1349", "iso-1585", "din-70020", "sae-j607")


class CorrectionLimitsPart(RequestPart):
    """The caller's own limits."""

    factor = Part(RatioLimitsPart, "of the correction factor")


class AirCorrectionRequest(Request):
    """What a correction of power needs.

    The coldest and hottest air and the lowest pressure are such that dry air is always left beside the water vapor.
    """

    alternatives = (
        (("pressure",), ("sea_level_pressure", "elevation")),
        (("humidity",), ("dew_point",), ("wet_bulb",)),
    )

    observed_power = Quantity("power", "0.1 kW", "20000 kW", "power as the dynamometer showed it", required=True)
    air_temperature = Quantity("temperature", "-40 degC", "80 degC", "of the air where the engine draws it in", required=True)
    pressure = Quantity(
        "pressure",
        "50 kPa",
        "120 kPa",
        "absolute air pressure on the spot, as a barometer there shows it: not the one reduced to sea level that weather reports give",
    )
    sea_level_pressure = Quantity(
        "pressure", "85 kPa", "110 kPa", "air pressure of a weather report (altimeter setting), which is reduced to sea level"
    )
    elevation = Quantity("altitude", "-400 m", "3000 m", "of the place above sea level, for the pressure of a weather report")
    humidity = Quantity("percentage", "0 %", "100 %", "relative humidity of that air")
    dew_point = Quantity("temperature", "-40 degC", "80 degC", "dew point of that air, instead of its humidity")
    wet_bulb = Quantity("temperature", "-40 degC", "80 degC", "of a ventilated wet bulb in that air, instead of its humidity")
    standard = Choice(STANDARDS, "the standard whose air the power is carried to", required=True)
    limits = Part(CorrectionLimitsPart, "the caller's own limits instead of the standard's")


class AirCorrectionAnswer(Answer):
    """What a correction of power answers."""

    factor = Figure("ratio", "what the observed power is multiplied by")
    corrected_power = Figure("power", "power in the standard's air")
    station_pressure = Figure("pressure", "air pressure on the spot")
    relative_humidity = Figure("percentage", "relative humidity of the air")
    dry_pressure = Figure("pressure", "pressure of the air without its water vapor")
    vapor_pressure = Figure("pressure", "pressure of the water vapor")
    air_density = Figure("density", "density of the moist air")
    density_altitude = Figure("altitude", "geopotential altitude at which the 1976 standard atmosphere is as dense as this air")


def compute(request: dict[str, Any]) -> Outcome:
    """SAE 1.180·(99 kPa/p_d)·√(T/298) − 0.18, ISO (99 kPa/p_d)^1.2·(T/298)^0.6, DIN (101.3 kPa/p)·√(T/293), J607 (29.92 inHg/p_d)·√(T/289);
    power times the factor."""
    # -40 degC as read is one digit of a double below the formulas' own limit
    temperature = np.maximum(request["air_temperature"], air.COLDEST)
    outcome = Outcome({})
    pressure = _pressure(request, outcome)
    humidity = _humidity(request, temperature, pressure, outcome)
    standard, row = request["standard"], table("power_correction").row(request["standard"])
    dry = air.dry_pressure(pressure, temperature, humidity)
    factor = _factor(standard, pressure, dry, temperature)
    density = air.moist_air_density(pressure, temperature, humidity)
    outcome.values = {
        "factor": factor,
        "corrected_power": factor * request["observed_power"],
        "station_pressure": pressure + 0.0 * factor,
        "relative_humidity": humidity + 0.0 * factor,
        "dry_pressure": dry,
        "vapor_pressure": air.vapor_pressure(temperature, humidity),
        "air_density": density,
        "density_altitude": density_altitude(density),
    }
    limits = request.get("limits", {})
    refuse_crossed(limits, outcome)
    outcome.checks = [_factor_check(factor, limits.get("factor"), row)]
    if standard == "sae-j1349":
        outcome.checks += _air_checks(temperature, "dry-pressure", dry, row)
        efficiency = np.array([row.si("mechanical_efficiency")])
        outcome.assumptions += [Assumption("mechanical_efficiency", efficiency, "published", row.source, "percentage")]
    elif standard == "iso-1585":
        outcome.checks += _air_checks(temperature, "pressure", pressure, row)
    return outcome


def _pressure(request: dict[str, Any], outcome: Outcome) -> FloatArray:
    """Air pressure on the spot [Pa], as read there or from a weather report."""
    if "pressure" in request:
        return np.asarray(request["pressure"])
    found = station_pressure(request["sea_level_pressure"], request["elevation"])
    told = "the report's pressure is taken for the altimeter setting: U.S. Standard Atmosphere, 1976"
    outcome.assumptions.append(Assumption("station_pressure", found, "derived", told, "pressure"))
    return found


def _humidity(request: dict[str, Any], temperature: FloatArray, pressure: FloatArray, outcome: Outcome) -> FloatArray:
    """Relative humidity [1], as read or from dew point or wet bulb; what can't be is marked and taken as dry."""
    if "humidity" in request:
        return np.asarray(request["humidity"])
    if "dew_point" in request:
        dew = np.maximum(request["dew_point"], air.COLDEST)
        over = dew > temperature
        outcome.refuse_where(
            over, "#/dew_point", "a dew point can't lie above the air's temperature: exchange them, or read them again", Code.IMPOSSIBLE
        )
        return relative_humidity(air.saturation_vapor_pressure(np.minimum(dew, temperature)), temperature)
    wet = np.maximum(request["wet_bulb"], air.COLDEST)
    over = wet > temperature
    outcome.refuse_where(over, "#/wet_bulb", "a wet bulb can't be warmer than the air: exchange them, or read them again", Code.IMPOSSIBLE)
    vapor = wet_bulb_vapor_pressure(temperature, np.minimum(wet, temperature), pressure)
    dry = ~np.isfinite(vapor)
    outcome.refuse_where(
        dry, "#/wet_bulb", "so cold a wet bulb leaves no water vapor in the air: wet it and read it again", Code.IMPOSSIBLE
    )
    return relative_humidity(np.where(dry, 0.0, vapor), temperature)


def _factor(standard: str, pressure: FloatArray, dry: FloatArray, temperature: FloatArray) -> FloatArray:
    if standard == "sae-j1349":
        return air.sae_j1349_factor(dry, temperature)
    if standard == "iso-1585":
        return air.iso_1585_factor(dry, temperature)
    if standard == "sae-j607":
        return air.sae_j607_factor(dry, temperature)
    return air.din_70020_factor(pressure, temperature)


def _factor_check(factor: FloatArray, own: dict[str, FloatArray] | None, row: Row) -> Check:
    if own:
        return limited_check("factor", "ratio", factor, own, None, "outside the caller's own limits: measure again on another day")
    if not row.has("factor_low"):
        reason = "no range of this superseded standard is known here: give limits of your own"
        own_ones = ("#/limits/factor",)
        return Check("factor", "ratio", factor, None, None, reason, "published", row.source, verdict="unknown", missing=own_ones)
    reason = "outside this range the standard does not vouch for the corrected power: measure again in air nearer to its own"
    return Check("factor", "ratio", factor, row.si("factor_low"), row.si("factor_high"), reason, "published", row.source)


def _air_checks(temperature: FloatArray, name: str, pressure: FloatArray, row: Row) -> list[Check]:
    reason = "the standard wants the test run in air within this range: state the conditions with the power"
    return [
        Check(
            "air-temperature",
            "temperature",
            temperature,
            row.si("temperature_low"),
            row.si("temperature_high"),
            reason,
            "published",
            row.source,
            soft=True,
        ),
        Check(name, "pressure", pressure, row.si("pressure_low"), row.si("pressure_high"), reason, "published", row.source, soft=True),
    ]


CALCULATION = Calculation(
    name="air-correction",
    title="Air correction",
    question="What would this power be in standard air?",
    text="What an observed power would be in standard air, by the standard chosen, and how dense the air was.",
    request=AirCorrectionRequest,
    answer=AirCorrectionAnswer,
    compute=compute,
    headline=("corrected_power",),
    examples={
        "a hot day in inches of mercury": {
            "units": "inch",
            "observed_power": "420 hp ± 2 hp",
            "air_temperature": 92,
            "pressure": "29.1 inHg ± 0.02 inHg",
            "humidity": "45 % ± 3 %",
            "standard": "sae-j1349",
        },
        "ISO 1585 in the hills": {
            "observed_power": "150 kW",
            "air_temperature": "18 degC",
            "pressure": "95.2 kPa",
            "humidity": "60 %",
            "standard": "iso-1585",
        },
        "an old sheet by DIN 70020": {
            "observed_power": "110 PS",
            "air_temperature": "30 degC",
            "pressure": "0.95 bar",
            "humidity": "50 %",
            "standard": "din-70020",
        },
        "by the weather report, to the trade's classic standard": {
            "units": "inch",
            "observed_power": "312 hp",
            "air_temperature": "84 degF",
            "sea_level_pressure": "30.05 inHg",
            "elevation": "850 ft",
            "dew_point": "61 degF",
            "standard": "sae-j607",
        },
        "with a wet bulb": {
            "observed_power": "205 kW",
            "air_temperature": "30 degC",
            "pressure": "100 kPa",
            "wet_bulb": "20 degC ± 0.2 degC",
            "standard": "sae-j1349",
        },
    },
    sources=(
        "SAE J1349, Engine power test code, 1990",
        "ISO 1585, Road vehicles: engine test code, net power; UN Regulation 85, annex 5 (spark ignition)",
        "DIN 70020, Kraftfahrzeugbau: Motorleistung (withdrawn): on the whole air pressure",
        "SAE J607, Small spark ignition engine test code (superseded; from memory)",
        "WMO-No. 8, Guide to instruments and methods of observation, annex 4.B (from memory; wet bulb)",
        "W. Wagner and A. Pruss, J. Phys. Chem. Ref. Data 22, 1993 (saturation pressure of water)",
        "U.S. Standard Atmosphere, 1976, NOAA-S/T 76-1562 (density altitude, pressure from a weather report)",
    ),
    published=("test_air", "test_air_correction"),
    cautions=("test-running", "correction-without-boost", "correction-standards", "correction-is-no-tuning"),
    batch=True,
    light=True,
)
