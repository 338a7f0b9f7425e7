"""Compression target: a ratio from intake closing as the target, crowns that are cut, and what plans cost."""

from typing import Any, ClassVar

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest
from borewright.calculations.base.single import answer
from borewright.calculations.compression.compression import CALCULATION as COMPRESSION
from borewright.calculations.compression.compression_target import CALCULATION


class TestDynamicTarget:
    """The ratio counted from intake closing as the target."""

    ENGINE: ClassVar[dict[str, Any]] = {
        "bore": "84.3 mm",
        "stroke": "85.3 mm",
        "cylinders": 4,
        "chamber_volume": "41 cm3",
        "gasket": {"bore": "85.3 mm", "thickness": "1.1 mm"},
        "deck_clearance": "0.1 mm",
        "rod_length": "142.35 mm",
        "intake_closing": "60 deg",
        "levers": {"chamber_volume": {"min": "30 cm3", "max": "60 cm3"}},
    }

    @given(wanted=st.floats(7.3, 10.5))
    def test_the_plan_has_the_dynamic_ratio_asked_for(self, wanted: float) -> None:
        found = answer(CALCULATION, {**self.ENGINE, "target_dynamic": wanted})
        first = found["plans"][0]
        assert first["dynamic_compression_ratio"]["value"] == pytest.approx(wanted, abs=0.05 + 1e-9)
        assert first["off_target"]["value"] == pytest.approx(first["dynamic_compression_ratio"]["value"] - wanted, abs=1e-8)
        (check,) = [each for each in found["checks"] if each["name"] == "compression-target"]
        assert check["value"]["value"] == pytest.approx(first["dynamic_compression_ratio"]["value"], abs=1e-8)

    def test_closing_at_the_bottom_it_is_the_static_target(self) -> None:
        at_bottom = {**self.ENGINE, "intake_closing": "0 deg"}
        dynamic, static = (answer(CALCULATION, {**at_bottom, name: "11 ± 0.2"}) for name in ("target_dynamic", "target"))
        assert dynamic["plans"][0]["compression_ratio"]["value"] == pytest.approx(static["plans"][0]["compression_ratio"]["value"])

    def test_a_later_closing_wants_a_higher_static_ratio(self) -> None:
        plans = [
            answer(CALCULATION, {**self.ENGINE, "intake_closing": f"{at} deg", "target_dynamic": 8.0})["plans"][0] for at in (50, 60, 70)
        ]
        ratios = [plan["compression_ratio"]["value"] for plan in plans]
        assert ratios == sorted(ratios)

    def test_what_it_counts_from_must_be_known(self) -> None:
        for lacking in ("intake_closing", "rod_length"):
            body = {name: value for name, value in self.ENGINE.items() if name != lacking}
            with pytest.raises(InvalidRequest, match=f"#/{lacking}: a dynamic ratio"):
                answer(CALCULATION, {**body, "target_dynamic": 8.0})


class TestCrownCut:
    """Cutting the crowns: room is gained and squish stays."""

    ENGINE: ClassVar[dict[str, Any]] = {
        "bore": "100 mm",
        "stroke": "90 mm",
        "cylinders": 4,
        "chamber_volume": "60 cm3",
        "gasket": {"bore": "101 mm", "thickness": "1 mm"},
        "deck_clearance": "0.1 mm",
    }

    @given(target=st.floats(10.3, 11.3), diameter=st.floats(50.0, 90.0))
    def test_the_cut_is_the_volume_wanted_over_its_area(self, target: float, diameter: float) -> None:
        levers = {"crown_cut": {"max": "10 mm", "diameter": f"{diameter} mm"}}
        found = answer(CALCULATION, {**self.ENGINE, "target": target, "levers": levers})
        plan, now = found["plans"][0], found["now"]
        if plan["crown_cut"]["value"] > 0:
            gained = plan["clearance_volume"]["value"] - now["clearance_volume"]["value"]
            assert gained == pytest.approx(np.pi / 4 * (diameter / 10) ** 2 * plan["crown_cut"]["value"] / 10, rel=1e-6)
            assert plan["compression_ratio"]["value"] == pytest.approx(target, abs=1e-6)
            assert plan["steps"] == ["cut the crowns"]
        assert plan["squish"] == now["squish"]

    def test_a_wide_squish_is_cut_tight_and_the_crown_gives_the_ratio_back(self) -> None:
        limits = {"squish": {"low": "0.9 mm", "high": "1.2 mm"}}
        levers = {"deck_cut": {"max": "1 mm"}, "crown_cut": {"max": "2 mm", "diameter": "70 mm"}, "limits": limits}
        wide = {**self.ENGINE, "deck_clearance": "0.6 mm"}
        now = answer(COMPRESSION, wide)["compression_ratio"]["value"]
        plan = answer(CALCULATION, {**wide, "target": now, "levers": levers})["plans"][0]
        assert plan["steps"] == ["cut the decks", "cut the crowns"]
        assert plan["squish"]["value"] == pytest.approx(1.2)
        assert plan["compression_ratio"]["value"] == pytest.approx(now, abs=1e-6)

    def test_a_cut_stops_at_its_limit_and_lies_within_the_bore(self) -> None:
        levers = {"crown_cut": {"max": "0.2 mm", "area": "30 cm2"}}
        found = answer(CALCULATION, {**self.ENGINE, "target": 9.0, "levers": levers})
        single = found["single"]["crown_cut"]
        assert not found["feasible"]
        assert single["amount"]["value"] > single["limit"]["value"] == pytest.approx(0.2)
        assert found["nearest"]["crown_cut"]["value"] == pytest.approx(0.2)
        with pytest.raises(ImpossibleBuild, match="#/levers/crown_cut/diameter"):
            answer(CALCULATION, {**self.ENGINE, "target": 9.0, "levers": {"crown_cut": {"max": "1 mm", "diameter": "101 mm"}}})


class TestCosting:
    """What plans cost, and the cheaper way."""

    LEVERS: ClassVar[dict[str, Any]] = {
        "head_mill": {"max": "1 mm", "chamber_area": "55 cm2", "price": 300},
        "deck_cut": {"max": "1 mm", "hours": "2 h"},
        "gaskets": [{"name": "thin", "bore": "101 mm", "thickness": "0.9 mm", "price": 60}],
    }

    def found(self, levers: dict[str, Any], **more: Any) -> dict[str, Any]:
        return answer(CALCULATION, {**TestCrownCut.ENGINE, "deck_clearance": "0.3 mm", "target": 11.4, "levers": levers, **more})

    def test_a_plan_costs_its_work_its_hours_and_its_parts(self) -> None:
        costs = {"mill the heads": 300.0, "cut the decks": 2 * 90.0, "fit the gasket thin": 60.0}
        plans = self.found({**self.LEVERS, "labor_rate": 90})["plans"]
        assert len(plans) > 2
        for plan in plans:
            assert plan["cost"] == pytest.approx(sum(costs[step] for step in plan["steps"]))
            assert plan["hours"]["value"] == pytest.approx(2.0 * ("cut the decks" in plan["steps"]))

    @given(mill=st.integers(0, 500), rate=st.integers(0, 200))
    def test_the_cheapest_is_the_cheapest_of_all_plans(self, mill: int, rate: int) -> None:
        levers = {**self.LEVERS, "labor_rate": rate, "head_mill": {**self.LEVERS["head_mill"], "price": mill}}
        found = self.found(levers, top=50)
        passing = [plan["cost"] for plan in found["plans"] if plan["verdict"] == found["plans"][0]["verdict"]]
        assert found["cheapest"]["cost"] == min(passing)
        assert found["saving"] == pytest.approx(found["plans"][0]["cost"] - min(passing))
        ranked = self.found(levers, top=50, rank_by="cost")["plans"]
        assert [plan["cost"] for plan in ranked if plan["verdict"] == ranked[0]["verdict"]] == sorted(passing)
        assert len(ranked) == len(found["plans"])

    def test_without_prices_nothing_is_said_of_cost(self) -> None:
        bare = {"head_mill": {"max": "1 mm", "chamber_area": "55 cm2"}}
        found = self.found(bare)
        assert (found["plans"][0]["cost"], found["plans"][0]["hours"], found["cheapest"], found["saving"]) == (None, None, None, None)

    def test_hours_without_a_rate_are_told_and_not_charged(self) -> None:
        found = self.found({"deck_cut": {"max": "1 mm", "hours": "2 h"}})
        assert found["plans"][0]["cost"] is None
        assert found["plans"][0]["hours"]["value"] == 2.0
        assert any("labor rate" in caution for caution in found["cautions"])

    def test_work_without_a_price_is_an_assumption(self) -> None:
        found = self.found({**self.LEVERS, "deck_cut": {"max": "1 mm"}})
        assert "levers.deck_cut.price" in {each["name"] for each in found["assumptions"]}


class TestAmountsThatCanBe:
    """What a lever alone would have to be, where that can be; else why not."""

    @given(
        target=st.sampled_from([3, 6, 9, 11, 14, 20, 40]),
        chamber=st.floats(5.0, 120.0),
        deck=st.floats(-0.8, 4.0),
        thickness=st.floats(0.9, 3.0),
    )
    def test_no_amount_of_what_can_not_exist(self, target: float, chamber: float, deck: float, thickness: float) -> None:
        body = {
            "bore": "94 mm",
            "stroke": "88 mm",
            "cylinders": 4,
            "chamber_volume": f"{chamber} cm3",
            "gasket": {"bore": "95 mm", "thickness": f"{thickness} mm"},
            "deck_clearance": f"{deck} mm",
            "target": target,
            "levers": {
                "head_mill": {"max": "1 mm", "chamber_area": "60 cm2"},
                "deck_cut": {"max": "1 mm"},
                "crown_cut": {"max": "3 mm", "diameter": "60 mm"},
                "gaskets": [{"name": "other", "bore": "95 mm", "thickness": "1.5 mm"}],
                "crowns": [{"name": "dished", "recess": "12 cm3"}],
                "chamber_volume": {"min": "30 cm3", "max": "80 cm3"},
            },
        }
        try:
            single = answer(CALCULATION, body)["single"]
        except ImpossibleBuild:
            return
        for lever in single.values():
            if not lever["feasible"]:
                assert (lever["amount"] is None) == (lever["reason"] is not None)
        amounts = {name: lever["amount"]["value"] for name, lever in single.items() if lever["amount"] is not None}
        assert amounts.get("deck_cut", 0.0) <= deck + thickness + 1e-9
        assert amounts.get("head_mill", 0.0) * 6.0 <= chamber + 1e-9
        assert amounts.get("chamber_volume", 1.0) > 0.0
        assert 0.0 <= amounts.get("gaskets", 1.0) <= 12.0
        assert amounts.get("gaskets", 1.0) + deck >= -1e-9 or "gaskets" not in amounts
        assert 0.0 <= amounts.get("crown_cut", 0.0) <= 30.0

    def test_the_reason_is_told(self) -> None:
        deck = {**TestDynamicTarget.ENGINE, "levers": {"deck_cut": {"max": "1 mm"}}, "target": 20}
        assert answer(CALCULATION, deck)["single"]["deck_cut"]["reason"].startswith("the piston would stand inside the head")
        mill = {**TestDynamicTarget.ENGINE, "levers": {"head_mill": {"max": "1 mm", "chamber_area": "50 cm2"}}, "target": 5}
        assert answer(CALCULATION, mill)["single"]["head_mill"]["reason"].startswith("milling only raises the ratio")
