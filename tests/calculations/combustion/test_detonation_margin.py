"""detonation-margin: trends, bands, limits, what it refuses and what it does not know."""

import copy
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest, Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

CALCULATION = calculations()["detonation-margin"]
BANDS = ("octane_required", "octane_margin", "peak_pressure", "spark_retard_to_live", "compression_ratio_limit", "boost_limit")
PLAIN: dict[str, Any] = {
    "bore": "101.6 mm",
    "stroke": "88.4 mm",
    "rod_length": "152.4 mm",
    "cylinders": 8,
    "compression_ratio": 10,
    "speed": "4000 rpm",
    "fuel": {"octane": {"rating": 93, "scale": "aki"}},
}
cycles = settings(max_examples=15, deadline=None)  # each example is a few cycles


def with_(**changes: Any) -> dict[str, Any]:
    """The plain engine with some fields changed; None takes a field out."""
    body = {**copy.deepcopy(PLAIN), **changes}
    return {name: value for name, value in body.items() if value is not None}


def ask(**changes: Any) -> dict[str, Any]:
    return answer(CALCULATION, with_(**changes))


def required(**changes: Any) -> float:
    return float(ask(**changes)["octane_required"]["value"]["value"])


def verdict(found: dict[str, Any], name: str) -> str:
    return str(next(check["verdict"] for check in found["checks"] if check["name"] == name))


def errors(expected: type[Refusal], **changes: Any) -> set[str]:
    with pytest.raises(expected) as refused:
        ask(**changes)
    assert type(refused.value) is expected
    return {error.pointer for error in refused.value.errors}


class TestTrends:
    """What makes an engine ask for more octane, and what for less."""

    @cycles
    @given(st.floats(7.5, 12.0), st.floats(0.2, 2.0))
    def test_rises_with_compression(self, ratio: float, more: float) -> None:
        assert required(compression_ratio=ratio + more) > required(compression_ratio=ratio)

    @cycles
    @given(st.floats(0.0, 100.0), st.floats(5.0, 60.0), st.sampled_from(["exhaust", "crank"]))
    def test_rises_with_boost(self, boost: float, more: float, drive: str) -> None:
        low, high = ({"pressure": f"{kpa} kPa", "drive": drive} for kpa in (boost, boost + more))
        assert required(boost=high) > required(boost=low)

    @cycles
    @given(st.floats(-20.0, 40.0), st.floats(2.0, 30.0))
    def test_rises_with_the_air_s_temperature(self, temperature: float, more: float) -> None:
        cold, hot = ({"temperature": f"{degrees} degC"} for degrees in (temperature, temperature + more))
        assert required(ambient=hot) > required(ambient=cold)

    @cycles
    @given(st.floats(1000.0, 7000.0), st.floats(300.0, 2000.0))
    def test_falls_with_speed(self, speed: float, more: float) -> None:
        assert required(speed=f"{speed + more} rpm") < required(speed=f"{speed} rpm")

    @cycles
    @given(st.floats(0.0, 0.7), st.floats(0.1, 0.3))
    def test_falls_with_charge_cooling(self, effectiveness: float, more: float) -> None:
        little, much = ({"pressure": "70 kPa", "intercooler_effectiveness": share} for share in (effectiveness, effectiveness + more))
        assert required(boost=much) < required(boost=little)

    @cycles
    @given(st.floats(0.0, 3000.0), st.floats(200.0, 2000.0))
    def test_falls_with_altitude(self, altitude: float, more: float) -> None:
        assert required(ambient={"altitude": f"{altitude + more} m", "temperature": "20 degC"}) < required(
            ambient={"altitude": f"{altitude} m", "temperature": "20 degC"}
        )

    def test_back_pressure_and_poor_compressors_ask_for_more(self) -> None:
        crank = required(boost={"pressure": "60 kPa", "drive": "crank"})
        assert required(boost={"pressure": "60 kPa", "drive": "exhaust"}) > crank
        assert required(boost={"pressure": "60 kPa", "drive": "crank", "compressor_efficiency": 0.5}) > crank

    def test_colder_fuels_ask_for_less(self) -> None:
        fuels = [{"name": name, "octane": {"rating": 100, "scale": "ron"}} for name in ("gasoline", "ethanol")]
        assert required(fuel=fuels[1]) < required(fuel=fuels[0])


class TestOctane:
    """Scales, and what the fuel is worth in the engine."""

    def test_one_fuel_on_three_scales(self) -> None:
        """AKI = (RON + MON)/2, ASTM D4814; RON − MON of 9 is the table's."""
        found = [ask(fuel={"octane": {"rating": rating, "scale": scale}}) for rating, scale in ((97.5, "ron"), (88.5, "mon"), (93, "aki"))]
        for one in found:
            assert one["octane_available"]["value"]["value"] == pytest.approx(97.5)
            assert one["octane_margin"]["value"]["value"] == pytest.approx(found[0]["octane_margin"]["value"]["value"])

    def test_conversion_is_listed_as_an_assumption(self) -> None:
        named = {one["name"]: one for one in ask()["assumptions"]}
        assert named["octane.sensitivity"]["value"] == {"value": 9.0, "unit": "1"}
        assert "K 0" in named["octane.motor_weight"]["source"]
        assert named["octane.number_in_the_engine"]["value"]["value"] == pytest.approx(97.5)

    def test_a_rating_between_the_methods_is_known_best(self) -> None:
        """With a carburettor K is 0.3 to 1 and 0.5 most often: there the anti-knock index is the octane number."""
        band = ask(injection="carburetor", fuel={"octane": {"rating": 93, "scale": "aki"}})["octane_available"]
        assert band["value"]["value"] == pytest.approx(93.0)
        assert band["low"]["value"] == pytest.approx(93.0 - 0.5 * 9.0, abs=0.3)
        assert band["high"]["value"] == pytest.approx(93.0 + 0.2 * 9.0, abs=0.3)

    def test_both_ratings_leave_no_guess_at_how_far_they_lie_apart(self) -> None:
        found = ask(fuel={"octane": {"ron": 98, "mon": 88}})
        assert found["octane_available"]["value"]["value"] == pytest.approx(98.0)
        assert "sensitivity" not in {driver["name"] for driver in found["drivers"]}
        known = ask(fuel={"octane": {"ron": 98, "mon": 88}, "octane_weight": 0.5})
        assert [known["octane_available"][side]["value"] for side in ("low", "value", "high")] == pytest.approx([93.0] * 3)

    def test_aviation_fuel_in_an_air_cooled_engine_counts_by_its_motor_number(self) -> None:
        """ASTM D910 (from memory): the grade is the motor octane number at the lean mixture."""
        found = ask(cooling="air", injection="carburetor", fuel={"octane": {"rating": 99.6, "scale": "mon"}})
        assert found["octane_available"]["value"]["value"] == pytest.approx(99.6)

    @cycles
    @given(st.floats(82.0, 100.0), st.floats(0.5, 8.0))
    def test_better_fuel_never_loses(self, rating: float, more: float) -> None:
        poor, good = (ask(boost={"pressure": "40 kPa"}, fuel={"octane": {"rating": r, "scale": "ron"}}) for r in (rating, rating + more))
        assert good["octane_required"] == poor["octane_required"]
        assert good["octane_margin"]["value"]["value"] == pytest.approx(poor["octane_margin"]["value"]["value"] + more)
        for name in ("spark_retard_to_live", "retard_cost"):
            assert good[name]["value"]["value"] <= poor[name]["value"]["value"]
        for name in ("compression_ratio_limit", "boost_limit"):
            assert good[name]["value"]["value"] >= poor[name]["value"]["value"]


class TestBands:
    """Every figure as a band, and what drives it."""

    @pytest.mark.parametrize("title", CALCULATION.examples)
    def test_low_value_high_stand_in_order(self, title: str) -> None:
        found = answer(CALCULATION, CALCULATION.examples[title])
        for name in BANDS:
            low, value, high = (found[name][side]["value"] for side in ("low", "value", "high"))
            assert low <= value <= high, name
        assert found["octane_margin"]["low"]["value"] < found["octane_margin"]["value"]["value"] < found["octane_margin"]["high"]["value"]

    @pytest.mark.parametrize(
        "odd",
        [
            {"bore": "24.4 mm", "stroke": "333 mm", "rod_length": "745 mm", "speed": "970 rpm", "compression_ratio": 11.2},
            {"compression_ratio": 7.3, "speed": "7950 rpm", "nitrous": {"mass_flow": "214 g/s"}, "ambient": {"temperature": "73 degC"}},
            {
                "compression_ratio": 22.3,
                "speed": "590 rpm",
                "ambient": {"altitude": "6800 m"},
                "fuel": {"octane": {"rating": 105, "scale": "ron"}},
            },
            {"volumetric_efficiency": 1.4, "boost": {"pressure": "390 kPa", "drive": "crank"}, "compression_ratio": 24},
        ],
    )
    def test_at_the_edges_an_end_that_is_not_known_is_null_and_the_rest_in_order(self, odd: dict[str, Any]) -> None:
        found = ask(**odd)
        for name in (*BANDS, "retard_cost"):
            band = [found[name][side]["value"] for side in ("low", "value", "high") if found[name][side] is not None]
            assert band == sorted(band), name
            assert all(math.isfinite(value) for value in band)

    def test_shares_add_up_and_stand_in_order(self) -> None:
        shares = [driver["share"] for driver in ask()["drivers"]]
        assert sum(shares) == pytest.approx(1.0)
        assert shares == sorted(shares, reverse=True)
        assert all(driver["text"] and driver["source"] for driver in ask()["drivers"])

    def test_the_margin_s_band_is_the_root_of_the_sum_of_squares(self) -> None:
        found = ask()
        down = [min(driver["low_end"]["value"], driver["high_end"]["value"], 0.0) for driver in found["drivers"]]
        band = found["octane_margin"]
        assert band["value"]["value"] - band["low"]["value"] == pytest.approx(math.hypot(*down))

    @pytest.mark.parametrize(
        ("name", "further"),
        [
            ("charge_heating", 2.0),  # 10 K less, 20 K more
            ("residual_gas", 10.0),  # a tenth less, as much again more
            ("volumetric_efficiency", 1.0),  # as far either way
        ],
    )
    def test_an_uncertain_input_moves_the_margin_by_how_far_it_reaches(self, name: str, further: float) -> None:
        driver = next(one for one in ask()["drivers"] if one["name"] == name)
        low, high = driver["low_end"]["value"], driver["high_end"]["value"]
        assert low > 0.0 > high
        assert -high / low == pytest.approx(further, rel=0.05)

    def test_a_fuel_that_stands_the_best_timing_costs_nothing(self) -> None:
        found = ask(compression_ratio=7.5, fuel={"octane": {"rating": 98, "scale": "ron"}})
        assert [found[name][side]["value"] for name in ("spark_retard_to_live", "retard_cost") for side in ("low", "value", "high")] == [
            0.0
        ] * 6

    def test_knowing_how_it_fills_narrows_the_band(self) -> None:
        guessed = ask()
        filled = next(one["value"]["value"] for one in guessed["assumptions"] if one["name"] == "volumetric_efficiency")
        known = ask(volumetric_efficiency=filled)
        assert known["octane_required"]["value"]["value"] == pytest.approx(guessed["octane_required"]["value"]["value"], rel=1e-9)
        width = [one["octane_margin"]["high"]["value"] - one["octane_margin"]["low"]["value"] for one in (guessed, known)]
        assert width[1] < width[0]
        assert "volumetric_efficiency" not in {driver["name"] for driver in known["drivers"]}
        assert "volumetric_efficiency" not in {one["name"] for one in known["assumptions"]}

    def test_tolerances_come_on_top(self) -> None:
        found = ask(compression_ratio="10 ± 0.2", bore="101.6 mm ± 0.01 mm")
        value = found["octane_required"]["value"]
        ends = [required(compression_ratio=ratio) for ratio in (9.8, 10.2)]
        assert value["low"] == pytest.approx(ends[0], abs=0.02)
        assert value["high"] == pytest.approx(ends[1], abs=0.02)
        assert found["sensitivity"][0]["input"] == "#/compression_ratio"
        assert found["sensitivity"][0]["output"] == "octane_margin.value"


class TestLimits:
    """How far compression and boost can go."""

    @cycles
    @given(st.floats(8.0, 12.5), st.floats(88.0, 105.0), st.floats(2000.0, 6000.0))
    def test_the_margin_s_sign_is_the_limit_s(self, ratio: float, rating: float, speed: float) -> None:
        found = ask(compression_ratio=ratio, fuel={"octane": {"rating": rating, "scale": "ron"}}, speed=f"{speed} rpm")
        margin, limit = found["octane_margin"]["value"]["value"], found["compression_ratio_limit"]["value"]
        if abs(margin) > 0.01:
            assert (margin > 0) == (limit is None or limit["value"] > ratio)
            assert (margin > 0) == (found["boost_limit"]["value"] is None or found["boost_limit"]["value"]["value"] > 0)
        assert found["knock_limited"] == (margin < 0) or abs(margin) < 0.2

    def test_at_the_limit_no_margin_is_left(self) -> None:
        limit = ask()["compression_ratio_limit"]["value"]["value"]
        assert ask(compression_ratio=limit)["octane_margin"]["value"]["value"] == pytest.approx(0.0, abs=0.4)  # timing moves a little
        boosted = {"pressure": "20 kPa", "intercooler_effectiveness": 0.6}
        limit = ask(boost=boosted)["boost_limit"]["value"]["value"]
        there = ask(boost={**boosted, "pressure": f"{limit} kPa"})
        assert there["octane_margin"]["value"]["value"] == pytest.approx(0.0, abs=0.4)
        assert there["boost_limit"]["value"]["value"] == pytest.approx(limit, abs=1.0)

    def test_where_no_boost_is_left_it_is_zero_and_where_there_is_no_end_it_is_not_known(self) -> None:
        assert ask(compression_ratio=14)["boost_limit"]["value"]["value"] == 0.0
        found = ask(compression_ratio=6, speed="12000 rpm", fuel={"octane": {"rating": 140, "scale": "ron"}})
        assert found["compression_ratio_limit"]["value"] is None

    def test_own_limits_replace_practice(self) -> None:
        found = ask(limits={"octane_margin": {"low": 50}, "peak_pressure": {"high": "1 MPa"}, "spark_retard": {"high": "20 deg"}})
        assert [(check["name"], check["basis"], check["verdict"]) for check in found["checks"]] == [
            ("octane-margin", "caller", "fail"),
            ("octane-margin-at-worst", "caller", "watch"),
            ("spark-retard", "caller", "pass"),
            ("peak-pressure", "caller", "fail"),
        ]


class TestVerdicts:
    """What the checks make of it."""

    def test_safe_near_and_foolish(self) -> None:
        safe = ask(compression_ratio=8.5)
        near = ask(compression_ratio=9.5, boost={"pressure": "50 kPa", "intercooler_effectiveness": 0.6})
        foolish = ask(compression_ratio=11.5, boost={"pressure": "100 kPa"})
        assert [verdict(one, "octane-margin") for one in (safe, near, foolish)] == ["pass", "watch", "watch"]
        assert [verdict(one, "spark-retard") for one in (safe, near, foolish)] == ["pass", "pass", "fail"]
        assert [verdict(one, "peak-pressure") for one in (safe, near, foolish)] == ["unknown"] * 3

    def test_a_margin_that_what_is_not_known_could_eat_up_is_watched(self) -> None:
        safe, doubtful = ask(compression_ratio=8), ask(compression_ratio=9.3, boost={"pressure": "30 kPa"})
        assert doubtful["octane_margin"]["low"]["value"] < 0 < 2 < doubtful["octane_margin"]["value"]["value"]
        assert [verdict(one, "octane-margin") for one in (safe, doubtful)] == ["pass", "pass"]
        assert [verdict(one, "octane-margin-at-worst") for one in (safe, doubtful)] == ["pass", "watch"]

    @pytest.mark.parametrize("given", [{"power": "100 hp"}, {"mass_flow": f"{6 * 453.59237 / 60} g/s"}])
    def test_nitrous_is_held_against_the_retard_of_practice(self, given: dict[str, str]) -> None:
        """Up to 2.5 degrees for each 50 hp, a hundred horsepower being about six pounds a minute: common practice."""
        found = ask(nitrous=given, duty={"aspiration": "nitrous"})
        check = next(one for one in found["checks"] if one["name"] == "nitrous-retard")
        assert check["limits"]["low"]["value"] == pytest.approx(5.0, rel=0.1)
        asked = found["spark_retard_to_live"]["value"]["value"]
        assert check["verdict"] == ("watch" if asked < check["limits"]["low"]["value"] else "pass")
        assert "nitrous-retard" not in {one["name"] for one in ask()["checks"]}

    def test_a_shot_past_what_the_model_knows_is_not_passed(self) -> None:
        found = ask(nitrous={"power": "900 hp"}, duty={"aspiration": "nitrous"})
        assert found["octane_margin"]["low"] is None
        assert verdict(found, "octane-margin-at-worst") == "unknown"
        assert verdict(found, "nitrous-retard") in ("watch", "unknown")

    def test_a_fuel_no_timing_can_help_fails(self) -> None:
        found = ask(compression_ratio=15, boost={"pressure": "200 kPa"}, speed="1500 rpm", fuel={"octane": {"rating": 80, "scale": "mon"}})
        assert found["state"] == "no quiet timing"
        assert found["spark_retard_to_live"]["value"] is None
        assert found["octane_margin"]["value"]["value"] < -50
        assert verdict(found, "spark-retard") == "fail"
        assert "no timing" in next(check["reason"] for check in found["checks"] if check["name"] == "spark-retard")

    def test_what_can_not_be_solved_is_unknown_and_says_why(self) -> None:
        found = ask(bore="450 mm")
        assert found["state"] == "not solved"
        assert found["octane_required"] == {"low": None, "value": None, "high": None}
        assert found["peak_pressure_angle"] is None
        assert found["trace"] == []
        assert found["drivers"] == []
        for name in ("octane-margin", "octane-margin-at-worst", "spark-retard"):
            assert verdict(found, name) == "unknown"
        assert "bore must lie within" in found["checks"][0]["reason"]

    def test_duty_without_its_boost_is_unknown(self) -> None:
        found = ask(duty={"aspiration": "boost"})
        assert verdict(found, "boost-given") == "unknown"
        given_ = ask(duty={"aspiration": "boost"}, boost={"pressure": "30 kPa"})
        assert "boost-given" not in {check["name"] for check in given_["checks"]}

    def test_cautions(self) -> None:
        plain = " ".join(ask()["cautions"])
        assert "own knock decides" in plain
        assert "Nitrous" not in plain
        assert "Nitrous" in " ".join(ask(nitrous={"power": "50 kW"})["cautions"])
        assert "Boost" in " ".join(ask(boost={"pressure": "30 kPa"})["cautions"])


class TestRefusals:
    """What can't be, and where."""

    def test_impossible(self) -> None:
        assert errors(ImpossibleBuild, boost={"pressure": "60 bar"}) == {"#/boost/pressure"}
        assert errors(ImpossibleBuild, rod_length="40 mm") == {"#/rod_length"}
        assert errors(ImpossibleBuild, intake_closing="100 deg", exhaust_opening="270 deg") == {"#/exhaust_opening"}
        assert errors(ImpossibleBuild, ambient={"pressure": "90 kPa", "altitude": "900 m"}) == {"#/ambient/altitude"}
        assert errors(ImpossibleBuild, chamber_volume="60 cm3") == {"#/chamber_volume"}
        assert errors(ImpossibleBuild, speed="50000 rpm") == {"#/speed"}

    def test_invalid(self) -> None:
        assert errors(InvalidRequest, fuel={}) == {"#/fuel/octane"}
        assert errors(InvalidRequest, fuel={"octane": {"rating": 95, "scale": "pon"}}) == {"#/fuel/octane/scale"}
        assert errors(InvalidRequest, nitrous={}) == {"#/nitrous"}
        assert errors(InvalidRequest, nitrous={"power": "50 kW", "mass_flow": "30 g/s"}) == {"#/nitrous"}
        assert errors(InvalidRequest, compression_ratio=None) == {"#"}
        assert errors(InvalidRequest, fuel=None, speed=None) == {"#/fuel", "#/speed"}

    def test_the_rod_of_a_stack_is_held_against_the_throw(self) -> None:
        stack = {"deck_height": "217 mm", "rod_length": "40 mm", "compression_height": "30 mm"}
        changes = {"compression_ratio": None, "chamber_volume": "60 cm3", "gasket": {"volume": "10 cm3"}, "stack": stack}
        assert "#/rod_length" in errors(ImpossibleBuild, **changes)
        del changes["stack"]
        assert errors(ImpossibleBuild, **{**changes, "deck_clearance": "0 mm", "rod_length": "40 mm"}) == {"#/rod_length"}


def test_geometry_gives_the_same_as_its_ratio() -> None:
    volumes: dict[str, Any] = {
        "compression_ratio": None,
        "chamber_volume": "70 cm3",
        "gasket": {"volume": "9 cm3"},
        "deck_clearance": "0.1 mm",
    }
    geometry = {"bore": PLAIN["bore"], "stroke": PLAIN["stroke"], "cylinders": 8}
    found = answer(calculations()["compression"], {**geometry, **{name: value for name, value in volumes.items() if value is not None}})
    assert ask(**volumes)["octane_margin"]["value"]["value"] == pytest.approx(
        ask(compression_ratio=found["compression_ratio"]["value"])["octane_margin"]["value"]["value"], rel=1e-9
    )


def test_lower_speeds_are_the_same_engine_there() -> None:
    found = ask(compression_ratio=11.5, volumetric_efficiency=0.85)
    assert [row["speed"]["value"] for row in found["speeds"]] == pytest.approx([1600.0, 2400.0, 3200.0, 4000.0])
    margins = [row["octane_margin"]["value"] for row in found["speeds"]]
    assert margins == sorted(margins)
    slow = ask(compression_ratio=11.5, volumetric_efficiency=0.85, speed="1600 rpm")
    assert margins[0] == pytest.approx(slow["octane_margin"]["value"]["value"], rel=1e-9)
    assert found["speeds"][0]["spark_retard_to_live"]["value"] == pytest.approx(slow["spark_retard_to_live"]["value"]["value"], abs=1e-6)


def test_units_do_not_matter() -> None:
    inch = ask(bore="4 in", stroke="3.5 in", rod_length="6 in", boost={"pressure": "8 psi"}, ambient={"temperature": "86 degF"})
    metric = ask(
        bore="101.6 mm", stroke="88.9 mm", rod_length="152.4 mm", boost={"pressure": "55.158058345 kPa"}, ambient={"temperature": "30 degC"}
    )
    for name in BANDS:
        assert inch[name]["value"]["value"] == pytest.approx(metric[name]["value"]["value"], rel=1e-8), name


def test_the_trace_is_the_cycle() -> None:
    found = ask(compression_ratio=11.5, boost={"pressure": "40 kPa"})
    crank = [point["crank"]["value"] for point in found["trace"]]
    pressure = [point["pressure"]["value"] for point in found["trace"]]
    integral = [point["knock_integral"]["value"] for point in found["trace"] if point["knock_integral"] is not None]
    assert crank == sorted(crank)
    assert crank[0] == pytest.approx(-120.0)
    assert crank[-1] == pytest.approx(125.0)
    assert max(pressure) == pytest.approx(found["allowed_peak_pressure"]["value"], rel=5e-3)
    assert integral == sorted(integral)
    assert found["knock_limited"]
    assert integral[-1] == pytest.approx(1.0, abs=0.12)  # the last point before nine tenths have burned
    assert "low" not in found["trace"][0]["pressure"]


def test_nitrous_oxide_s_integral_reaches_what_the_cycle_found() -> None:
    found = ask(compression_ratio=13, speed="2500 rpm", nitrous={"mass_flow": "30 g/s"}, fuel={"octane": {"rating": 88, "scale": "aki"}})
    integral = [point["knock_integral"]["value"] for point in found["trace"] if point["knock_integral"] is not None]
    assert found["knock_limited"]
    assert integral[-1] == pytest.approx(1.0, abs=0.12)


def test_what_the_cold_of_nitrous_oxide_hides_is_in_the_band() -> None:
    """With less evaporated before the valve the charge is hotter: the band's poor end must reach that engine's octane number."""
    shot = {"mass_flow": "60 g/s"}
    plain, found = ask(nitrous=None), ask(nitrous=shot)
    driver = next(one for one in found["drivers"] if one["name"] == "nitrous_evaporated")
    assert driver["low_end"]["value"] < -1.5 < 0.0 < driver["high_end"]["value"]
    assert found["octane_required"]["high"]["value"] >= found["octane_required"]["value"]["value"] - driver["low_end"]["value"]
    assert found["octane_required"]["high"]["value"] > plain["octane_required"]["high"]["value"]
    assert "nitrous_evaporated" not in {one["name"] for one in plain["drivers"]}
    assumed = {one["name"]: one["value"] for one in found["assumptions"]}
    assert assumed["model.nitrous_evaporated"] == {"value": 0.3, "unit": "1"}
    assert "model.nitrous_evaporated" not in {one["name"] for one in plain["assumptions"]}


def test_the_band_is_known_where_no_more_nitrous_oxide_could_evaporate() -> None:
    """A flow of which half would leave no room for air: the high end stays at the nominal."""
    found = ask(nitrous={"mass_flow": "100 g/s"}, speed="1800 rpm", volumetric_efficiency=0.9)
    driver = next(one for one in found["drivers"] if one["name"] == "nitrous_evaporated")
    assert driver["high_end"]["value"] == 0.0
    assert found["octane_required"]["high"]["value"] > found["octane_required"]["value"]["value"]


def test_power_and_flow_of_nitrous_oxide_agree() -> None:
    by_flow = ask(nitrous={"mass_flow": "42.6 g/s"})
    power = next(one["value"] for one in by_flow["assumptions"] if one["name"] == "nitrous.power")
    by_power = ask(nitrous={"power": f"{power['value']} {power['unit']}"})
    assert power["value"] == pytest.approx(75.0, rel=2e-3)  # as the doctest of nitrous_flow
    assert by_flow["octane_required"]["value"]["value"] == pytest.approx(by_power["octane_required"]["value"]["value"], rel=1e-9)


def test_the_flow_that_the_cycle_burns_is_not_shown_as_one_to_jet_for() -> None:
    found = ask(nitrous={"power": "75 kW"})
    assert not any(one["value"]["unit"] in ("g/s", "lb/min") for one in found["assumptions"] if isinstance(one["value"], dict))


def test_octane_asked_for_never_falls_with_more_nitrous() -> None:
    power = np.linspace(0.0, 200.0, 21)
    body = {"units": "metric", "common": with_(nitrous=None), "columns": {"nitrous.power": power.tolist()}}
    columns = answer_batch(CALCULATION, body, most_rows=1000)["columns"]
    assert np.all(np.diff(columns["octane_required.value"]) > 0.0)


def test_a_warm_bottle_chills_less_and_asks_for_more() -> None:
    cold, warm = (ask(nitrous={"power": "100 kW", "bottle_temperature": f"{at} degC"}) for at in (0, 35))
    assert cold["octane_required"]["value"]["value"] < warm["octane_required"]["value"]["value"]


def test_more_rows_than_a_block_are_what_they_are_alone() -> None:
    ratios = np.linspace(8.0, 13.0, 150)
    body = {"units": "metric", "common": with_(compression_ratio=None), "columns": {"compression_ratio": ratios.tolist()}}
    columns = answer_batch(CALCULATION, body, most_rows=1000)["columns"]
    for row in (0, 127, 128, 149):
        alone = ask(compression_ratio=float(ratios[row]))
        for name in BANDS:
            for side in ("low", "value", "high"):
                assert columns[f"{name}.{side}"][row] == pytest.approx(alone[name][side]["value"], rel=1e-9, abs=1e-9), (name, side)


def test_rows_that_fail_or_are_not_known_harm_no_other() -> None:
    body = {
        "units": "metric",
        "common": with_(bore=None, compression_ratio=None),
        "columns": {"bore": [101.6, 450, 101.6, 5000], "compression_ratio": [10, 10, 11, 10]},
    }
    found = answer_batch(CALCULATION, body, most_rows=10)
    assert [failure["row"] for failure in found["failures"]] == [3]
    assert found["columns"]["state"] == ["solved", "not solved", "solved", None]
    assert np.isnan(found["columns"]["octane_required.value"]).tolist() == [False, True, False, True]
    assert found["checks"]["octane-margin"] == ["pass", "unknown", "pass", None]
