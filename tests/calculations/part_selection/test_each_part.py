"""Each part judged by itself: the same as trying every combination, with a target and without."""

import copy
from typing import Any

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

CALCULATION = calculations()["part-selection"]
CATALOG: dict[str, Any] = dict(next(iter(CALCULATION.examples.values())))
LISTS = ("cranks", "rods", "pistons", "gaskets", "heads")


def ask(**changes: Any) -> dict[str, Any]:
    return answer(CALCULATION, {**copy.deepcopy(CATALOG), **changes})


def test_each_part_is_what_the_search_with_it_alone_says() -> None:
    found = ask(each_part=True)
    for name in LISTS:
        judged = found["parts"][name]
        assert [part["id"] for part in judged] == [part["id"] for part in CATALOG[name]]
        for part, entry in zip(judged, CATALOG[name], strict=True):
            alone = ask(**{name: [entry]})
            assert part["combinations"] == alone["fitting"]
            assert part["fits"] == (alone["fitting"] > 0)
            if part["fits"]:
                best = alone["choices"][0]
                assert (part["best"], part["verdict"]) == (best["parts"], best["verdict"])
                assert part["compression_ratio"]["value"] == pytest.approx(best["results"]["compression_ratio"]["value"], rel=1e-9)
            else:
                assert (part["verdict"], part["best"]) == ("fail", None)
                assert part["reason"].startswith(f"{part['rule']}: ")
                near = alone["nearest"]
                assert part["nearest"] == near["parts"]
                assert part["check"] == next(check for check in near["checks"] if check["name"] == part["rule"])
            assert (part["check"] is None) == (part["verdict"] == "pass") == (part["reason"] is None)
            assert (part["nearest"] is None) == part["fits"]
    assert sum(part["combinations"] for part in found["parts"]["pistons"]) == found["fitting"]
    assert {part["fits"] for name in LISTS for part in found["parts"][name]} == {True, False}, "the catalog has parts of both kinds"


def test_a_shop_can_say_it_in_its_own_words() -> None:
    """A name, a value and its limits: the pin of a piston that is too small for the small end on offer."""
    thin = {**CATALOG["pistons"][0], "id": "thin pin", "pin_diameter": 0.923}
    judged = ask(pistons=[thin], rods=CATALOG["rods"][1:], each_part=True)["parts"]["pistons"][0]
    assert (judged["fits"], judged["check"]["name"], judged["check"]["verdict"]) == (False, "pin-fit", "fail")
    assert judged["check"]["value"]["value"] == pytest.approx(0.9519 - 0.923, rel=1e-9)
    assert judged["check"]["value"]["value"] > judged["check"]["limits"]["high"]["value"]


def test_every_rule_can_turn_a_part_away_alone() -> None:
    """What one part is told of the rule it breaks is the check of the whole combination, for any of the rules that lists can break."""
    wrong: dict[str, tuple[str, dict[str, Any]]] = {
        "bore": ("pistons", {"bore": 4.4}),
        "duty-allowed": ("pistons", {"aspirations": ["natural"]}),
        "top-land": ("pistons", {"top_land": 0.02}),
        "second-land": ("pistons", {"second_land": 0.02}),
        "pin-fit": ("pistons", {"pin_diameter": 0.931}),
        "pin-end-room": ("pistons", {"pin_length": 3.88}),
        "bore-to-gasket-clearance": ("gaskets", {"bore": 3.8}),
        "head-bore": ("heads", {"minimum_bore": 4.1}),
        "journal-diameter": ("rods", {"journal_diameter": 2.5}),
        "counterweight-to-boss": ("cranks", {"counterweight_radius": 4.9}),
        "deck-clearance": ("pistons", {"compression_height": 2.0}),
        "squish": ("gaskets", {"thickness": 0.3}),
        "compression-target": ("heads", {"chamber_volume": "200 cm3"}),
    }
    for rule, (name, change) in wrong.items():
        entry = {**CATALOG[name][-1 if name in ("rods", "heads") else 0], **change}
        found = ask(**{name: [entry]}, each_part=True)
        judged, near = found["parts"][name][0], found["nearest"]
        assert judged["rule"] == rule == judged["check"]["name"], (rule, judged["rule"])
        if judged["nearest"] == near["parts"]:
            assert judged["check"] in near["checks"]


def test_without_a_target_it_is_whether_they_go_together() -> None:
    body = {name: value for name, value in CATALOG.items() if name != "target_compression"}
    found = answer(CALCULATION, {**body, "each_part": True})
    wide = answer(CALCULATION, {**body, "target_compression": {"value": 10, "low": 1.5, "high": 60}, "each_part": True})
    for name in LISTS:
        assert [part["combinations"] for part in found["parts"][name]] == [part["combinations"] for part in wide["parts"][name]]


def test_unasked_it_is_null() -> None:
    assert ask()["parts"] is None
