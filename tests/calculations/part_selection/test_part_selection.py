"""Choosing parts, from JSON to JSON: results are those of compression, the search is the core's, tolerances are each choice's own."""

import copy
import itertools
import json
import random
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.build import build_part
from borewright.calculations.base.limits import Limits, configure, limits
from borewright.calculations.base.problems import InvalidRequest, Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.calculations.part_selection.candidates import LONGEST
from borewright.calculations.part_selection.catalog import LISTS
from borewright.calculations.part_selection.sides import GIVES
from borewright.quantities import read_quantity
from borewright.selection.candidates import Block, Crank, Gasket, Head, Piston, Rod
from borewright.selection.demands import BuildLimits, Cut, Duty, Machining, SearchProblem, Span, Target
from borewright.selection.misses import REASONS
from borewright.selection.search import search

CALCULATION = calculations()["part-selection"]
COMPRESSION = calculations()["compression"]
CATALOG, FITTING, BROKEN = CALCULATION.examples.values()
FIVE = ("crank", "rod", "piston", "gasket", "head")


def ask(request: Mapping[str, Any], **changes: Any) -> dict[str, Any]:
    """The answer; a change replaces a field of the request, None leaves it out."""
    body = {name: value for name, value in {**copy.deepcopy(dict(request)), **changes}.items() if value is not None}
    return answer(CALCULATION, body)


def refusal(request: Mapping[str, Any], expected: type[Refusal], **changes: Any) -> dict[str, str]:
    """The errors of a refused request by their pointers."""
    with pytest.raises(expected) as refused:
        ask(request, **changes)
    assert expected is Refusal or type(refused.value) is expected
    return {error.pointer: error.detail for error in refused.value.errors}


def part(request: Mapping[str, Any], choice: Mapping[str, Any], name: str) -> dict[str, Any]:
    """A chosen part as it stands in the request."""
    (found,) = [entry for entry in request[f"{name}s"] if entry["id"] == choice["parts"][name]]
    return dict(found)


def check(found: Mapping[str, Any], name: str) -> dict[str, Any]:
    """One check by its name."""
    (one,) = [each for each in found["checks"] if each["name"] == name]
    return dict(one)


def compression_of(request: Mapping[str, Any], choice: Mapping[str, Any]) -> dict[str, Any]:
    """The request to compression of a choice without milling or cutting."""
    crank, rod, piston, gasket, head = (part(request, choice, name) for name in FIVE)
    land = {"top_land": {"height": piston["top_land"], "diameter": piston["top_land_diameter"]}} if "top_land_diameter" in piston else {}
    return {
        **({"units": request["units"]} if "units" in request else {}),
        "bore": piston["bore"],
        "stroke": crank["stroke"],
        "cylinders": request["block"]["cylinders"],
        "chamber_volume": head["chamber_volume"],
        "gasket": {name: gasket[name] for name in ("bore", "area", "thickness", "volume") if name in gasket},
        "stack": {
            "deck_height": request["block"]["deck_height"],
            "rod_length": rod["length"],
            "compression_height": piston["compression_height"],
        },
        "crown": {name: piston[name] for name in ("dome", "recess") if name in piston},
        **land,
    }


def alike(found: Any, expected: Any) -> None:
    """Two quantities that agree in value, bounds and uncertainty."""
    assert found.keys() == expected.keys()
    assert found["unit"] == expected["unit"]
    for name in found.keys() - {"unit"}:
        assert found[name] == pytest.approx(expected[name], rel=1e-9, abs=1e-11), name


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


def without_tolerance(entry: dict[str, Any]) -> dict[str, Any]:
    """An object of JSON with its tolerances cut off."""
    return {name: value.split(" @")[0] if isinstance(value, str) else value for name, value in entry.items()}


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


class TestTolerances:
    """Searched on nominal sizes, judged on the corners of each choice's own tolerances."""

    @pytest.mark.parametrize(
        ("height", "low", "verdict"),
        [
            ("33.2 mm", 9.5, "pass"),
            ("33.2 mm ± 0.01 mm", 9.5, "pass"),
            ("33.2 mm ± 0.2 mm", 9.5, "watch"),
            ("33.2 mm ± 0.01 mm", 9.57, "watch"),
        ],
    )
    def test_a_worst_case_outside_the_window_is_watched(self, height: str, low: float, verdict: str) -> None:
        """Nominally inside, at a corner outside: watch."""
        request = copy.deepcopy(dict(FITTING))
        request["pistons"][0]["compression_height"] = height
        request["heads"][0]["chamber_volume"] = "43.58 cm3"
        request["limits"] = {"squish": {"low": "0.5 mm", "high": "3 mm"}}
        found = ask(request, target_compression={"value": 9.58, "low": low, "high": 9.75})
        assert found["fitting"] == 1
        assert check(found, "compression-target")["verdict"] == verdict
        ratio = found["choices"][0]["results"]["compression_ratio"]
        assert (verdict == "watch") is (ratio.get("low", ratio["value"]) < low or ratio.get("high", ratio["value"]) > 9.75)

    @pytest.mark.parametrize(("high", "verdict"), [("1.46 mm", "pass"), ("1.44 mm", "watch"), ("1.39 mm", "fail")])
    def test_squish_over_gasket_and_stack(self, high: str, verdict: str) -> None:
        """Deck 0.3 mm and gasket 1.1 mm, with 0.05 mm from the compression height: 1.35 to 1.45 mm."""
        found = ask(FITTING, limits={"squish": {"low": "1 mm", "high": high}})
        assert check(found, "squish")["verdict"] == verdict
        assert check(found, "squish")["value"]["low"] == pytest.approx(1.35, rel=1e-9)

    def test_a_fit_over_its_own_two_sizes(self) -> None:
        """A pin that may come out tighter than allowed is watched."""
        request = copy.deepcopy(dict(FITTING))
        request["rods"][0]["small_end_bore"] = "21.02 mm ± 0.01 mm"
        request["pistons"][0]["pin_diameter"] = "21 mm ± 0.015 mm"
        found = check(ask(request), "pin-fit")
        assert (found["verdict"], found["value"]["low"], found["value"]["high"]) == ("watch", -0.005, 0.045)

    def test_thousands_of_tolerances_are_no_burden(self) -> None:
        """Every size of every part of a long list may carry one: only those of a choice are laid out."""
        request = copy.deepcopy(dict(CATALOG))
        first = request["pistons"][0]
        for name, value in first.items():
            if isinstance(value, int | float) and name != "price":
                first[name] = f"{value} in ± 0.0005 in"
        request["pistons"] = [{**first, "id": f"P-{number}"} for number in range(300)]
        found = ask(request)
        assert found["considered"] == 300 * 16
        assert "uncertainty" in found["choices"][0]["results"]["compression_ratio"]

    def test_a_tolerance_is_no_reason_to_rank_otherwise(self) -> None:
        """Without tolerances the same parts are chosen in the same order."""
        exact = json.loads(json.dumps(CATALOG).replace("\\u00b1", "@"), object_hook=without_tolerance)
        first, second = ask(CATALOG)["choices"], ask(exact)["choices"]
        assert [choice["parts"] for choice in first] == [choice["parts"] for choice in second]
        assert all("low" not in choice["results"]["compression_ratio"] for choice in second)


class TestRanking:
    """The order of the choices."""

    def test_prefer_sets_the_order(self) -> None:
        """Each order sorts by its keys; what is left out follows in the usual order."""
        for order in itertools.permutations(("operations", "cost", "closeness")):
            for prefer in (list(order), list(order[:1])):
                full = [*prefer, *(name for name in ("operations", "cost", "closeness") if name not in prefer)]
                choices = ask(CATALOG, prefer=prefer, top=50)["choices"]
                keys = [
                    {
                        "operations": choice["operations"],
                        "cost": choice["cost"],
                        "closeness": round(abs(choice["results"]["off_target"]["value"]), 8),
                    }
                    for choice in choices
                ]
                ranks = [tuple(key[name] for name in full) for key in keys]
                assert len(ranks) > 2
                assert ranks == sorted(ranks)

    def test_ties_go_to_the_earlier_place(self) -> None:
        """Equal parts under other ids come in the order of their list, crank first."""
        request = copy.deepcopy(dict(FITTING))
        for name in LISTS:
            request[name] = [{**request[name][0], "id": f"{name}-{number}"} for number in (1, 2)]
        choices = ask(request, target_compression={"value": "9.6 ± 0.4"}, top=50)["choices"]
        expected = itertools.product(*([f"{name}-1", f"{name}-2"] for name in LISTS))
        assert [tuple(choice["parts"].values()) for choice in choices] == list(expected)

    def test_top(self) -> None:
        """No more than asked for, and the first of them."""
        every = ask(CATALOG, top=50)["choices"]
        assert ask(CATALOG, top=2)["choices"] == every[:2]


class TestNothingFits:
    """Nearest, and why."""

    def test_nearest_and_closest(self) -> None:
        """Each reason has its closest combination; the first is the nearest; the counts add up."""
        found = ask(CATALOG, target_compression={"value": 14, "low": 13.8, "high": 14.2})
        assert (found["choices"], found["fitting"]) == ([], 0)
        assert sum(found["rejected"].values()) == found["considered"] == 48
        assert {each["rule"] for each in found["closest"]} == set(found["rejected"])
        assert found["closest"][0]["parts"] == found["nearest"]["parts"]
        (give,) = found["nearest"]["gives"]
        assert give["rule"] == "compression-target"
        assert give["ratio"]["value"] == pytest.approx(13.8 - found["nearest"]["reach_high"]["value"], rel=1e-9)
        assert found["nearest"]["results"]["compression_ratio"]["value"] == pytest.approx(found["nearest"]["reach_high"]["value"], rel=1e-9)
        assert check(found, "compression-target")["verdict"] == "fail"

    def test_giving_what_is_asked_makes_it_fit(self) -> None:
        """A window wider by what the nearest lacks holds it."""
        near = ask(CATALOG, target_compression={"value": 14, "low": 13.8, "high": 14.2})["nearest"]
        lacks = near["gives"][0]["ratio"]["value"]
        again = ask(CATALOG, target_compression={"value": 14, "low": 13.8 - lacks - 1e-9, "high": 14.2})
        assert again["choices"][0]["parts"] == near["parts"]

    def test_a_price_limit(self) -> None:
        """The cheapest that would fit is the nearest, and says what it lacks."""
        cheapest = ask(CATALOG, prefer=["cost"])["choices"][0]
        limits = {"cost": cheapest["cost"] - 100}
        found = ask(CATALOG, limits=limits)
        assert found["nearest"]["parts"] == cheapest["parts"]
        (give,) = found["nearest"]["gives"]
        assert (give["rule"], give["price"], give["what"]) == ("cost", 100.0, GIVES["cost", ""])
        assert (give["length"], give["ratio"]) == (None, None)
        assert [(one["pointer"], one["price"]) for one in give["instead"]] == [("#/limits/cost", cheapest["cost"])]
        assert check(found, "cost")["value"]["value"] == pytest.approx(cheapest["cost"] / limits["cost"], rel=1e-9)


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


def random_lists(draw: random.Random) -> dict[str, list[dict[str, float]]]:
    """Small lists of plain sizes [mm, cm3, currency]."""

    def some(make: Any) -> list[dict[str, float]]:
        return [make() for _ in range(draw.randint(1, 3))]

    def at(nominal: float, spread: float) -> float:
        return round(nominal + draw.uniform(-spread, spread), 3)

    return {
        "cranks": some(lambda: {"stroke": at(88, 2), "rod_journal_diameter": draw.choice([48.0, 50.0]), "price": draw.randint(0, 500)}),
        "rods": some(
            lambda: {
                "length": at(144, 2),
                "small_end_bore": draw.choice([21.97, 22.0, 22.02]),
                "journal_diameter": draw.choice([48.0, 50.0]),
                "price": draw.randint(0, 300),
            }
        ),
        "pistons": some(
            lambda: {
                "bore": draw.choice([100.0, 100.5, 101.0]),
                "compression_height": at(40, 1.5),
                "dome": draw.choice([0.0, 3.0]),
                "recess": at(6, 5),
                "pin_diameter": draw.choice([22.0, 23.0]),
                "price": draw.randint(0, 800),
            }
        ),
        "gaskets": some(lambda: {"bore": draw.choice([100.2, 102.0]), "thickness": at(1.2, 0.4), "price": draw.randint(0, 90)}),
        "heads": some(lambda: {"chamber_volume": at(66, 10), "chamber_area": 55.0, "price": draw.randint(0, 900)}),
    }


KINDS = {"dome": "cm3", "recess": "cm3", "chamber_volume": "cm3", "chamber_area": "cm2", "price": ""}
SI = {"mm": 1e-3, "cm3": 1e-6, "cm2": 1e-4, "": 1.0}


def as_json(lists: Mapping[str, list[dict[str, float]]]) -> dict[str, Any]:
    """The lists as a request spells them."""
    return {
        name: [
            {
                "id": f"{name}-{place}",
                **{field: f"{value} {unit}" if (unit := KINDS.get(field, "mm")) else value for field, value in entry.items()},
            }
            for place, entry in enumerate(entries)
        ]
        for name, entries in lists.items()
    }


def as_problem(lists: Mapping[str, list[dict[str, float]]]) -> SearchProblem:
    """The lists as the search takes them, built without the calculation."""
    makes = {"cranks": Crank, "rods": Rod, "pistons": Piston, "gaskets": Gasket, "heads": Head}
    made: dict[str, Any] = {
        name: tuple(
            makes[name](f"{name}-{place}", **{field: value * SI[KINDS.get(field, "mm")] for field, value in entry.items()})
            for place, entry in enumerate(entries)
        )
        for name, entries in lists.items()
    }
    return SearchProblem(
        block=Block(deck_height=0.2287, bore=0.1, maximum_bore=0.1008, cylinders=8),
        target=Target(10.0, 9.6, 10.4),
        machining=Machining(bore_price=200.0, deck_cut=Cut(0.5e-3, 150.0), head_mill=Cut(0.7e-3, 140.0), small_end_hone=Cut(0.08e-3, 60.0)),
        limits=BuildLimits(
            deck_clearance=Span(-0.5e-3, 1.6e-3),
            squish=Span(0.7e-3, 2.2e-3),
            pin_end_room=0.508e-3,
            counterweight_clearance=1.524e-3,
            floating_clearance=Span(0.0, 0.05e-3),
            press_interference=Span(0.0, 0.06e-3),
        ),
        duty=Duty(),
        **made,
    )


SHOP = {
    "block": {"deck_height": "228.7 mm", "bore": "100 mm", "maximum_bore": "100.8 mm", "cylinders": 8},
    "target_compression": {"value": 10, "low": 9.6, "high": 10.4},
    "machining": {
        "bore": {"price": 200},
        "deck_cut": {"max": "0.5 mm", "price": 150},
        "head_mill": {"max": "0.7 mm", "price": 140},
        "small_end_hone": {"max": "0.08 mm", "price": 60},
    },
    "limits": {"deck_clearance": {"low": "-0.5 mm", "high": "1.6 mm"}, "squish": {"low": "0.7 mm", "high": "2.2 mm"}},
    "top": 50,
}


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9), st.permutations(["operations", "cost", "closeness"]))
def test_a_request_is_the_search_of_its_lists(seed: int, prefer: list[str]) -> None:
    """From JSON to JSON nothing is lost: choices, amounts, counts and the nearest miss are those of the search on the same sizes."""
    lists = random_lists(random.Random(seed))
    found = answer(CALCULATION, {**SHOP, **as_json(lists), "prefer": prefer})
    expected = search(as_problem(lists), prefer=prefer, top=50)
    assert found["considered"] == expected.considered == found["fitting"] + sum(found["rejected"].values())
    assert (found["fitting"], found["rejected"]) == (expected.fitting, expected.rejected)
    assert len(found["choices"]) == len(expected.choices)
    for choice, chosen in zip(found["choices"], expected.choices, strict=True):
        assert list(choice["parts"].values()) == [getattr(chosen, name).id for name in FIVE]
        assert choice["cost"] == pytest.approx(chosen.cost)
        assert choice["results"]["compression_ratio"]["value"] == pytest.approx(chosen.compression_ratio, rel=1e-10)
        assert [work["operation"] for work in choice["machining"]] == [work.operation for work in chosen.work]
        for work, done in zip(choice["machining"], chosen.work, strict=True):
            assert work["amount"]["value"] == pytest.approx(done.amount * 1e3, rel=1e-9, abs=1e-9)
        assert "fail" not in {each["verdict"] for each in choice["checks"]}, "what the search admits, its checks admit"
    near = found["nearest"]
    assert (near is None) is bool(expected.fitting)
    if near is not None:
        first, combination = expected.nearest[0], expected.nearest[0].combination
        broken = [give["rule"] for give in near["gives"] if not give["follows"]]
        if broken != [first.reason]:  # else one that breaks no other, of those that miss it by as little
            assert list(near["parts"].values()) == [f"{name}-{place}" for name, place in zip(LISTS, combination.places, strict=True)]
            assert broken == [each.reason for each in combination.broken]
        failing = sum(each["verdict"] == "fail" for each in near["checks"])
        assert failing >= len(broken), "each broken rule fails a check"
    assert [each["rule"] for each in found["closest"]] == [miss.reason for miss in expected.nearest]


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**9))
def test_units_change_nothing(seed: int) -> None:
    """The same lists in inches, answered in inches, choose the same parts with the same sizes."""
    lists = as_json(random_lists(random.Random(seed)))
    metric = answer(CALCULATION, {**SHOP, **lists})
    inches = {name: [{field: in_inches(value) for field, value in entry.items()} for entry in entries] for name, entries in lists.items()}
    inch = answer(CALCULATION, {"units": "inch", **SHOP, **inches})
    assert [choice["parts"] for choice in metric["choices"]] == [choice["parts"] for choice in inch["choices"]]
    assert (metric["rejected"], metric["fitting"]) == (inch["rejected"], inch["fitting"])
    for one, other in zip(metric["choices"], inch["choices"], strict=True):
        assert one["results"]["compression_ratio"]["value"] == pytest.approx(other["results"]["compression_ratio"]["value"], rel=1e-9)
        assert one["results"]["deck_clearance"]["value"] == pytest.approx(other["results"]["deck_clearance"]["value"] * 25.4, abs=1e-8)
        assert [each["verdict"] for each in one["checks"]] == [each["verdict"] for each in other["checks"]]


def in_inches(value: Any) -> Any:
    """A length in millimeters as the same length in inches, to the last digit of a double."""
    if isinstance(value, str) and value.endswith(" mm"):
        return {"value": float(value.removesuffix(" mm")) / 25.4, "unit": "in"}
    return value


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**9))
def test_more_parts_never_make_it_worse(seed: int) -> None:
    """Monotone: with another part in a list there are at least as many choices, and the best is at least as good."""
    draw = random.Random(seed)
    lists = random_lists(draw)
    name = draw.choice(LISTS)
    more = {**lists, name: [*lists[name], random_lists(draw)[name][0]]}
    fewer, all_of_them = answer(CALCULATION, {**SHOP, **as_json(lists)}), answer(CALCULATION, {**SHOP, **as_json(more)})
    assert all_of_them["fitting"] >= fewer["fitting"]
    if fewer["choices"]:
        best, first = all_of_them["choices"][0], fewer["choices"][0]
        assert (best["operations"], best["cost"]) <= (first["operations"], first["cost"])


class TestRoundedSizes:
    """Lists round: a bore in millimeters and the same one in inches are one size."""

    @staticmethod
    def asked(piston: str, *, head: str = "4.062 in", **block: str) -> dict[str, Any]:
        request = copy.deepcopy(dict(FITTING))
        request["block"] = {**request["block"], "bore": "3.892 in", **block}
        request["pistons"][0]["bore"] = piston
        request["gaskets"][0]["bore"] = "3.962 in"
        request["heads"][0]["maximum_bore"] = head
        return ask(request)

    @pytest.mark.parametrize("piston", ["98.86 mm", "98.857 mm", "98.865 mm", "3.892 in", "3.8920 in"])
    def test_a_bore_that_a_list_rounds_is_the_bore(self, piston: str) -> None:
        """Within two hundredths of a millimeter, without boring; the head's largest bore is read in the same way."""
        found = self.asked(piston, head="98.86 mm")
        assert found["rejected"] == {}
        assert check(found, "bore")["verdict"] == check(found, "head-bore")["verdict"] == "pass"
        assert found["choices"][0]["machining"] == []

    @pytest.mark.parametrize("piston", ["3.897 in", "98.80 mm"])
    def test_another_size_is_another_size(self, piston: str) -> None:
        """Five thousandths of an inch are a size of their own."""
        assert self.asked(piston)["rejected"] == {"bore": 1}

    def test_a_gasket_by_its_area(self) -> None:
        """An opening of less area than the bore hangs in, whatever its shape."""
        for area, rejected in (("76 cm2", {"bore-to-gasket-clearance": 1}), ("78 cm2", {})):
            request = copy.deepcopy(dict(FITTING))
            request["block"] = {**request["block"], "bore": "3.892 in"}
            request["pistons"][0]["bore"] = "3.892 in"
            request["heads"][0]["maximum_bore"] = "4.062 in"
            request["gaskets"][0] = {"id": "by area", "area": area, "thickness": "1 mm"}
            assert ask(request)["rejected"] == rejected


@pytest.mark.parametrize("limits", [{"high": "0 mm"}, {"low": "0 mm", "high": "0 mm"}, {"low": "0 mm"}])
def test_no_choice_touches_the_head(limits: dict[str, str]) -> None:
    """The caller may leave the squish open, or ask for none: a piston on the head is no choice, and the check says why."""
    request = copy.deepcopy(dict(FITTING))
    request["limits"] = {"squish": limits, "deck_clearance": {"low": "-5 mm"}}
    request["gaskets"][0]["thickness"] = "1 mm"
    stack = [read_quantity(request["rods"][0]["length"], "length").value, read_quantity(request["cranks"][0]["stroke"], "length").value / 2]
    height = read_quantity(request["pistons"][0]["compression_height"], "length").value
    request["block"]["deck_height"] = f"{(sum(stack) + height - 1e-3) * 1e3:.9f} mm"
    found = ask(request)
    assert found["choices"] == []
    assert check(found, "squish")["verdict"] == "fail"
