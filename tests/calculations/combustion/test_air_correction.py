"""air-correction: behavior, invariants, batch."""

from typing import Any, ClassVar

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest
from borewright.calculations.base.single import answer
from borewright.calculations.combustion.air_correction import CALCULATION, STANDARDS

standards = st.sampled_from(STANDARDS)
celsius = st.floats(min_value=-40.0, max_value=79.0)
kilopascals = st.floats(min_value=50.0, max_value=119.0)
percents = st.floats(min_value=0.0, max_value=99.0)
steps = st.floats(min_value=0.01, max_value=1.0)
FIGURES = ("factor", "corrected_power", "dry_pressure", "vapor_pressure", "air_density", "density_altitude")


def ask(standard: str, temperature: Any, pressure: Any, humidity: Any, power: Any = "100 kW", **more: Any) -> dict[str, Any]:
    air = {"air_temperature": temperature, "pressure": pressure, "humidity": humidity}
    return answer(CALCULATION, {"standard": standard, "observed_power": power, **air, **more})


def factor(standard: str, temperature: float, pressure: float, humidity: float) -> float:
    return ask(standard, f"{temperature} degC", f"{pressure} kPa", f"{humidity} %")["factor"]["value"]


def verdicts(found: dict[str, Any]) -> dict[str, str]:
    return {check["name"]: check["verdict"] for check in found["checks"]}


@given(standard=standards, temperature=celsius, pressure=kilopascals, humidity=percents, step=steps)
def test_factor_falls_with_pressure_and_rises_with_temperature_and_humidity(
    standard: str, temperature: float, pressure: float, humidity: float, step: float
) -> None:
    here = factor(standard, temperature, pressure, humidity)
    assert factor(standard, temperature, pressure + step, humidity) < here
    assert factor(standard, temperature + step, pressure, humidity) > here
    damper = factor(standard, temperature, pressure, humidity + step)
    assert damper == here if standard == "din-70020" else damper > here


@given(temperature=celsius, pressure=kilopascals, humidity=percents, step=steps)
def test_thinner_air_is_higher_air(temperature: float, pressure: float, humidity: float, step: float) -> None:
    def height(*air: float) -> float:
        found = ask("iso-1585", f"{air[0]} degC", f"{air[1]} kPa", f"{air[2]} %")
        return float(found["density_altitude"]["value"])

    here = height(temperature, pressure, humidity)
    assert height(temperature + step, pressure, humidity) > here
    assert height(temperature, pressure + step, humidity) < here
    assert height(temperature, pressure, humidity + step) > here  # water vapor is lighter than air


@given(standard=standards, temperature=celsius, pressure=kilopascals, humidity=percents, power=st.floats(1.0, 2000.0))
def test_any_spelling_of_the_units_gives_the_same(
    standard: str, temperature: float, pressure: float, humidity: float, power: float
) -> None:
    metric = ask(standard, f"{temperature} degC", f"{pressure} kPa", f"{humidity} %", f"{power} kW")
    inch = ask(
        standard,
        temperature * 1.8 + 32,
        {"value": pressure / 3.386389, "unit": "inHg"},
        {"value": humidity / 100, "unit": "1"},
        f"{power / 0.73549875} PS",
        units="inch",
    )
    scales = (1.0, 0.74569987158227022, 6.8947572931683608, 6.8947572931683608, 16.018463373960142, 0.3048)
    for name, scale in zip(FIGURES, scales, strict=True):
        assert inch[name]["value"] * scale == pytest.approx(metric[name]["value"], rel=1e-9, abs=1e-6), name


@given(standard=standards, temperature=celsius, pressure=kilopascals, humidity=percents, power=st.floats(1.0, 2000.0))
def test_parts_make_up_the_whole(standard: str, temperature: float, pressure: float, humidity: float, power: float) -> None:
    found = ask(standard, f"{temperature} degC", f"{pressure} kPa", f"{humidity} %", f"{power} kW")
    assert found["corrected_power"]["value"] == pytest.approx(found["factor"]["value"] * power, rel=1e-11)
    assert found["dry_pressure"]["value"] + found["vapor_pressure"]["value"] == pytest.approx(pressure, rel=1e-11)
    assert found["dry_pressure"]["value"] > 0


@given(rows=st.lists(st.tuples(standards, celsius, kilopascals, percents, st.floats(1.0, 2000.0)), min_size=1, max_size=20))
def test_batch_rows_are_the_single_answers(rows: list[tuple[str, float, float, float, float]]) -> None:
    names = ("standard", "air_temperature", "pressure", "humidity", "observed_power")
    columns = dict(zip(names, (list(column) for column in zip(*rows, strict=True)), strict=True))
    found = answer_batch(CALCULATION, {"units": "metric", "columns": columns}, most_rows=100)
    assert found["failures"] == []
    for row, (standard, temperature, pressure, humidity, power) in enumerate(rows):
        single = ask(standard, temperature, pressure, humidity, power, units="metric")
        assert {name: found["columns"][name][row] for name in FIGURES} == {name: single[name]["value"] for name in FIGURES}
        assert {name: column[row] for name, column in found["checks"].items() if column[row] is not None} == verdicts(single)


@given(standard=standards, temperature=st.floats(0.0, 40.0), pressure=st.floats(85.0, 105.0), humidity=st.floats(10.0, 90.0))
def test_bounds_are_the_corners(standard: str, temperature: float, pressure: float, humidity: float) -> None:
    found = ask(standard, f"{temperature} ± 1 degC", f"{pressure} ± 0.5 kPa", f"{humidity} ± 5 %")["factor"]
    corners = [factor(standard, temperature + t, pressure + p, humidity + h) for t in (-1.0, 1.0) for p in (-0.5, 0.5) for h in (-5.0, 5.0)]
    assert found["low"] == pytest.approx(min(corners), rel=1e-10)
    assert found["high"] == pytest.approx(max(corners), rel=1e-10)


def test_far_air_is_told() -> None:
    assert verdicts(ask("iso-1585", "25 degC", "99 kPa", "0 %")) == {"factor": "pass", "air-temperature": "pass", "pressure": "pass"}
    hills = ask("sae-j1349", "36 degC", "80 kPa", "50 %")
    assert verdicts(hills) == {"factor": "fail", "air-temperature": "watch", "dry-pressure": "watch"}
    edge = ask("iso-1585", "25 degC", {"value": 93.6, "unit": "kPa", "tolerance": 0.1}, "0 %")
    assert verdicts(edge)["factor"] == "watch", "1.0696, and outside at a corner"


def test_no_range_is_known_for_the_withdrawn_standard() -> None:
    assert verdicts(ask("din-70020", "20 degC", "101.3 kPa", "50 %")) == {"factor": "unknown"}


def test_own_limits_replace_the_standards() -> None:
    own = {"limits": {"factor": {"low": "0.9", "high": "1.3"}}}
    for standard in STANDARDS:
        check = ask(standard, "30 degC", "88 kPa", "50 %", **own)["checks"][0]
        assert (check["verdict"], check["basis"], check["limits"]["high"]["value"]) == ("pass", "caller", 1.3)
    with pytest.raises(InvalidRequest) as refused:
        ask("iso-1585", "30 degC", "88 kPa", "50 %", limits={"factor": {"low": "1.1", "high": "0.9"}})
    assert refused.value.errors[0].pointer == "#/limits/factor/high"


def test_efficiency_that_sae_takes_is_listed() -> None:
    assumed = ask("sae-j1349", "25 degC", "99 kPa", "0 %")["assumptions"]
    assert [(entry["name"], entry["value"]) for entry in assumed] == [("mechanical_efficiency", {"value": 85.0, "unit": "%"})]
    assert ask("iso-1585", "25 degC", "99 kPa", "0 %")["assumptions"] == []


def test_coldest_air_still_answers() -> None:
    for temperature in ("-40 degC", "-40 degF", "233.15 K"):
        assert ask("iso-1585", temperature, "120 kPa", "100 %")["factor"]["value"] == pytest.approx(
            (99 / 120) ** 1.2 * (233 / 298) ** 0.6, rel=1e-3
        )


def test_hottest_thinnest_wettest_air_still_answers() -> None:
    found = ask("sae-j1349", "80 degC", "50 kPa", "100 %")
    assert 0 < found["dry_pressure"]["value"] < 3
    assert all(np.isfinite(found[name]["value"]) for name in FIGURES)
    assert verdicts(found)["factor"] == "fail"


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("humidity", "101 %"),
        ("air_temperature", "81 degC"),
        ("air_temperature", "-41 degC"),
        ("pressure", "20 kPa"),
        ("pressure", "29.9 psi"),
        ("observed_power", "0 kW"),
    ],
)
def test_air_that_can_not_be(field: str, value: str) -> None:
    body = {**CALCULATION.examples["ISO 1585 in the hills"], field: value}
    with pytest.raises(ImpossibleBuild) as refused:
        answer(CALCULATION, body)
    assert [error.pointer for error in refused.value.errors] == [f"#/{field}"]


@pytest.mark.parametrize(("field", "value"), [("standard", "sae"), ("pressure", "29.9 m"), ("humidity", "-1 %"), ("observed_power", None)])
def test_what_the_schema_refuses(field: str, value: Any) -> None:
    body = {**CALCULATION.examples["ISO 1585 in the hills"], field: value}
    with pytest.raises(InvalidRequest) as refused:
        answer(CALCULATION, body)
    assert [error.pointer for error in refused.value.errors] == [f"#/{field}"]


class TestWhatAShopReads:
    """Dew point, wet bulb and the weather report's pressure instead of humidity and barometer."""

    AIR: ClassVar[dict[str, Any]] = {"observed_power": "100 kW", "standard": "sae-j1349"}

    def ask(self, **air: Any) -> dict[str, Any]:
        return answer(CALCULATION, {**self.AIR, **air})

    @given(temperature=st.floats(-20.0, 60.0), below=st.floats(0.0, 20.0), pressure=st.floats(80.0, 110.0))
    def test_a_dew_point_is_the_humidity_of_its_vapor(self, temperature: float, below: float, pressure: float) -> None:
        shared = {"air_temperature": f"{temperature} degC", "pressure": f"{pressure} kPa"}
        by_dew = self.ask(**shared, dew_point=f"{temperature - below} degC")
        humid = f"{by_dew['relative_humidity']['value']} %"
        assert self.ask(**shared, humidity=humid)["factor"]["value"] == pytest.approx(by_dew["factor"]["value"], rel=1e-9)
        assert by_dew["vapor_pressure"]["value"] <= by_dew["station_pressure"]["value"]

    def test_saturated_air_reads_the_same_on_every_instrument(self) -> None:
        shared = {"air_temperature": "25 degC", "pressure": "99 kPa"}
        factors = [
            self.ask(**shared, **{name: value})["factor"]["value"]
            for name, value in (("humidity", "100 %"), ("dew_point", "25 degC"), ("wet_bulb", "25 degC"))
        ]
        assert factors == pytest.approx([factors[0]] * 3, rel=1e-9)

    @given(wet=st.floats(15.0, 29.0), step=st.floats(0.1, 1.0))
    def test_a_drier_wet_bulb_is_drier_air(self, wet: float, step: float) -> None:
        shared = {"air_temperature": "30 degC", "pressure": "100 kPa"}
        damp, dry = (self.ask(**shared, wet_bulb=f"{at} degC") for at in (wet, wet - step))
        assert dry["relative_humidity"]["value"] < damp["relative_humidity"]["value"]
        assert dry["factor"]["value"] < damp["factor"]["value"]

    @pytest.mark.parametrize(("name", "value"), [("dew_point", "31 degC"), ("wet_bulb", "31 degC"), ("wet_bulb", "5 degC")])
    def test_what_can_not_be_is_refused(self, name: str, value: str) -> None:
        with pytest.raises(ImpossibleBuild) as refused:
            self.ask(air_temperature="30 degC", pressure="100 kPa", **{name: value})
        assert {error.pointer for error in refused.value.errors} == {f"#/{name}"}

    def test_one_of_each_is_needed(self) -> None:
        air = {"air_temperature": "20 degC", "pressure": "100 kPa", "humidity": "50 %"}
        for wrong in ({"dew_point": "10 degC"}, {"sea_level_pressure": "101 kPa", "elevation": "100 m"}):
            with pytest.raises(InvalidRequest):
                self.ask(**air, **wrong)
        with pytest.raises(InvalidRequest):
            self.ask(air_temperature="20 degC", sea_level_pressure="101 kPa", humidity="50 %")

    def test_at_sea_level_the_report_is_the_barometer(self) -> None:
        shared = {"air_temperature": "20 degC", "humidity": "50 %"}
        report = self.ask(**shared, sea_level_pressure="100.7 kPa", elevation="0 m")
        assert report["factor"]["value"] == pytest.approx(self.ask(**shared, pressure="100.7 kPa")["factor"]["value"], rel=1e-12)

    def test_in_a_batch(self) -> None:
        body = {
            "units": "metric",
            "common": {**self.AIR, "air_temperature": 25, "elevation": "300 m"},
            "columns": {"sea_level_pressure": [100.0, 101.0, 102.0], "dew_point": [5.0, 10.0, 30.0]},
        }
        found = answer_batch(CALCULATION, body, most_rows=10)
        assert [failure["row"] for failure in found["failures"]] == [2]
        alone = self.ask(air_temperature="25 degC", elevation="300 m", sea_level_pressure="101 kPa", dew_point="10 degC")
        assert found["columns"]["factor"][1] == pytest.approx(alone["factor"]["value"], rel=1e-12)
