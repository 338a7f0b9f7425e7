"""Machining that a build states reaches compression, clearance and every section after it."""

import math
from typing import Any

import pytest

from borewright.sheet.sections import build_sheet

BUILD: dict[str, Any] = {
    "bore": "100 mm",
    "stroke": "90 mm",
    "cylinders": 4,
    "chamber_volume": "50 cm3",
    "gasket": {"bore": "102 mm", "thickness": "1 mm"},
    "stack": {"deck_height": "220 mm", "rod_length": "140 mm", "compression_height": "34 mm"},
    "levers": {"head_mill": {"max": "1 mm", "chamber_area": "60 cm2"}},
    "target": "11",
    "speed": "6000 rpm",
    "fuel": {"octane": {"rating": 98, "scale": "ron"}},
    "valve_angle": "15 deg",
    "valve_drop": "3 mm",
    "relief": {"intake": "4 mm", "exhaust": "4 mm"},
    "lift": [{"crank": f"{angle} deg", "intake": f"{2 + angle / 20} mm", "exhaust": f"{2 - angle / 20} mm"} for angle in range(-20, 21, 5)],
}


def sheet(build: dict[str, Any]) -> dict[str, Any]:
    """A build calculated."""
    return build_sheet({"order": {"id": "A-1"}, "build": build})


def ratio(found: dict[str, Any]) -> float:
    """The compression ratio of a sheet."""
    return float(found["sections"]["compression"]["compression_ratio"]["value"])


def test_cuts_reach_every_section() -> None:
    """0.5 mm off the deck and 0.4 mm off the heads: the same sheet as with a deck, a chamber that much smaller."""
    cut = sheet({**BUILD, "deck_cut": "0.5 mm", "head_mill": "0.4 mm"})
    after = sheet({**BUILD, "stack": {**BUILD["stack"], "deck_height": "219.5 mm"}, "chamber_volume": f"{50 - 6 * 0.4} cm3"})
    assert {"compression", "compression-target", "detonation-margin"} <= set(cut["sections"])
    assert cut["sections"]["compression-target"] == sheet(BUILD)["sections"]["compression-target"], "it plans from the parts as they were"
    assert ratio(cut) == pytest.approx(ratio(after), rel=1e-11)
    assert ratio(cut) > ratio(sheet(BUILD)) + 0.5
    for name in ("compression", "detonation-margin"):
        assert cut["sections"][name]["checks"] == after["sections"][name]["checks"]


def test_valves_see_the_machining_once() -> None:
    """Valve clearance works the cut out by itself: before is the build's before, after is with the cut, not twice of it."""
    plain, cut = (sheet({**BUILD, **change})["sections"]["valve-clearance"] for change in ({}, {"deck_cut": "0.5 mm"}))
    assert cut["intake"]["before"] == plain["intake"]["before"]
    assert -cut["intake"]["change"]["value"] == pytest.approx(0.5 * math.cos(math.radians(15)))


def test_a_stated_deck_clearance_is_cut_too() -> None:
    build = {**BUILD, "deck_clearance": "1 mm", "deck_cut": "0.5 mm"}
    del build["stack"]
    assert sheet(build)["sections"]["compression"]["deck_clearance"]["value"] == pytest.approx(0.5)
    assert sheet(build)["disagreements"] == []


def test_tolerances_of_cut_and_size_add_up() -> None:
    build = {**BUILD, "deck_cut": "0.5 mm +0.02/-0.01 mm", "deck_clearance": "1 ± 0.05 mm"}
    del build["stack"]
    found = sheet(build)["sections"]["compression"]["deck_clearance"]
    assert (found["value"], found["low"], found["high"]) == pytest.approx((0.5, 0.43, 0.56))


def test_a_chamber_of_unknown_shape_is_not_guessed() -> None:
    """What a mill takes is not known without the chamber's area: the volume is missing, with what would tell."""
    found = sheet({**BUILD, "levers": {"deck_cut": {"max": "1 mm"}}, "head_mill": "0.4 mm"})
    assert "compression" not in found["sections"]
    lacking = next(entry["fields"] for entry in found["missing"] if entry["section"] == "compression")
    assert any("levers.head_mill.chamber_area" in field for field in lacking)


def test_a_poured_profile_is_followed() -> None:
    """The chamber after the cut is what was poured at that depth."""
    profile = [{"depth": "0.4 mm", "volume": "47 cm3"}, {"depth": "1 mm", "volume": "44 cm3"}]
    found = sheet({**BUILD, "levers": {"head_mill": {"max": "0.5 mm", "profile": profile}}, "head_mill": "0.4 mm"})
    assert found["sections"]["compression"]["clearance_parts"]["chamber"]["value"] == pytest.approx(47)
    assert "compression-target" in found["sections"]
    assert found["refused"] == []


def test_a_cut_past_the_whole_chamber_is_told() -> None:
    found = sheet({**BUILD, "head_mill": "9 mm"})
    lacking = next(entry["fields"] for entry in found["missing"] if entry["section"] == "compression")
    assert "a head_mill that leaves something of the chamber" in lacking
