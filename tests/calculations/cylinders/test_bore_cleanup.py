"""Bore clean-up against plain loops, and what the gauge's tolerance makes of it."""

from __future__ import annotations

import math
import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.calculations.base.problems import InvalidRequest, Refusal
from borewright.calculations.base.single import answer
from borewright.calculations.cylinders.bore_cleanup import CALCULATION

NOMINAL = 100.0
Levels = list[tuple[float, float]]
hundredths = st.integers(-2, 60).map(lambda whole: whole / 100)
unworn = st.tuples(*[st.integers(-2, 5).map(lambda whole: whole / 100)] * 2)  # below the rings' travel a cylinder hardly wears
levels = st.builds(lambda above, below: [*above, below], st.lists(st.tuples(hundredths, hundredths), min_size=1, max_size=3), unworn)
block = st.lists(levels, min_size=1, max_size=5)
STEPS = ["0 mm", "0.25 mm", "0.5 mm", "0.75 mm", "1 mm", "1.5 mm"]


def readings(cylinders: list[Levels], gauge: float = 0.0, unit: str = "mm", scale: float = 1.0) -> list[dict[str, Any]]:
    def size(wear: float) -> dict[str, Any]:
        return {"value": (NOMINAL + wear) / scale, "unit": unit, "tolerance": gauge / scale}

    return [
        {"cylinder": number, "depth": f"{10 + 30 * level} mm", "thrust": size(thrust), "axial": size(axial)}
        for number, worn in enumerate(cylinders, start=1)
        for level, (thrust, axial) in enumerate(worn)
    ]


def ask(cylinders: list[Levels], gauge: float = 0.0, **changes: Any) -> dict[str, Any]:
    request = {"nominal_bore": f"{NOMINAL} mm", "readings": readings(cylinders, gauge), "minimum_stock": "0.04 mm"}
    if "sizes" not in changes:
        request["oversizes"] = STEPS
    return answer(CALCULATION, {**request, **changes})


def value(figure: dict[str, Any]) -> float:
    return float(figure["value"])


def needed(worn: Levels, centring: str, stock: float = 0.04) -> float:
    deepest = max(max(level) for level in worn)
    return NOMINAL + (2 * max(deepest, 0.0) if centring == "original" else deepest) + 2 * stock


@settings(max_examples=60, deadline=None)
@given(cylinders=block, centring=st.sampled_from(["original", "follow_wear"]))
def test_everything_against_plain_loops(cylinders: list[Levels], centring: str) -> None:
    found = ask(cylinders, centring=centring)
    for worn, row in zip(cylinders, found["cylinders"], strict=True):
        assert value(row["out_of_round"]) == pytest.approx(max(abs(t - a) for t, a in worn), abs=1e-9)
        tapers = [max(direction) - min(direction) for direction in zip(*worn, strict=True)]
        assert value(row["taper"]) == pytest.approx(max(tapers), abs=1e-9)
        assert value(row["largest"]) == pytest.approx(NOMINAL + max(max(level) for level in worn), abs=1e-9)
        assert value(row["cleanup_diameter"]) == pytest.approx(needed(worn, centring), abs=1e-9)
        assert set(row["largest"]) == {"value", "unit"}
    smallest = None
    for row in found["sizes"]:
        size = value(row["size"])
        out = [number for number, worn in enumerate(cylinders, start=1) if size < needed(worn, centring) - 1e-6]
        assert row["holdouts"] == out
        assert row["cleans_up"] == (not out)
        assert row["verdict"] == ("fail" if out else "pass")
        if smallest is None and not out:
            smallest = size
    if smallest is None:
        assert found["smallest_clean_size"] is None
        assert found["checks"][0]["verdict"] == "fail"
    else:
        assert value(found["smallest_clean_size"]) == value(found["smallest_certain_size"]) == smallest


@settings(max_examples=40, deadline=None)
@given(cylinders=block, gauge=st.integers(1, 8).map(lambda whole: whole / 100), centring=st.sampled_from(["original", "follow_wear"]))
def test_the_bounds_hold_whatever_the_gauge_hid(cylinders: list[Levels], gauge: float, centring: str) -> None:
    found = ask(cylinders, gauge, centring=centring)
    chance = random.Random(len(cylinders))
    for _ in range(8):
        true = [
            [tuple(wear + chance.choice((-1, 0, 1, chance.uniform(-1, 1))) * gauge for wear in level) for level in worn]
            for worn in cylinders
        ]
        exact = ask(true, centring=centring)
        for row, sure in zip(found["cylinders"], exact["cylinders"], strict=True):
            for name in ("out_of_round", "taper", "largest", "cleanup_diameter"):
                assert row[name]["low"] - 1e-9 <= value(sure[name]) <= row[name]["high"] + 1e-9
        for row, sure in zip(found["sizes"], exact["sizes"], strict=True):
            if row["verdict"] == "pass":
                assert sure["cleans_up"]
            assert set(row["holdouts"]) ^ set(sure["holdouts"]) <= set(row["uncertain"])
    for sign, end in ((1, "high"), (-1, "low")):
        shifted = [[(t + sign * gauge, a + sign * gauge) for t, a in worn] for worn in cylinders]
        for row, sure in zip(found["cylinders"], ask(shifted, centring=centring)["cylinders"], strict=True):
            for name in ("largest", "cleanup_diameter"):
                assert row[name][end] == pytest.approx(value(sure[name]), abs=1e-9)


def test_a_size_that_cleans_up_only_inside_the_tolerance_is_watched() -> None:
    """Clean-up at 100.480: 100.500 holds by 0.020; a gauge of ± 0.011 on a doubled wear takes 0.022 of it."""
    worn = [[(0.20, 0.10), (0.05, 0.02)]]
    for gauge, verdict, certain in ((0.009, "pass", 100.5), (0.011, "watch", 100.75)):
        found = ask(worn, gauge)
        assert value(found["smallest_clean_size"]) == pytest.approx(100.5)
        assert found["sizes"][2]["verdict"] == found["checks"][0]["verdict"] == verdict
        assert value(found["smallest_certain_size"]) == pytest.approx(certain)
        assert found["sizes"][2]["uncertain"] == ([1] if verdict == "watch" else [])
    toleranced_size = ask(worn, sizes=["100.5 mm ± 0.03 mm"])
    assert toleranced_size["sizes"][0]["verdict"] == "watch"


def test_a_size_on_offer_carries_its_own_tolerance() -> None:
    """JCGM 100:2008, 4.3.7 and 6.2.1: a half-width a is an expanded uncertainty of 2·a/√3."""
    (size,) = ask([[(0.1, 0.05), (0.05, 0.02)]], sizes=["100.5 mm ± 0.012 mm"])["sizes"]
    assert (size["size"]["low"], size["size"]["high"]) == (pytest.approx(100.488), pytest.approx(100.512))
    assert size["size"]["uncertainty"] == size["oversize"]["uncertainty"] == pytest.approx(2 * 0.012 / math.sqrt(3))


def test_uncertainty_is_that_of_the_readings_that_decide() -> None:
    row = ask([[(0.20, 0.10), (0.05, 0.02)]], 0.006)["cylinders"][0]
    once = 2 * 0.006 / math.sqrt(3)
    assert row["largest"]["uncertainty"] == pytest.approx(once)
    assert row["out_of_round"]["uncertainty"] == pytest.approx(once * math.sqrt(2))
    assert row["taper"]["uncertainty"] == pytest.approx(once * math.sqrt(2))
    assert row["cleanup_diameter"]["uncertainty"] == pytest.approx(2 * once)
    stock = ask([[(0.20, 0.10), (0.05, 0.02)]], minimum_stock="0.04 mm ± 0.003 mm", centring="follow_wear")["cylinders"][0]
    assert stock["cleanup_diameter"]["uncertainty"] == pytest.approx(once)


def test_a_nominal_with_a_tolerance_is_worst_at_either_end() -> None:
    worn, unworn = [[(0.2, 0.0), (0.0, 0.0)]], [[(-0.05, -0.05), (-0.06, -0.06)]]
    for cylinders, low, high in ((worn, 100.47, 100.49), (unworn, 100.07, 100.09)):
        row = ask(cylinders, nominal_bore="100 mm ± 0.01 mm", minimum_stock="0.04 mm")["cylinders"][0]
        assert row["cleanup_diameter"]["low"] == pytest.approx(low)
        assert row["cleanup_diameter"]["high"] == pytest.approx(high)


def test_the_cylinders_that_alone_force_a_size() -> None:
    mild, deep, deepest = [(0.05, 0.03), (0.01, 0.0)], [(0.2, 0.1), (0.01, 0.0)], [(0.3, 0.1), (0.01, 0.0)]
    found = ask([mild, mild, deep, mild, deepest, mild])
    assert value(found["smallest_clean_size"]) == pytest.approx(100.75)
    assert found["holdout"] == [5]
    assert [(value(row["size"]), row["cylinders"], value(row["saves"])) for row in found["holdouts"]] == [
        (pytest.approx(100.5), [5], pytest.approx(0.25)),
        (pytest.approx(100.25), [3, 5], pytest.approx(0.5)),
    ]
    assert ask([mild, mild])["holdout"] == []
    most_of_them = ask([deep, deep, mild])
    assert (most_of_them["holdout"], most_of_them["holdouts"]) == ([], [])
    beyond = ask([mild, mild, [(2.0, 0.1), (0.0, 0.0)]])
    assert beyond["smallest_clean_size"] is None
    assert beyond["holdout"] == [3]
    assert beyond["holdouts"][0]["saves"] is None
    assert beyond["cylinders"][2]["smallest_size"] is None


@settings(max_examples=25, deadline=None)
@given(cylinders=block)
def test_sleeving_the_holdouts_leaves_a_block_that_cleans_up_there(cylinders: list[Levels]) -> None:
    for row in ask(cylinders)["holdouts"]:
        rest = [worn for number, worn in enumerate(cylinders, start=1) if number not in row["cylinders"]]
        assert value(ask(rest)["smallest_clean_size"]) <= value(row["size"]) + 1e-9


@settings(max_examples=25, deadline=None)
@given(cylinders=block, more=st.integers(0, 20).map(lambda whole: whole / 100), which=st.integers(0, 4))
def test_more_wear_or_stock_never_needs_less(cylinders: list[Levels], more: float, which: int) -> None:
    worse = [list(worn) for worn in cylinders]
    worn = worse[which % len(worse)]
    worn[0] = (worn[0][0] + more, worn[0][1])
    size = ask(cylinders)["smallest_clean_size"]
    for changed in (ask(worse), ask(cylinders, minimum_stock=f"{0.04 + more / 2} mm")):
        after = changed["smallest_clean_size"]
        assert after is None or (size is not None and value(after) >= value(size))
    following = ask(cylinders, centring="follow_wear")["smallest_clean_size"]
    assert size is None or value(following) <= value(size)


@settings(max_examples=15, deadline=None)
@given(cylinders=block, gauge=st.sampled_from([0.0, 0.005]))
def test_units_change_nothing(cylinders: list[Levels], gauge: float) -> None:
    inch = {"oversizes": [{"value": float(step.split()[0]) / 25.4, "unit": "in"} for step in STEPS], "units": "inch"}
    one = ask(cylinders, gauge)
    other = ask(cylinders, gauge, readings=readings(cylinders, gauge, "in", 25.4), **inch)
    for left, right in zip(one["cylinders"], other["cylinders"], strict=True):
        for name in ("out_of_round", "taper", "largest", "cleanup_diameter"):
            assert right[name]["unit"] == "in"
            assert value(left[name]) == pytest.approx(value(right[name]) * 25.4, rel=1e-9, abs=1e-9)
    assert [row["verdict"] for row in one["sizes"]] == [row["verdict"] for row in other["sizes"]]
    assert one["holdout"] == other["holdout"]


def test_further_directions_count() -> None:
    rows = readings([[(0.05, 0.03), (0.01, 0.0)]])
    rows[0]["others"] = [{"angle": "45 deg", "diameter": "100.11 mm"}]
    rows[1]["others"] = [{"angle": "45 deg", "diameter": "100.02 mm"}, {"angle": "135 deg", "diameter": "99.99 mm"}]
    row = ask([], readings=rows)["cylinders"][0]
    assert value(row["largest"]) == pytest.approx(100.11)
    assert value(row["out_of_round"]) == pytest.approx(0.08)
    assert value(row["taper"]) == pytest.approx(0.09)


def test_a_direction_read_at_one_level_alone_is_kept_apart_and_tapers_with_nothing() -> None:
    rows = readings([[(0.05, 0.09), (0.0, 0.0)]], 0.006)
    rows[0]["others"] = [{"angle": "45 deg", "diameter": "100.03 ± 0.006 mm"}]
    rows[1]["others"] = [{"angle": "45 deg", "diameter": "100 ± 0.006 mm"}, {"angle": "135 deg", "diameter": "99.9 ± 0.006 mm"}]
    row = ask([], readings=rows)["cylinders"][0]
    assert value(row["taper"]) == pytest.approx(0.09)  # of the axial direction
    assert value(row["out_of_round"]) == pytest.approx(0.1)  # at the lower level, which alone was read at 135 degrees
    for name in ("taper", "out_of_round"):
        assert row[name]["uncertainty"] == pytest.approx(2 * 0.006 / math.sqrt(3) * math.sqrt(2))
        assert row[name]["high"] == pytest.approx(value(row[name]) + 0.012)


def test_levels_are_told_apart_by_depth_in_any_order() -> None:
    rows = readings([[(0.05, 0.03), (0.01, 0.0), (0.02, 0.0)], [(0.1, 0.0), (0.0, 0.0), (0.0, 0.0)]])
    assert ask([], readings=rows[::-1]) == ask([], readings=rows)


def test_walls_lose_half_of_what_is_bored() -> None:
    walls = [
        {"cylinder": 1, "thickness": "5.0 mm ± 0.1 mm", "side": "thrust"},
        {"cylinder": 2, "thickness": "4.8 mm", "side": "water"},
        {"cylinder": 7, "thickness": "9 mm", "side": "front"},
    ]
    worn = [[(0.2, 0.1), (0.05, 0.02)], [(0.05, 0.03), (0.0, -0.02)]]
    found = ask(worn, walls=walls, minimum_wall="4.5 mm")
    by_size = {round(value(row["size"]), 3): row for row in found["sizes"]}
    # cylinder 2 reads 99.98 at its smallest, so its wall may lose half of 100.5 − 99.98
    assert value(by_size[100.5]["thinnest_wall"]) == pytest.approx(4.8 - 0.26)
    assert by_size[100.5]["thinnest_at"] == {"cylinder": 2, "side": "water"}
    assert by_size[100.5]["thinnest_wall"]["low"] == pytest.approx(4.8 - 0.26)
    wall = found["checks"][-1]
    assert (wall["name"], wall["verdict"], wall["basis"]) == ("wall", "pass", "caller")
    assert ask(worn, walls=walls, minimum_wall="4.6 mm")["checks"][-1]["verdict"] == "fail"
    loose = [{**walls[1], "thickness": "4.8 mm ± 0.1 mm"}]
    assert ask(worn, walls=loose, minimum_wall="4.5 mm")["checks"][-1]["verdict"] == "watch"
    assert ask(worn, walls=walls)["checks"][-1]["basis"] == "common practice"
    assert ask(worn, minimum_wall="4.5 mm")["checks"][-1]["verdict"] == "unknown"
    thinnest = [value(row["thinnest_wall"]) for row in found["sizes"]]
    assert thinnest == sorted(thinnest, reverse=True)


def test_wear_is_held_against_practice_and_the_standard() -> None:
    def verdicts(worn: Levels) -> dict[str, str]:
        return {check["name"]: check["verdict"] for check in ask([worn])["checks"]}

    assert verdicts([(0.01, 0.0), (0.0, 0.0)])["bore-width"] == "pass"
    # IT7 of ISO 286-1 at 100 mm is 35 µm
    assert verdicts([(0.036, 0.0), (0.0, 0.0)]) | {"wall": ""} == {
        "clean-up": "pass",
        "bored-before": "pass",
        "out-of-round": "pass",
        "taper": "pass",
        "bore-width": "watch",
        "wall": "",
    }
    assert verdicts([(0.15, 0.0), (0.0, 0.0)])["out-of-round"] == "watch"
    assert verdicts([(0.15, 0.14), (0.0, 0.0)])["taper"] == "watch"
    big = {"nominal_bore": "300 mm", "sizes": ["301 mm"]}
    rows = [{"cylinder": 1, "depth": f"{depth} mm", "thrust": "300.1 mm", "axial": "300 mm"} for depth in (10, 90)]
    assert {c["name"]: c["verdict"] for c in answer(CALCULATION, {**big, "readings": rows})["checks"]}["bore-width"] == "unknown"


def test_own_limits_of_wear_replace_those_of_practice() -> None:
    """0.15 mm of out-of-round and of taper are too much for practice, not for this caller."""
    worn = [[(0.15, 0.0), (0.0, 0.0)]]
    assert {c["name"]: (c["verdict"], c["basis"]) for c in ask(worn)["checks"]}["taper"] == ("watch", "common practice")
    limits = {"out_of_round": {"high": "0.16 mm"}, "taper": {"high": "0.14 mm"}}
    own = {c["name"]: c for c in ask(worn, limits=limits)["checks"]}
    assert (own["out-of-round"]["verdict"], own["out-of-round"]["basis"]) == ("pass", "caller")
    assert (own["taper"]["verdict"], own["taper"]["limits"]) == ("fail", {"low": None, "high": {"value": 0.14, "unit": "mm"}})


def test_checks_show_the_bounds_they_are_judged_over() -> None:
    """Out-of-round of 0.10 mm between two readings of ± 0.006 mm each."""
    walls = [{"cylinder": 1, "thickness": "5 mm ± 0.1 mm", "side": "thrust"}]
    checks = {c["name"]: c["value"] for c in ask([[(0.20, 0.10), (0.05, 0.02)]], 0.006, walls=walls)["checks"]}
    once = 2 * 0.006 / math.sqrt(3)
    assert (checks["out-of-round"]["low"], checks["out-of-round"]["high"]) == pytest.approx((0.088, 0.112))
    assert checks["out-of-round"]["uncertainty"] == pytest.approx(once * math.sqrt(2))
    for name in ("clean-up", "taper", "bore-width", "wall"):
        assert checks[name]["low"] < checks[name]["value"] < checks[name]["high"], name


def test_sensitivity_of_the_cylinder_that_needs_most() -> None:
    """Original center: the deepest reading counts twice, the stock twice, the nominal bore once; following the wear the reading once."""
    worn = [[(0.05, 0.0), (0.0, 0.0)], [(0.0, 0.10), (0.20, 0.02)]]
    same = {"nominal_bore": "100 mm ± 0.006 mm", "minimum_stock": "0.04 mm ± 0.006 mm"}
    shares = {s["input"]: s["contribution"] for s in ask(worn, 0.006, **same)["sensitivity"]}
    assert shares == pytest.approx({"#/readings/3/thrust": 4 / 9, "#/minimum_stock": 4 / 9, "#/nominal_bore": 1 / 9})
    shares = {s["input"]: s["contribution"] for s in ask(worn, 0.006, **same, centring="follow_wear")["sensitivity"]}
    assert shares == pytest.approx({"#/minimum_stock": 4 / 5, "#/readings/3/thrust": 1 / 5})
    assert ask(worn)["sensitivity"] == []


def test_what_a_sleeve_saves_carries_the_sizes_tolerances() -> None:
    worn = [[(0.05, 0.0), (0.0, 0.0)], [(0.05, 0.0), (0.0, 0.0)], [(0.20, 0.0), (0.0, 0.0)]]
    found = ask(worn, sizes=["100.25 mm ± 0.003 mm", "100.5 mm ± 0.004 mm"])
    assert found["holdouts"][0]["cylinders"] == [3]
    saves = found["holdouts"][0]["saves"]
    assert (saves["value"], saves["low"], saves["high"]) == pytest.approx((0.25, 0.243, 0.257))
    assert saves["uncertainty"] == pytest.approx(2 * 0.005 / math.sqrt(3))


def test_sizes_are_sorted_and_told_once() -> None:
    found = ask([[(0.05, 0.03), (0.01, 0.0)]], sizes=["101 mm", "100.5 mm", "3.956692913385827 in"])
    assert [value(row["size"]) for row in found["sizes"]] == [pytest.approx(100.5), pytest.approx(101.0)]
    assert [value(row["oversize"]) for row in found["sizes"]] == [pytest.approx(0.5), pytest.approx(1.0)]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"cylinder": 1, "depth": "10 mm", "thrust": "100 mm", "axial": "100 mm"}, "#/readings/2/depth"),
        ({"cylinder": 2, "depth": "10 mm", "thrust": "100 mm", "axial": "100 mm"}, "#/readings"),
        ({"cylinder": 1, "depth": "70 mm", "thrust": "106 mm", "axial": "100 mm"}, "#/readings/2/thrust"),
        ({"cylinder": 1, "depth": "70 mm", "thrust": "100 mm", "axial": "94 mm"}, "#/readings/2/axial"),
    ],
)
def test_readings_that_cannot_be_are_refused(change: dict[str, Any], pointer: str) -> None:
    rows = [*readings([[(0.05, 0.03), (0.01, 0.0)]]), change]
    with pytest.raises(Refusal) as caught:
        ask([], readings=rows)
    assert pointer in [error.pointer for error in caught.value.errors]


def test_directions_given_twice_or_too_many_are_refused() -> None:
    rows = readings([[(0.05, 0.03), (0.01, 0.0)]])
    rows[0]["others"] = [{"angle": "45 deg", "diameter": "100 mm"}, {"angle": "45 deg", "diameter": "100.1 mm"}]
    with pytest.raises(InvalidRequest, match="others/1/angle"):
        ask([], readings=rows)
    for row, first in zip(rows, (1, 10), strict=True):
        row["others"] = [{"angle": f"{first + step} deg", "diameter": "100 mm"} for step in range(9)]
    with pytest.raises(InvalidRequest, match="directions"):
        ask([], readings=rows)


def test_sizes_or_oversizes_are_asked_for() -> None:
    for wrong in ({"sizes": ["100.5 mm"], "oversizes": ["0.5 mm"]}, {}):
        with pytest.raises(InvalidRequest):
            answer(CALCULATION, {"nominal_bore": "100 mm", "readings": readings([[(0.05, 0.03), (0.01, 0.0)]]), **wrong})


def test_many_toleranced_readings_are_quick_enough_to_be_taken() -> None:
    found = ask([[(0.05, 0.03), (0.01, 0.0), (0.02, 0.0)]] * 12, 0.003)
    assert len(found["cylinders"]) == 12
    assert found["cylinders"][11]["taper"]["high"] == pytest.approx(0.046)


def named(found: dict[str, Any]) -> tuple[str, str, float]:
    """Verdict, reason and value of the check of earlier boring."""
    check = next(check for check in found["checks"] if check["name"] == "bored-before")
    return check["verdict"], check["reason"], value(check["value"])


OVERBORED: Levels = [(0.80, 0.77), (0.76, 0.755)]
WORN: Levels = [(0.06, 0.03), (0.01, 0.0)]


def test_a_whole_engine_bored_before_is_named_and_not_taken_for_wear() -> None:
    """0.75 mm over: only what the cylinders have over their own least worn level is wear, and only that counts twice."""
    found = ask([OVERBORED, OVERBORED], oversizes=["0.5 mm", "1 mm", "1.5 mm"])
    verdict, reason, away = named(found)
    assert (verdict, away) == ("watch", pytest.approx(0.755))
    assert "the whole engine was bored or sleeved before" in reason
    for row in found["cylinders"]:
        assert row["bored_before"] is True
        assert value(row["bored"]) == pytest.approx(100.755)
        assert value(row["cleanup_diameter"]) == pytest.approx(100.755 + 2 * 0.045 + 2 * 0.04)
    assert value(found["smallest_clean_size"]) == pytest.approx(101.0)


def test_a_single_cylinder_bored_before_is_named() -> None:
    found = ask([WORN, OVERBORED, WORN])
    verdict, reason, _ = named(found)
    assert verdict == "watch"
    assert reason.startswith("cylinder 2 was bored or sleeved before: name the size in bored")
    assert [row["bored_before"] for row in found["cylinders"]] == [False, True, False]
    assert value(found["cylinders"][0]["bored"]) == pytest.approx(100.0)
    two = ask([OVERBORED, WORN, OVERBORED])
    assert named(two)[1].startswith("cylinders 1, 3 were bored or sleeved before")


def test_a_cylinder_sleeved_to_a_smaller_size_is_named() -> None:
    """The engine was bored 0.75 mm over, and cylinder 2 sleeved back to where it began."""
    found = ask([OVERBORED, WORN], nominal_bore="100.75 mm", oversizes=["0 mm", "0.25 mm"])
    verdict, reason, away = named(found)
    assert (verdict, away) == ("watch", pytest.approx(-0.69))
    assert "cylinder 2 was bored or sleeved before" in reason


def test_the_size_named_for_a_cylinder_is_what_its_wear_is_counted_from() -> None:
    """With the size named nothing is strange any more, and the wear is over that size."""
    found = ask([WORN, OVERBORED], bored=[{"cylinder": 2, "bore": "100.75 mm"}])
    verdict, reason, _ = named(found)
    assert verdict == "pass"
    assert "is wear" in reason
    assert value(found["cylinders"][1]["bored"]) == pytest.approx(100.75)
    assert value(found["cylinders"][1]["cleanup_diameter"]) == pytest.approx(100.75 + 2 * 0.05 + 2 * 0.04)
    assert found["cylinders"][1]["bored_before"] is False
    wrong = ask([WORN, OVERBORED], bored=[{"cylinder": 2, "bore": "100.25 mm"}])
    assert named(wrong)[0] == "watch"


@settings(max_examples=25, deadline=None)
@given(cylinders=block, over=st.sampled_from([-0.75, 0.25, 0.5, 1.0]))
def test_bored_before_is_wear_counted_from_there(cylinders: list[Levels], over: float) -> None:
    """An engine that was bored over answers, with the size it was bored to, as one that was not: all diameters by so much larger."""
    shifted = [[(thrust + over, axial + over) for thrust, axial in worn] for worn in cylinders]
    plain, named_so = ask(cylinders, sizes=["150 mm"]), ask(shifted, nominal_bore=f"{NOMINAL + over} mm", sizes=["150 mm"])
    each = ask(shifted, bored=[{"cylinder": n + 1, "bore": f"{NOMINAL + over} mm"} for n in range(len(cylinders))], sizes=["150 mm"])
    for row, other, single in zip(plain["cylinders"], named_so["cylinders"], each["cylinders"], strict=True):
        assert value(other["cleanup_diameter"]) == pytest.approx(value(row["cleanup_diameter"]) + over, abs=1e-9)
        assert value(single["cleanup_diameter"]) == pytest.approx(value(other["cleanup_diameter"]), abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(cylinders=block, over=st.sampled_from([0.25, 0.5, 1.0]))
def test_what_was_bored_never_counts_twice(cylinders: list[Levels], over: float) -> None:
    """A cylinder found bored before never needs more than its largest reading, its own wear once more, and the stock."""
    shifted = [[(thrust + over, axial + over) for thrust, axial in worn] for worn in cylinders]
    for worn, row in zip(shifted, ask(shifted)["cylinders"], strict=True):
        most, least = max(max(level) for level in worn), min(min(level) for level in worn)
        assert row["bored_before"] is True
        assert value(row["cleanup_diameter"]) == pytest.approx(NOMINAL + most + (most - least) + 0.08, abs=1e-9)


def test_the_gauge_decides_at_the_edge() -> None:
    """0.006 in are 0.1524 mm: a least worn level at 0.15 mm that a gauge of ± 0.005 mm may have hidden past it is watched."""
    edge: Levels = [(0.16, 0.155), (0.15, 0.15)]
    assert named(ask([edge]))[0] == "pass"
    assert named(ask([edge], 0.005))[0] == "watch"
    assert ask([edge], 0.005)["cylinders"][0]["bored_before"] is False


def test_walls_of_a_bored_cylinder_lose_what_is_still_to_be_cut() -> None:
    walls = [{"cylinder": 1, "thickness": "5.0 mm", "side": "thrust"}]
    found = ask([OVERBORED, OVERBORED], sizes=["101 mm"], walls=walls)
    assert value(found["sizes"][0]["thinnest_wall"]) == pytest.approx(5.0 - (101 - 100.755) / 2)


def test_sensitivity_names_the_size_that_the_wear_is_counted_from() -> None:
    """The size that decides is the cylinder's own, wherever it stands."""
    same = {"bored": [{"cylinder": 1, "bore": "100.75 mm ± 0.006 mm"}], "sizes": ["102 mm"]}
    shares = {share["input"]: share["contribution"] for share in ask([OVERBORED], 0.006, **same)["sensitivity"]}
    assert shares == pytest.approx({"#/readings/0/thrust": 4 / 5, "#/bored/0/bore": 1 / 5})
    unnamed = {share["input"] for share in ask([OVERBORED], 0.006, sizes=["102 mm"])["sensitivity"]}
    assert unnamed == {"#/readings/0/thrust", "#/readings/1/axial"}


def test_a_cylinder_named_twice_is_refused() -> None:
    twice = [{"cylinder": 1, "bore": "100 mm"}, {"cylinder": 1, "bore": "100.5 mm"}]
    with pytest.raises(InvalidRequest) as caught:
        ask([WORN], bored=twice)
    assert [error.pointer for error in caught.value.errors] == ["#/bored/1/cylinder"]
