"""Reaching a compression ratio: the plans against the compression calculation and against trying everything."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest, Refusal
from borewright.calculations.base.single import answer
from borewright.calculations.compression import compression
from borewright.calculations.compression.compression_target import CALCULATION

INCH = 25.4
GASKETS = [
    {"name": "thin", "bore": "104 mm", "thickness": "0.7 mm"},
    {"name": "thick", "bore": "104 mm", "thickness": "1.3 mm"},
    {"name": "poured", "volume": "9.5 cm3"},
]
PRACTICE = 0.889  # mm, the lower limit of squish
RANKS = ("pass", "unknown", "watch", "fail")
CROWNS = [{"name": "dome", "dome": "1 cm3"}, {"name": "dish", "recess": "11 cm3"}]


def build(**changes: Any) -> dict[str, Any]:
    return {
        "bore": "102 mm",
        "stroke": "88 mm",
        "cylinders": 8,
        "chamber_volume": "62 cm3",
        "gasket": {"bore": "104 mm", "thickness": "1.0 mm"},
        "deck_clearance": "0.4 mm",
        "crown": {"recess": "7 cm3"},
        **changes,
    }


def levers(**changes: Any) -> dict[str, Any]:
    return {
        "head_mill": {"max": "0.8 mm", "chamber_area": "68 cm2"},
        "deck_cut": {"max": "0.3 mm"},
        "gaskets": GASKETS,
        "crowns": CROWNS,
        **changes,
    }


def ask(**changes: Any) -> dict[str, Any]:
    return answer(CALCULATION, {"target": "11 ± 0.05", "levers": levers(), **build(), **changes})


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers of at most four decimals, as people write them."""
    return st.integers(round(low * 10000), round(high * 10000)).map(lambda whole: whole / 10000)


def value(figure: dict[str, Any]) -> float:
    return float(figure["value"])


def option(name: str | None, offered: list[dict[str, Any]]) -> dict[str, Any] | None:
    found = [{key: entry[key] for key in entry if key != "name"} for entry in offered if entry["name"] == name]
    return found[0] if found else None


def after(plan: dict[str, Any], before: dict[str, Any]) -> dict[str, Any]:
    """The request that compression would get once a plan is carried out (decks by clearance, chambers as poured)."""
    changed = {**before, "chamber_volume": {name: plan["chamber_volume"][name] for name in ("value", "unit")}}
    if "stack" in before:
        height = value(plan["deck_cut"])
        stack = before["stack"]
        changed["stack"] = {**stack, "deck_height": f"{float(stack['deck_height'].split()[0]) - height:.12f} mm"}
    else:
        changed["deck_clearance"] = f"{0.4 - value(plan['deck_cut']):.15f} mm"
    changed["gasket"] = option(plan["gasket"], GASKETS) or before["gasket"]
    changed["crown"] = option(plan["crown"], CROWNS) or before["crown"]
    return changed


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


def squish_of(state: dict[str, Any]) -> str:
    (verdict,) = [check["verdict"] for check in state["checks"] if check["name"] == "squish"]
    return str(verdict)


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


def poured(*pours: tuple[float, float]) -> dict[str, Any]:
    profile = [{"depth": f"{depth} mm", "volume": f"{volume} cm3"} for depth, volume in pours]
    return {"levers": {"head_mill": {"max": "1 mm", "profile": profile}}}


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
