"""A fact that is stated in one place reaches every calculation, in the spelling that it wants."""

from typing import Any

import pytest

from borewright.build import Build
from borewright.build.facts import FACTS, fact_at
from borewright.build.takes import TAKES
from borewright.calculations.base.registry import calculations
from borewright.sheet.sections import build_sheet

SHORT_BLOCK: dict[str, Any] = {
    "bore": "3.892 in",
    "crank": {"stroke": "3.36 in"},
    "rod": {"length": "5.86 in"},
    "block": {"deck_height": "9.140 in", "cylinders": 8},
    "piston": {"compression_height": "1.575 in"},
    "chamber_volume": "57 cm3",
    "gasket": {"bore": "3.962 in", "thickness": "0.040 in"},
}


def taken(name: str, build: dict[str, Any]) -> Any:
    """What a calculation is given of a build."""
    return Build(build).taken_by(TAKES[name], calculations()[name].request_schema)


def sheet(build: dict[str, Any], units: str = "inch") -> dict[str, Any]:
    """A build calculated."""
    return build_sheet({"units": units, "order": {"id": "A-1"}, "build": build})


def test_one_place_is_enough() -> None:
    """The same figures from crank, rod, block and piston as from stroke, cylinders and stack."""
    other = {
        "bore": "3.892 in",
        "stroke": "3.36 in",
        "cylinders": 8,
        "stack": {"deck_height": "9.140 in", "rod_length": "5.86 in", "compression_height": "1.575 in"},
        "chamber_volume": "57 cm3",
        "gasket": {"bore": "3.962 in", "thickness": "0.040 in"},
    }
    first, second = sheet(SHORT_BLOCK), sheet(other)
    assert set(first["sections"]) == set(second["sections"]) >= {"displacement", "compression", "assembly-fit"}
    for name in first["sections"]:
        assert {member: value for member, value in first["sections"][name].items() if member != "sensitivity"} == {
            member: value for member, value in second["sections"][name].items() if member != "sensitivity"
        }
    assert first["disagreements"] == second["disagreements"] == []


@pytest.mark.parametrize("fact", [fact for fact in FACTS if len(fact.places) > 1], ids=lambda fact: fact.text)
def test_every_place_reaches_every_other(fact: Any) -> None:
    """Whichever place states it, each calculation that takes the fact is given it at its own."""
    for origin in fact.places:
        build = dict(Build({}).having(origin, "gasoline" if fact.text == "fuel" else "2618").stated)
        for name, takes in TAKES.items():
            # a field that has another name in the build states another thing, unless that name is a fact too
            own = {path for path, name_there in takes.renamed.items() if fact_at(name_there) is None}
            wanted = [place for place in fact.places if takes.covers(place) and place not in {*takes.renamed.values(), *own}]
            request = taken(name, build).request
            for place in wanted:
                objects = place.split(".")[:-1]
                if objects and not calculations()[name].request_schema.fields[objects[0]].required:
                    continue  # half an object that nobody asked for is left out
                assert Build(request).at(place) == Build(build).at(origin), (name, place)


def test_half_an_object_that_follows_is_left_out() -> None:
    """A rod length alone makes no stack, and a land's height no crevice."""
    given = {"rod": {"length": "5.86 in"}, "piston": {"top_land": "0.28 in"}, "deck_clearance": "0.02 in", **SHORT_BLOCK}
    del given["block"]
    found = taken("compression", given)
    assert "stack" not in found.request
    assert "top_land" not in found.request
    assert found.request["rod_length"] == "5.86 in"


def test_what_is_stated_goes_before_what_follows() -> None:
    """A measured deck clearance is taken, though the stack is known as well."""
    found = taken("compression", {**SHORT_BLOCK, "deck_clearance": "0.02 in"})
    assert "stack" not in found.request
    assert taken("compression", SHORT_BLOCK).request["stack"]["deck_height"] == "9.140 in"


def test_a_refusal_points_to_where_the_fact_was_stated() -> None:
    """The rod is too short to turn: the pointer is that of rod.length, which is what the caller wrote."""
    found = sheet({**SHORT_BLOCK, "rod": {"length": "1.4 in"}})
    pointers = {error["pointer"] for entry in found["refused"] for error in entry["errors"]}
    assert any(place.startswith("#/build/rod") for place in pointers), pointers
    assert not any(place.startswith("#/build/stack") or place.startswith("#/build/rod_length") for place in pointers), pointers


def test_the_fuel_is_one() -> None:
    """A fuel named with its octane is the fuel of the duty: gaps and fits are those of it."""
    build = {"bore": "4 in", "fuel": {"name": "methanol", "octane": {"rating": 100, "scale": "ron"}}}
    assert taken("ring-gap", build).request["duty"] == {"fuel": "methanol"}
    # another calculation's word that this one does not know does not follow
    assert "name" not in taken("detonation-margin", {"duty": {"fuel": "diesel"}}).request.get("fuel", {})


def test_two_speeds_are_two_facts() -> None:
    """A margin is asked at its own speed; where none is stated, at the one that the engine is turned to, and the sheet says so."""
    build = {"speed": "7000 rpm", "margin_speed": "3000 rpm"}
    for name, wanted in (
        ("strength", "7000 rpm"),
        ("assembly-fit", "7000 rpm"),
        ("detonation-margin", "3000 rpm"),
        ("power-gain", "3000 rpm"),
    ):
        assert taken(name, build).request["speed"] == wanted
    alone = taken("detonation-margin", {"speed": "7000 rpm"})
    assert alone.request["speed"] == "7000 rpm"
    assert alone.stood_in == {"margin_speed": "speed"}
    assert "speed" not in taken("strength", {"margin_speed": "3000 rpm"}).request
    assert "margin_speed" in taken("detonation-margin", {}).lacking


def test_boost_or_nitrous_oxide_says_how_the_engine_breathes() -> None:
    """Where no aspiration is stated it follows, with an assumption; the gap is that of a boosted engine."""
    build = {"bore": "4 in", "boost": {"pressure": "8 psi"}}
    found = sheet(build)
    assert found["disagreements"] == []
    stated = [entry for entry in found["assumptions"] if entry["name"] == "duty.aspiration"]
    assert [entry["value"] for entry in stated] == ["boost"]


def test_the_block_as_it_stands_is_not_the_bore_it_is_bored_to() -> None:
    """Parts are chosen from the bore as it stands; the finished bore stands in where that is not stated, and contradicts nothing."""
    found = taken("part-selection", {"bore": "3.892 in", "block": {"bore": "3.862 in"}})
    assert found.request["block"]["bore"] == "3.862 in"
    assert taken("part-selection", {"bore": "3.892 in", "nominal_bore": "3.862 in"}).request["block"]["bore"] == "3.862 in"
    alone = taken("part-selection", {"bore": "3.892 in"})
    assert (alone.request["block"]["bore"], alone.stood_in) == ("3.892 in", {"block.bore": "bore"})
    assert "nominal_bore" not in taken("bore-cleanup", {"bore": "3.892 in"}).request


def test_a_sheet_without_margin_speed_says_what_stood_in() -> None:
    build = {**SHORT_BLOCK, "speed": "5000 rpm", "fuel": {"octane": {"rating": 91, "scale": "aki"}}}
    found = sheet(build)
    assert "detonation-margin" in found["sections"]
    assert [entry["value"] for entry in found["assumptions"] if entry["name"] == "margin_speed"] == ["5000 rpm"]


def test_a_word_for_other_engines_leaves_a_section_out_and_a_wrong_one_is_refused() -> None:
    build = {"bore": "100 mm", "stroke": "100 mm", "speed": "3000 rpm", "compression_ratio": 17, "duty": {"fuel": "diesel"}}
    assert any("diesel" in field for field in taken("detonation-margin", build).lacking)
    assert "fuel" not in taken("detonation-margin", build).request.get("duty", {})
    assert taken("ring-gap", build).request["duty"] == {"fuel": "diesel"}
    odd = {**build, "duty": {"fuel": "coal"}}
    assert not any("coal" in field for field in taken("detonation-margin", odd).lacking)
    assert taken("detonation-margin", odd).request["duty"] == {"fuel": "coal"}  # refused by the calculation
