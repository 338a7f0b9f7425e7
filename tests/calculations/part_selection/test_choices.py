"""The order of the choices, the tolerances of each, sizes as lists round them, and what is told where nothing fits."""

import copy
import itertools
import json
from typing import Any

import pytest
from selecting import (
    CATALOG,
    FITTING,
    ask,
    check,
    without_tolerance,
)

from borewright.calculations.part_selection.catalog import LISTS
from borewright.calculations.part_selection.sides import GIVES
from borewright.quantities import read_quantity


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
