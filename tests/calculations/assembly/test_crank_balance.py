"""crank-balance: behavior and invariants."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.assembly.crank_balance import CALCULATION
from borewright.calculations.assembly.crank_balance.masses import RECIPROCATING, ROTATING, WEIGHED
from borewright.calculations.base.problems import InvalidRequest, Refusal
from borewright.calculations.base.single import answer
from borewright.physics.mechanism.balance_layouts import LAYOUTS

layouts = st.sampled_from(sorted(LAYOUTS))
grams = st.floats(min_value=1.0, max_value=5000.0)
mass_sets = st.fixed_dictionaries(dict.fromkeys((*WEIGHED, "oil"), grams)).map(lambda masses: {**masses, "oil": min(masses["oil"], 1000.0)})
factors = st.floats(min_value=0.0, max_value=1.0)
FORCES = ("primary_force", "primary_force_left", "secondary_force")
MOMENTS = ("primary_moment", "primary_moment_left", "secondary_moment")
BANKED = [name for name, layout in LAYOUTS.items() if layout.banks.any()]
TURN = np.linspace(0.0, 2 * np.pi, 1441)

MASSES = {
    "piston": "540 g",
    "pin": "150 g",
    "rings": "60 g",
    "locks": "3 g",
    "rod_small_end": "187 g",
    "rod_big_end": "430 g",
    "bearings": "45 g",
    "oil": "5 g",
}
RUNNING = {"stroke": "88 mm", "rod_length": "150 mm", "speed": "6000 rpm", "cylinder_spacing": "110 mm"}


def ask(layout: str = "v8-90-cross-plane", masses: dict[str, Any] | None = None, **body: Any) -> dict[str, Any]:
    return answer(CALCULATION, {"masses": MASSES if masses is None else masses, "layout": layout, **body})


def checks(found: dict[str, Any]) -> dict[str, Any]:
    return {check["name"]: check for check in found["checks"]}


def pointers(body: dict[str, Any]) -> list[str]:
    with pytest.raises(Refusal) as refused:
        ask(**body)
    return [error.pointer for error in refused.value.errors]


@given(masses=mass_sets, factor=factors, rods=st.integers(1, 4))
def test_bob_weight_is_the_sum_of_its_shares(masses: dict[str, float], factor: float, rods: int) -> None:
    found = ask(masses=masses, balance_factor=factor, rods_per_journal=rods, units="metric")
    up_and_down, turning = sum(masses[name] for name in RECIPROCATING), sum(masses[name] for name in ROTATING)
    assert found["reciprocating"]["value"] == pytest.approx(up_and_down, rel=1e-11)
    assert found["rotating"]["value"] == pytest.approx(turning, rel=1e-11)
    assert found["bob_weight"]["value"] == pytest.approx(rods * (turning + factor * up_and_down) + masses["oil"], rel=1e-11)


@given(masses=mass_sets, factor=st.floats(0.1, 1.0), part=st.sampled_from(WEIGHED), more=st.floats(0.1, 100.0))
def test_heavier_parts_want_more_bob_weight(masses: dict[str, float], factor: float, part: str, more: float) -> None:
    light = ask(masses=masses, balance_factor=factor, units="metric")
    heavy = ask(masses={**masses, part: masses[part] + more}, balance_factor=factor, units="metric")
    assert heavy["bob_weight"]["value"] > light["bob_weight"]["value"]


@given(layout=layouts, masses=mass_sets, factor=factors, speed=st.floats(100.0, 15000.0), times=st.floats(1.1, 2.0))
def test_forces_and_moments_grow_with_the_square_of_speed(
    layout: str, masses: dict[str, float], factor: float, speed: float, times: float
) -> None:
    def at(revolutions: float) -> dict[str, Any]:
        return ask(layout, masses, balance_factor=factor, units="metric", **{**RUNNING, "speed": revolutions})

    slow, fast = at(speed), at(speed * times)
    for name in (*FORCES, *MOMENTS):
        assert fast[name]["value"] == pytest.approx(slow[name]["value"] * times**2, rel=1e-9), name
    assert fast["bob_weight"] == slow["bob_weight"]


@given(layout=layouts, masses=mass_sets, factor=factors, stroke=st.floats(30.0, 300.0), spacing=st.floats(20.0, 500.0))
def test_any_spelling_of_the_units_gives_the_same(
    layout: str, masses: dict[str, float], factor: float, stroke: float, spacing: float
) -> None:
    metric = ask(
        layout,
        {name: f"{mass} g" for name, mass in masses.items()},
        balance_factor=f"{100 * factor} %",
        stroke=f"{stroke} mm",
        rod_length=f"{stroke * 1.7} mm",
        speed="4321 rpm",
        cylinder_spacing=f"{spacing} mm",
    )
    inch = ask(
        layout,
        {name: {"value": mass / 453.59237, "unit": "lb"} for name, mass in masses.items()},
        units="inch",
        balance_factor=factor,
        stroke=stroke / 25.4,
        rod_length=stroke * 1.7 / 25.4,
        speed=f"{4321 * np.pi / 30} rad/s",
        cylinder_spacing=f"{spacing / 304.8} ft",
    )
    for name in ("reciprocating", "rotating", "bob_weight"):
        assert inch[name]["value"] == pytest.approx(metric[name]["value"], rel=1e-9), name
    unit = metric["primary_unit"]["value"]
    for name in FORCES:
        assert inch[name]["value"] * 4.4482216152605 == pytest.approx(metric[name]["value"], rel=1e-8, abs=1e-9 * unit), name
    for name in MOMENTS:
        assert inch[name]["value"] * 1.3558179483314 == pytest.approx(metric[name]["value"], rel=1e-8, abs=1e-9 * unit), name


@given(layout=layouts, factor=factors, bank=st.floats(10.0, 180.0))
def test_forces_follow_from_the_throws_shown(layout: str, factor: float, bank: float) -> None:
    """Summed cylinder by cylinder round a turn, from the angles and places in the answer."""
    own = {"bank_angle": f"{bank} deg"} if layout in BANKED else {}
    found = ask(layout, balance_factor=factor, **RUNNING, **own)
    phi, beta, place = (np.array([row[name]["value"] for row in found["throws"]]) for name in ("throw_angle", "bore_angle", "position"))
    assert [row["cylinder"] for row in found["throws"]] == list(range(1, len(phi) + 1))
    phi, beta = np.radians(phi), np.radians(beta)
    along, past_top = np.exp(1j * beta), TURN[:, None] + phi - beta
    weights = factor * np.exp(1j * (TURN[:, None] + phi))
    for name, arms, scale in (("force", np.ones_like(place), 1.0), ("moment", place, 0.110)):
        first, second = scale * found["primary_unit"]["value"], scale * found["secondary_unit"]["value"]
        sums = {
            f"primary_{name}": first * np.abs((arms * np.cos(past_top) * along).sum(axis=1)),
            f"primary_{name}_left": first * np.abs((arms * (np.cos(past_top) * along - weights)).sum(axis=1)),
            f"secondary_{name}": second * np.abs((arms * np.cos(2 * past_top) * along).sum(axis=1)),
        }
        for result, turn in sums.items():
            assert found[result]["value"] == pytest.approx(turn.max(), rel=1e-4, abs=1e-6 * first), result


@given(layout=layouts)
def test_nothing_on_the_counterweights_leaves_everything(layout: str) -> None:
    found = ask(layout, balance_factor=0.0, units="metric", **RUNNING)
    assert found["primary_force_left"] == found["primary_force"]
    assert found["primary_moment_left"] == found["primary_moment"]


@pytest.mark.parametrize("layout", sorted(LAYOUTS))
def test_half_takes_the_vector_that_turns_with_the_crank(layout: str) -> None:
    """What is left turns backward, and no other factor leaves less."""
    found = ask(layout, balance_factor="50 %", **RUNNING)
    for name in ("primary_force", "primary_moment"):
        vectors = found["vectors"][name]
        assert vectors["forward_left"]["value"] == 0.0
        for other in ("40 %", "60 %"):
            assert ask(layout, balance_factor=other, **RUNNING)[f"{name}_left"]["value"] >= found[f"{name}_left"]["value"]


@pytest.mark.parametrize("layout", BANKED)
def test_the_layouts_own_bank_angle_changes_nothing(layout: str) -> None:
    bank = 2 * max(LAYOUTS[layout].bank_degrees)
    given_, own = ask(layout, bank_angle=f"{bank} deg", **RUNNING), ask(layout, **RUNNING)
    for name in (*FORCES, *MOMENTS, "throws", "vectors"):
        assert given_[name] == own[name], name


def test_bank_angle_of_an_in_line_engine_is_refused() -> None:
    assert pointers({"layout": "inline-4", "bank_angle": "90 deg"}) == ["#/bank_angle"]


def test_rods_on_a_journal_follow_the_layout_unless_given() -> None:
    for layout, rods in (("v8-90-cross-plane", 2), ("v6-90-common-pin", 2), ("v6-60", 1), ("inline-4", 1), ("flat-6", 1)):
        found = ask(layout)
        assert [entry["value"] for entry in found["assumptions"] if entry["name"] == "rods_per_journal"] == [rods]
        assert found["bob_weight"]["value"] == pytest.approx(rods * (475 + 470) + 5)
        assert checks(ask(layout, rods_per_journal=rods))["rods-per-journal"]["verdict"] == "pass"
        assert checks(ask(layout, rods_per_journal=rods + 1))["rods-per-journal"]["verdict"] == "watch"


def test_defaults_are_listed() -> None:
    masses = {name: mass for name, mass in MASSES.items() if name not in ("locks", "oil")}
    found = ask(masses=masses)
    assumed = {entry["name"]: entry["value"] for entry in found["assumptions"]}
    assert assumed["masses.oil"] == {"value": 5.0, "unit": "g"}
    assert assumed["masses.locks"] == {"value": 0.0, "unit": "g"}
    assert assumed["balance_factor"] == {"value": 0.5, "unit": "1"}
    assert found["bob_weight"]["value"] == pytest.approx(2 * 475 + 937 + 5)


@pytest.mark.parametrize(
    ("left_out", "missing"),
    [
        ("speed", {"primary_force", "primary_moment", "secondary_force", "secondary_moment"}),
        ("stroke", {"primary_force", "primary_moment", "secondary_force", "secondary_moment"}),
        ("rod_length", {"secondary_force", "secondary_moment"}),
        ("cylinder_spacing", {"primary_moment", "secondary_moment"}),
    ],
)
def test_what_can_not_be_calculated_is_said(left_out: str, missing: set[str]) -> None:
    body = {name: value for name, value in RUNNING.items() if name != left_out}
    found = ask(**body)
    assert {entry["name"] for entry in found["missing"]} == missing
    assert all(left_out in entry["reason"] for entry in found["missing"])
    assert {name for name in ("primary_force", "primary_moment", "secondary_force", "secondary_moment") if found[name] is None} == missing
    assert found["bob_weight"]["value"] > 0


@pytest.mark.parametrize(("factor", "verdict"), [("45 %", "watch"), ("46 %", "pass"), ("54 %", "pass"), ("55 %", "watch")])
def test_overbalance_is_watched(factor: str, verdict: str) -> None:
    check = checks(ask(balance_factor=factor))["balance-factor"]
    assert (check["verdict"], check["basis"]) == (verdict, "common practice")
    own = checks(ask(balance_factor=factor, limits={"balance_factor": {"low": "49 %", "high": "51 %"}}))["balance-factor"]
    assert (own["verdict"], own["basis"]) == ("fail", "caller")


def test_rod_ends_exchanged() -> None:
    assert checks(ask())["rod-ends"]["verdict"] == "pass"
    assert checks(ask(masses={**MASSES, "rod_small_end": "430 g", "rod_big_end": "187 g"}))["rod-ends"]["verdict"] == "watch"


@given(pistons=st.lists(st.integers(5380, 5420), min_size=2, max_size=8))
def test_like_parts_are_taken_down_to_the_lightest(pistons: list[int]) -> None:
    weighed = [{"cylinder": number, "piston": f"{tenths / 10} g"} for number, tenths in enumerate(pistons, 1)]
    found = ask(weighed=weighed)
    for row, tenths in zip(found["take_off"], pistons, strict=True):
        assert row["part"] == "piston"
        assert row["take_off"]["value"] == pytest.approx((tenths - min(pistons)) / 10, abs=1e-9)
    spread = max(pistons) - min(pistons)
    check = checks(found)["piston-spread"]
    assert check["value"]["value"] == pytest.approx(spread / 10, abs=1e-9)
    if spread != 10:  # exactly one gram is a matter of the last digit
        assert check["verdict"] == ("pass" if spread < 10 else "watch")
    own = checks(ask(weighed=weighed, limits={"mass_spread": {"high": "0.45 g"}}))["piston-spread"]
    assert (own["verdict"], own["basis"]) == ("pass" if spread <= 4 else "fail", "caller")


def test_weighed_parts_against_the_masses_balanced_to() -> None:
    weighed = [{"cylinder": 1, "piston": "545 g", "pin": "150 g"}, {"cylinder": 2, "piston": "545.4 g"}]
    found = checks(ask(weighed=weighed))
    assert found["piston-mass"]["verdict"] == "watch"
    assert found["pin-mass"]["verdict"] == "pass"
    assert found["pin-spread"]["verdict"] == "unknown"
    assert found["pin-spread"]["value"] is None


def test_scale_tolerance_turns_a_close_match_into_a_watch() -> None:
    weighed = [{"cylinder": 1, "pin": "150.0 g ± 0.2 g"}, {"cylinder": 2, "pin": "150.8 g ± 0.2 g"}]
    assert checks(ask(weighed=weighed))["pin-spread"]["verdict"] == "watch"


def test_impossible_lists_and_rods() -> None:
    twice = [{"cylinder": 2, "pin": "150 g"}, {"cylinder": 2, "pin": "150 g"}]
    assert pointers({"weighed": twice}) == ["#/weighed/1/cylinder"]
    assert pointers({"layout": "inline-4", "weighed": [{"cylinder": 5, "pin": "150 g"}]}) == ["#/weighed/0/cylinder"]
    assert pointers({"stroke": "100 mm", "rod_length": "50 mm"}) == ["#/rod_length"]
    assert pointers({**RUNNING, "stroke": "100 mm", "rod_length": {"value": 50.5, "unit": "mm", "tolerance": 1}}) == ["#/rod_length"]
    crossed = {"balance_factor": {"low": "55 %", "high": "45 %"}}
    assert pointers({"limits": crossed}) == ["#/limits/balance_factor/high"]


@pytest.mark.parametrize(
    ("field", "value"), [("layout", "v12"), ("balance_factor", "-10 %"), ("rods_per_journal", 0), ("speed", "6000 m/s"), ("weighed", [])]
)
def test_what_the_schema_refuses(field: str, value: Any) -> None:
    with pytest.raises(InvalidRequest) as refused:
        answer(CALCULATION, {"masses": MASSES, "layout": "inline-4", field: value})
    assert [error.pointer for error in refused.value.errors] == [f"#/{field}"]


def test_toleranced_masses_bound_the_bob_weight() -> None:
    found = ask(masses={**MASSES, "piston": "540 ± 1 g", "rod_big_end": "430 ± 1 g"}, balance_factor="50 %")
    assert found["bob_weight"]["low"] == pytest.approx(1895 - 3)
    assert found["bob_weight"]["high"] == pytest.approx(1895 + 3)
    assert found["sensitivity"][0]["input"] == "#/masses/rod_big_end"
    assert found["sensitivity"][0]["contribution"] == pytest.approx(0.8)


def own(layout: str, pitch: float = 110.0) -> dict[str, Any]:
    """A layout of the list, said throw by throw in millimeters from somewhere."""
    there = LAYOUTS[layout]
    pins = list(dict.fromkeys(zip(there.throw_degrees, there.positions, strict=True)))
    throws = [{"angle": f"{angle} deg", "position": f"{place * pitch + 37} mm"} for angle, place in pins]
    cylinders = [
        {"throw": 1 + pins.index((angle, place)), "bank_angle": f"{bank} deg"}
        for angle, place, bank in zip(there.throw_degrees, there.positions, there.bank_degrees, strict=True)
    ]
    return {"throws": throws, "cylinders": cylinders}


@pytest.mark.parametrize("layout", sorted(LAYOUTS))
def test_throws_of_ones_own_answer_as_the_layout_that_they_are(layout: str) -> None:
    running = {name: value for name, value in RUNNING.items() if name != "cylinder_spacing"}
    known = ask(layout, **RUNNING)
    found = answer(CALCULATION, {"masses": MASSES, **running, **own(layout)})
    unit = known["primary_unit"]["value"]
    for name in (*FORCES, *MOMENTS):
        assert found[name]["value"] == pytest.approx(known[name]["value"], rel=1e-9, abs=1e-9 * unit), name
    assert found["bob_weight"] == known["bob_weight"]
    assert found["bob_weights_needed"] == known["bob_weights_needed"]
    assert found["missing"] == []


@given(turn=st.floats(-180.0, 180.0), along=st.floats(-500.0, 500.0))
def test_where_the_crank_is_counted_from_does_not_matter(turn: float, along: float) -> None:
    plain = own("v6-60")
    moved = {
        "throws": [
            {"angle": f"{float(one['angle'].split()[0]) + turn} deg", "position": f"{float(one['position'].split()[0]) + along} mm"}
            for one in plain["throws"]
        ],
        "cylinders": plain["cylinders"],
    }
    here, there = (answer(CALCULATION, {"masses": MASSES, **RUNNING, **body}) for body in (plain, moved))
    for name in (*FORCES, *MOMENTS):
        assert there[name]["value"] == pytest.approx(here[name]["value"], rel=1e-6, abs=1e-3), name


def test_throws_without_places_have_no_moments_unless_there_is_one() -> None:
    twins = {"throws": [{"angle": "0 deg"}, {"angle": "180 deg"}], "cylinders": [{"throw": 1, "bank_angle": "0 deg"}] * 2}
    twins["cylinders"] = [{"throw": throw, "bank_angle": "0 deg"} for throw in (1, 2)]
    running = {name: value for name, value in RUNNING.items() if name != "cylinder_spacing"}
    found = answer(CALCULATION, {"masses": MASSES, **running, **twins})
    assert found["primary_moment"] is None
    assert {"primary_moment", "secondary_moment"} == {entry["name"] for entry in found["missing"]}
    assert all("throws.position" in entry["reason"] for entry in found["missing"])
    lone = {"throws": [{"angle": "0 deg"}], "cylinders": [{"throw": 1, "bank_angle": "-45 deg"}, {"throw": 1, "bank_angle": "45 deg"}]}
    assert answer(CALCULATION, {"masses": MASSES, **running, **lone})["primary_moment"]["value"] == 0.0


def test_throws_and_cylinders_that_do_not_meet_are_refused_where_they_stand() -> None:
    one = {"throws": [{"angle": "0 deg"}], "cylinders": [{"throw": 2, "bank_angle": "0 deg"}]}
    idle = {"throws": [{"angle": "0 deg"}, {"angle": "90 deg"}], "cylinders": [{"throw": 1, "bank_angle": "0 deg"}]}
    turned = {"throws": [{"angle": "0 deg"}], "cylinders": [{"throw": 1, "bank_angle": "0 deg"}], "bank_angle": "90 deg"}
    for body, pointer in ((one, "#/cylinders/0/throw"), (idle, "#/throws/1"), (turned, "#/bank_angle")):
        with pytest.raises(Refusal) as refused:
            answer(CALCULATION, {"masses": MASSES, **body})
        assert [error.pointer for error in refused.value.errors] == [pointer]
    for body in ({}, {"layout": "inline-4", **idle}, {"throws": idle["throws"]}):
        with pytest.raises(InvalidRequest):
            answer(CALCULATION, {"masses": MASSES, **body})


@given(layout=layouts, factor=factors)
def test_no_factor_shakes_less_than_the_least(layout: str, factor: float) -> None:
    least = ask(layout)["least_shake"]
    if least is None:
        return
    vectors = ask(layout, balance_factor=factor)["vectors"][f"primary_{least['of']}"]
    assert vectors["forward_left"]["value"] + vectors["backward"]["value"] >= least["left"]["value"] - 1e-9
