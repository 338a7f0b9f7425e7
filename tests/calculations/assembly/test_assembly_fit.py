"""assembly-fit: what it answers, what it leaves open, what it refuses, and how each part moves the results."""

import copy

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.build import build_part
from borewright.calculations.base.problems import Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.physics.mechanism.piston_motion import peak_acceleration

CALCULATION = calculations()["assembly-fit"]
FULL = {
    "block": {"deck_height": 218.5, "cylinder_length": 137.0},
    "crank": {"stroke": 85.3, "counterweight_radius": 72.0},
    "rod": {"length": 142.35, "small_end_bore": 21.972, "pin_retention": "press"},
    "piston": {
        "compression_height": 33.0,
        "skirt_below_pin": 26.0,
        "boss_below_pin": 18.0,
        "pin_diameter": 22.0,
        "pin_length": 60.0,
        "pin_bore": 22.017,
        "width_at_boss": 64.0,
        "top_land": 6.5,
        "second_land": 4.0,
    },
    "bore": 84.3,
    "speed": 6000,
    "gasket": {"thickness": 0.6},
}


def build(**changes: object) -> dict:
    """The full build with dotted names (double underscores) changed, or left out where the change is None."""
    request = copy.deepcopy(FULL)
    for name, value in changes.items():
        *path, last = name.split("__")
        place = request
        for step in path:
            place = place.setdefault(step, {})
        if value is None:
            del place[last]
        else:
            place[last] = value
    return {"units": "metric", **request}


def ask(**changes: object) -> dict:
    return answer(CALCULATION, build(**changes))


def value(found: dict, name: str) -> float:
    return float(found[name]["value"])


def verdicts(found: dict) -> dict[str, str]:
    return {check["name"]: check["verdict"] for check in found["checks"]}


def refused(**changes: object) -> list[str]:
    with pytest.raises(Refusal) as caught:
        ask(**changes)
    return [error.pointer for error in caught.value.errors]


def test_the_full_build_by_hand() -> None:
    found = ask()
    assert value(found, "deck_clearance") == pytest.approx(218.5 - 142.35 - 42.65 - 33)
    assert value(found, "squish") == pytest.approx(1.1)
    assert value(found, "rod_ratio") == pytest.approx(142.35 / 85.3)
    assert value(found, "skirt_exposed_at_bdc") == pytest.approx(218.5 - (142.35 - 42.65) + 26 - 137)
    assert value(found, "boss_counterweight_clearance") == pytest.approx(142.35 - 42.65 - 18 - 72)
    across = np.sqrt(84.3**2 - 64.0**2) / 2
    assert value(found, "skirt_counterweight_clearance") == pytest.approx(np.hypot(across, 142.35 - 42.65 - 26) - 72)
    assert value(found, "counterweight_clearance") == value(found, "skirt_counterweight_clearance")
    assert value(found, "pin_end_room") == pytest.approx(np.sqrt(84.3**2 - 22.0**2) / 2 - 30)
    assert value(found, "pin_boss_room") == pytest.approx(2.0)
    assert found["pin_fit_rod"]["value"]["value"] == pytest.approx(-0.028)
    assert found["pin_fit_piston"]["value"]["value"] == pytest.approx(0.017)
    assert set(verdicts(found).values()) == {"pass"}


def test_the_stack_alone_answers_and_says_what_would_fill_the_rest() -> None:
    found = answer(CALCULATION, CALCULATION.examples["the stack alone"])
    empty = ("squish", "mean_piston_speed", "peak_acceleration", "skirt_exposed_at_bdc", "counterweight_clearance", "pin_end_room")
    assert [found[name] for name in empty] == [None] * len(empty)
    assert found["pin_fit_rod"]["value"] is None
    unknown = [check for check in found["checks"] if check["verdict"] == "unknown"]
    assert len(unknown) == 11
    assert all(check["value"] is None and check["reason"].startswith("not known: add ") for check in unknown)
    assert {name for name, verdict in verdicts(found).items() if verdict == "pass"} == {"deck-clearance", "rod-ratio"}


@pytest.mark.parametrize(
    ("left_out", "check"),
    [
        ("gasket", "squish"),
        ("speed", "mean-piston-speed"),
        ("block__cylinder_length", "skirt-exposed"),
        ("piston__skirt_below_pin", "skirt-exposed"),
        ("piston__skirt_below_pin", "counterweight-to-skirt"),
        ("piston__width_at_boss", "counterweight-to-skirt"),
        ("bore", "counterweight-to-skirt"),
        ("crank__counterweight_radius", "counterweight-to-boss"),
        ("piston__boss_below_pin", "counterweight-to-boss"),
        ("rod__small_end_bore", "pin-fit-rod-tight"),
        ("rod__pin_retention", "pin-fit-rod-loose"),
        ("piston__pin_diameter", "pin-fit-piston-loose"),
        ("piston__pin_bore", "pin-fit-piston-tight"),
        ("piston__pin_length", "pin-end-room"),
        ("bore", "pin-end-room"),
        ("piston__width_at_boss", "pin-within-bosses"),
    ],
)
def test_each_missing_size_is_named_by_its_check(left_out: str, check: str) -> None:
    found = ask(**{left_out: None})
    (one,) = [each for each in found["checks"] if each["name"] == check]
    assert one["verdict"] == "unknown"
    assert left_out.replace("__", ".") in one["reason"]


def test_a_floating_pin_needs_its_retainers_known() -> None:
    floating = {"rod__pin_retention": "floating", "rod__small_end_bore": 22.023}
    assert verdicts(ask(**floating))["pin-within-bosses"] == "unknown"
    found = ask(**floating, piston__retainer_thickness=1.5)
    assert value(found, "pin_boss_room") == pytest.approx(0.5)
    assert verdicts(found)["pin-within-bosses"] == "pass"
    assert verdicts(ask(**floating, piston__retainer_thickness=2.5))["pin-within-bosses"] == "fail"


def test_pin_end_reaching_the_wall_fails() -> None:
    assert verdicts(ask(piston__pin_length=83.0))["pin-end-room"] == "fail"


def test_floating_a_press_fit_rod_wants_honing_and_pressing_a_floating_one_cannot_be_honed() -> None:
    to_float = ask(rod__wanted_retention="floating", piston__retainer_thickness=1.5)
    change = to_float["pin_fit_rod"]["change"]["value"]
    assert 0.0015 * 25.4 < change < 0.0025 * 25.4
    assert to_float["pin_fit_rod"]["hone_to"]["value"] == pytest.approx(21.972 + change)
    assert verdicts(to_float) == {
        **verdicts(to_float),
        "pin-fit-rod-tight": "watch",
        "pin-fit-rod-loose": "pass",
        "honing-to-float": "pass",
    }
    to_press = ask(rod__pin_retention="floating", rod__wanted_retention="press", rod__small_end_bore=22.023)
    assert to_press["pin_fit_rod"]["change"]["value"] < 0
    assert verdicts(to_press)["pin-fit-rod-loose"] == "fail"
    assert "honing-to-float" not in verdicts(to_press)


@given(st.floats(21.9, 22.1))
def test_honing_by_the_change_gives_the_fit_wanted(hole: float) -> None:
    found = ask(rod__small_end_bore=hole)["pin_fit_rod"]
    honed = ask(rod__small_end_bore=hole + found["change"]["value"])["pin_fit_rod"]
    assert honed["value"]["value"] == pytest.approx(found["wanted"]["value"], abs=1e-9)
    assert honed["change"]["value"] == pytest.approx(0.0, abs=1e-9)


def test_bosses_narrower_than_the_gap_pass_between_the_counterweights() -> None:
    touching = {"crank__counterweight_radius": 84.0}
    assert verdicts(ask(**touching))["counterweight-to-boss"] == "fail"
    found = ask(**touching, crank__counterweight_gap=68.0)
    assert value(found, "counterweight_clearance") == pytest.approx(2.0)
    assert verdicts(found)["counterweight-to-boss"] == "pass"
    assert verdicts(ask(**touching, crank__counterweight_gap=66.0))["counterweight-to-boss"] == "fail"


@pytest.mark.parametrize(
    ("compression_height", "verdict"), [(32.0, "pass"), (27.0, "watch"), (34.5, "watch"), (45.0, "fail"), (10.0, "fail")]
)
def test_a_stack_that_is_none_fails(compression_height: float, verdict: str) -> None:
    """A little off the deck is for the machinist to judge; tens of millimeters off it the parts are of another engine."""
    found = answer(
        CALCULATION,
        {
            "units": "metric",
            "block": {"deck_height": 217.5 + 10 * (compression_height == 10)},
            "crank": {"stroke": 84},
            "rod": {"length": 143},
            "piston": {"compression_height": compression_height},
        },
    )
    assert verdicts(found)["deck-clearance"] == verdict


def test_own_limits_replace_those_of_practice() -> None:
    found = ask(limits={"counterweight_clearance": {"low": 12.0}, "pin_fit_rod": {"low": -0.020, "high": -0.010}, "top_land": {"low": 7.0}})
    judged = {check["name"]: check for check in found["checks"]}
    assert judged["counterweight-to-boss"]["verdict"] == "fail"
    assert judged["counterweight-to-boss"]["basis"] == "caller"
    assert found["pin_fit_rod"]["wanted"]["value"] == pytest.approx(-0.015)
    assert judged["pin-fit-rod-tight"]["verdict"] == "watch"
    assert judged["top-land"]["verdict"] == "fail"
    for gasket, verdict in (({"thickness": 1.0}, "fail"), (None, "unknown")):
        squish = {c["name"]: c for c in ask(gasket=gasket, limits={"squish": {"high": 0.1}})["checks"]}["squish"]
        assert (squish["verdict"], squish["basis"], squish["limits"]["high"]["value"]) == (verdict, "caller", 0.1)


@pytest.mark.parametrize(("service", "verdict"), [("street", "watch"), ("sport", "pass"), ("race", "pass")])
def test_mean_piston_speed_by_service(service: str, verdict: str) -> None:
    assert verdicts(ask(speed=7000, duty={"service": service}))["mean-piston-speed"] == verdict


def test_natural_duty_limits_no_land_and_a_hard_duty_asks_for_them() -> None:
    assert "top-land" not in verdicts(ask())
    assert verdicts(ask(duty={"aspiration": "boost"}))["top-land"] == "fail"
    assert verdicts(ask(duty={"aspiration": "nitrous"}, piston__second_land=None))["second-land"] == "unknown"


def test_cautions_follow_the_duty_and_the_press_fit() -> None:
    assert any("Boost" in text for text in ask(duty={"aspiration": "boost"})["cautions"])
    assert any("by hand" in text for text in ask()["cautions"])
    pressed = [text for text in ask()["cautions"] if text.startswith("Pressing")]
    assert len(pressed) == 1
    assert not [text for text in ask(rod__pin_retention="floating")["cautions"] if text.startswith("Pressing")]


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"rod__length": 40.0}, "#/rod/length"),
        ({"rod__length": 45.0, "pin_offset": 3.0}, "#/rod/length"),
        ({"piston__compression_height": 40.0}, "#/piston/compression_height"),
        ({"piston__pin_diameter": 90.0}, "#/piston/pin_diameter"),
        ({"piston__pin_diameter": 70.0}, "#/piston/pin_diameter"),
        ({"piston__width_at_boss": 87.0}, "#/piston/width_at_boss"),
        ({"block__cylinder_length": 220.0}, "#/block/cylinder_length"),
        ({"limits": {"rod_ratio": {"low": 2, "high": 1}}}, "#/limits/rod_ratio/high"),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(changes: dict, pointer: str) -> None:
    assert pointer in refused(**changes)


def test_a_tolerance_that_reaches_what_cannot_be_is_refused() -> None:
    assert refused(piston__compression_height="33.0 mm ± 1.2 mm") == ["#/piston/compression_height"]


def test_tolerances_reach_every_result_they_touch() -> None:
    found = ask(crank__stroke="85.3 mm ± 0.1 mm", rod__length="142.35 mm ± 0.05 mm", speed="6000 rpm ± 50 rpm")
    assert found["deck_clearance"]["low"] == pytest.approx(0.4)
    assert found["deck_clearance"]["high"] == pytest.approx(0.6)
    corners = [
        float(peak_acceleration(stroke * 1e-3, rod * 1e-3, rpm * np.pi / 30))
        for stroke in (85.2, 85.4)
        for rod in (142.3, 142.4)
        for rpm in (5950, 6050)
    ]
    assert found["peak_acceleration"]["low"] == pytest.approx(min(corners), rel=1e-9)
    assert found["peak_acceleration"]["high"] == pytest.approx(max(corners), rel=1e-9)
    assert {share["input"] for share in found["sensitivity"]} == {"#/crank/stroke", "#/rod/length", "#/speed"}


@given(st.floats(70.0, 90.0), st.floats(0.1, 4.0))
def test_a_longer_stroke_brings_everything_nearer(stroke: float, more: float) -> None:
    block = {"block__deck_height": 235.0}
    short, long = ask(crank__stroke=stroke, **block), ask(crank__stroke=stroke + more, **block)
    for name in ("deck_clearance", "counterweight_clearance", "boss_counterweight_clearance", "skirt_counterweight_clearance", "rod_ratio"):
        assert value(long, name) < value(short, name)
    for name in ("skirt_exposed_at_bdc", "mean_piston_speed", "peak_acceleration"):
        assert value(long, name) > value(short, name)


@given(st.floats(135.0, 150.0), st.floats(0.1, 10.0))
def test_a_longer_rod_lifts_the_piston_off_the_crank(rod: float, more: float) -> None:
    block = {"block__deck_height": 245.0}
    short, long = ask(rod__length=rod, **block), ask(rod__length=rod + more, **block)
    assert value(long, "deck_clearance") == pytest.approx(value(short, "deck_clearance") - more, abs=1e-9)
    assert value(long, "boss_counterweight_clearance") == pytest.approx(value(short, "boss_counterweight_clearance") + more, abs=1e-9)
    assert value(long, "skirt_exposed_at_bdc") < value(short, "skirt_exposed_at_bdc")
    assert value(long, "peak_acceleration") < value(short, "peak_acceleration")


@given(st.floats(62.0, 79.0), st.floats(0.1, 5.0))
def test_larger_counterweights_and_wider_bosses_come_nearer(radius: float, more: float) -> None:
    assert value(ask(crank__counterweight_radius=radius + more), "counterweight_clearance") < value(
        ask(crank__counterweight_radius=radius), "counterweight_clearance"
    )
    narrow, wide = ask(piston__width_at_boss=radius), ask(piston__width_at_boss=radius + more)
    assert value(wide, "skirt_counterweight_clearance") < value(narrow, "skirt_counterweight_clearance")


@given(st.floats(-2.0, 2.0))
def test_the_side_of_a_pin_offset_does_not_matter(offset: float) -> None:
    one, other = ask(pin_offset=offset), ask(pin_offset=-offset)
    for name in ("deck_clearance", "skirt_exposed_at_bdc", "counterweight_clearance", "peak_acceleration"):
        assert value(one, name) == pytest.approx(value(other, name), rel=1e-9)


@given(st.floats(80.0, 88.0), st.floats(135.0, 145.0), st.floats(500.0, 9000.0))
def test_units_do_not_matter(stroke: float, rod: float, speed: float) -> None:
    block = {"block__deck_height": "225 mm"}
    metric = ask(**block, crank__stroke=f"{stroke} mm", rod__length=f"{rod} mm", speed=f"{speed} rpm")
    other = ask(**block, crank__stroke=f"{stroke / 25.4!r} in", rod__length=f"{rod / 10!r} cm", speed=f"{speed * np.pi / 30!r} rad/s")
    for name in ("deck_clearance", "skirt_exposed_at_bdc", "counterweight_clearance", "mean_piston_speed", "peak_acceleration"):
        assert value(other, name) == pytest.approx(value(metric, name), rel=1e-9, abs=1e-9)


def test_the_answer_comes_in_the_units_asked_for() -> None:
    stack = CALCULATION.examples["the stack alone"]
    metric, inch = answer(CALCULATION, stack), answer(CALCULATION, {**stack, "units": "inch"})
    assert inch["deck_clearance"] == {"value": pytest.approx(metric["deck_clearance"]["value"] / 25.4), "unit": "in"}


def test_the_build_of_a_sheet_takes_its_fields() -> None:
    fields = build_part()().fields
    assert {"block", "crank", "rod", "piston", "speed", "gasket"} <= set(fields)
    assert {"counterweight_radius", "stroke"} <= set(fields["crank"].schema.fields)
