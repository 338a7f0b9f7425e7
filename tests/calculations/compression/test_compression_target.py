"""Reaching a compression ratio: the plans against the compression calculation and against trying everything."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reaching import (
    PRACTICE,
    RANKS,
    after,
    ask,
    between,
    build,
    levers,
    squish_of,
    value,
)

from borewright.calculations.base.single import answer
from borewright.calculations.compression import compression
from borewright.calculations.compression.compression_target import CALCULATION


@pytest.mark.parametrize("target", ["9.24 ± 0.02", "9.6 ± 0.05", "10.4", "11 ± 0.05", "12 ± 0.2"])
def test_a_plan_is_the_compression_of_the_changed_build(target: str) -> None:
    found = ask(target=target, top=50)
    assert found["plans"]
    for plan in found["plans"]:
        check = answer(compression.CALCULATION, after(plan, build()))
        for name in ("compression_ratio", "clearance_volume", "deck_clearance", "swept_volume"):
            assert value(plan[name]) == pytest.approx(value(check[name]), rel=1e-9, abs=1e-12)
        assert plan["clearance_parts"]["gasket"]["value"] == pytest.approx(check["clearance_parts"]["gasket"]["value"], rel=1e-9)
        milled = value(plan["head_mill"])
        assert value(plan["chamber_volume"]) == pytest.approx(62 - 6.8 * milled, rel=1e-9)
        assert (plan["squish"] is None) == (plan["gasket"] == "poured")


def test_a_stack_is_decked_by_its_deck_height() -> None:
    stack = {"deck_height": "230 mm", "rod_length": "150 mm", "compression_height": "35.6 mm"}
    base = {name: entry for name, entry in build(stack=stack).items() if name != "deck_clearance"}
    found = answer(CALCULATION, {**base, "target": "10.2", "levers": {"deck_cut": {"max": "0.4 mm"}}})
    plan = found["plans"][0]
    assert value(plan["deck_cut"]) > 0.05
    check = answer(compression.CALCULATION, after(plan, base))
    assert value(plan["compression_ratio"]) == pytest.approx(value(check["compression_ratio"]), rel=1e-9)
    assert value(plan["compression_ratio"]) == pytest.approx(10.2, rel=1e-9)


def test_the_build_as_it_stands_is_what_compression_says() -> None:
    now, check = ask(target="11")["now"], answer(compression.CALCULATION, build())
    for name, figure in now.items():
        assert figure == check[name]
    with_window = ask()["now"]["compression_ratio"]
    assert with_window["low"] == with_window["high"] == with_window["value"] == now["compression_ratio"]["value"]


def brute(
    target: tuple[float, float], most_mill: float, most_deck: float, squish: tuple[float, float], gaskets: list[Any], crowns: list[Any]
) -> dict[int, bool]:
    """Whether anything hits the window with 0, 1 or 2 operations, by trying a fine grid in plain arithmetic."""
    area = math.pi / 4 * 10.2**2
    swept = area * 8.8
    hits = {0: False, 1: False, 2: False}
    steps = 40
    for gasket, crown in itertools.product(gaskets, crowns):
        for i, j in itertools.product(range(steps + 1), repeat=2):
            mill, deck = most_mill * i / steps, most_deck * j / steps
            clearance = 62 - 6.8 * mill + gasket[0] + area * (0.4 - deck) / 10 + crown
            room = None if gasket[1] is None else 0.4 - deck + gasket[1]
            if room is not None and not (max(squish[0], 0.0) - 1e-9 <= room <= squish[1] + 1e-9):
                continue
            if target[0] <= 1 + swept / clearance <= target[1]:
                hits[(i > 0) + (j > 0)] = True
    return hits


@settings(max_examples=25, deadline=None)
@given(
    ratio=between(8.5, 13.0),
    width=between(0.02, 0.2),
    mill=st.sampled_from([0.0, 0.5, 1.5]),
    deck=st.sampled_from([0.0, 0.3, 0.9]),
    limits=st.sampled_from([None, (0.9, 1.3), (0.5, 0.8)]),
    some_gaskets=st.booleans(),
    some_crowns=st.booleans(),
)
def test_trying_everything_finds_nothing_that_the_plans_do_not(
    ratio: float, width: float, mill: float, deck: float, limits: tuple[float, float] | None, some_gaskets: bool, some_crowns: bool
) -> None:
    offered = levers(head_mill={"max": f"{mill} mm", "chamber_area": "68 cm2"}, deck_cut={"max": f"{deck} mm"})
    disc = math.pi / 4 * 10.4**2 / 10
    gaskets: list[Any] = [(disc * 1.0, 1.0)]
    crowns = [7.0]
    if some_gaskets:
        gaskets += [(disc * 0.7, 0.7), (disc * 1.3, 1.3), (9.5, None)]
    else:
        del offered["gaskets"]
    if some_crowns:
        crowns += [-1.0, 11.0]
    else:
        del offered["crowns"]
    if limits is not None:
        offered["limits"] = {"squish": {"low": f"{limits[0]} mm", "high": f"{limits[1]} mm"}}
    found = ask(target=f"{ratio} ± {width}", levers=offered, top=50)
    low, high = ratio - width, ratio + width
    hits = brute((low, high), mill, deck, limits or (PRACTICE, 99.0), gaskets, crowns)
    fewest = min((count for count, hit in hits.items() if hit), default=None)
    if fewest is not None:
        assert found["feasible"]
        assert min(plan["operations"] for plan in found["plans"]) <= fewest
    for plan in found["plans"]:
        assert low - 1e-9 <= value(plan["compression_ratio"]) <= high + 1e-9
        assert value(plan["head_mill"]) <= mill + 1e-12
        assert value(plan["deck_cut"]) <= deck + 1e-12
        if plan["squish"] is not None:
            assert value(plan["squish"]) >= (limits[0] if limits else PRACTICE) - 1e-9
            assert value(plan["squish"]) <= (limits[1] if limits else 99.0) + 1e-9
    assert found["feasible"] == bool(found["plans"])
    assert found["nearest"] is None or not found["feasible"]


def test_plans_stand_in_their_order_and_never_more_than_asked() -> None:
    found = ask(target="10.9 ± 0.05", top=50)["plans"]
    assert {plan["operations"] for plan in found} >= {0, 1}
    keys = [
        (RANKS.index(p["verdict"]), p["operations"], round(value(p["metal_removed"]), 6), round(abs(value(p["off_target"])), 9))
        for p in found
    ]
    assert keys == sorted(keys)
    assert len(found) > 3
    for top in (1, 3):
        assert ask(target="10.9 ± 0.05", top=top)["plans"] == found[:top]


def test_both_are_cut_where_neither_alone_does() -> None:
    offered = {"head_mill": {"max": "0.5 mm", "chamber_area": "68 cm2"}, "deck_cut": {"max": "0.3 mm"}}
    found = ask(target="10.5", levers=offered)
    assert not found["single"]["head_mill"]["feasible"]
    assert not found["single"]["deck_cut"]["feasible"]
    plan = found["plans"][0]
    assert plan["operations"] == 2
    assert plan["steps"] == ["mill the heads", "cut the decks"]
    # the bore is wider than the chamber, so the deck takes more volume a depth and goes first
    assert value(plan["deck_cut"]) == pytest.approx(0.3)
    assert 0 < value(plan["head_mill"]) < 0.5


def test_heads_go_first_where_they_take_more_a_depth() -> None:
    offered = {"head_mill": {"max": "0.4 mm", "chamber_area": "95 cm2"}, "deck_cut": {"max": "0.5 mm"}}
    plan = ask(target="10.6", levers=offered)["plans"][0]
    assert value(plan["head_mill"]) == pytest.approx(0.4)
    assert 0 < value(plan["deck_cut"]) < 0.5


def test_a_second_operation_is_offered_where_it_keeps_the_squish() -> None:
    """The deck alone would leave 0.6 mm, tighter than practice, whose lower limit binds; with the heads it stays in the limits."""
    offered = {"head_mill": {"max": "1 mm", "volume_per_depth": "3 cm3/mm"}, "deck_cut": {"max": "1 mm"}}
    plans = ask(target="10.69", levers=offered)["plans"]
    assert [plan["operations"] for plan in plans] == [2]
    assert [check["verdict"] for check in plans[0]["checks"] if check["name"] == "squish"] == ["pass"]
    bold = ask(target="10.69", levers={**offered, "limits": {"squish": {"low": "0.5 mm"}}})["plans"]
    assert [plan["operations"] for plan in bold] == [1], "the caller's own limit replaces practice's"


def test_a_target_out_of_reach_says_how_far_it_gets() -> None:
    found = ask(target="16")
    assert found["feasible"] is False
    assert found["plans"] == []
    nearest = found["nearest"]
    assert nearest["verdict"] == "fail"
    assert (nearest["gasket"], nearest["crown"]) == ("thin", "dome")
    assert value(nearest["head_mill"]) == pytest.approx(0.8)
    assert value(nearest["deck_cut"]) == pytest.approx(0.4 + 0.7 - PRACTICE), "as far as practice's squish lets it"
    check = answer(compression.CALCULATION, after(nearest, build()))
    assert value(nearest["compression_ratio"]) == pytest.approx(value(check["compression_ratio"]), rel=1e-9)
    assert found["checks"][0]["name"] == "compression-target"
    assert found["checks"][0]["verdict"] == "fail"
    for name in ("head_mill", "deck_cut", "gaskets", "crowns"):
        lever = found["single"][name]
        assert lever["feasible"] is False
        assert value(found["now"]["compression_ratio"]) < value(lever["reached"]) < value(nearest["compression_ratio"])


def test_what_each_lever_alone_must_be() -> None:
    found = ask(target="10.4", levers=levers(chamber_volume={"min": "55 cm3", "max": "70 cm3"}))
    single = found["single"]
    clearance = math.pi / 4 * 10.2**2 * 8.8 / 9.4
    excess = value(found["now"]["clearance_volume"]) - clearance
    assert value(single["head_mill"]["amount"]) == pytest.approx(excess / 6.8, rel=1e-9)
    assert value(single["deck_cut"]["amount"]) == pytest.approx(excess / (math.pi / 4 * 10.2**2) * 10, rel=1e-9)
    assert value(single["gaskets"]["volume"]) == pytest.approx(math.pi / 4 * 10.4**2 / 10 - excess, rel=1e-9)
    assert value(single["gaskets"]["amount"]) == pytest.approx(1.0 - excess / (math.pi / 4 * 10.4**2) * 10, rel=1e-9)
    assert value(single["crowns"]["amount"]) == pytest.approx(7 - excess, rel=1e-9)
    assert value(single["chamber_volume"]["amount"]) == pytest.approx(62 - excess, rel=1e-9)
    for name in ("head_mill", "chamber_volume"):
        assert single[name]["feasible"] is True
        assert value(single[name]["reached"]) == pytest.approx(10.4, rel=1e-9)
    assert single["deck_cut"]["limited_by"] == "max"
    effects = {effect["name"]: effect["value"] for effect in single["deck_cut"]["side_effects"]}
    assert effects.keys() >= {"squish", "valve-clearance"}
    # what is cut comes nearer: the piston to the valves, the head to the cam
    effects = {effect["name"]: value(effect["value"]) for effect in single["head_mill"]["side_effects"]}
    assert effects["valve-clearance"] == pytest.approx(-value(single["head_mill"]["amount"]), rel=1e-9)
    assert effects["valve-gear"] == pytest.approx(value(single["head_mill"]["amount"]), rel=1e-9)


def test_a_lower_ratio_is_not_reached_by_cutting() -> None:
    single = ask(target="9")["single"]
    for name in ("head_mill", "deck_cut"):
        assert single[name]["feasible"] is False
        assert single[name]["amount"] is None
        assert value(single[name]["reached"]) == pytest.approx(value(ask()["now"]["compression_ratio"]))
    assert single["gaskets"]["best"] == "thick"
    assert single["crowns"]["best"] == "dish"


def test_the_deck_stops_where_the_piston_would_meet_the_head() -> None:
    own = {"limits": {"squish": {"low": "0 mm"}}}
    found = ask(target="16", deck_clearance="0.0 mm ± 0.2 mm", levers={"deck_cut": {"max": "5 mm"}, **own})
    deck = found["single"]["deck_cut"]
    assert deck["limited_by"] == "squish"
    assert value(deck["limit"]) == pytest.approx(0.799)  # 1.0 mm of gasket less the 0.2 mm that the piston may stand higher, and no touch
    assert found["nearest"]["squish"]["low"] == pytest.approx(0.001, abs=1e-9)
    kept = ask(target="16", deck_clearance="0.0 mm ± 0.2 mm", levers={"deck_cut": {"max": "5 mm"}})["single"]["deck_cut"]
    assert (value(kept["limit"]), kept["limited_by"]) == (pytest.approx(1.0 - PRACTICE), "squish")


@pytest.mark.parametrize("clearance", [-0.37, -0.1, 0.07, 0.13, 0.31])
def test_a_deck_cut_to_the_last_hair_is_still_a_plan(clearance: float) -> None:
    offered = {"deck_cut": {"max": "5 mm"}, "limits": {"squish": {"low": "0 mm"}}}
    found = ask(target="40", deck_clearance=f"{clearance} mm ± 0.03 mm", levers=offered)
    assert value(found["nearest"]["deck_cut"]) == pytest.approx(clearance - 0.03 + 1.0 - 0.001, abs=1e-9)


def test_where_nothing_keeps_the_limits_the_nearest_fails() -> None:
    """The piston stands too near the head already, and nothing offered moves it away: the target alone is no plan."""
    tight = {"deck_clearance": "-0.3 mm", "levers": {"head_mill": {"max": "1 mm", "chamber_area": "68 cm2"}}}
    found = ask(target="11.0", **tight)
    assert (found["feasible"], found["plans"]) == (False, [])
    assert (found["nearest"]["verdict"], squish_of(found["nearest"])) == ("fail", "fail")
    assert found["checks"] == found["nearest"]["checks"]
    assert found["verdict"] == "fail"


@pytest.mark.parametrize("low", [None, "0 mm"])
def test_a_piston_that_touches_the_head_fails(low: str | None) -> None:
    """Whatever the caller leaves open: a squish of nothing is no squish."""
    limits = {"high": "1.5 mm"} if low is None else {"low": low}
    touching = {"deck_clearance": "-1.0 mm", "levers": {"limits": {"squish": limits}}}
    found = ask(target="12.5 ± 5", **touching)
    assert found["feasible"] is False
    assert squish_of(found["nearest"]) == "fail"
    assert squish_of(answer(compression.CALCULATION, {**build(deck_clearance="-1.0 mm"), "limits": {"squish": limits}})) == "fail"


def test_what_passes_stands_before_what_is_watched() -> None:
    """As it stands the squish is too wide, which is watched; a cut brings it in, takes an operation more and comes first."""
    offered = {"deck_cut": {"max": "0.5 mm"}}
    found = ask(target="9.4 ± 0.4", deck_clearance="0.8 mm", levers=offered)
    assert [(plan["verdict"], plan["operations"]) for plan in found["plans"]] == [("pass", 1), ("watch", 0)]
    assert found["checks"] == found["plans"][0]["checks"]
    assert squish_of(found) == "pass"
