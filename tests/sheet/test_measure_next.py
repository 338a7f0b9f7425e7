"""What a sheet says should be measured next."""

from collections.abc import Callable
from typing import Any

import pytest

from borewright.sheet.sections import Worked

BUILD: dict[str, Any] = {
    "bore": "100 mm",
    "stroke": "90 mm",
    "cylinders": 4,
    "chamber_volume": "50 cm3",
    "gasket": {"bore": "101 mm", "thickness": "1.0 mm ± 0.05 mm"},
    "deck_clearance": "0.02 mm ± 0.02 mm",
    "limits": {"squish": {"low": "1.0 mm", "high": "1.5 mm"}},
}


def settled(entry: dict[str, Any]) -> dict[tuple[str, str], float]:
    """What an entry settles, by section and check."""
    return {(found["section"], found["check"]): found["chance"] for found in entry["settles"]}


def test_the_gasket_settles_the_squish_and_says_how_closely(working: Callable[..., Worked]) -> None:
    """By hand (tests/calculations/base/test_reach.py): 80 % from the gasket alone, in three minutes; the deck after it the rest."""
    first, second = working(BUILD).sheet["measure_next"]
    assert first["fields"] == ["#/build/gasket/thickness"]
    assert settled(first) == {("compression", "squish"): pytest.approx(0.8)}
    assert first["tolerances"] == [None]  # the deck leaves 0.02 of its own: as stated, the gasket alone can only meet the limit
    assert second["fields"] == ["#/build/deck_clearance"]
    assert settled(second) == {("compression", "squish"): pytest.approx(0.2)}
    assert second["tolerances"][0] == {"value": pytest.approx(0.02 * 2.0 / 7.0), "unit": "mm"}


def test_a_sheet_whose_checks_all_pass_wants_nothing(working: Callable[..., Worked]) -> None:
    clear = {**BUILD, "deck_clearance": "0.2 mm ± 0.02 mm"}
    sheet = working(clear).sheet
    assert sheet["verdict"] == "pass"
    assert sheet["measure_next"] == []


def test_what_is_not_known_is_named_with_all_that_it_lacks(working: Callable[..., Worked]) -> None:
    sheet = working({"nominal_bore": "100 mm", "readings": READINGS, "oversizes": ["0.5 mm"], "minimum_stock": "0.05 mm"}).sheet
    unknown = [check for check in sheet["checks"] if check["verdict"] == "unknown" and check["missing"]]
    assert unknown
    told = {(found["section"], found["check"]) for entry in sheet["measure_next"] for found in entry["settles"]}
    assert {(check["section"], check["name"]) for check in unknown} <= told
    assert "#/build/walls" in {field for entry in sheet["measure_next"] for field in entry["fields"]}


READINGS = [
    {"cylinder": 1, "depth": "20 mm", "thrust": "100.10 mm", "axial": "100.06 mm"},
    {"cylinder": 1, "depth": "100 mm", "thrust": "100.03 mm", "axial": "100.02 mm"},
]


def test_the_demo_is_told_the_most_for_its_time_first(demo: Worked) -> None:
    entries = demo.sheet["measure_next"]
    rates = [entry["expected"] / entry["minutes"] for entry in entries]
    assert entries
    assert rates[0] == max(rates)
    open_checks = {(check["section"], check["name"]): check["verdict"] for check in demo.sheet["checks"] if check["verdict"] != "pass"}
    for entry in entries:
        assert len(entry["fields"]) == len(entry["tolerances"])
        rounding = 0.5e-6 * (1 + len(entry["settles"]))  # each is written to six decimals
        assert entry["expected"] == pytest.approx(sum(found["chance"] for found in entry["settles"]), abs=rounding)
        for found in entry["settles"]:
            assert open_checks[found["section"], found["check"]] == found["verdict"]
    for place in open_checks:  # chances add up over the list: each is what is won beyond those before it
        assert sum(settled(entry).get(place, 0.0) for entry in entries) <= 1.0 + 1e-6


def test_a_measurement_taken_as_proposed_passes_the_check(working: Callable[..., Worked]) -> None:
    """What the list says would do, stated in the build: the squish passes."""
    first, second = working(BUILD).sheet["measure_next"]
    half_width = second["tolerances"][0]["value"]
    share = half_width / 0.02
    closer = {
        **BUILD,
        "gasket": {"bore": "101 mm", "thickness": f"1.0 mm ± {0.05 * share:.9f} mm"},
        "deck_clearance": f"0.02 mm ± {half_width:.9f} mm",
    }
    assert first["fields"] == ["#/build/gasket/thickness"]
    assert working(closer).sheet["verdict"] == "pass"


def test_the_units_do_not_change_the_order(working: Callable[..., Worked]) -> None:
    metric, inch = (working(BUILD, units).sheet["measure_next"] for units in ("metric", "inch"))
    assert [entry["fields"] for entry in metric] == [entry["fields"] for entry in inch]
    assert [entry["expected"] for entry in metric] == pytest.approx([entry["expected"] for entry in inch])
