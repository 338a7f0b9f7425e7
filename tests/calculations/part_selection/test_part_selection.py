"""Choosing parts, from JSON to JSON: results are those of compression, what cannot be is refused."""

import copy
import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from selecting import (
    BROKEN,
    CALCULATION,
    CATALOG,
    COMPRESSION,
    FITTING,
    FIVE,
    alike,
    ask,
    check,
    compression_of,
    part,
    refusal,
    without_tolerance,
)

from borewright.build import build_part
from borewright.calculations.base.limits import Limits, configure, limits
from borewright.calculations.base.problems import InvalidRequest, Refusal
from borewright.calculations.base.single import answer
from borewright.calculations.part_selection.candidates import LONGEST
from borewright.calculations.part_selection.sides import GIVES
from borewright.selection.misses import REASONS


class TestResults:
    """What a choice comes to."""

    @pytest.mark.parametrize("gasket", [{}, {"area": "60 cm2", "bore": None}, {"volume": "6.5 cm3", "bore": None}])
    @pytest.mark.parametrize("land", [{}, {"top_land": "7 mm", "top_land_diameter": "83.7 mm ± 0.05 mm"}])
    def test_they_are_those_of_compression(self, gasket: dict[str, Any], land: dict[str, Any]) -> None:
        """Ratio, volumes, deck and squish, with bounds and uncertainty, are what compression answers for the same build."""
        request = copy.deepcopy(dict(FITTING))
        request["pistons"][0].update(land, dome="1 cm3 ± 0.1 cm3")
        request["gaskets"][0] = {name: value for name, value in {**request["gaskets"][0], **gasket}.items() if value is not None}
        (choice,) = ask(request)["choices"]
        expected = answer(COMPRESSION, compression_of(request, choice))
        assert choice["machining"] == []
        for name in ("compression_ratio", "displacement", "swept_volume", "clearance_volume", "deck_clearance", "squish"):
            alike(choice["results"][name], expected[name])

    def test_they_are_those_of_compression_after_machining(self) -> None:
        """The same with the cuts put into compression's own input: a deck that is lower, a chamber that is smaller."""
        exact = json.loads(json.dumps(CATALOG).replace("\\u00b1", "@"), object_hook=without_tolerance)
        found = ask(exact)
        assert len(found["choices"]) >= 2
        for choice in found["choices"]:
            request = compression_of(exact, choice)
            cuts = {work["operation"]: work["amount"]["value"] for work in choice["machining"]}
            request["stack"]["deck_height"] = f"{9.140 - cuts.get('deck_cut', 0.0)!r} in"
            area = float(part(exact, choice, "head")["chamber_area"].split()[0])
            poured = float(part(exact, choice, "head")["chamber_volume"].split()[0])
            request["chamber_volume"] = f"{poured - area * 2.54 * cuts.get('head_mill', 0.0)!r} cm3"
            expected = answer(COMPRESSION, request)
            for name in ("compression_ratio", "displacement", "clearance_volume", "deck_clearance", "squish"):
                alike(choice["results"][name], expected[name])
            assert choice["results"]["off_target"]["value"] == pytest.approx(expected["compression_ratio"]["value"] - 9.5, abs=1e-9)

    def test_costs_and_operations_add_up(self) -> None:
        """The cost is that of the five parts and the work; the work is priced as the request prices it."""
        for choice in ask(CATALOG)["choices"]:
            parts = sum(part(CATALOG, choice, name).get("price", 0) for name in FIVE)
            for work in choice["machining"]:
                assert work["price"] == CATALOG["machining"][work["operation"]]["price"]
            assert choice["cost"] == parts + sum(work["price"] for work in choice["machining"])
            assert choice["operations"] == len(choice["machining"]) == len(choice["steps"])

    def test_sensitivity_is_of_the_first_choice(self) -> None:
        """The shares are those that compression gives for the same build, each at its place in the lists."""
        found = ask(FITTING)
        expected = answer(COMPRESSION, compression_of(FITTING, found["choices"][0]))["sensitivity"]
        moved = {"#/stack/compression_height": "#/pistons/0/compression_height", "#/chamber_volume": "#/heads/0/chamber_volume"}
        assert [moved[share["input"]] for share in expected] == [share["input"] for share in found["sensitivity"]]
        for one, other in zip(found["sensitivity"], expected, strict=True):
            assert one["contribution"] == pytest.approx(other["contribution"], rel=1e-6)


class TestOneCombination:
    """Does this piston fit this block, rod and head, and what is the compression: one call."""

    def test_it_fits_and_has_a_compression(self) -> None:
        """Without a target the ratio is answered as the parts are."""
        found = ask(FITTING)
        assert (found["considered"], found["fitting"], found["rejected"], found["nearest"]) == (1, 1, {}, None)
        assert found["choices"][0]["results"]["compression_ratio"]["value"] == pytest.approx(9.6, abs=0.3)
        assert found["choices"][0]["results"]["off_target"] is None
        assert found["checks"] == found["choices"][0]["checks"]

    def test_every_broken_rule_is_told(self) -> None:
        """Not only the first: each with its value, its limit, by how much, and what would have to give."""
        found = ask(BROKEN)
        assert found["choices"] == []
        assert found["rejected"] == {"pin-fit": 1}, "counted under the first"
        near = found["nearest"]
        assert {give["rule"] for give in near["gives"]} == {
            "pin-fit",
            "journal-diameter",
            "deck-clearance",
            "squish",
            "compression-target",
        }
        assert all(give["what"] in [told for (rule, _), told in GIVES.items() if rule == give["rule"]] for give in near["gives"])
        assert near["gives"][0]["length"] == {"value": 1.0, "unit": "mm"}
        failed = {each["name"] for each in near["checks"] if each["verdict"] == "fail"}
        assert failed == {"pin-fit", "journal-diameter", "compression-target"}
        watched = {each["name"] for each in near["checks"] if each["verdict"] == "watch"}
        assert watched == {"deck-clearance", "squish"}, "practice's own limits, as assembly-fit judges them"
        assert found["checks"] == near["checks"]
        assert near["verdict"] == "fail"
        assert {work["operation"] for work in near["machining"]} == {"bore", "deck_cut"}, "brought as near as it gets"
        assert near["reach_low"]["value"] < near["reach_high"]["value"] < 10.8
        assert near["results"]["compression_ratio"]["value"] == pytest.approx(near["reach_high"]["value"], rel=1e-9)

    @pytest.mark.parametrize(
        ("changes", "rule", "failed"),
        [
            ({"pistons": {"bore": "84.8 mm"}}, "bore", "bore"),
            ({"pistons": {"aspirations": ["boost"]}}, "duty-allowed", "duty-allowed"),
            ({"pistons": {"services": ["race"]}}, "duty-allowed", "duty-allowed"),
            ({"pistons": {"top_land": "5 mm"}, "limits": {"top_land": {"low": "6 mm"}}}, "top-land", "top-land"),
            ({"pistons": {"pin_length": "83.8 mm"}}, "pin-end-room", "pin-end-room"),
            ({"gaskets": {"bore": "84.2 mm"}}, "bore-to-gasket-clearance", "bore-to-gasket-clearance"),
            ({"heads": {"maximum_bore": "83.3 mm"}}, "head-bore", "head-bore"),
            ({"pistons": {"pin_retentions": ["press"]}}, "pin-retention", "pin-retention"),
            ({"pistons": {"pin_diameter": "21.2 mm"}}, "pin-fit", "pin-fit"),
            ({"cranks": {"rod_journal_diameter": "50 mm"}}, "journal-diameter", "journal-diameter"),
            ({"cranks": {"rod_journal_width": "50 mm"}, "rods": {"journal_width": "45 mm"}}, "journal-width", "journal-width"),
            (
                {"cranks": {"counterweight_radius": "80 mm"}, "pistons": {"boss_below_pin": "20 mm"}},
                "counterweight-to-boss",
                "counterweight-to-boss",
            ),
            ({"block": {"deck_height": "225 mm"}, "gaskets": {"thickness": "0.1 mm"}}, "deck-clearance", "deck-clearance"),
            ({"gaskets": {"thickness": "2 mm"}}, "squish", "squish"),
            ({"target_compression": {"value": 12}}, "compression-target", "compression-target"),
            ({"heads": {"price": 500}, "limits": {"cost": 400}}, "cost", "cost"),
        ],
    )
    def test_each_rule_by_itself(self, changes: dict[str, Any], rule: str, failed: str) -> None:
        """Each rule of the search has its check, which does not pass when the rule turns the combination away, and passes before.

        Practice's limits of the deck and the upper one of squish are only watched, here as everywhere; with nothing else wrong the
        answer fails all the same, since no combination keeps every limit.
        """
        request = copy.deepcopy(dict(FITTING))
        before = {each["name"]: each["verdict"] for each in ask(request)["checks"]}
        for name, change in changes.items():
            held = request.setdefault(name, {})
            (held[0] if isinstance(held, list) else held).update(change)
        found = ask(request)
        assert list(found["rejected"]) == [rule]
        assert rule in {give["rule"] for give in found["nearest"]["gives"]}
        soft = failed in ("deck-clearance", "squish")
        assert check(found, failed)["verdict"] == ("watch" if soft else "fail")
        assert [each["verdict"] for each in found["checks"] if each["name"] == "combinations"] == ["fail"] * soft
        assert before.get(failed) in (None, "pass", "unknown")
        assert found["closest"][0]["rule"] == rule

    def test_every_rule_says_what_would_have_to_give(self) -> None:
        """In the words of the trade, for each."""
        assert list(dict.fromkeys(rule for rule, _ in GIVES)) == list(REASONS)

    def test_unknown_facts_are_unknown(self) -> None:
        """A rule whose facts the list leaves out turns nothing away and is named as unknown, with what to add."""
        found = check(ask(FITTING), "counterweight-to-boss")
        assert (found["verdict"], found["value"]) == ("unknown", None)
        assert found["reason"] == "not known: add piston.boss_below_pin and crank.counterweight_radius"

    def test_a_piston_that_fills_the_chamber_has_no_ratio(self) -> None:
        """Nothing left above the piston: null, not infinity."""
        request = copy.deepcopy(dict(FITTING))
        request["pistons"][0]["dome"] = "400 cm3"
        found = ask(request, target_compression={"value": 10})
        assert found["nearest"]["results"]["compression_ratio"] is None
        assert check(found, "compression-target")["verdict"] == "fail"

    def test_it_agrees_with_the_search(self) -> None:
        """One combination looked at whole, and the same one in a search of two, are told alike."""
        for request in (FITTING, BROKEN):
            target = request.get("target_compression", {"value": "9.6 ± 0.3"})
            twice = copy.deepcopy(dict(request))
            twice["heads"].append({**twice["heads"][0], "id": "again"})
            alone, both = ask(request, target_compression=target), ask(twice, target_compression=target)
            assert [choice["parts"]["head"] for choice in both["choices"]] == (["head", "again"] if alone["choices"] else [])
            assert both["choices"][:1] == alone["choices"]
            assert both["nearest"] == alone["nearest"]
            assert both["rejected"] == {name: 2 * count for name, count in alone["rejected"].items()}


@pytest.mark.parametrize(
    ("target", "low", "high"),
    [
        ({"value": "10 ± 0.3"}, 9.7, 10.3),
        ({"value": 10}, 9.95, 10.05),  # common practice: a ratio is spoken of to a tenth
        ({"value": "10 ± 0.3", "high": 10.1}, 9.7, 10.1),
    ],
)
def test_the_window_of_the_target(target: dict[str, Any], low: float, high: float) -> None:
    limits = check(ask(FITTING, target_compression=target), "compression-target")["limits"]
    assert limits["low"]["value"] == pytest.approx(low, rel=1e-12)
    assert limits["high"]["value"] == pytest.approx(high, rel=1e-12)


@pytest.fixture
def search_work() -> Iterator[Callable[[int], None]]:
    """Set what the operator lets one search take, until the test ends."""
    before = limits()
    yield lambda most: configure(Limits(search_work=most))
    configure(before)


class TestRefusals:
    """What can't be."""

    @pytest.mark.parametrize(
        ("changes", "pointer"),
        [
            ({"prefer": ["cost", "cost"]}, "#/prefer"),
            ({"target_compression": None}, "#/target_compression"),
            ({"target_compression": {"value": 10, "low": 10.1}}, "#/target_compression/low"),
            ({"target_compression": {"value": 10, "high": 9.9}}, "#/target_compression/high"),
            ({"limits": {"squish": {"low": 0.06, "high": 0.05}}}, "#/limits/squish/high"),
            ({"limits": {"pin_fit_floating": {"low": 0.001, "high": 0.0005}}}, "#/limits/pin_fit_floating/high"),
            ({"gaskets": [{"id": "a", "volume": "9 cm3"}, {"id": "a", "volume": "8 cm3"}]}, "#/gaskets/1/id"),
            ({"heads": [{"id": "a", "chamber_volume": "57 cm3", "minimum_bore": 3.962, "maximum_bore": 3.862}]}, "#/heads/0/maximum_bore"),
            (
                {"heads": [{"id": "a", "chamber_volume": "57 cm3", "chamber_area": "60 cm2", "volume_per_depth": "6 cm3/mm"}]},
                "#/heads/0/volume_per_depth",
            ),
            ({"rods": [{"id": "a", "length": 1.7}]}, "#/rods/0/length"),
            (
                {"pistons": [{"id": "a", "bore": 3.862, "compression_height": 1.5, "top_land_diameter": 3.8}]},
                "#/pistons/0/top_land_diameter",
            ),
            (
                {"pistons": [{"id": "a", "bore": 3.862, "compression_height": 1.5, "top_land": 0.3, "top_land_diameter": 3.962}]},
                "#/pistons/0/top_land_diameter",
            ),
            (
                {
                    "pistons": [
                        {"id": "a", "bore": 3.862, "compression_height": 1.5, "top_land": 0.3, "top_land_diameter": "3.862 in ± 0.002 in"}
                    ]
                },
                "#/pistons/0/top_land_diameter",
            ),
        ],
    )
    def test_beyond_the_schema(self, changes: dict[str, Any], pointer: str) -> None:
        """Admitted by the schema, refused with its place."""
        assert set(refusal(CATALOG, Refusal, **changes)) == {pointer}

    @pytest.mark.parametrize(
        ("changes", "pointer"),
        [
            ({"prefer": ["price"]}, "#/prefer/0"),
            ({"cranks": []}, "#/cranks"),
            ({"heads": None}, "#/heads"),
            ({"gaskets": [{"id": "a", "bore": 3.962}]}, "#/gaskets/0"),
            ({"gaskets": [{"id": "a", "volume": "9 cm3", "price": "60"}]}, "#/gaskets/0/price"),
            ({"gaskets": [{"id": "a", "volume": "9 cm3", "price": -1}]}, "#/gaskets/0/price"),
            ({"gaskets": [{"volume": "9 cm3"}]}, "#/gaskets/0/id"),
            ({"gaskets": [{"id": "x" * 65, "volume": "9 cm3"}]}, "#/gaskets/0/id"),
            ({"limits": {"cost": -5}}, "#/limits/cost"),
            ({"rods": [{"id": str(number), "length": 6} for number in range(61)]}, "#/rods"),
        ],
    )
    def test_invalid(self, changes: dict[str, Any], pointer: str) -> None:
        """Against the schema."""
        assert set(refusal(CATALOG, InvalidRequest, **changes)) == {pointer}

    def test_a_search_that_is_too_large_says_how_to_split_it(self, search_work: Callable[[int], None]) -> None:
        """The bound is told with the largest piece that is taken; that piece is taken, and one more is not."""
        pistons = [{**CATALOG["pistons"][0], "id": f"P-{number}"} for number in range(40)]
        search_work(5000)
        (detail,) = refusal(CATALOG, InvalidRequest, pistons=pistons).values()
        assert "640 combinations" in detail
        assert "5000 is the most" in detail
        most = int(detail.split("send at most ")[1].split()[0])
        assert set(refusal(CATALOG, InvalidRequest, pistons=pistons[: most + 1])) == {"#/pistons"}
        assert ask(CATALOG, pistons=pistons[:most])["considered"] == most * 16

    def test_a_search_that_no_list_alone_makes_small_enough(self, search_work: Callable[[int], None]) -> None:
        """Then nothing is promised of one list."""
        search_work(10)
        assert set(refusal(CATALOG, InvalidRequest)) == {"#"}

    def test_the_longest_lists_are_refused_at_once(self) -> None:
        """All lists as long as they may be make more combinations than one request searches."""
        lists = {name: [{**CATALOG[name][0], "id": str(number)} for number in range(most)] for name, most in LONGEST.items()}
        assert set(refusal(CATALOG, InvalidRequest, **lists)) == {"#/pistons"}


class TestSheet:
    """A build sheet's build."""

    def test_the_union_holds_it(self) -> None:
        """Its names can stand beside those of the other calculations."""
        assert set(CALCULATION.request_schema.fields) - {"units"} <= set(build_part()().fields)
