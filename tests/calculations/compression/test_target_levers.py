"""What each lever may do on the way to a ratio: more of one never hurts, units change nothing, what cannot be is refused."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reaching import (
    GASKETS,
    INCH,
    PRACTICE,
    ask,
    between,
    build,
    levers,
    poured,
    value,
)

from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest, Refusal
from borewright.calculations.base.single import answer
from borewright.calculations.compression.compression_target import CALCULATION


@settings(max_examples=30, deadline=None)
@given(
    ratio=between(9.8, 12.0),
    shares=st.lists(st.integers(1, 12), min_size=3, max_size=3),
    most=st.sampled_from([0.2, 0.35, 0.5]),
)
def test_the_least_metal_of_a_poured_profile(ratio: float, shares: list[int], most: float) -> None:
    """Against a fine search over depths: a profile may be steep anywhere, and either cut may be the better one there."""
    volumes = [62.0 - sum(shares[:count]) / 4 for count in range(4)]
    depths = [0.0, 0.3, 0.6, 0.9]
    profile = [{"depth": f"{depth} mm", "volume": f"{volume} cm3"} for depth, volume in zip(depths, volumes, strict=True)]
    offered = {"head_mill": {"max": "0.9 mm", "profile": profile}, "deck_cut": {"max": f"{most} mm"}}
    plans = ask(target=f"{ratio} ± 0.0001", levers=offered)["plans"]
    if not plans or plans[0]["operations"] < 2:
        return
    area, swept, disc = math.pi / 4 * 10.2**2, math.pi / 4 * 10.2**2 * 8.8, math.pi / 4 * 10.4**2 / 10
    gone = 62.0 + 7.0 + disc + area * 0.04 - swept / (ratio - 1.0)
    deck = np.linspace(0.0, most, 20001)
    milled = gone - area * deck / 10.0
    depth = np.interp(milled, [62.0 - volume for volume in volumes], depths)
    possible = (milled >= 0.0) & (milled <= 62.0 - volumes[-1]) & (1.4 - deck >= PRACTICE)
    least = (deck + depth)[possible].min()
    assert value(plans[0]["metal_removed"]) <= least + 1e-4


def test_a_gasket_that_hangs_into_the_bore_is_not_offered() -> None:
    narrow = {"name": "narrow", "bore": "101 mm", "thickness": "0.7 mm"}
    found = ask(target="10.35", levers={"gaskets": [narrow]})
    assert found["feasible"] is False
    assert found["single"]["gaskets"]["best"] is None
    wide = ask(target="10.35", levers={"gaskets": [{**narrow, "bore": "102 mm"}]})
    assert wide["single"]["gaskets"]["best"] == "narrow"


def test_no_milling_changes_nothing() -> None:
    still = {"head_mill": {"max": "0 mm", "chamber_area": "68 cm2"}, "deck_cut": {"max": "0 mm"}}
    found = ask(levers=still)
    for name in ("head_mill", "deck_cut"):
        assert value(found["single"][name]["reached"]) == value(found["now"]["compression_ratio"])
        assert found["single"][name]["feasible"] is False
        assert all(effect["value"]["value"] == 0 for effect in found["single"][name]["side_effects"] if effect["name"] != "squish")
    assert found["feasible"] is False
    assert found["nearest"]["steps"] == ["leave the build as it stands"]
    as_it_is = ask(target=f"{value(found['now']['compression_ratio'])}", levers=levers())
    assert as_it_is["plans"][0]["steps"] == ["leave the build as it stands"]
    assert as_it_is["plans"][0]["operations"] == 0


@settings(max_examples=30, deadline=None)
@given(
    most=between(0.0, 2.0),
    more=between(0.0, 1.0),
    lever=st.sampled_from(["head_mill", "deck_cut"]),
    ratio=between(10.3, 14.0),
)
def test_more_of_a_lever_never_gets_less_far(most: float, more: float, lever: str, ratio: float) -> None:
    def reach(limit: float) -> dict[str, Any]:
        size: dict[str, Any] = {"max": f"{limit} mm"}
        return ask(target=f"{ratio}", levers={lever: {**size, **({"chamber_area": "70 cm2"} if lever == "head_mill" else {})}})

    less, greater = reach(most), reach(most + more)
    assert value(greater["single"][lever]["reached"]) >= value(less["single"][lever]["reached"]) - 1e-9
    assert greater["feasible"] >= less["feasible"]
    assert value(greater["single"][lever]["reached"]) <= ratio + 1e-9


@settings(max_examples=20, deadline=None)
@given(
    ratio=between(9.0, 12.0),
    mill=between(0.05, 1.0),
    clearance=between(0.0, 0.6),
)
def test_units_change_nothing(ratio: float, mill: float, clearance: float) -> None:
    metric = ask(
        target=f"{ratio} ± 0.07", deck_clearance=f"{clearance} mm", levers=levers(head_mill={"max": f"{mill} mm", "chamber_area": "68 cm2"})
    )
    inch = ask(
        units="inch",
        target=f"{ratio} ± 0.07",
        bore=102 / INCH,
        stroke={"value": 8.8, "unit": "cm"},
        deck_clearance={"value": clearance / INCH * 1000, "unit": "thou"},
        chamber_volume="0.062 L",
        gasket={"area": f"{math.pi / 4 * (104 / INCH) ** 2} in2", "thickness": 1 / INCH},
        levers=levers(head_mill={"max": mill / INCH, "volume_per_depth": f"{6.8 * INCH} cm3/in"}),
    )
    assert len(metric["plans"]) == len(inch["plans"])
    for one, other in zip(metric["plans"], inch["plans"], strict=True):
        assert (one["gasket"], one["crown"], one["operations"]) == (other["gasket"], other["crown"], other["operations"])
        assert value(one["compression_ratio"]) == pytest.approx(value(other["compression_ratio"]), rel=1e-9)
        for name in ("head_mill", "deck_cut", "metal_removed"):
            assert other[name]["unit"] == "in"
            assert value(one[name]) == pytest.approx(value(other[name]) * INCH, rel=1e-8, abs=1e-9)


@pytest.mark.parametrize(("ratio", "mill", "clearance"), [(10.6341, 0.05, 0.0306), (11.865, 0.05, 0.1), (10.7286, 1.0, 0.161)])
def test_the_last_digit_of_a_sum_is_no_cut(ratio: float, mill: float, clearance: float) -> None:
    """Here what the deck leaves over is some 1e-17 mm: no operation of its own."""
    offered = levers(head_mill={"max": f"{mill} mm", "chamber_area": "68 cm2"}, limits={"squish": {"low": "0.3 mm"}})
    found = ask(target=f"{ratio} ± 0.07", deck_clearance=f"{clearance} mm", levers=offered)
    assert {plan["operations"] for plan in found["plans"]} >= {1}
    for plan in found["plans"]:
        cuts = [value(plan[name]) for name in ("head_mill", "deck_cut")]
        assert all(cut == 0 or cut > 1e-4 for cut in cuts)
        assert plan["operations"] == sum(cut > 0 for cut in cuts)


def test_a_straight_profile_is_a_straight_wall() -> None:
    pours = [{"depth": f"{depth} mm", "volume": f"{62 - 6.8 * depth} cm3"} for depth in (0.2, 0.5, 0.8)]
    straight = ask(target="10.8")
    poured = ask(target="10.8", levers=levers(head_mill={"max": "0.8 mm", "profile": pours}))
    assert len(straight["plans"]) == len(poured["plans"])
    for one, other in zip(straight["plans"], poured["plans"], strict=True):
        assert value(one["head_mill"]) == pytest.approx(value(other["head_mill"]), abs=1e-9)


def test_a_profile_is_read_between_its_pours() -> None:
    pours = [{"depth": "0 mm", "volume": "62.3 cm3"}, {"depth": "0.4 mm", "volume": "59.3 cm3"}, {"depth": "1 mm", "volume": "56.3 cm3"}]
    plan = ask(target="10.6", levers={"head_mill": {"max": "1 mm", "profile": pours}})["plans"][0]
    # the pours say what goes, the chamber_volume what there was
    gone = 62 - value(plan["chamber_volume"])
    assert 0 < gone < 6
    depth = gone / 7.5 if gone <= 3 else 0.4 + (gone - 3) / 5
    assert value(plan["head_mill"]) == pytest.approx(depth, rel=1e-9)


def test_a_plan_whose_worst_case_leaves_the_window_is_watched() -> None:
    sure = ask(target="10.6 ± 0.3", chamber_volume="62 cm3 ± 0.5 cm3", levers={"head_mill": {"max": "1 mm", "chamber_area": "68 cm2"}})
    loose = ask(target="10.6 ± 0.3", chamber_volume="62 cm3 ± 4 cm3", levers={"head_mill": {"max": "1 mm", "chamber_area": "68 cm2"}})
    for found, verdict in ((sure, "pass"), (loose, "watch")):
        plan = found["plans"][0]
        judged = {check["name"]: check for check in plan["checks"]}
        assert judged["compression-target"]["verdict"] == plan["verdict"] == verdict
        assert judged["compression-target"]["limits"]["low"]["value"] == pytest.approx(10.3)
        assert judged["compression-target"]["limits"]["high"]["value"] == pytest.approx(10.9)
        low, high = plan["compression_ratio"]["low"], plan["compression_ratio"]["high"]
        assert (low >= 10.3 and high <= 10.9) == (verdict == "pass")
    assert sure["sensitivity"][0]["input"] == "#/chamber_volume"


def test_the_chamber_is_chosen_in_its_range() -> None:
    found = ask(target="10.7", levers={"chamber_volume": {"min": "54 cm3", "max": "68 cm3"}})
    plan = found["plans"][0]
    assert plan["steps"] == ["fit heads with smaller chambers"]
    assert value(plan["compression_ratio"]) == pytest.approx(10.7, rel=1e-9)
    opened = ask(target="9.7", levers={"chamber_volume": {"min": "54 cm3", "max": "68 cm3"}})
    assert opened["plans"][0]["steps"] == ["open up the chambers"]
    assert value(opened["plans"][0]["metal_removed"]) > 0
    short = ask(target="12", levers={"chamber_volume": {"min": "58 cm3", "max": "68 cm3"}})
    assert short["single"]["chamber_volume"]["feasible"] is False
    assert value(short["nearest"]["chamber_volume"]) == pytest.approx(58)


def test_intake_cuts_follow_all_that_lets_the_heads_down() -> None:
    found = ask(bank_angle="90 deg", intake_face_angle="90 deg", top=50)
    thickness = {None: 1.0, "thin": 0.7, "thick": 1.3}
    for plan in found["plans"]:
        if plan["gasket"] == "poured":
            assert plan["intake_face_cut"] is None
            continue
        drop = value(plan["head_mill"]) + value(plan["deck_cut"]) + 1.0 - thickness[plan["gasket"]]
        assert value(plan["intake_face_cut"]) == pytest.approx(drop, abs=1e-9)
        assert value(plan["intake_rail_cut"]) == pytest.approx(drop * math.sqrt(2), abs=1e-9)
    assert ask()["plans"][0]["intake_face_cut"] is None
    half_told = ask(bank_angle="90 deg")
    assert any("intake_face_angle" in caution for caution in half_told["cautions"])


def test_a_piston_on_the_head_now_is_refused() -> None:
    with pytest.raises(ImpossibleBuild) as caught:
        ask(deck_clearance="-1.2 mm")
    assert caught.value.errors[0].pointer == "#/deck_clearance"


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        (poured((0.5, 65), (1, 60)), "#/levers/head_mill/profile"),
        (poured((1, 60), (1, 59)), "#/levers/head_mill/profile"),
        (poured((0, 62)), "#/levers/head_mill/profile"),
        (poured((0.5, 60)), "#/levers/head_mill/max"),
        ({"levers": {"gaskets": [GASKETS[0], GASKETS[0]]}}, "#/levers/gaskets/1/name"),
        ({"levers": {"limits": {"squish": {"low": "1 mm", "high": "0.5 mm"}}}}, "#/levers/limits/squish/low"),
        ({"levers": {"chamber_volume": {"min": "60 cm3", "max": "50 cm3"}}}, "#/levers/chamber_volume/min"),
        ({"bank_angle": "90 deg", "intake_face_angle": "40 deg"}, "#/intake_face_angle"),
    ],
)
def test_levers_that_cannot_be_are_refused(changes: dict[str, Any], pointer: str) -> None:
    with pytest.raises(Refusal) as caught:
        ask(**changes)
    assert pointer in [error.pointer for error in caught.value.errors]


def test_one_way_of_milling_is_asked_for() -> None:
    with pytest.raises(InvalidRequest):
        ask(levers={"head_mill": {"max": "1 mm"}})
    with pytest.raises(InvalidRequest):
        ask(levers={"head_mill": {"max": "1 mm", "chamber_area": "60 cm2", "volume_per_depth": "6 cm3/mm"}})


def numbers(tree: Any) -> list[float]:
    if isinstance(tree, dict):
        return [number for inner in tree.values() for number in numbers(inner)]
    if isinstance(tree, list):
        return [number for inner in tree for number in numbers(inner)]
    return [tree] if isinstance(tree, float) else []


@settings(max_examples=60, deadline=None)
@given(
    ratio=between(2.5, 40.0),
    chamber=between(0.0, 200.0),
    deck=between(-5.0, 5.0),
    crown=between(0.0, 100.0),
    loose=between(0.0, 1.0),
    span=between(0.0, 5000.0),
    limit=between(0.0, 10.0),
)
def test_odd_builds_are_answered_in_numbers_or_refused(
    ratio: float, chamber: float, deck: float, crown: float, loose: float, span: float, limit: float
) -> None:
    request = build(
        chamber_volume={"value": chamber, "unit": "cm3", "tolerance": loose * chamber},
        deck_clearance={"value": deck, "unit": "mm", "tolerance": loose},
        crown={"dome": f"{crown} cm3"},
        target=ratio,
        levers=levers(
            head_mill={"max": f"{limit} mm", "chamber_area": "68 cm2"},
            deck_cut={"max": f"{limit} mm"},
            chamber_volume={"min": "0 cm3", "max": f"{span} cm3"},
        ),
    )
    try:
        found = answer(CALCULATION, request)
    except ImpossibleBuild:
        return
    assert all(math.isfinite(number) for number in numbers(found))
    for plan in found["plans"]:
        assert plan["squish"] is None or plan["squish"].get("low", plan["squish"]["value"]) >= -1e-9
        assert plan["compression_ratio"].get("low", value(plan["compression_ratio"])) > 1


def test_a_listed_part_like_the_fitted_one_is_offered_once() -> None:
    request = dict(next(iter(CALCULATION.examples.values())))
    levers = request["levers"]
    twice = {
        **levers,
        "gaskets": [*levers["gaskets"], {"name": "as fitted", **request["gasket"]}],
        "crowns": [*levers["crowns"], {"name": "as it stands", **request["crown"]}],
    }
    steps = [plan["steps"] for plan in answer(CALCULATION, {**request, "levers": levers})["plans"]]
    assert [plan["steps"] for plan in answer(CALCULATION, {**request, "levers": twice})["plans"]] == steps
