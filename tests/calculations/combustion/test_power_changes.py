"""power-gain: what a change may state, and what is left as it was."""

from typing import Any, ClassVar

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.problems import Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

CALCULATION = calculations()["power-gain"]
few = settings(max_examples=12, deadline=None)
VOLUMES: dict[str, Any] = {"chamber_volume": "57 cm3", "gasket": {"bore": "104 mm", "thickness": "1 mm"}, "deck_clearance": "0.5 mm"}
STACK: dict[str, Any] = {"deck_height": "229.2 mm", "rod_length": "145 mm", "compression_height": "39.5 mm"}
ENGINE: dict[str, Any] = {
    "bore": "98.1 mm",
    "stroke": "85.3 mm",
    "cylinders": 8,
    "speed": "5000 rpm",
    "fuel": {"octane": {"rating": 110, "scale": "ron"}},
}


def run(before: Any, after: Any, **changes: Any) -> dict[str, Any]:
    body = {"before": before, "after": after, "baseline_power": "250 kW", **ENGINE, **changes}
    return answer(CALCULATION, {name: value for name, value in body.items() if value is not None})


def gain(found: dict[str, Any], name: str = "cycle") -> float:
    return float(found[name]["gain"]["value"])


def checks(found: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {check["name"]: check for check in found["checks"]}


def refused(before: Any, after: Any, **changes: Any) -> set[str]:
    with pytest.raises(Refusal) as found:
        run(before, after, **changes)
    return {error.pointer for error in found.value.errors}


class TestStated:
    """Only what changes is stated."""

    def test_no_change_gains_nothing(self) -> None:
        found = run({**VOLUMES, "boost": {"pressure": "30 kPa"}}, {})
        assert gain(found) == gain(found, "practice") == 0.0

    def test_a_part_of_an_object_leaves_the_rest_of_it(self) -> None:
        boost = {"pressure": "40 kPa", "intercooler_effectiveness": 0.7, "drive": "crank"}
        before = {"compression_ratio": 9, "boost": boost}
        whole = run(before, {"boost": {**boost, "pressure": "8 psi"}})
        assert run(before, {"boost": {"pressure": "8 psi"}})["cycle"] == whole["cycle"]
        assert gain(whole) > 0.0

    def test_boost_on_an_engine_without_takes_what_is_usual(self) -> None:
        found = run(9.0, {"boost": {"pressure": "8 psi"}})
        assert {"after.boost.compressor_efficiency", "after.boost.drive"} <= {each["name"] for each in found["assumptions"]}
        assert 20.0 < gain(found) < 60.0

    @pytest.mark.parametrize("name", ["boost", "nitrous"])
    def test_what_is_not_there_can_not_be_changed_in_part(self, name: str) -> None:
        part = {"boost": {"intercooler_effectiveness": 0.5}, "nitrous": {"bottle_temperature": "10 degC"}}[name]
        assert refused(9.0, {name: part}) == {f"#/after/{name}"}

    @settings(max_examples=150, deadline=None)
    @given(st.data())
    def test_any_change_is_answered_or_refused(self, data: st.DataObject) -> None:
        """Whatever fields a change holds, whole or empty, on whatever build."""
        parts: dict[str, list[Any]] = {
            "boost": [{}, {"drive": "crank"}, {"pressure": "30 kPa"}],
            "nitrous": [{}, {"power": "20 kW"}, {"mass_flow": "20 g/s"}],
            "stack": [{}, {"compression_height": "39 mm"}, STACK],
            "gasket": [{"volume": "8 cm3"}],
            "deck_clearance": ["0.2 mm"],
            "chamber_volume": ["0 cm3", "60 cm3"],
            "crown": [{}, {"dome": "5 cm3"}],
            "top_land": [{"height": "6 mm", "diameter": "100.9 mm"}],
            "fuel": [{}, {"blend": {}}, {"name": "ethanol"}, {"equivalence_ratio": 1.2}, {"octane": {"ron": 98, "mon": 88}}],
            "ambient": [{}, {"altitude": "500 m"}, {"pressure": "95 kPa"}],
            "head_mill": ["0.5 mm", {"depth": "9 mm"}],
            "deck_cut": ["0.1 mm"],
            "moving": [{}, {"crank_inertia": "0.1 kg·m2"}],
            "duty": [{}, {"fuel": "methanol"}],
            "compression_ratio": [11.0],
            "stroke": ["95 mm"],
            "rod_length": ["150 mm"],
            "speed": ["4000 rpm"],
        }
        chosen = data.draw(st.lists(st.sampled_from(sorted(parts)), max_size=4, unique=True))
        change = {name: data.draw(st.sampled_from(parts[name])) for name in chosen}
        stacked = {**{name: value for name, value in VOLUMES.items() if name != "deck_clearance"}, "stack": STACK}
        before = data.draw(st.sampled_from([9.0, {"compression_ratio": 9.0}, VOLUMES, stacked]))
        without = data.draw(st.lists(st.sampled_from(["bore", "stroke", "cylinders", "speed", "fuel"]), max_size=2, unique=True))
        try:
            found = run(before, change, **dict.fromkeys(without))
        except Refusal:
            return  # anything else that is raised fails
        assert found["missing"] or found["cycle"] is not None

    def test_only_the_chamber(self) -> None:
        small = run(VOLUMES, {"chamber_volume": "51 cm3"})
        assert gain(small, "practice") == gain(run(VOLUMES, {**VOLUMES, "chamber_volume": "51 cm3"}), "practice") > 0.0
        assert refused(10.0, {"chamber_volume": "51 cm3"}) == {"#/after/chamber_volume"}

    def test_only_the_compression(self) -> None:
        found = run(VOLUMES, {"compression_ratio": 12})
        shape = {name: ENGINE[name] for name in ("bore", "stroke", "cylinders")}
        before = answer(calculations()["compression"], {**shape, **VOLUMES})["compression_ratio"]["value"]
        assert gain(found, "practice") == pytest.approx(4.0 * (12.0 - before))

    def test_only_milled(self) -> None:
        """0.030 in off a chamber that opens over 50 cm2 takes 3.81 cm3."""
        milled = run(VOLUMES, {"head_mill": {"depth": "0.030 in", "chamber_area": "50 cm2"}})
        assert gain(milled, "practice") == pytest.approx(gain(run(VOLUMES, {"chamber_volume": "53.19 cm3"}), "practice"))
        usual = run(VOLUMES, {"head_mill": "0.030 in"})
        assert 0.8 < gain(usual, "practice") / gain(milled, "practice") < 1.4
        assert "after.head_mill.chamber_area" in {each["name"] for each in usual["assumptions"]}

    def test_milled_from_a_ratio(self) -> None:
        """At 10:1 the cylinder of 98.1 x 85.3 mm keeps 71.64 cm3 above the piston; 3.81 cm3 less make 10.506."""
        found = run(10.0, {"head_mill": {"depth": "0.030 in", "chamber_area": "50 cm2"}})
        assert checks(found)["points-changed"]["value"]["value"] == pytest.approx(0.5055, abs=1e-3)
        assert refused(10.0, {"head_mill": {"depth": "8 mm", "chamber_area": "81 cm2"}}) == {"#/after/head_mill"}
        assert refused(10.0, {"head_mill": "1 mm"}, bore=None) == {"#/after/head_mill"}

    def test_a_deck_cut_is_a_deck_clearance_less(self) -> None:
        cut, nearer = run(VOLUMES, {"deck_cut": "0.3 mm"}), run(VOLUMES, {"deck_clearance": "0.2 mm"})
        assert gain(cut) == pytest.approx(gain(nearer), rel=1e-6)
        stacked = {**{name: value for name, value in VOLUMES.items() if name != "deck_clearance"}, "stack": STACK}
        lower = run(stacked, {"stack": {"deck_height": "228.9 mm"}})
        assert gain(run(stacked, {"deck_cut": "0.3 mm"})) == pytest.approx(gain(lower), rel=1e-6)

    def test_another_piston_height(self) -> None:
        stacked = {**{name: value for name, value in VOLUMES.items() if name != "deck_clearance"}, "stack": STACK}
        assert gain(run(stacked, {"stack": {"compression_height": "39.7 mm"}})) > 0.0
        assert refused(VOLUMES, {"stack": {"compression_height": "39.7 mm"}}) == {"#/after/stack"}

    @pytest.mark.parametrize(
        "change",
        [
            {"intake_closing": "70 deg"},
            {"ambient": {"temperature": "10 degC"}},
            {"ambient": {"altitude": "1000 m"}},
            {"speed": "5500 rpm"},
            {"bore": "102.4 mm"},
            {"fuel": {"equivalence_ratio": 1.0}},
            {"duty": {"service": "race"}},
            {"rod_length": "155 mm"},
        ],
    )
    def test_anything_else_alone(self, change: dict[str, Any]) -> None:
        found = run(10.0, change)
        assert found["cycle"] is not None
        assert np.isfinite(gain(found))

    def test_altitude_takes_the_place_of_a_pressure(self) -> None:
        found = run(10.0, {"ambient": {"altitude": "1609 m"}}, ambient={"pressure": "101.325 kPa"})
        assert -25.0 < gain(found) < -14.0


class TestTorque:
    """Torque beside power."""

    def test_torque_is_power_over_speed(self) -> None:
        found = run(10.0, {"compression_ratio": 11.0, "speed": "5500 rpm"})
        assert found["torque_before"]["value"] == pytest.approx(250e3 / (5000 * np.pi / 30))
        cycle = found["cycle"]
        assert cycle["torque"]["value"] == pytest.approx(cycle["power"]["value"] * 1e3 / (5500 * np.pi / 30))
        assert cycle["torque_gain"]["value"] == pytest.approx(cycle["torque"]["value"] - found["torque_before"]["value"])

    def test_without_a_speed_there_is_none(self) -> None:
        found = run(10.0, 11.0, speed=None)
        assert found["torque_before"] is None
        assert found["practice"]["torque"] is None


class TestBreathing:
    """A larger cylinder on the same heads."""

    @few
    @given(st.floats(1500.0, 7500.0))
    def test_gains_less_than_its_displacement_and_less_the_faster(self, speed: float) -> None:
        slow, fast = (run(10.0, {"stroke": "92.2 mm"}, speed=f"{each} rpm") for each in (speed, speed + 200.0))
        assert gain(fast) <= gain(slow) + 0.05
        assert gain(slow) < 100.0 * (92.2 / 85.3 - 1.0) + 1.0  # a larger cylinder also loses less heat

    def test_breathing_is_said_to_limit_it(self) -> None:
        found = run(10.0, {"stroke": "92.2 mm"}, speed="5500 rpm")
        assert checks(found)["breathing"]["verdict"] == "watch"
        assert "breathing limits it" in checks(found)["breathing"]["reason"]
        assert found["estimate"]["low"]["gain"]["value"] < 0.0 < found["estimate"]["value"]["gain"]["value"] < 3.0
        torque = run(10.0, {"stroke": "92.2 mm"}, speed="3000 rpm")
        assert 6.0 < gain(torque) < 8.5
        assert checks(torque)["breathing"]["verdict"] == "pass"

    def test_a_stated_filling_goes_before_it(self) -> None:
        found = run(10.0, {"stroke": "92.2 mm", "volumetric_efficiency": 0.85}, speed="5500 rpm", volumetric_efficiency=0.85)
        assert "breathing" not in checks(found)
        assert gain(found) > 5.0


class TestAir:
    """The air that the engine draws."""

    @pytest.mark.parametrize("speed", [2500, 4000, 5500])
    @pytest.mark.parametrize("stated", [None, 0.9])
    def test_cooler_air_gains_as_the_standard_corrects(self, speed: int, stated: float | None) -> None:
        before = {"compression_ratio": 10, "ambient": {"temperature": "35 degC"}}
        found = run(before, {"ambient": {"temperature": "15 degC"}}, speed=f"{speed} rpm", volumetric_efficiency=stated)
        assert gain(found, "practice") == pytest.approx(4.05, abs=0.02)
        assert gain(found) == pytest.approx(gain(found, "practice"), abs=1.0)
        assert "SAE J1349" in next(each["source"] for each in found["assumptions"] if each["name"] == "practice.ambient")

    def test_the_standard_is_not_for_boost(self) -> None:
        boosted = {"compression_ratio": 9, "boost": {"pressure": "50 kPa"}, "ambient": {"temperature": "35 degC"}}
        found = run(boosted, {"ambient": {"temperature": "15 degC"}})
        assert found["practice"] is None
        assert gain(found) > 0.0

    @few
    @given(st.floats(-20.0, 40.0), st.floats(1.0, 15.0), st.floats(88.0, 115.0), st.floats(8.5, 13.0))
    def test_hotter_air_never_gains(self, at: float, rise: float, rating: float, ratio: float) -> None:
        before = {"compression_ratio": ratio, "ambient": {"temperature": f"{at} degC"}}
        fuel = {"octane": {"rating": rating, "scale": "ron"}}
        found = run(before, {"ambient": {"temperature": f"{at + rise} degC"}}, fuel=fuel)
        assert gain(found) < 0.0


class TestFuel:
    """Another fuel."""

    @few
    @given(st.floats(86.0, 105.0), st.floats(0.5, 8.0), st.floats(9.0, 13.0), st.floats(2000.0, 6000.0))
    def test_more_octane_never_loses(self, rating: float, more: float, ratio: float, speed: float) -> None:
        before = {"compression_ratio": ratio, "fuel": {"octane": {"rating": rating, "scale": "ron"}}}
        found = run(before, {"fuel": {"octane": {"rating": rating + more, "scale": "ron"}}}, fuel=None, speed=f"{speed} rpm")
        if found["cycle"] is not None:
            assert gain(found) >= 0.0
            assert found["cycle"]["retard_after"]["value"] <= found["cycle"]["retard_before"]["value"]


class TestSpinUp:
    """What lighter parts free."""

    HEAVY: ClassVar[dict[str, str]] = {
        "reciprocating_mass": "750 g",
        "rotating_mass": "460 g",
        "crank_inertia": "0.12 kg·m2",
        "flywheel_inertia": "0.15 kg·m2",
    }

    def test_lighter_pistons(self) -> None:
        """8 x 0.1 kg at half the square of the throw, 44.2 mm, are 0.00078 kg·m2: at 5000 rev/min and 500 rev/min a second 21 W."""
        found = run(10.0, {"moving": {"reciprocating_mass": "650 g"}}, moving=self.HEAVY, spin_up={"rate": "500 rpm/s"})["spin_up"]
        exact = 8 * 0.1 * 0.0442**2 / 2 * (5000 * np.pi / 30) * (500 * np.pi / 30)
        assert found["power_freed"]["value"] * 1e3 == pytest.approx(exact, rel=0.05)  # the rod's swing adds some 2 %
        assert found["power_before"]["value"] - found["power_after"]["value"] == pytest.approx(found["power_freed"]["value"])

    def test_by_the_car_s_acceleration(self) -> None:
        """4 m/s2 on 0.32 m tires at 10:1 overall are 125 rad/s2."""
        pace = {"acceleration": "4 m/s2", "overall_ratio": 10, "tire_radius": "0.32 m"}
        found = run(10.0, {"moving": {"flywheel_inertia": "0.10 kg·m2"}}, moving=self.HEAVY, spin_up=pace)["spin_up"]
        assert found["rate"]["value"] == pytest.approx(125.0 * 30 / np.pi)
        assert found["torque_freed"]["value"] == pytest.approx(0.05 * 125.0)

    def test_what_is_missing_is_said(self) -> None:
        found = run(10.0, 11.0, spin_up={"rate": "500 rpm/s"})
        assert found["spin_up"] is None
        assert "moving" in {each["name"]: each["reason"] for each in found["missing"]}["spin_up"]
        assert "spin_up" not in {each["name"] for each in run(10.0, 11.0)["missing"]}


def test_a_batch_of_changes_is_the_single_answers() -> None:
    speeds = np.linspace(2000.0, 6500.0, 7).tolist()
    body: dict[str, Any] = {
        "units": "metric",
        "common": {
            **{name: value for name, value in ENGINE.items() if name != "speed"},
            "before": 10,
            "baseline_power": 250,
            "after": {"compression_ratio": 10.5},
        },
        "columns": {"speed": speeds},
    }
    columns = answer_batch(CALCULATION, body, most_rows=100)["columns"]
    for row, speed in enumerate(speeds):
        alone = run(10, {"compression_ratio": 10.5}, speed=f"{speed} rpm")
        assert columns["cycle.gain"][row] == pytest.approx(gain(alone), rel=1e-9)
        assert columns["estimate.low.torque"][row] == pytest.approx(alone["estimate"]["low"]["torque"]["value"], rel=1e-9)


def test_low_and_high_hold_inside_the_tolerances() -> None:
    """Near where knock begins, so that more compression gains on one side and loses on the other."""
    shape = {"fuel": {"octane": {"rating": 91, "scale": "ron"}}, "speed": "2500 rpm"}
    found = run("10 ± 0.3", "11 ± 0.5", baseline_power="250 kW ± 5 kW", **shape)
    draw = np.random.default_rng(11).uniform(-1.0, 1.0, (12, 3))
    for before, after, power in draw:
        inside = run(10 + 0.3 * before, 11 + 0.5 * after, baseline_power=f"{250 + 5 * power} kW", **shape)
        for name in ("practice", "air_standard", "fuel_air", "cycle"):
            for figure in ("gain", "power_gain", "power", "torque"):
                bounds = found[name][figure]
                assert bounds["low"] - 1e-9 <= inside[name][figure]["value"] <= bounds["high"] + 1e-9, (name, figure)
        for side in ("low", "value", "high"):
            bounds = found["estimate"][side]["gain"]
            assert bounds["low"] - 1e-9 <= inside["estimate"][side]["gain"]["value"] <= bounds["high"] + 1e-9, side
