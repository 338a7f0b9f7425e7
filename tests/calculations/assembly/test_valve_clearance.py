"""valve-clearance: before and after the machining, what it refuses, and how each size moves the clearance."""

import copy

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.build import build_part
from borewright.calculations.base.problems import InvalidRequest, Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.physics.mechanism.crank import piston_travel

CALCULATION = calculations()["valve-clearance"]
ANGLES = range(-30, 31, 5)


def lift_at(degrees: float) -> float:
    """An invented lift through the overlap [mm], mirrored for the exhaust."""
    return float(4.5 * (1 - np.cos(np.radians(degrees + 35))))


FULL = {
    "stroke": 85.3,
    "deck_clearance": 0.3,
    "rod_length": 142.35,
    "gasket": {"thickness": 1.0},
    "lift": [{"crank": at, "intake": lift_at(at), "exhaust": lift_at(-at)} for at in ANGLES],
    "relief": {"intake": 2.5, "exhaust": 2.5},
    "valve_angle": 12.0,
    "valve_drop": 1.0,
}


def ask(**changes: object) -> dict:
    request = {"units": "metric", **copy.deepcopy(FULL), **changes}
    return answer(CALCULATION, {name: value for name, value in request.items() if value is not None})


def least(found: dict, side: str = "intake", *, before: bool = False) -> float:
    state = found[side]["before"] if before else found[side]
    return float(state["minimum"]["value"])


def judged(found: dict) -> dict[str, dict]:
    return {check["name"]: check for check in found["checks"]}


def refused(**changes: object) -> list[str]:
    with pytest.raises(Refusal) as caught:
        ask(**changes)
    return [error.pointer for error in caught.value.errors]


def test_the_least_is_the_least_of_the_measured_angles_or_a_little_less() -> None:
    depth = piston_travel(np.radians(list(ANGLES)), 85.3, 142.35)
    at_samples = (depth + 0.3 + 1.0 + 2.5 + 1.0) * np.cos(np.radians(12.0)) - [lift_at(at) for at in ANGLES]
    found = ask()
    assert at_samples.min() - 0.05 < least(found) <= at_samples.min() + 1e-9
    assert abs(found["intake"]["crank"]["value"] - list(ANGLES)[int(at_samples.argmin())]) < 5.0


def test_mirrored_lift_gives_mirrored_clearance() -> None:
    found = ask()
    assert least(found, "exhaust") == pytest.approx(least(found, "intake"), abs=1e-9)
    assert found["exhaust"]["crank"]["value"] == pytest.approx(-found["intake"]["crank"]["value"])


@given(st.floats(0.0, 25.0), st.floats(0.0, 2.0), st.sampled_from([None, 1.0]))
def test_without_machining_nothing_changes(angle: float, deck: float, same_gasket: float | None) -> None:
    found = ask(valve_angle=angle, deck_clearance=deck, head_mill=0.0, deck_cut=0.0, new_gasket_thickness=same_gasket)
    for side in ("intake", "exhaust"):
        before = found[side]["before"]
        assert {name: found[side][name] for name in before} == before
        assert found[side]["change"]["value"] == 0.0
    assert found["nearer_by"]["value"] == 0.0


@given(st.floats(0.0, 0.5), st.floats(0.0, 0.3), st.floats(0.5, 2.0), st.floats(0.0, 40.0))
def test_head_deck_and_gasket_close_by_their_cosine(mill: float, cut: float, gasket: float, angle: float) -> None:
    found = ask(head_mill=mill, deck_cut=cut, new_gasket_thickness=gasket, valve_angle=angle)
    nearer = mill + cut + 1.0 - gasket
    assert found["nearer_by"]["value"] == pytest.approx(nearer, abs=1e-9)
    for side in ("intake", "exhaust"):
        assert found[side]["change"]["value"] == pytest.approx(-nearer * np.cos(np.radians(angle)), abs=1e-9)
        assert least(found, side) - least(found, side, before=True) == pytest.approx(found[side]["change"]["value"], abs=1e-9)
        assert found[side]["crank"] == found[side]["before"]["crank"]


@given(st.floats(0.0, 0.3), st.floats(0.0, 25.0))
def test_machining_now_is_as_parts_made_so(mill: float, angle: float) -> None:
    machined = ask(head_mill=mill, valve_angle=angle)
    made_so = ask(valve_drop=1.0 - mill, valve_angle=angle)
    assert least(machined) == pytest.approx(least(made_so), abs=1e-9)
    cut = ask(deck_cut=mill, valve_angle=angle)
    stands_so = ask(deck_clearance=0.3 - mill, valve_angle=angle)
    assert least(cut) == pytest.approx(least(stands_so), abs=1e-9)


@given(st.floats(0.01, 1.0))
def test_more_room_anywhere_is_more_clearance_and_more_lift_less(more: float) -> None:
    now = least(ask())
    assert least(ask(deck_clearance=0.3 + more)) > now
    assert least(ask(gasket={"thickness": 1.0 + more})) > now
    assert least(ask(relief={"intake": 2.5 + more})) > now
    assert least(ask(valve_drop=1.0 + more)) > now
    assert least(ask(valve_angle=12.0 + more)) < now
    assert least(ask(rod_length=142.35 + more)) < now
    lifted = [{**entry, "intake": entry["intake"] + more} for entry in FULL["lift"]]
    assert least(ask(lift=lifted)) == pytest.approx(now - more, abs=2e-3)


@given(st.permutations(FULL["lift"]))
def test_the_order_of_the_list_does_not_matter(lift: list) -> None:
    assert ask(lift=lift) == ask()


@given(st.floats(0.0, 30.0), st.floats(0.0, 1.0))
def test_units_do_not_matter(angle: float, mill: float) -> None:
    metric = ask(valve_angle=f"{angle!r} deg", head_mill=f"{mill!r} mm")
    other = ask(
        units="inch",
        stroke=85.3 / 25.4,
        deck_clearance=0.3 / 25.4,
        rod_length=142.35 / 25.4,
        gasket={"thickness": 1 / 25.4},
        lift=[
            {"crank": f"{float(np.radians(entry['crank']))!r} rad"} | {side: entry[side] / 25.4 for side in ("intake", "exhaust")}
            for entry in FULL["lift"]
        ],
        relief={"intake": "0.25 cm", "exhaust": "0.25 cm"},
        valve_angle=f"{float(np.radians(angle))!r} rad",
        valve_drop=1 / 25.4,
        head_mill=mill / 25.4,
    )
    for side in ("intake", "exhaust"):
        assert least(other, side) * 25.4 == pytest.approx(least(metric, side), abs=1e-8)


def test_stack_and_deck_clearance_agree() -> None:
    stack = {"deck_height": 215.5, "rod_length": 142.35, "compression_height": 30.2}
    found = ask(stack=stack, deck_clearance=None, rod_length=None)
    assert least(found) == pytest.approx(least(ask()), abs=1e-9)


def test_one_angle_and_drop_for_both_is_the_same_as_each() -> None:
    each = ask(
        valve_angle=None,
        valve_angles={"intake": 12.0, "exhaust": 12.0},
        valve_drop=None,
        valve_drops={"intake": 1.0, "exhaust": 1.0},
    )
    assert each == ask()
    lean = ask(valve_angle=None, valve_angles={"intake": 12.0, "exhaust": 20.0})
    assert least(lean) == least(ask())
    assert least(lean, "exhaust") < least(ask(), "exhaust")


def test_a_side_without_lift_is_null() -> None:
    found = ask(lift=[{"crank": entry["crank"], "intake": entry["intake"]} for entry in FULL["lift"]])
    assert found["exhaust"] is None
    assert found["intake"] == ask()["intake"]
    assert not [name for name in judged(found) if name.startswith("exhaust")]


def test_a_crown_without_reliefs_is_assumed_flat_and_listed() -> None:
    found = ask(relief=None)
    assert {"relief.intake", "relief.exhaust"} <= {each["name"] for each in found["assumptions"]}
    assert least(found) < least(ask())


def test_room_is_what_milling_to_the_limit_takes() -> None:
    own = {"intake_clearance": {"low": 0.5}, "exhaust_clearance": {"low": 0.5}}
    room = ask(limits=own)["intake"]["room"]["value"]
    milled = ask(limits=own, head_mill=room)
    assert least(milled) == pytest.approx(0.5, abs=1e-9)
    assert milled["intake"]["room"]["value"] == pytest.approx(0.0, abs=1e-9)
    assert judged(ask(limits=own, head_mill=room + 0.01))["intake-valve-clearance"]["verdict"] == "fail"
    assert judged(ask(limits=own, head_mill=room - 0.01))["intake-valve-clearance"]["verdict"] == "pass"


def test_own_limits_replace_those_of_practice_on_their_side() -> None:
    found = judged(ask(limits={"intake_clearance": {"low": 0.1}}))
    assert found["intake-valve-clearance"]["basis"] == "caller"
    assert found["exhaust-valve-clearance"]["limits"]["low"]["value"] == pytest.approx(2.54)


def test_valves_that_meet_their_pistons_fail_and_are_answered() -> None:
    found = ask(relief={"intake": 0.0, "exhaust": 2.5}, valve_drop=-0.5)
    assert least(found) < 0
    assert found["intake"]["verdict"] == "fail"


def test_the_edge_of_a_leaning_valve_moves_over_its_relief() -> None:
    radial = {"intake": {"valve_diameter": 40.0, "relief_diameter": 44.0, "center_offset": 0.25}}
    found = ask(radial=radial, head_mill=0.5)
    assert found["intake"]["before"]["radial"]["value"] == pytest.approx(1.75)
    assert found["intake"]["radial"]["value"] == pytest.approx(1.75 - 0.5 * np.sin(np.radians(12.0)))
    assert found["exhaust"]["radial"] is None
    thicker = ask(radial=radial, new_gasket_thickness=1.5)
    assert thicker["intake"]["radial"] == found["intake"]["radial"]
    assert judged(ask(radial=radial, limits={"radial_clearance": {"low": 1.8}}))["intake-valve-edge"]["verdict"] == "fail"


def test_a_least_clearance_at_the_end_of_the_angles_is_watched() -> None:
    short = [entry for entry in FULL["lift"] if entry["crank"] <= 0]
    found = judged(ask(lift=short))
    assert found["intake-lift-range"]["verdict"] == "watch"
    assert judged(ask())["intake-lift-range"]["verdict"] == "pass"


def test_a_shut_valve_needs_no_further_angles_where_it_stays_shut() -> None:
    lift = [{"crank": at, "intake": 0.0, "exhaust": 0.0} for at in (0, 10, 20)]
    found = judged(ask(lift=lift))
    assert found["intake-lift-range"]["verdict"] == "pass"
    assert found["exhaust-lift-range"]["verdict"] == "watch"


def test_far_angles_are_watched_and_one_alone_is_unknown() -> None:
    far = [entry for entry in FULL["lift"] if entry["crank"] % 15 == 0]
    assert judged(ask(lift=far))["intake-lift-spacing"]["verdict"] == "watch"
    assert judged(ask())["intake-lift-spacing"]["verdict"] == "pass"
    ten = [entry for entry in FULL["lift"] if entry["crank"] % 10 == 0]
    assert judged(ask(lift=ten))["intake-lift-spacing"]["verdict"] == "pass"
    alone = ask(lift=[{"crank": 5, "intake": 2.0}])
    assert judged(alone)["intake-lift-spacing"]["verdict"] == "unknown"
    depth = float(piston_travel(np.radians(5.0), 85.3, 142.35))
    assert least(alone) == pytest.approx((depth + 4.8) * np.cos(np.radians(12.0)) - 2.0)


def test_gasket_that_overhangs_the_bore_is_found() -> None:
    gasket = {"thickness": 1.0, "bore": 83.3}
    assert judged(ask(gasket=gasket, bore=84.3))["bore-to-gasket-clearance"]["verdict"] == "fail"
    assert "bore-to-gasket-clearance" not in judged(ask(gasket=gasket))


def test_tolerances_widen_the_least_clearance_by_their_worst_corner() -> None:
    lift = copy.deepcopy(FULL["lift"])
    found = ask(valve_angle=0.0, deck_clearance="0.3 mm ± 0.05 mm", gasket={"thickness": "1 mm ± 0.02 mm"}, head_mill="0.1 mm ± 0.01 mm")
    plain = ask(valve_angle=0.0, head_mill=0.1)
    assert found["intake"]["minimum"]["low"] == pytest.approx(least(plain) - 0.08, abs=1e-9)
    assert found["intake"]["minimum"]["high"] == pytest.approx(least(plain) + 0.08, abs=1e-9)
    assert found["intake"]["before"]["minimum"]["low"] == pytest.approx(least(plain, before=True) - 0.07, abs=1e-9)
    at = round(plain["intake"]["crank"]["value"] / 5) * 5
    place = list(ANGLES).index(at)
    lift[place]["intake"] = f"{lift[place]['intake']} mm ± 0.1 mm"
    wide = ask(valve_angle=0.0, lift=lift)["intake"]["minimum"]
    assert wide["low"] < wide["value"] < wide["high"]
    assert wide["value"] - wide["low"] <= 0.1 + 1e-9


def test_a_tolerance_of_an_angle_moves_the_lift_with_it() -> None:
    lift = [{"crank": f"{at} deg ± 1 deg", "intake": lift_at(at)} for at in (0, 10, 20)]
    wide = ask(lift=lift)["intake"]["minimum"]
    early = ask(lift=[{"crank": at - 1, "intake": lift_at(at)} for at in (0, 10, 20)])
    late = ask(lift=[{"crank": at + 1, "intake": lift_at(at)} for at in (0, 10, 20)])
    assert wide["low"] <= least(early) + 1e-6
    assert wide["high"] >= least(late) - 1e-6
    assert wide["low"] < wide["value"] < wide["high"]


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"rod_length": 40.0}, "#/rod_length"),
        ({"deck_clearance": -1.2}, "#/deck_clearance"),
        ({"deck_cut": 1.5}, "#/deck_cut"),
        ({"deck_cut": 0.5, "new_gasket_thickness": 0.1}, "#/new_gasket_thickness"),
        ({"lift": [{"crank": 0, "intake": 1}, {"crank": 0, "intake": 2}]}, "#/lift/1/crank"),
        ({"lift": [{"crank": 0, "intake": 1}, {"crank": 5}]}, "#/lift/1"),
        ({"lift": [{"crank": "0 deg ± 3 deg", "intake": 1}, {"crank": "5 deg ± 3 deg", "intake": 2}]}, "#/lift"),
        ({"stack": {"deck_height": 215.5, "rod_length": 142.35, "compression_height": 30.2}, "rod_length": None}, "#/deck_clearance"),
        (
            {
                "stack": {"deck_height": 215.5, "rod_length": 142.35, "compression_height": 30.2},
                "rod_length": 140.0,
                "deck_clearance": None,
            },
            "#/rod_length",
        ),
        (
            {"stack": {"deck_height": 215.5, "rod_length": 42.0, "compression_height": 30.2}, "rod_length": None, "deck_clearance": None},
            "#/stack/rod_length",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(changes: dict, pointer: str) -> None:
    assert pointer in refused(**changes)


@pytest.mark.parametrize(
    "changes", [{"rod_length": None}, {"valve_drop": None}, {"valve_angles": {"intake": 1, "exhaust": 1}}, {"lift": []}]
)
def test_what_is_missing_or_doubled_is_refused(changes: dict) -> None:
    with pytest.raises(InvalidRequest):
        ask(**changes)


def test_the_build_of_a_sheet_takes_its_fields() -> None:
    fields = build_part()().fields
    assert {"lift", "relief", "valve_angle", "valve_drop", "head_mill", "deck_cut"} <= set(fields)
    assert {"intake_clearance", "mean_piston_speed"} <= set(fields["limits"].schema.fields)


@pytest.mark.parametrize("near", ["1e-300 deg", "-1e-300 deg", "5e-9 deg", "0.0009 deg", "0.5 deg ± 0.5 deg"])
def test_angles_too_near_to_tell_apart_are_refused(near: str) -> None:
    entries = [{"crank": near, "intake": 1.0, "exhaust": 2.0}, *FULL["lift"]]
    assert refused(lift=entries) == ["#/lift"]


def test_angles_a_hundredth_of_a_degree_apart_are_enough() -> None:
    first = FULL["lift"][0]
    assert least(ask(lift=[{**first, "crank": first["crank"] + 0.01}, *FULL["lift"]])) == pytest.approx(least(ask()), abs=1e-3)


def test_a_floor_above_the_flat_takes_room_away_as_a_deep_one_gives_it() -> None:
    """A pocket cut into a dome: its floor may stand above the flat, and each millimeter counts by the valve's lean."""
    lows = [least(ask(relief={"intake": depth, "exhaust": 2.5})) for depth in (1.0, 0.0, -0.5, -1.0)]
    steps = [lows[0] - lows[1], (lows[1] - lows[2]) * 2, lows[1] - lows[3]]
    assert steps == pytest.approx([steps[0]] * 3, abs=1e-6)
    assert 0 < steps[0] <= 1.0


def test_the_british_spelling_of_an_offset_is_read() -> None:
    sizes = {"valve_diameter": "40 mm", "relief_diameter": "44 mm"}
    found = [ask(radial={"intake": {**sizes, name: "0.25 mm"}}) for name in ("center_offset", "centre_offset")]
    assert found[0] == found[1]
    assert found[0]["intake"]["radial"]["value"] == pytest.approx(1.75, abs=1e-9)
