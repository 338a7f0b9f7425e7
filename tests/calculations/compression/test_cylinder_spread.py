"""Cylinder spread: each cylinder as compression alone works it out, what evens them, bounds, blame."""

from contextlib import suppress
from itertools import permutations
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest
from borewright.calculations.base.single import answer
from borewright.calculations.compression.compression import CALCULATION as COMPRESSION
from borewright.calculations.compression.cylinder_spread import CALCULATION
from borewright.calculations.compression.cylinder_spread.exchange import narrowest

ENGINE: dict[str, Any] = {
    "bore": "100 mm",
    "stroke": "90 mm",
    "cylinders": 4,
    "gasket": {"bore": "101 mm", "thickness": "1 mm"},
    "crown": {"recess": "5 cm3"},
}
tenths = st.integers(min_value=400, max_value=900)
hundredths = st.integers(min_value=-20, max_value=60)


def listed(sizes: list[tuple[int, int]]) -> list[dict[str, Any]]:
    return [
        {"cylinder": number, "chamber_volume": f"{chamber / 10} cm3", "deck_clearance": f"{deck / 100} mm"}
        for number, (chamber, deck) in enumerate(sizes, 1)
    ]


def answered(by_cylinder: list[dict[str, Any]], **changes: Any) -> dict[str, Any]:
    return answer(CALCULATION, {**ENGINE, "by_cylinder": by_cylinder, **changes})


def verdicts(found: dict[str, Any]) -> dict[str, str]:
    return {check["name"]: check["verdict"] for check in found["checks"]}


@given(sizes=st.lists(st.tuples(tenths, hundredths), min_size=2, max_size=4))
def test_each_cylinder_is_what_compression_says_of_it_alone(sizes: list[tuple[int, int]]) -> None:
    found = answered(listed(sizes))
    alone = [
        answer(COMPRESSION, {**ENGINE, "chamber_volume": f"{chamber / 10} cm3", "deck_clearance": f"{deck / 100} mm"})["compression_ratio"][
            "value"
        ]
        for chamber, deck in sizes
    ]
    assert [row["compression_ratio"]["value"] for row in found["cylinders"]] == alone
    assert found["ratio"]["spread"]["value"] == pytest.approx(max(alone) - min(alone), abs=1e-9)
    assert alone[found["ratio"]["highest_cylinder"] - 1] == max(alone)
    assert alone[found["ratio"]["lowest_cylinder"] - 1] == min(alone)


@given(sizes=st.lists(st.tuples(tenths, hundredths), min_size=2, max_size=4))
def test_opened_as_told_every_cylinder_has_the_lowest_ratio(sizes: list[tuple[int, int]]) -> None:
    found = answered(listed(sizes))
    opened = [
        {**entry, "chamber_volume": f"{row['chamber_volume']['value'] + row['open_chamber']['value']} cm3"}
        for entry, row in zip(listed(sizes), found["cylinders"], strict=True)
    ]
    even = answered(opened)["ratio"]
    assert even["spread"]["value"] == pytest.approx(0.0, abs=1e-6)
    assert even["lowest"]["value"] == pytest.approx(found["ratio"]["lowest"]["value"], abs=1e-6)


@given(sizes=st.lists(st.tuples(tenths, hundredths), min_size=2, max_size=4))
def test_what_each_piece_of_work_leaves_is_what_comes_of_it(sizes: list[tuple[int, int]]) -> None:
    found = answered(listed(sizes))
    largest, nearest = max(chamber for chamber, _ in sizes), min(deck for _, deck in sizes)
    chambers = answered(listed([(largest, deck) for _, deck in sizes]))["ratio"]["spread"]["value"]
    decks = answered(listed([(chamber, nearest) for chamber, _ in sizes]))["ratio"]["spread"]["value"]
    assert found["left"]["chambers"]["value"] == pytest.approx(chambers, abs=1e-9)
    assert found["left"]["decks"]["value"] == pytest.approx(decks, abs=1e-9)
    assert found["left"]["all"]["value"] == pytest.approx(0.0, abs=1e-9)
    cut = [
        {**entry, "deck_clearance": f"{row['deck_clearance']['value'] - row['deck_cut']['value']} mm"}
        for entry, row in zip(listed(sizes), found["cylinders"], strict=True)
    ]
    assert answered(cut)["deck"]["spread"]["value"] == pytest.approx(0.0, abs=1e-9)


def test_weights_and_gaps_stand_beside_and_only_what_was_measured_counts() -> None:
    by_cylinder = listed([(600, 10), (600, 10), (600, 10)])
    by_cylinder[0] |= {"piston": "550 g", "top_gap": "0.40 mm"}
    by_cylinder[2] |= {"piston": "552.5 g", "top_gap": "0.46 mm"}
    found = answered(by_cylinder)
    assert [row["take_off"] and row["take_off"]["value"] for row in found["cylinders"]] == [0, None, 2.5]
    assert found["piston"]["highest_cylinder"] == 3
    assert found["top_gap"]["spread"]["value"] == pytest.approx(0.06)
    assert found["second_gap"] is None
    assert verdicts(found)["piston-spread"] == "watch"
    assert "piston-spread" not in verdicts(answered(listed([(600, 10), (600, 10)])))


def test_the_squish_judged_is_the_one_furthest_out() -> None:
    """Practice: 0.035 to 0.060 in, 0.889 to 1.524 mm, with a gasket of 1 mm."""
    tight = {check["name"]: check for check in answered(listed([(600, 10), (600, -20)]))["checks"]}["squish"]
    wide = {check["name"]: check for check in answered(listed([(600, 10), (600, 60)]))["checks"]}["squish"]
    assert (tight["value"]["value"], tight["verdict"]) == (pytest.approx(0.8), "fail")
    assert (wide["value"]["value"], wide["verdict"]) == (pytest.approx(1.6), "watch")


def test_the_callers_own_limits_replace_those_of_practice() -> None:
    sizes = listed([(600, 10), (608, 10)])
    assert verdicts(answered(sizes))["chamber-spread"] == "watch"
    found = answered(sizes, limits={"chamber_spread": {"high": "0.8 cm3"}, "ratio_spread": {"high": 0.01}})
    assert verdicts(found)["chamber-spread"] == "pass"
    assert verdicts(found)["compression-spread"] == "fail"


def test_a_measured_deck_goes_before_the_stack() -> None:
    stack = {"deck_height": "217 mm", "rod_length": "140 mm", "compression_height": "31.8 mm"}
    by_cylinder = [{"cylinder": 1}, {"cylinder": 2, "deck_clearance": "0.35 mm"}]
    found = answered(by_cylinder, chamber_volume="60 cm3", stack=stack)
    assert [row["deck_clearance"]["value"] for row in found["cylinders"]] == [pytest.approx(0.2), 0.35]


def test_blame_lies_with_the_cylinder_that_states_it() -> None:
    with pytest.raises(InvalidRequest, match="#/by_cylinder/1/chamber_volume: this is missing"):
        answered([*listed([(600, 0)]), {"cylinder": 2, "deck_clearance": "0 mm"}])
    with pytest.raises(ImpossibleBuild, match="#/by_cylinder/1/deck_clearance: the piston would stand inside the head"):
        answered(listed([(600, 0), (600, -150)]))
    with pytest.raises(InvalidRequest, match="twice"):
        answered([{**entry, "cylinder": 1} for entry in listed([(600, 0), (600, 0)])])
    with pytest.raises(ImpossibleBuild, match="fewer cylinders"):
        answered([{**entry, "cylinder": entry["cylinder"] + 3} for entry in listed([(600, 0), (600, 0)])])
    assert any("Not every cylinder" in caution for caution in answered(listed([(600, 0), (600, 0)]))["cautions"])


@given(chambers=st.lists(tenths, min_size=2, max_size=4), tolerance=st.sampled_from([0.1, 0.5, 1.0]))
def test_bounds_of_a_spread_are_those_of_the_two_furthest_apart(chambers: list[int], tolerance: float) -> None:
    """However many tie: the largest chamber may be larger by its tolerance and the smallest smaller by its own."""
    by_cylinder = [
        {"cylinder": number, "chamber_volume": f"{chamber / 10} cm3 ± {tolerance} cm3", "deck_clearance": "0.1 mm"}
        for number, chamber in enumerate(chambers, 1)
    ]
    found = answered(by_cylinder)["chamber"]
    apart = (max(chambers) - min(chambers)) / 10
    assert found["spread"]["value"] == pytest.approx(apart, abs=1e-9)
    assert found["spread"]["high"] == pytest.approx(apart + 2 * tolerance, abs=1e-6)
    assert found["highest"]["high"] == pytest.approx(max(chambers) / 10 + tolerance, abs=1e-6)
    assert found["lowest"]["low"] == pytest.approx(min(chambers) / 10 - tolerance, abs=1e-6)


@given(data=st.data())
def test_no_corner_lies_outside_the_bounds(data: st.DataObject) -> None:
    sizes = data.draw(st.lists(tenths, min_size=2, max_size=4))
    tolerances = [data.draw(st.sampled_from([0.0, 0.2, 0.9])) for _ in sizes]
    written = [f"{size / 10} cm3" + (f" ± {tolerance} cm3" if tolerance else "") for size, tolerance in zip(sizes, tolerances, strict=True)]
    by_cylinder = [{"cylinder": place + 1, "chamber_volume": text, "deck_clearance": "0 mm"} for place, text in enumerate(written)]
    spread = answered(by_cylinder)["chamber"]["spread"]
    ends = [data.draw(st.sampled_from([-1.0, 1.0])) for _ in sizes]
    corner = [size / 10 + end * tolerance for size, end, tolerance in zip(sizes, ends, tolerances, strict=True)]
    assert max(corner) - min(corner) <= spread.get("high", spread["value"]) + 1e-6


def test_a_tolerance_that_all_share_does_not_set_them_apart() -> None:
    by_cylinder = [{"cylinder": 1}, {"cylinder": 2}, {"cylinder": 3}]
    found = answered(by_cylinder, chamber_volume="60 cm3 ± 1 cm3", deck_clearance="0.1 mm ± 0.05 mm")
    assert found["ratio"]["spread"]["high"] == pytest.approx(0.0, abs=1e-9)
    assert found["ratio"]["highest"]["high"] > found["ratio"]["highest"]["value"]


class TestExchange:
    """Which piston and which rod goes into which cylinder, against every way of placing them."""

    @staticmethod
    def measured(draw: list[tuple[int, int, int, int]]) -> list[dict[str, Any]]:
        return [
            {**entry, "compression_height": f"{40 + height / 100} mm", "rod_length": f"{150 + rod / 100} mm"}
            for entry, (_, _, height, rod) in zip(listed([each[:2] for each in draw]), draw, strict=True)
        ]

    @staticmethod
    def placed(by_cylinder: list[dict[str, Any]], what: str, to: tuple[int, ...]) -> list[dict[str, Any]]:
        """The cylinders as they are measured once parts are exchanged: a taller piston or a longer rod stands higher."""
        names = {"pistons": ("compression_height",), "rods": ("rod_length",)}.get(what, ("compression_height", "rod_length"))

        def reach(index: int) -> float:
            return sum(float(by_cylinder[index][name].split()[0]) for name in names)

        return [
            {**entry, "deck_clearance": f"{float(entry['deck_clearance'].split()[0]) + reach(row) - reach(column)} mm"}
            for row, (entry, column) in enumerate(zip(by_cylinder, to, strict=True))
        ]

    @settings(max_examples=12, deadline=None)
    @given(draw=st.lists(st.tuples(tenths, st.integers(10, 60), st.integers(-15, 15), st.integers(-15, 15)), min_size=2, max_size=4))
    def test_no_other_placing_leaves_less(self, draw: list[tuple[int, int, int, int]]) -> None:
        by_cylinder = self.measured(draw)
        for way in answered(by_cylinder)["exchange"]:
            told = tuple(place["takes_from"] - 1 for place in way["places"])
            spreads = {}
            for to in permutations(range(len(draw))):
                with suppress(ImpossibleBuild):
                    spreads[to] = answered(self.placed(by_cylinder, way["what"], to))["ratio"]["spread"]["value"]
            assert sorted(told) == list(range(len(draw)))
            assert way["ratio_spread"]["value"] == pytest.approx(spreads[told], abs=1e-9), "typed back, it is what was told"
            assert spreads[told] == pytest.approx(min(spreads.values()), abs=1.1e-6)
            assert way["moved"] == sum(row != column for row, column in enumerate(told))
            assert (way["finding"] == "evens") == (spreads[told] < spreads[tuple(range(len(draw)))] - 1e-6)

    @given(st.lists(st.lists(st.integers(0, 30), min_size=6, max_size=6), min_size=6, max_size=6))
    def test_the_narrowest_assignment_of_six(self, rows: list[list[int]]) -> None:
        values = np.array(rows, dtype=np.float64)
        found = narrowest(values)
        taken = np.array([values[range(6), list(to)] for to in permutations(range(6))])
        assert np.ptp(values[range(6), found]) == np.ptp(taken, axis=1).min()

    def test_it_is_unknown_without_a_height_and_says_which(self) -> None:
        by_cylinder = [{**entry, "rod_length": "150 mm"} for entry in listed([(600, 20), (610, 30)])]
        by_cylinder[0]["compression_height"] = "40 mm"
        pistons, rods, both = answered(by_cylinder)["exchange"]
        assert (pistons["finding"], pistons["missing"]) == ("unknown", ["#/by_cylinder/1/compression_height"])
        assert (rods["finding"], rods["missing"], rods["moved"]) == ("leaves", [], 0)
        assert both["missing"] == pistons["missing"]
        assert (pistons["places"], pistons["ratio_spread"], pistons["moved"]) == ([], None, None)

    def test_no_piston_is_sent_into_the_head(self) -> None:
        """The tall piston would even the ratios where it can't stand."""
        by_cylinder = [
            {"cylinder": 1, "chamber_volume": "70 cm3", "deck_clearance": "-0.9 mm", "compression_height": "40 mm"},
            {"cylinder": 2, "chamber_volume": "60 cm3", "deck_clearance": "0 mm", "compression_height": "40.5 mm"},
        ]
        (pistons, *_) = answered(by_cylinder)["exchange"]
        assert pistons["finding"] == "leaves"

    def test_a_height_counts_where_the_deck_is_calculated(self) -> None:
        stack = {"deck_height": "235 mm", "rod_length": "150 mm", "compression_height": "39.8 mm"}
        by_cylinder = [{"cylinder": 1, "compression_height": "39.7 mm"}, {"cylinder": 2, "rod_length": "149.9 mm"}]
        found = answered(by_cylinder, stack=stack, chamber_volume="60 cm3")
        assert [row["deck_clearance"]["value"] for row in found["cylinders"]] == pytest.approx([0.3, 0.3], abs=1e-9)


def test_what_could_be_exchanged_in_an_engine_that_cannot_turn_is_not_asked() -> None:
    first: dict[str, Any] = dict(next(iter(CALCULATION.examples.values())))
    with pytest.raises(ImpossibleBuild, match="#/rod_length: the rod must be longer than the crank throw"):
        answer(CALCULATION, {**first, "rod_length": "10 mm"})
