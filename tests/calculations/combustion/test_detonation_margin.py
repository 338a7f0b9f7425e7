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
BANDS = ("octane_required", "octane_margin", "peak_pressure", "retard_required", "compression_ratio_limit", "boost_limit")
PLAIN: dict[str, Any] = {
    "bore": "98.1 mm",
    "stroke": "85.3 mm",
    "rod_length": "152.4 mm",
    "cylinders": 8,
    "compression_ratio": 10,
    "speed": "4000 rpm",
    "fuel": {"octane": {"rating": 93, "scale": "aki"}},
}
cycles = settings(max_examples=15, deadline=None)  # each example is a few cycles


def with_(**changes: Any) -> dict[str, Any]:
    """The plain engine at one speed with some fields changed; None takes a field out."""
    body = {**copy.deepcopy(PLAIN), **changes}
    if "speeds" not in body and body["speed"] is not None:
        body["speeds"] = {"low": body["speed"], "high": body["speed"]}
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
        """With a carburetor K is 0.3 to 1 and 0.5 most often: there the anti-knock index is the octane number."""
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
        for name in ("retard_required", "retard_cost"):
            assert good[name]["value"]["value"] <= poor[name]["value"]["value"]
        for name in ("compression_ratio_limit", "boost_limit"):
            ends = [math.inf if one[name]["value"] is None else one[name]["value"]["value"] for one in (poor, good)]
            assert ends[1] >= ends[0]


class TestBands:
    """Every figure as a band, and what drives it."""

    @pytest.mark.parametrize("title", CALCULATION.examples)
    def test_low_value_high_stand_in_order(self, title: str) -> None:
        found = answer(CALCULATION, CALCULATION.examples[title])
        for name in BANDS:
            band = [found[name][side] for side in ("low", "value", "high")]
            ends = [math.inf if end is None else end["value"] for end in band]  # a limit beyond the range looked in is null
            assert ends == sorted(ends), name
            assert ends[0] < math.inf
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
        assert [found[name][side]["value"] for name in ("retard_required", "retard_cost") for side in ("low", "value", "high")] == [0.0] * 6

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
        found = ask(compression_ratio="10 ± 0.2", bore="98.1 mm ± 0.01 mm")
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
    def test_at_best_timing_the_margin_s_sign_is_the_limit_s(self, ratio: float, rating: float, speed: float) -> None:
        fuel = {"octane": {"rating": rating, "scale": "ron"}}
        found = ask(compression_ratio=ratio, fuel=fuel, speed=f"{speed} rpm", limits={"spark_retard": {"high": "0 deg"}})
        margin, limit = found["octane_margin"]["value"]["value"], found["compression_ratio_limit"]["value"]
        if abs(margin) > 0.05:
            assert (margin > 0) == (limit is None or limit["value"] > ratio)
            assert (margin > 0) == (found["boost_limit"]["value"] is None or found["boost_limit"]["value"]["value"] > 0)
        assert found["knock_limited"] == (margin < 0) or abs(margin) < 0.2

    @cycles
    @given(st.floats(8.0, 12.5), st.floats(88.0, 100.0), st.floats(2000.0, 6000.0))
    def test_asked_anew_at_the_limit_nothing_is_in_hand(self, ratio: float, rating: float, speed: float) -> None:
        """MBT timing is one and the same on the way to the limit and there: two hundredths of an octane number are two thousandths of a
        ratio."""
        common = {
            "fuel": {"octane": {"rating": rating, "scale": "ron"}},
            "speed": f"{speed} rpm",
            "limits": {"spark_retard": {"high": "0 deg"}},
        }
        limit = ask(compression_ratio=ratio, **common)["compression_ratio_limit"]["value"]
        if limit is not None:
            assert abs(ask(compression_ratio=limit["value"], **common)["octane_margin"]["value"]["value"]) < 0.02

    @pytest.mark.parametrize("retard", ["0 deg", "3 deg", "6 deg"])
    def test_at_the_limit_the_retard_allowed_is_the_retard_required(self, retard: str) -> None:
        limits, fuel = {"spark_retard": {"high": retard}}, {"octane": {"rating": 80, "scale": "aki"}}
        degrees = float(retard.split()[0])
        limit = ask(limits=limits, fuel=fuel)["compression_ratio_limit"]["value"]["value"]
        there = ask(compression_ratio=limit, limits=limits, fuel=fuel)
        assert there["retard_allowed"]["value"] == pytest.approx(degrees)
        assert there["retard_required"]["value"]["value"] == pytest.approx(degrees, abs=0.15)
        boosted = {"pressure": "20 kPa", "intercooler_effectiveness": 0.6}
        limit = ask(boost=boosted, limits=limits)["boost_limit"]["value"]["value"]
        there = ask(boost={**boosted, "pressure": f"{limit} kPa"}, limits=limits)
        assert there["retard_required"]["value"]["value"] == pytest.approx(degrees, abs=0.15)
        assert there["boost_limit"]["value"]["value"] == pytest.approx(limit, abs=0.5)

    def test_a_limit_is_the_engine_s_and_the_fuel_s_whatever_the_engine_has(self) -> None:
        """Over a range of speeds, from far under the limit and far over it."""
        limits, range_ = {"spark_retard": {"high": "8 deg"}}, {"low": "1400 rpm", "high": "5500 rpm"}
        regular = {"octane": {"rating": 87, "scale": "aki"}}
        asked = [ask(compression_ratio=ratio, speeds=range_, limits=limits, fuel=regular) for ratio in (7, 9.8, 11.65, 15.5)]
        for side in ("low", "value"):
            found = [one["compression_ratio_limit"][side]["value"] for one in asked]
            assert max(found) - min(found) < 0.05
        assert {one["compression_ratio_limit_reach"] for one in asked} == {"found"}
        boosts = [{"pressure": f"{kpa} kPa", "drive": "crank"} for kpa in (2, 30, 90)]
        asked = [ask(compression_ratio=9, speeds=range_, limits=limits, boost=boost) for boost in boosts]
        for side in ("low", "value"):
            found = [one["boost_limit"][side]["value"] for one in asked]
            assert max(found) - min(found) < 0.5

    @cycles
    @given(
        st.floats(7.0, 14.0), st.floats(85.0, 100.0), st.floats(0.0, 100.0), st.floats(0.0, 40.0), st.floats(75.0, 100.0), st.integers(0, 2)
    )
    def test_more_boost_ambient_pressure_or_heat_never_raises_a_limit(
        self, ratio: float, ron: float, boost: float, heat: float, ambient: float, which: int
    ) -> None:
        moved = [(step if which == place else 0.0) for place, step in enumerate((5.0, 5.0, 6.0))]
        fuel, limits = {"octane": {"rating": ron, "scale": "ron"}}, {"spark_retard": {"high": "8 deg"}}
        range_ = {"low": "1500 rpm", "high": "5500 rpm"}
        asked = [
            ask(
                compression_ratio=ratio,
                fuel=fuel,
                limits=limits,
                speeds=range_,
                boost={"pressure": f"{boost + a} kPa", "intercooler_effectiveness": 0.5},
                ambient={"temperature": f"{heat + b} degC", "pressure": f"{ambient + c} kPa"},
            )
            for a, b, c in ((0.0, 0.0, 0.0), moved)
        ]
        for name, room in (("compression_ratio_limit", 0.01), ("boost_limit", 0.1)):
            if which == 0 and name == "boost_limit":
                continue  # it is the same limit
            for side in ("low", "value", "high"):
                before, after = (math.inf if one[name][side] is None else one[name][side]["value"] for one in asked)
                assert after <= before + room

    @pytest.mark.parametrize(
        "build",
        [
            {"fuel": {"octane": {"rating": 78, "scale": "aki"}}},
            {
                "fuel": {"octane": {"rating": 92, "scale": "aki"}},
                "boost": {"pressure": "50 kPa", "intercooler_effectiveness": 0.6},
                "torque_curve": [
                    {"speed": f"{rpm} rpm", "volumetric_efficiency": filled, "boost": f"{kpa} kPa"}
                    for rpm, filled, kpa in ((1600, 0.85, 10), (2600, 0.97, 55), (3100, 0.82, 60), (4400, 0.95, 30))
                ],
            },
        ],
    )
    def test_it_is_where_a_scan_finds_it(self, build: dict[str, Any]) -> None:
        """Over a range of speeds, the corners of a curve among them: where the retard asked for is the one allowed."""
        build = {**build, "speed": "5000 rpm", "limits": {"spark_retard": {"high": "9 deg"}}}
        limit = ask(speeds=None, compression_ratio=9.0, **build)["compression_ratio_limit"]["value"]["value"]
        ratios = limit * np.linspace(0.96, 1.04, 9)
        common = {name: value for name, value in with_(speeds=None, compression_ratio=None, **build).items() if name != "speeds"}
        body = {"units": "metric", "common": common, "columns": {"compression_ratio": ratios.tolist()}}
        asked = np.asarray(answer_batch(CALCULATION, body, most_rows=100)["columns"]["retard_required.value"], dtype=np.float64)
        assert asked[0] < 9.0 < asked[-1]
        assert float(np.interp(9.0, asked, ratios)) == pytest.approx(limit, rel=4e-3)

    def test_what_was_never_published_is_no_limit(self) -> None:
        found = ask(fuel={"octane": {"rating": 112, "scale": "ron"}})
        assert found["compression_ratio_limit"]["value"] is None
        assert found["compression_ratio_limit_reach"] == "over 13:1, past what was published"
        assert found["compression_ratio_limit_speed"] is None
        poor = ask(fuel={"octane": {"rating": 60, "scale": "ron"}}, boost={"pressure": "150 kPa"})
        assert (poor["compression_ratio_limit"]["value"]["value"], poor["compression_ratio_limit_reach"]) == (5.0, "under 5:1")
        assert ask(bore="450 mm")["compression_ratio_limit_reach"] == "unknown"

    def test_more_retard_allowed_raises_the_limit(self) -> None:
        fuel = {"octane": {"rating": 87, "scale": "aki"}}
        asked = [ask(fuel=fuel, limits={"spark_retard": {"high": f"{late} deg"}}) for late in (0, 3, 7)]
        limits = [one["compression_ratio_limit"]["low"]["value"] for one in asked]
        assert limits == sorted(limits)
        assert limits[2] > limits[0] + 1.0

    def test_where_no_boost_is_left_it_is_zero_and_where_there_is_no_end_it_is_not_known(self) -> None:
        late = {"spark_retard": {"high": "0 deg"}}
        assert ask(compression_ratio=14, limits=late)["boost_limit"]["value"]["value"] == 0.0
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
        asked = found["retard_required"]["value"]["value"]
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
        assert found["retard_required"]["value"] is None
        assert found["octane_margin"]["value"]["value"] < -50
        assert verdict(found, "spark-retard") == "fail"
        assert "no timing" in next(check["reason"] for check in found["checks"] if check["name"] == "spark-retard")

    def test_what_can_not_be_solved_is_unknown_and_says_why(self) -> None:
        found = ask(bore="450 mm")
        assert found["state"] == "not solved"
        assert found["octane_required"] == {"low": None, "value": None, "high": None, "scale": "octane index"}
        assert found["octane_reach"] == "unknown"
        assert found["by_speed"] == []
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
        assert errors(InvalidRequest, ambient={"pressure": "90 kPa", "altitude": "900 m"}) == {"#/ambient/altitude"}
        assert errors(InvalidRequest, chamber_volume="60 cm3") == {"#/chamber_volume"}
        assert errors(ImpossibleBuild, speed="50000 rpm", speeds=None) == {"#/speed"}
        assert errors(InvalidRequest, speeds={"low": "3000 rpm", "high": "2000 rpm"}) == {"#/speeds/high"}
        assert errors(InvalidRequest, torque_curve=[{"speed": "2000 rpm"}]) == {"#/torque_curve/0"}
        assert errors(InvalidRequest, fuel={**PLAIN["fuel"], "name": "gasoline", "blend": {"ethanol": 1}}) == {"#/fuel/name"}
        assert errors(ImpossibleBuild, fuel={**PLAIN["fuel"], "blend": {"ethanol": 0}}) == {"#/fuel/blend"}

    def test_a_speed_alone_may_have_a_tolerance(self) -> None:
        """Of a curve's point, or of the range: nothing else of the request has one."""
        curve = [{"speed": "2000 rpm ± 100 rpm", "volumetric_efficiency": "0.8"}, {"speed": "5000 rpm", "volumetric_efficiency": "0.9"}]
        for toleranced in ({"torque_curve": curve}, {"speeds": {"low": "2000 rpm ± 50 rpm", "high": "3000 rpm"}}):
            margin = ask(**toleranced)["octane_margin"]["value"]
            assert margin["low"] <= margin["value"] <= margin["high"]

    def test_invalid(self) -> None:
        assert errors(InvalidRequest, fuel={}) == {"#/fuel/octane"}
        assert errors(InvalidRequest, fuel={"octane": {"rating": 95, "scale": "pon"}}) == {"#/fuel/octane/scale"}
        assert errors(InvalidRequest, nitrous={}) == {"#/nitrous"}
        assert errors(InvalidRequest, nitrous={"power": "50 kW", "mass_flow": "30 g/s"}) == {"#/nitrous"}
        assert errors(InvalidRequest, compression_ratio=None) == {"#"}
        assert errors(InvalidRequest, fuel=None, speed=None) == {"#/fuel", "#/speed"}

    def test_the_rod_of_a_stack_is_held_against_the_throw(self) -> None:
        stack = {"deck_height": "215.5 mm", "rod_length": "40 mm", "compression_height": "30 mm"}
        changes = {"compression_ratio": None, "chamber_volume": "60 cm3", "gasket": {"volume": "10 cm3"}, "stack": stack}
        assert "#/rod_length" in errors(InvalidRequest, **changes)
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


class TestRange:
    """The worst over the range of speeds."""

    def test_left_out_it_is_from_lugging_to_the_speed_asked(self) -> None:
        found = ask(speeds=None)
        speeds = [row["speed"]["value"] for row in found["by_speed"]]
        assert speeds[0] == pytest.approx(4.3 / (2.0 * 0.0853) * 60.0)  # mean piston speed of 4.3 m/s
        assert speeds[-1] == pytest.approx(4000.0)
        assert speeds == sorted(speeds)
        assert found["worst_speed"]["value"] == pytest.approx(speeds[0])
        assert "speeds.low" in {one["name"] for one in found["assumptions"]}

    def test_a_row_is_the_engine_asked_at_that_speed(self) -> None:
        found = ask(speeds=None, compression_ratio=11.5)
        for row in (found["by_speed"][0], found["by_speed"][-1]):
            alone = ask(compression_ratio=11.5, speed=f"{row['speed']['value']} rpm")
            assert row["octane_required"]["value"] == pytest.approx(alone["octane_required"]["value"]["value"], rel=1e-6)
            assert row["retard_required"]["value"] == pytest.approx(alone["retard_required"]["value"]["value"], abs=0.02)
        for row in found["by_speed"][1:-1]:  # by the trials
            alone = ask(compression_ratio=11.5, speed=f"{row['speed']['value']} rpm")
            assert row["octane_required"]["value"] == pytest.approx(alone["octane_required"]["value"]["value"], abs=0.1)

    def test_no_row_is_worse_than_the_headline(self) -> None:
        found = ask(speeds=None, compression_ratio=11.5, boost={"pressure": "30 kPa"})
        for name, worst in (("octane_required", max), ("octane_margin", min), ("retard_required", max), ("peak_pressure", max)):
            assert found[name]["value"]["value"] == pytest.approx(worst(row[name]["value"] for row in found["by_speed"])), name

    @settings(max_examples=12, deadline=None)
    @given(st.integers(0, 10**6))
    def test_the_worst_of_a_range_is_never_kinder_than_a_speed_inside_it(self, seed: int) -> None:
        rng = np.random.default_rng(seed)
        curve = [
            {"speed": f"{rpm} rpm", "volumetric_efficiency": filled}
            for rpm, filled in zip((1500, 3000, 5000), rng.uniform(0.75, 1.0, 3), strict=True)
        ]
        build: dict[str, Any] = {
            "compression_ratio": rng.uniform(8.0, 13.0),
            "speed": f"{rng.uniform(4500, 7500)} rpm",
            "boost": {"pressure": f"{rng.uniform(0, 80)} kPa"},
            "injection": ["port", "direct", "carburetor"][int(rng.integers(3))],
            **({"torque_curve": curve} if rng.random() < 0.4 else {}),
        }
        found = ask(speeds=None, **build)
        for inside in rng.uniform(2000.0, 4500.0, 2):
            alone = ask(**build, speeds={"low": f"{inside} rpm", "high": f"{inside} rpm"})
            assert alone["octane_margin"]["value"]["value"] >= found["octane_margin"]["value"]["value"] - 0.01
            assert alone["peak_pressure"]["value"]["value"] <= found["peak_pressure"]["value"]["value"] * 1.001
            if found["retard_required"]["value"] is not None:
                assert alone["retard_required"]["value"]["value"] <= found["retard_required"]["value"]["value"] + 0.05

    @pytest.mark.parametrize("points", [3, 8, 15, 40])
    def test_a_curve_with_corners_is_what_its_speeds_are_alone(self, points: int) -> None:
        """However it jumps from point to point: the worst of the range is the worst of many speeds, each asked by itself."""
        rng = np.random.default_rng(points)
        curve = [
            {"speed": f"{rpm} rpm", "volumetric_efficiency": rng.uniform(0.65, 1.05), "boost": f"{rng.uniform(0, 60)} kPa"}
            for rpm in np.sort(rng.uniform(1300, 5900, points)).round(1)
        ]
        build = {
            "compression_ratio": 8.5,
            "speed": "6000 rpm",
            "boost": {"pressure": "40 kPa", "intercooler_effectiveness": 0.7},
            "fuel": {"octane": {"rating": 100, "scale": "ron"}},
            "torque_curve": curve,
        }
        found = ask(speeds=None, **build)
        ends = [float(curve[0]["speed"].split()[0]), 6000.0]
        inside = sorted({*np.geomspace(*ends, 25).tolist(), *(float(one["speed"].split()[0]) for one in curve)})
        columns = {"speeds.low": [f"{rpm} rpm" for rpm in inside], "speeds.high": [f"{rpm} rpm" for rpm in inside]}
        common = {name: value for name, value in with_(speeds=None, **build).items() if name != "speeds"}
        alone = answer_batch(CALCULATION, {"units": "metric", "common": common, "columns": columns}, most_rows=100)["columns"]
        for name, slack in (("octane_required", 0.05), ("peak_pressure", 20.0), ("retard_required", 0.15)):
            worst = np.nanmax(np.asarray(alone[f"{name}.value"], dtype=np.float64))
            assert found[name]["value"]["value"] == pytest.approx(worst, abs=slack), name

    def test_a_curve_says_where_the_boost_is(self) -> None:
        """Boost that only comes at 3500 rpm makes the engine worst there, not where it has none."""
        curve = [{"speed": f"{rpm} rpm", "boost": f"{kpa} kPa"} for rpm, kpa in ((1500, 0), (3000, 20), (3500, 90), (4000, 90))]
        found = ask(speeds=None, boost={"pressure": "90 kPa"}, torque_curve=curve)
        assert found["worst_speed"]["value"] == pytest.approx(3500.0, rel=0.02)
        boosts = {round(row["speed"]["value"]): row["boost"]["value"] for row in found["by_speed"]}
        assert boosts[1500] == 0.0
        assert boosts[4000] == pytest.approx(90.0)

    def test_nitrous_oxide_is_let_in_from_its_usual_speed_on(self) -> None:
        plain, shot = (ask(speeds=None, speed="5500 rpm", nitrous=nitrous) for nitrous in (None, {"power": "100 hp"}))
        assert plain["worst_speed"]["value"] < 1600.0
        assert shot["worst_speed"]["value"] == pytest.approx(7.4 / (2.0 * 0.0853) * 60.0, rel=0.02)

    def test_the_speed_asked_is_shown_but_does_not_count_where_it_lies_outside(self) -> None:
        found = ask(speeds={"low": "4500 rpm", "high": "5000 rpm"}, speed="1500 rpm")
        assert found["by_speed"][0]["speed"]["value"] == pytest.approx(1500.0)
        assert found["worst_speed"]["value"] == pytest.approx(4500.0)
        alone = ask(speed="1500 rpm", speeds={"low": "1500 rpm", "high": "1500 rpm"})
        assert found["by_speed"][0]["octane_required"]["value"] == pytest.approx(
            alone["octane_required"]["value"]["value"], abs=0.03
        )  # at twice the steps


class TestKinds:
    """What is usual by kind of engine."""

    def test_direct_injection_cools_and_allows_more_retard(self) -> None:
        port, direct = (ask(injection=each) for each in ("port", "direct"))
        assert required(injection="direct") < required(injection="port") - 1.0
        assert [one["retard_allowed"]["value"] for one in (port, direct)] == pytest.approx([8.0, 12.0])

    def test_air_cooling_asks_for_more(self) -> None:
        assert required(cooling="air") > required(cooling="liquid") + 2.0

    def test_retard_allowed_moves_smoothly_from_natural_to_boosted(self) -> None:
        allowed = [ask(boost={"pressure": f"{kpa} kPa"})["retard_allowed"]["value"] for kpa in (0, 30, 60, 90)]
        assert allowed == pytest.approx([8.0, 11.5, 15.0, 15.0])

    def test_a_blend_lies_between_its_parts(self) -> None:
        octane = {"octane": {"rating": 100, "scale": "ron"}}
        parts = ({"gasoline": 1}, {"gasoline": 50, "ethanol": 50}, {"ethanol": 1})
        asked = [required(injection="direct", fuel={**octane, "blend": blend}) for blend in parts]
        assert asked[0] > asked[1] > asked[2]
        assert asked[0] == pytest.approx(required(injection="direct", fuel=octane))

    def test_over_the_end_of_the_scale_it_says_so(self) -> None:
        reaches = [ask(compression_ratio=9, boost={"pressure": f"{kpa} kPa"})["octane_reach"] for kpa in (0, 80, 220)]
        assert reaches == ["reference fuels", "performance numbers", "beyond the scale"]
        far = ask(compression_ratio=10, boost={"pressure": "200 kPa"}, fuel={"octane": {"rating": 140, "scale": "ron"}})
        assert verdict(far, "octane-margin") == "unknown"


def test_units_do_not_matter() -> None:
    inch = ask(bore="3.862 in", stroke="3.36 in", rod_length="6.16 in", boost={"pressure": "8 psi"}, ambient={"temperature": "86 degF"})
    metric = ask(
        bore="98.0948 mm",
        stroke="85.344 mm",
        rod_length="156.464 mm",
        boost={"pressure": "55.158058345 kPa"},
        ambient={"temperature": "30 degC"},
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
    body["common"].pop("speeds")
    columns = answer_batch(CALCULATION, body, most_rows=1000)["columns"]
    assert np.all(np.diff(columns["octane_required.value"]) > -1e-6)


def test_a_warm_bottle_chills_less_and_asks_for_more() -> None:
    cold, warm = (ask(nitrous={"power": "100 kW", "bottle_temperature": f"{at} degC"}) for at in (0, 35))
    assert cold["octane_required"]["value"]["value"] < warm["octane_required"]["value"]["value"]


def test_more_rows_than_a_block_are_what_they_are_alone() -> None:
    ratios = np.linspace(8.0, 13.0, 150)
    body = {"units": "metric", "common": with_(compression_ratio=None), "columns": {"compression_ratio": ratios.tolist()}}
    columns = answer_batch(CALCULATION, body, most_rows=1000)["columns"]
    for row in (0, 63, 64, 149):
        alone = ask(compression_ratio=float(ratios[row]))
        for name in BANDS:
            for side in ("low", "value", "high"):
                value = alone[name][side]
                expected = math.nan if value is None else value["value"]
                assert columns[f"{name}.{side}"][row] == pytest.approx(expected, rel=1e-9, abs=1e-9, nan_ok=True), (name, side)


def test_rows_that_fail_or_are_not_known_harm_no_other() -> None:
    body = {
        "units": "metric",
        "common": with_(bore=None, compression_ratio=None),
        "columns": {"bore": [98.1, 450, 98.1, 5000], "compression_ratio": [10, 10, 11, 10]},
    }
    found = answer_batch(CALCULATION, body, most_rows=10)
    assert [failure["row"] for failure in found["failures"]] == [3]
    assert found["columns"]["state"] == ["solved", "not solved", "solved", None]
    assert np.isnan(found["columns"]["octane_required.value"]).tolist() == [False, True, False, True]
    assert found["checks"]["octane-margin"] == ["pass", "unknown", "pass", None]
