"""Each contradiction of a build is named with its places and fails the sheet; what only differs within its tolerances is none."""

from typing import Any

import pytest

from borewright.build.facts import FACTS
from borewright.sheet.sections import build_sheet

PLAIN: dict[str, Any] = {
    "bore": "3.892 in",
    "stroke": "3.36 in",
    "cylinders": 8,
    "rod_length": "5.86 in",
    "chamber_volume": "57 cm3",
    "gasket": {"bore": "3.962 in", "thickness": "0.040 in"},
    "deck_clearance": "0.025 in",
}
MASSES = {"piston": "600 g", "pin": "150 g", "rings": "60 g", "rod_small_end": "200 g", "rod_big_end": "450 g", "bearings": "45 g"}
WORN: dict[str, Any] = {
    "nominal_bore": "3.862 in",
    "readings": [
        {"cylinder": number, "depth": depth, "thrust": "3.870 in", "axial": "3.866 in"} for number in (1, 2) for depth in ("0.5 in", "4 in")
    ],
    "oversizes": ["0.010 in", "0.020 in", "0.030 in"],
}


def sheet(build: dict[str, Any]) -> dict[str, Any]:
    """A build calculated."""
    return build_sheet({"units": "inch", "order": {"id": "A-1"}, "build": build})


def test_a_plain_build_contradicts_nothing() -> None:
    found = sheet(PLAIN)
    assert found["disagreements"] == []
    assert found["refused"] == []


CONTRADICTIONS: dict[str, tuple[dict[str, Any], list[str], str]] = {
    "stroke": (
        {"crank": {"stroke": "3.63 in"}},
        ["#/build/stroke", "#/build/crank/stroke"],
        "the stroke is 3.36 in (stroke) and 3.63 in (crank.stroke)",
    ),
    "rod": ({"rod": {"length": "6.16 in"}}, ["#/build/rod_length", "#/build/rod/length"], "the rod length is 5.86 in"),
    "cylinders": ({"block": {"cylinders": 6}}, ["#/build/cylinders", "#/build/block/cylinders"], "the number of cylinders is 8"),
    "fuel": (
        {"duty": {"fuel": "gasoline"}, "fuel": {"name": "methanol", "octane": {"rating": 100, "scale": "ron"}}},
        ["#/build/duty/fuel", "#/build/fuel/name"],
        "the fuel is gasoline (duty.fuel) and methanol (fuel.name)",
    ),
    "pin": (
        {"piston": {"pin_diameter": "0.951 in"}, "pin": {"outer": "0.936 in"}},
        ["#/build/piston/pin_diameter", "#/build/pin/outer"],
        "the pin diameter is 0.951 in",
    ),
    "cylinders of the crank": (
        {
            "cylinders": 4,
            "masses": MASSES,
            "throws": [{"angle": "0 deg"}],
            "crank_cylinders": [{"throw": 1, "bank_angle": "-45 deg"}, {"throw": 1, "bank_angle": "45 deg"}],
        },
        ["#/build/cylinders", "#/build/crank_cylinders"],
        "the crank's throws carry 2 cylinders, and 4 are stated",
    ),
    "layout": (
        {"cylinders": 6, "layout": "v8-90-cross-plane", "masses": MASSES},
        ["#/build/cylinders", "#/build/layout"],
        "the layout v8-90-cross-plane has 8 cylinders, and 6 are stated",
    ),
    "measured gaps": (
        {"measured": [{"cylinder": 8, "top": "0.018 in"}, {"cylinder": 9, "top": "0.018 in"}]},
        ["#/build/measured/1/cylinder", "#/build/cylinders"],
        "measured has cylinder 9, and the engine has 8 cylinders",
    ),
    "measured skirts": (
        {"alloy": "4032", "skirts": [{"piston": 12, "diameter": "3.889 in"}]},
        ["#/build/skirts/0/piston", "#/build/cylinders"],
        "skirts has piston 12, and the engine has 8 cylinders",
    ),
    "wear": (
        {**WORN, "bore": "3.872 in"},
        ["#/build/bore", "#/build/readings"],
        "the bore is 3.872 in, and cylinder 1 cleans up at 3.881 in: bore it to 3.882 in, the smallest size on offer that does",
    ),
    "wear past all": (
        {**WORN, "bore": "3.872 in", "oversizes": ["0.010 in"]},
        ["#/build/bore", "#/build/readings"],
        "no size on offer cleans up",
    ),
    "measured bores": (
        {"alloy": "4032", "bores": [{"cylinder": 1, "diameter": "3.8922 in"}, {"cylinder": 2, "diameter": "3.922 in"}]},
        ["#/build/bores/1/diameter", "#/build/bore"],
        "the bore is 3.892 in, and cylinders were measured away from it: 2 at 3.922 in",
    ),
    "ratio": (
        {"compression_ratio": 11.5},
        ["#/build/compression_ratio", "#/build/chamber_volume"],
        "the compression ratio is stated as 11.5, and the volumes come to",
    ),
    "stack": (
        {"stack": {"deck_height": "9.140 in", "rod_length": "5.86 in", "compression_height": "1.555 in"}},
        [
            "#/build/deck_clearance",
            "#/build/stack/deck_height",
            "#/build/stack/rod_length",
            "#/build/stack/compression_height",
            "#/build/stroke",
        ],
        "the deck clearance is stated as 0.025 in, and the stack leaves 0.045 in",
    ),
    "boost": (
        {"duty": {"aspiration": "natural"}, "boost": {"pressure": "8 psi"}},
        ["#/build/duty/aspiration", "#/build/boost"],
        "the duty says natural, and the build has boost",
    ),
    "nitrous": (
        {"duty": {"aspiration": "boost"}, "nitrous": {"power": "100 hp"}},
        ["#/build/duty/aspiration", "#/build/nitrous"],
        "the duty says boost, and the build has nitrous",
    ),
}


@pytest.mark.parametrize("name", CONTRADICTIONS)
def test_a_contradiction_is_named_and_fails_the_sheet(name: str) -> None:
    change, pointers, said = CONTRADICTIONS[name]
    found = sheet({**PLAIN, **change})
    assert [entry["pointers"] for entry in found["disagreements"]] == [pointers]
    entry = found["disagreements"][0]
    assert said in entry["detail"]
    assert len(entry["values"]) == len(pointers)
    assert found["verdict"] == "fail"


@pytest.mark.parametrize(
    "change",
    [
        {"crank": {"stroke": "85.344 mm"}},
        {"stroke": "3.36 in ± 0.002 in", "crank": {"stroke": "3.361 in"}},
        {"stroke": "3.36 in +0.002/-0 in", "crank": {"stroke": "3.362 in"}},
        {"cylinders": 8, "layout": "v8-90-cross-plane", "masses": MASSES},
        {"compression_ratio": "10.2 ± 0.2"},
        {"compression_ratio": 10.4},
        {"alloy": "4032", "bores": [{"cylinder": 1, "diameter": "3.8925 in"}]},
        {**WORN, "bore": "3.882 in"},
        {"top_land": {"height": "0.280 in", "diameter": "4.0 in"}, "piston": {"top_land": "0.282 in"}},
        {"duty": {"aspiration": "boost"}, "boost": {"pressure": "8 psi"}, "nitrous": {"power": "50 hp"}},
        {"duty": {"aspiration": "natural"}, "boost": {"pressure": "0 psi"}},
        {"stack": {"deck_height": "9.140 in", "rod_length": "5.86 in", "compression_height": "1.575 in"}},
        {"layout": "v8-90-cross-plane"},
    ],
)
def test_what_agrees_within_its_tolerances_is_no_contradiction(change: dict[str, Any]) -> None:
    assert sheet({**PLAIN, **change})["disagreements"] == []


def test_a_one_sided_tolerance_reaches_to_its_own_side_only() -> None:
    found = sheet({**PLAIN, "stroke": "3.36 in +0.002/-0 in", "crank": {"stroke": "3.359 in"}})
    assert len(found["disagreements"]) == 1


def test_several_contradictions_are_all_named() -> None:
    found = sheet({**PLAIN, "crank": {"stroke": "3.63 in"}, "block": {"cylinders": 6}, "compression_ratio": 14})
    assert len(found["disagreements"]) == 3


def test_values_are_those_that_were_written() -> None:
    """As the caller wrote them, so that they are found again."""
    found = sheet({**PLAIN, "crank": {"stroke": 3.63}})
    assert found["disagreements"][0]["values"] == ["3.36 in", 3.63]


def test_no_number_of_cylinders_nothing_beyond_the_last() -> None:
    build = {"bore": "4 in", "measured": [{"cylinder": 24, "top": "0.018 in"}]}
    assert sheet(build)["disagreements"] == []


def test_every_fact_of_several_places_has_an_own_name() -> None:
    assert len({fact.text for fact in FACTS}) == len(FACTS)
