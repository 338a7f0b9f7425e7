"""power-gain: what it answers beyond the published figures."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest, Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

CALCULATION = calculations()["power-gain"]
ratios = st.floats(6.0, 15.0)
cycles = settings(max_examples=15, deadline=None)
ENGINE: dict[str, Any] = {
    "bore": "98.1 mm",
    "stroke": "85.3 mm",
    "rod_length": "152.4 mm",
    "cylinders": 8,
    "speed": "5000 rpm",
    "fuel": {"octane": {"rating": 98, "scale": "ron"}},
}
POOR = {"octane": {"rating": 82, "scale": "ron"}}
BOOST = {"pressure": "50 kPa", "intercooler_effectiveness": 0.6}


def run(before: Any, after: Any, **changes: Any) -> dict[str, Any]:
    """The change of an engine whose cycle can be run."""
    body = {"before": before, "after": after, "baseline_power": "100 kW", **ENGINE, **changes}
    return answer(CALCULATION, {name: value for name, value in body.items() if value is not None})


def reasons(found: dict[str, Any]) -> dict[str, str]:
    return {entry["name"]: entry["reason"] for entry in found["missing"]}


def errors(expected: type[Refusal], before: Any, after: Any, **changes: Any) -> set[str]:
    with pytest.raises(expected) as refused:
        run(before, after, **changes)
    return {error.pointer for error in refused.value.errors}


def ask(before: float, after: float, power: str = "100 kW") -> dict[str, Any]:
    return answer(CALCULATION, {"before": before, "after": after, "baseline_power": power})


@settings(deadline=None)
@given(ratios)
def test_no_change_gains_nothing(ratio: float) -> None:
    found = ask(ratio, ratio)
    for method in ("practice", "air_standard", "fuel_air"):
        assert found[method]["gain"]["value"] == pytest.approx(0.0, abs=1e-9)
        assert found[method]["power"]["value"] == pytest.approx(100.0)


@settings(deadline=None)
@given(ratios, st.floats(0.1, 3.0))
def test_more_compression_gains_by_every_method_and_the_band_holds_them(ratio: float, points: float) -> None:
    found = ask(ratio, ratio + points)
    gains = [found[method]["gain"]["value"] for method in ("practice", "air_standard", "fuel_air")]
    assert min(gains) > 0
    band = found["estimate"]
    assert band["low"]["gain"]["value"] == min(gains)
    assert band["high"]["gain"]["value"] == max(gains)
    assert min(gains) <= band["value"]["gain"]["value"] <= max(gains)


@settings(deadline=None)
@given(ratios, ratios)
def test_cycle_gains_there_and_back_cancel(one: float, other: float) -> None:
    there, back = ask(one, other), ask(other, one)
    for method in ("air_standard", "fuel_air"):
        product = (1 + there[method]["gain"]["value"] / 100) * (1 + back[method]["gain"]["value"] / 100)
        assert product == pytest.approx(1.0, rel=1e-9)


def test_units_of_power_do_not_matter() -> None:
    metric, inch = ask(9.5, 10.5, "372.849935786 kW"), ask(9.5, 10.5, "500 hp")
    assert metric["estimate"]["value"]["power_gain"]["value"] == pytest.approx(inch["estimate"]["value"]["power_gain"]["value"], rel=1e-9)


def test_far_changes_are_watched() -> None:
    assert ask(8, 12)["checks"][0]["verdict"] == "watch"
    assert ask(10, 11)["checks"][0]["verdict"] == "pass"


class TestCycle:
    """The cylinder cycle's answer."""

    @cycles
    @given(st.floats(8.0, 11.0), st.floats(0.2, 2.0))
    def test_more_compression_gains_while_the_fuel_stands_it(self, ratio: float, points: float) -> None:
        found = run(ratio, ratio + points, fuel={"octane": {"rating": 120, "scale": "ron"}})
        cycle = found["cycle"]
        assert not cycle["knock_limited"]
        assert cycle["gain"]["value"] == cycle["gain_at_mbt"]["value"] > 0.0
        assert cycle["gain_low"]["value"] < cycle["gain"]["value"] < cycle["gain_high"]["value"]
        assert found["missing"] == []

    @cycles
    @given(st.floats(8.0, 12.0), st.floats(8.0, 12.0))
    def test_there_and_back_cancel(self, one: float, other: float) -> None:
        there, back = (run(*pair)["cycle"]["gain"]["value"] for pair in ((one, other), (other, one)))
        assert (1 + there / 100) * (1 + back / 100) == pytest.approx(1.0, rel=1e-9)

    def test_knock_takes_gain_back(self) -> None:
        good, poor = run(9.5, 11.0), run(9.5, 11.0, fuel=POOR, speed="2500 rpm")
        assert not good["cycle"]["knock_limited"]
        assert poor["cycle"]["knock_limited"]
        assert poor["cycle"]["knock_limited_before"]
        assert poor["cycle"]["gain"]["value"] < poor["cycle"]["gain_at_mbt"]["value"] - 0.5
        assert poor["cycle"]["retard_after"]["value"] > poor["cycle"]["retard_before"]["value"] > 0.0

    def test_no_change_gains_nothing(self) -> None:
        cycle = run(10.0, 10.0)["cycle"]
        assert cycle["gain"]["value"] == 0.0
        assert cycle["gain_low"]["value"] == cycle["gain_high"]["value"] == 0.0

    def test_the_band_holds_every_method_and_the_cycle_s_ends(self) -> None:
        found = run(9.5, 10.5)
        gains = [found[name]["gain"]["value"] for name in ("practice", "air_standard", "fuel_air", "cycle")]
        low, value, high = (found["estimate"][side]["gain"]["value"] for side in ("low", "value", "high"))
        assert low == pytest.approx(min(*gains, found["cycle"]["gain_low"]["value"]))
        assert high == pytest.approx(max(*gains, found["cycle"]["gain_high"]["value"]))
        assert value == found["cycle"]["gain"]["value"]

    def test_power_is_the_baseline_with_the_gain(self) -> None:
        cycle = run(9.5, 10.5)["cycle"]
        assert cycle["power"]["value"] == pytest.approx(100.0 * (1.0 + cycle["gain"]["value"] / 100.0))
        assert cycle["power_gain"]["value"] == pytest.approx(cycle["gain"]["value"])

    def test_what_is_missing_is_said(self) -> None:
        found = run(9.5, 10.5, bore=None, fuel=None)
        assert found["cycle"] is None
        assert "bore, fuel" in reasons(found)["cycle"]
        assert "spark-retard" not in {check["name"] for check in found["checks"]}
        assert "cylinders" in reasons(run(9.5, 10.5, cylinders=None, nitrous={"power": "50 kW"}))["cycle"]
        assert run(9.5, 10.5, cylinders=None)["missing"] == []

    def test_a_fuel_no_timing_can_help(self) -> None:
        hopeless = {"compression_ratio": 15, "boost": {"pressure": "150 kPa"}}
        found = run(9.0, hopeless, speed="1500 rpm", fuel=POOR)
        assert found["cycle"] is None
        assert "no timing" in reasons(found)["cycle"]
        assert next(check for check in found["checks"] if check["name"] == "spark-retard")["verdict"] == "fail"
        assert found["estimate"]["value"] == found["practice"]

    def test_a_state_that_can_not_be_solved(self) -> None:
        found = run(9.0, 10.0, bore="450 mm")
        assert "bore must lie within" in reasons(found)["cycle"]
        assert found["practice"] is not None
        assert next(check for check in found["checks"] if check["name"] == "spark-retard")["verdict"] == "unknown"

    def test_units_do_not_matter(self) -> None:
        inch = run(9.5, 10.5, bore="3.862 in", stroke="3.36 in", rod_length="6.16 in")
        metric = run(9.5, 10.5, bore="98.0948 mm", stroke="85.344 mm", rod_length="156.464 mm")
        assert inch["cycle"]["gain"]["value"] == pytest.approx(metric["cycle"]["gain"]["value"], rel=1e-9)


class TestStates:
    """Whole build states on either side."""

    def test_boost_has_the_rule_and_the_cycle(self) -> None:
        to = {"compression_ratio": 9.5, "boost": BOOST}
        found = run(9.5, to, fuel={"octane": {"rating": 130, "scale": "ron"}}, ambient={"pressure": "100 kPa"})
        assert found["practice"]["gain"]["value"] == pytest.approx(50.0)
        for name in ("air_standard", "fuel_air"):
            assert found[name] is None
            assert "boost" in reasons(found)[name]
        gains = [found[name]["gain"]["value"] for name in ("practice", "cycle")]
        assert found["estimate"]["value"]["gain"]["value"] == found["cycle"]["gain"]["value"]
        assert found["estimate"]["low"]["gain"]["value"] <= min(gains)
        assert found["estimate"]["high"]["gain"]["value"] > max(gains)

    def test_rules_do_not_reach_further(self) -> None:
        found = run({"compression_ratio": 10, "speed": "4000 rpm"}, {"compression_ratio": 10, "speed": "5000 rpm"})
        assert found["practice"] is None
        assert "speed" in reasons(found)["practice"]
        alone = run(10, {"compression_ratio": 9, "boost": BOOST}, fuel=None)
        assert alone["practice"] is None
        assert alone["estimate"] is None
        assert set(reasons(alone)) == {"practice", "air_standard", "fuel_air", "cycle"}

    @cycles
    @given(st.floats(0.0, 60.0), st.floats(5.0, 40.0))
    def test_more_boost_gains_more(self, boost: float, more: float) -> None:
        fuel = {"octane": {"rating": 130, "scale": "ron"}}
        little, much = (
            run(9.0, {"compression_ratio": 9.0, "boost": {"pressure": f"{kpa} kPa", "drive": "crank"}}, fuel=fuel)
            for kpa in (boost, boost + more)
        )
        assert much["cycle"]["gain"]["value"] > little["cycle"]["gain"]["value"]

    def test_nitrous_oxide_adds_what_it_is_sold_as(self) -> None:
        """By its power, or by the flow that practice gets it from."""
        found = run(10.0, {"compression_ratio": 10.0, "nitrous": {"power": "75 kW"}}, baseline_power="210 kW")
        assert found["practice"]["power_gain"]["value"] == pytest.approx(75.0)
        by_flow = run(10.0, {"compression_ratio": 10.0, "nitrous": {"mass_flow": "42.6 g/s"}}, baseline_power="210 kW")
        assert by_flow["practice"]["power_gain"]["value"] == pytest.approx(75.0, rel=2e-3)
        assert by_flow["cycle"]["gain"]["value"] == pytest.approx(found["cycle"]["gain"]["value"], rel=3e-3)
        assert 0.9 * 75.0 < found["cycle"]["power_gain"]["value"] < 1.15 * 75.0

    def test_the_same_flow_adds_the_same_power_whatever_the_baseline(self) -> None:
        """A flow of nitrous oxide brings its own heat: to an engine of twice the power it adds half the share."""
        shot = {"compression_ratio": 10.0, "nitrous": {"power": "50 kW"}}
        small, large = (run(10.0, shot, baseline_power=f"{power} kW") for power in (150, 300))
        assert small["cycle"]["power_gain"]["value"] == pytest.approx(large["cycle"]["power_gain"]["value"], rel=0.02)
        shares = [
            next(one["value"]["value"] for one in each["assumptions"] if one["name"] == "cycle.nitrous_share") for each in (small, large)
        ]
        assert shares[0] == pytest.approx(2.0 * shares[1], rel=1e-9)

    def test_nitrous_oxide_on_both_sides_is_taken_in_proportion(self) -> None:
        """From none to the larger shot is from none to the smaller, and on to the larger on the power that makes."""
        less, more = ({"compression_ratio": 10.0, "nitrous": {"power": power}} for power in ("30 kW", "60 kW"))
        whole = run(10.0, more, baseline_power="180 kW")["cycle"]["power"]["value"]
        between = run(10.0, less, baseline_power="180 kW")["cycle"]["power"]["value"]
        assert run(less, more, baseline_power=f"{between} kW")["cycle"]["power"]["value"] == pytest.approx(whole, rel=0.01)

    def test_more_nitrous_oxide_than_the_baseline_power_could_come_from_is_told(self) -> None:
        less, more = ({"compression_ratio": 10.0, "nitrous": {"power": power}} for power in ("30 kW", "60 kW"))
        found = run(less, more, baseline_power="20 kW")
        assert found["cycle"] is None
        assert "by itself" in reasons(found)["cycle"]
        assert "cycle.nitrous_share" not in {one["name"] for one in found["assumptions"]}

    def test_an_own_limit_of_retard_replaces_that_of_practice(self) -> None:
        for limits, basis in ((None, "common practice"), ({"spark_retard": {"high": "0 deg"}}, "caller")):
            check = next(one for one in run(10.0, 13.0, fuel=POOR, limits=limits)["checks"] if one["name"] == "spark-retard")
            assert check["basis"] == basis
        assert (check["verdict"], check["limits"]["high"]["value"]) == ("fail", 0.0)

    def test_retard_is_held_against_what_the_kind_of_engine_after_the_change_runs(self) -> None:
        """The same limit as detonation-margin has: one name, one limit."""
        for service, injection, boost in (
            ("street", "port", None),
            ("street", "direct", None),
            ("race", "port", None),
            ("street", "port", 70),
        ):
            given = {"boost": {"pressure": f"{boost} kPa"}} if boost else {}
            kind = {"duty": {"service": service}, "injection": injection}
            check = next(one for one in run(9.0, {"compression_ratio": 9.5, **given}, **kind)["checks"] if one["name"] == "spark-retard")
            margin = answer(calculations()["detonation-margin"], {**ENGINE, "compression_ratio": 9.5, **given, **kind})
            other = next(one for one in margin["checks"] if one["name"] == "spark-retard")
            assert check["limits"] == other["limits"]
            assert (check["source"], check["basis"]) == (other["source"], other["basis"])

    def test_the_same_boost_on_both_sides_leaves_the_rules_in_force(self) -> None:
        found = run(8.5, 9.0, boost=BOOST)
        assert found["practice"]["gain"]["value"] == pytest.approx(2.0)
        assert found["missing"] == []
        by_objects = run({"compression_ratio": 8.5, "boost": BOOST}, {"compression_ratio": 9.0, "boost": BOOST})
        assert by_objects["cycle"]["gain"] == found["cycle"]["gain"]
        assert by_objects["practice"] == found["practice"]

    def test_an_object_s_own_fields_go_before_the_shared_ones(self) -> None:
        found = run(
            {"compression_ratio": 10, "speed": "5000 rpm"},
            {"compression_ratio": 11, "speed": "5000 rpm"},
            speed="3000 rpm",
            pin_offset="0.5 mm",
        )
        assert found["cycle"]["gain"]["value"] == pytest.approx(run(10, 11, pin_offset="0.5 mm")["cycle"]["gain"]["value"], rel=1e-12)
        assert "pin_offset" not in {one["name"] for one in found["assumptions"]}

    def test_another_fuel_changes_only_what_knock_allows(self) -> None:
        better = {"octane": {"rating": 105, "scale": "ron"}}
        found = run({"compression_ratio": 12.0, "fuel": POOR}, {"compression_ratio": 12.0, "fuel": better}, speed="2500 rpm", fuel=None)
        for name in ("practice", "air_standard", "fuel_air"):
            assert found[name] is None
            assert "fuel" in reasons(found)[name]
        assert found["cycle"]["gain"]["value"] > 1.0
        assert found["estimate"]["value"]["gain"] == found["cycle"]["gain"]
        assert found["cycle"]["gain_at_mbt"]["value"] == pytest.approx(0.0, abs=1e-9)

    def test_geometry_stands_for_its_ratio(self) -> None:
        volumes = {"chamber_volume": "70 cm3", "gasket": {"volume": "9 cm3"}, "deck_clearance": "0.1 mm"}
        shape = {name: ENGINE[name] for name in ("bore", "stroke", "cylinders")}
        ratio = answer(calculations()["compression"], {**shape, **volumes})["compression_ratio"]["value"]
        by_parts, by_ratio = run(volumes, 11.0), run(ratio, 11.0)
        assert by_parts["practice"]["gain"]["value"] == pytest.approx(by_ratio["practice"]["gain"]["value"], rel=1e-9)
        assert by_parts["cycle"]["gain"]["value"] == pytest.approx(by_ratio["cycle"]["gain"]["value"], rel=1e-8)

    def test_assumptions_say_whose_they_are_where_the_sides_differ(self) -> None:
        names = {one["name"] for one in run(10.0, {"compression_ratio": 9.0, "boost": BOOST})["assumptions"]}
        assert "intake_closing" in names
        assert "after.exhaust_pressure" in names
        assert "after.boost.compressor_efficiency" in names

    def test_cautions(self) -> None:
        assert "Boost" in " ".join(run(10.0, {"compression_ratio": 9.0, "boost": BOOST})["cautions"])
        assert "Nitrous" in " ".join(run(10.0, {"compression_ratio": 10.0, "nitrous": {"power": "50 kW"}})["cautions"])
        assert "own knock decides" in " ".join(ask(9, 10)["cautions"])

    def test_refused_where_it_stands(self) -> None:
        assert errors(ImpossibleBuild, 10, {"compression_ratio": 9, "boost": {"pressure": "60 bar"}}) == {"#/after/boost/pressure"}
        assert errors(ImpossibleBuild, {"compression_ratio": 9, "rod_length": "40 mm"}, 10) == {"#/before/rod_length"}
        assert errors(ImpossibleBuild, 9, 10, rod_length="40 mm") == {"#/rod_length"}
        assert errors(InvalidRequest, 9, {"compression_ratio": 9, "chamber_volume": "60 cm3"}) == {"#/after/chamber_volume"}
        huge = {"chamber_volume": "5000 cm3", "gasket": {"volume": "9 cm3"}, "deck_clearance": "0.1 mm"}
        assert errors(ImpossibleBuild, 9, huge) == {"#/after"}
        assert errors(InvalidRequest, 9, {**huge, "chamber_volume": "60 cm3"}, bore=None) == {"#/after"}
        assert errors(InvalidRequest, {}, 9) == {"#/before"}
        assert errors(InvalidRequest, 9, {"compression_ratio": 9, "bost": {}}) == {"#/after/bost"}

    def test_a_tolerance_inside_an_object(self) -> None:
        found = run({"compression_ratio": "10 ± 0.1"}, 11)
        assert found["sensitivity"][0]["input"] == "#/before/compression_ratio"
        assert found["practice"]["gain"]["high"] == pytest.approx(4.4)
        assert found["cycle"]["gain"]["low"] < found["cycle"]["gain"]["value"] < found["cycle"]["gain"]["high"]


def test_a_batch_of_cycles_is_the_single_answers() -> None:
    body: dict[str, Any] = {
        "units": "metric",
        "common": {**ENGINE, "before": 10, "baseline_power": 100},
        "columns": {"after": np.linspace(8.0, 14.0, 300).tolist()},
    }
    columns = answer_batch(CALCULATION, body, most_rows=1000)["columns"]
    for row in (0, 255, 256, 299):
        alone = run(10, float(body["columns"]["after"][row]))
        for name in ("gain", "gain_low", "gain_high", "gain_at_mbt"):
            assert columns[f"cycle.{name}"][row] == pytest.approx(alone["cycle"][name]["value"], rel=1e-9, abs=1e-9)
        assert columns["cycle.knock_limited"][row] == alone["cycle"]["knock_limited"]
        assert columns["estimate.value.gain"][row] == pytest.approx(alone["estimate"]["value"]["gain"]["value"], rel=1e-9)


def test_too_many_cycles_are_refused_and_ratios_alone_are_not() -> None:
    rows = {"after": np.linspace(10.0, 12.0, 6000).tolist()}
    ratios_alone = answer_batch(
        CALCULATION, {"units": "metric", "common": {"before": 9, "baseline_power": 100}, "columns": rows}, most_rows=10_000
    )
    assert ratios_alone["rows"] == 6000
    assert ratios_alone["failures"] == []
    with pytest.raises(InvalidRequest, match="at most 5000"):
        answer_batch(
            CALCULATION, {"units": "metric", "common": {**ENGINE, "before": 9, "baseline_power": 100}, "columns": rows}, most_rows=10_000
        )
