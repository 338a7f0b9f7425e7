"""Skirt clearance: behavior, pairing, invariants, batch."""

from itertools import permutations
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.problems import InvalidRequest, Refusal
from borewright.calculations.base.single import answer
from borewright.calculations.cylinders.skirt_clearance import CALCULATION

ALLOYS = ("2618", "4032", "hypereutectic")
ASPIRATIONS = ("natural", "boost", "nitrous")
SERVICES = ("street", "sport", "race")
WALLS = ("gray_iron", "ductile_iron", "aluminum_356")
bores = st.floats(min_value=25.0, max_value=400.0)
alloys = st.sampled_from(ALLOYS)
duties = st.fixed_dictionaries({"aspiration": st.sampled_from(ASPIRATIONS), "service": st.sampled_from(SERVICES)})
hot = st.floats(min_value=20.0, max_value=300.0)
microns = st.integers(min_value=0, max_value=60)


def answered(**body: Any) -> dict[str, Any]:
    return answer(CALCULATION, body)


def verdicts(found: dict[str, Any]) -> dict[str, str]:
    return {check["name"]: check["verdict"] for check in found["checks"]}


@st.composite
def engines(draw: st.DrawFn) -> tuple[list[float], list[float]]:
    count = draw(st.integers(min_value=1, max_value=6))
    size = st.lists(microns, min_size=count, max_size=count)
    return [84.3 + each / 1000 for each in draw(size)], [84.2 + each / 1000 for each in draw(size)]


def listed(sizes: list[float], name: str) -> list[dict[str, Any]]:
    return [{name: number, "diameter": f"{size:.3f} mm"} for number, size in enumerate(sizes, start=1)]


@given(engine=engines(), alloy=alloys, duty=duties)
def test_pairing_equals_the_best_of_all_permutations(engine: tuple[list[float], list[float]], alloy: str, duty: dict[str, str]) -> None:
    sizes, skirts = engine
    found = answered(bores=listed(sizes, "cylinder"), skirts=listed(skirts, "piston"), alloy=alloy, duty=duty)
    middle = (found["recommended"]["low"]["value"] + found["recommended"]["high"]["value"]) / 2
    assert sorted(row["piston"] for row in found["pairing"]) == list(range(1, len(sizes) + 1))
    assert [row["cylinder"] for row in found["pairing"]] == list(range(1, len(sizes) + 1))
    for row in found["pairing"]:
        assert row["clearance"]["value"] == pytest.approx(sizes[row["cylinder"] - 1] - skirts[row["piston"] - 1], abs=1e-9)
    worst = max(abs(row["clearance"]["value"] - middle) for row in found["pairing"])
    best = min(max(abs(bore - skirt - middle) for bore, skirt in zip(sizes, order, strict=True)) for order in permutations(skirts))
    assert worst == pytest.approx(best, abs=1e-9)


@given(engine=engines(), alloy=alloys, duty=duties)
def test_honing_gives_each_piston_its_middle_or_leaves_the_bore(
    engine: tuple[list[float], list[float]], alloy: str, duty: dict[str, str]
) -> None:
    sizes, skirts = engine
    found = answered(bores=listed(sizes, "cylinder"), skirts=listed(skirts, "piston"), alloy=alloy, duty=duty)
    low, high = found["recommended"]["low"]["value"], found["recommended"]["high"]["value"]
    for pair, hone in zip(found["pairing"], found["hone_to"], strict=True):
        assert pair["cylinder"] == hone["cylinder"]
        bore = sizes[hone["cylinder"] - 1]
        after = hone["diameter"]["value"] - skirts[pair["piston"] - 1]
        assert hone["stock"]["value"] == pytest.approx(hone["diameter"]["value"] - bore, abs=1e-9)
        if pair["clearance"]["value"] < (low + high) / 2:
            assert after == pytest.approx((low + high) / 2, abs=1e-9)
        else:
            assert hone["stock"]["value"] == 0.0
        expected = "fail" if pair["clearance"]["value"] < low else "watch" if pair["clearance"]["value"] > high else "pass"
        assert pair["verdict"] == expected


@given(bore=bores, alloy=alloys, duty=duties, wall=st.sampled_from(WALLS), skirt=hot, hot_bore=hot)
def test_any_spelling_of_the_units_gives_the_same_clearance(
    bore: float, alloy: str, duty: dict[str, str], wall: str, skirt: float, hot_bore: float
) -> None:
    shared = {"alloy": alloy, "duty": duty, "bore_material": wall}
    metric = answered(
        bore=f"{bore} mm", skirt=f"{bore * 0.999} mm", temperatures={"skirt": f"{skirt} degC", "bore": f"{hot_bore} degC"}, **shared
    )
    inch = answered(
        units="inch",
        bore=bore / 25.4,
        skirt={"value": bore * 999, "unit": "um"},
        temperatures={"skirt": skirt * 1.8 + 32, "bore": f"{hot_bore + 273.15} K"},
        **shared,
    )
    for name in ("hot_clearance", "target_bore", "clearance"):
        assert inch[name]["value"] * 25.4 == pytest.approx(metric[name]["value"], rel=1e-9, abs=1e-9)
    for side in ("low", "high"):
        assert inch["recommended"][side]["value"] * 25.4 == pytest.approx(metric["recommended"][side]["value"], rel=1e-9)


@given(one=hot, other=hot, alloy=alloys, wall=st.sampled_from(WALLS), duty=duties)
def test_a_hotter_skirt_leaves_less_and_a_hotter_bore_more(one: float, other: float, alloy: str, wall: str, duty: dict[str, str]) -> None:
    cold, warm = sorted((one, other))
    body = {"bore": "100 mm", "skirt": "99.9 mm", "alloy": alloy, "bore_material": wall, "duty": duty}
    skirts = [answered(**body, temperatures={"skirt": f"{each} degC"})["hot_clearance"]["value"] for each in (cold, warm)]
    walls = [answered(**body, temperatures={"bore": f"{each} degC"})["hot_clearance"]["value"] for each in (cold, warm)]
    assert skirts[0] >= skirts[1] - 1e-12
    assert walls[0] <= walls[1] + 1e-12


@given(one=bores, other=bores, alloy=alloys, duty=duties)
def test_a_larger_bore_wants_more_clearance(one: float, other: float, alloy: str, duty: dict[str, str]) -> None:
    small, large = (answered(bore=f"{bore} mm", alloy=alloy, duty=duty) for bore in sorted((one, other)))
    for side in ("low", "high"):
        assert small["recommended"][side]["value"] <= large["recommended"][side]["value"] + 1e-12


@given(bore=bores, alloy=alloys, duty=duties)
def test_without_a_skirt_one_made_to_the_middle_is_assumed(bore: float, alloy: str, duty: dict[str, str]) -> None:
    found = answered(bore=f"{bore} mm", alloy=alloy, duty=duty)
    assert found["target_bore"]["value"] == pytest.approx(bore, rel=1e-11)
    assert found["clearance"] is None
    skirt = next(each["value"]["value"] for each in found["assumptions"] if each["name"] == "skirt")
    again = answered(bore=f"{bore} mm", alloy=alloy, duty=duty, skirt=f"{skirt} mm")
    assert again["hot_clearance"]["value"] == pytest.approx(found["hot_clearance"]["value"], abs=1e-9)


@given(coat=st.floats(min_value=0.0, max_value=0.1), alloy=alloys)
def test_a_coating_counts_on_both_sides_and_by_where_it_was_measured(coat: float, alloy: str) -> None:
    body = {"bore": "100 mm", "alloy": alloy, "coating_thickness": {"value": coat, "unit": "mm"}}
    over = answered(**body, skirt="99.9 mm")
    under = answered(**body, skirt=f"{99.9 - 2 * coat} mm", coating_measured="under")
    assert over["clearance"]["value"] == pytest.approx(0.1 + 2 * coat, abs=1e-9)
    assert over["clearance_over_coating"]["value"] == pytest.approx(0.1, abs=1e-9)
    for name in ("clearance", "clearance_over_coating", "hot_clearance", "target_bore"):
        assert under[name]["value"] == pytest.approx(over[name]["value"], abs=1e-9)


def test_a_coating_too_thick_for_the_bore_does_not_go_in() -> None:
    found = answered(bore="100 mm", skirt="99.9 mm", alloy="4032", coating_thickness="0.06 mm", coating_measured="under")
    assert found["clearance_over_coating"]["value"] == pytest.approx(-0.02)
    assert verdicts(found)["coated-entry"] == "fail"


@pytest.mark.parametrize(
    ("skirt", "tight", "loose"), [("99.95 mm", "fail", "pass"), ("99.93 mm", "pass", "pass"), ("99.90 mm", "pass", "watch")]
)
def test_checks_on_either_side(skirt: str, tight: str, loose: str) -> None:
    found = verdicts(answered(bore="100 mm", skirt=skirt, alloy="4032"))
    assert (found["skirt-clearance"], found["skirt-slap"]) == (tight, loose)


def test_a_tolerance_that_reaches_below_is_a_watch() -> None:
    found = answered(bores=[{"cylinder": 1, "diameter": "100 mm ± 0.02 mm"}], skirts=[{"piston": 4, "diameter": "99.93 mm"}], alloy="4032")
    assert verdicts(found)["skirt-clearance"] == "watch"
    assert found["pairing"][0]["verdict"] == "watch"
    assert found["pairing"][0]["clearance"]["low"] == pytest.approx(0.05, abs=1e-9)


def test_the_callers_limits_replace_practice() -> None:
    limits = {"clearance": {"low": "0.08 mm", "high": "0.12 mm"}}
    found = answered(bore="100 mm", skirt="99.93 mm", alloy="4032", limits=limits)
    assert found["recommended"] == {"low": {"value": 0.08, "unit": "mm"}, "high": {"value": 0.12, "unit": "mm"}}
    assert verdicts(found)["skirt-clearance"] == "fail"
    assert found["target_bore"]["value"] == pytest.approx(100.03)
    assert found["checks"][0]["basis"] == "caller"


def test_several_skirts_for_one_bore_are_judged_by_the_tightest_and_the_loosest() -> None:
    found = answered(bore="100 mm", skirts=listed([99.90, 99.96], "piston"), alloy="4032")
    assert found["clearance"]["value"] == pytest.approx(0.04)
    assert (verdicts(found)["skirt-clearance"], verdicts(found)["skirt-slap"]) == ("fail", "watch")
    assert found["target_bore"]["value"] > 100.02
    assert found["pairing"] == []


def test_equal_sizes_are_paired_in_the_order_given() -> None:
    found = answered(
        bores=[{"cylinder": each, "diameter": "84.3 mm"} for each in (3, 1, 2)],
        skirts=[{"piston": each, "diameter": "85.93 mm"} for each in (7, 9, 8)],
        alloy="4032",
    )
    assert [(row["cylinder"], row["piston"]) for row in found["pairing"]] == [(3, 7), (1, 9), (2, 8)]


def test_boost_nitrous_and_brittle_alloys_carry_their_cautions() -> None:
    def cautions(alloy: str, aspiration: str) -> str:
        return " ".join(answered(bore="4 in", alloy=alloy, duty={"aspiration": aspiration})["cautions"])

    assert "local codes" in cautions("2618", "nitrous")
    assert "brittle" in cautions("hypereutectic", "boost")
    assert "brittle" not in cautions("2618", "boost")
    assert "brittle" not in cautions("hypereutectic", "natural")


@pytest.mark.parametrize(
    ("body", "pointers"),
    [
        ({"bore": "100 mm", "skirt": "90 mm"}, {"#/skirt"}),
        ({"bore": "100 mm", "skirt": "99.9 mm", "skirts": [{"piston": 1, "diameter": "99.9 mm"}]}, {"#/skirt"}),
        (
            {"bores": listed([84.3, 84.31], "cylinder"), "skirts": listed([84.2], "piston")},
            {"#/skirts"},
        ),
        (
            {
                "bores": [{"cylinder": 1, "diameter": "84.3 mm"}, {"cylinder": 1, "diameter": "84.3 mm"}],
                "skirts": [{"piston": 2, "diameter": "85.9 mm"}, {"piston": 2, "diameter": "85.9 mm"}],
            },
            {"#/bores/1/cylinder", "#/skirts/1/piston"},
        ),
        ({"bore": "100 mm", "limits": {"clearance": {"low": "0.1 mm", "high": "0.05 mm"}}}, {"#/limits/clearance/high"}),
    ],
)
def test_what_can_not_be(body: dict[str, Any], pointers: set[str]) -> None:
    with pytest.raises(Refusal) as refused:
        answer(CALCULATION, {**body, "alloy": "4032"})
    assert {error.pointer for error in refused.value.errors} == pointers


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"bore": "100 mm"}, "#/alloy"),
        ({"alloy": "4032"}, "#"),
        ({"alloy": "4032", "bore": "100 mm", "bores": [{"cylinder": 1, "diameter": "100 mm"}]}, "#"),
        ({"alloy": "gray_iron", "bore": "100 mm"}, "#/alloy"),
        ({"alloy": "4032", "bore": "100 mm", "coating_thickness": "-0.01 mm"}, "#/coating_thickness"),
    ],
)
def test_what_the_schema_refuses(body: dict[str, Any], pointer: str) -> None:
    with pytest.raises(InvalidRequest) as refused:
        answer(CALCULATION, body)
    assert [error.pointer for error in refused.value.errors] == [pointer]


def test_a_batch_row_is_exactly_the_single_answer() -> None:
    random = np.random.default_rng(11)
    rows = 40
    columns: dict[str, list[Any]] = {
        "bore": random.uniform(60, 130, rows).round(3).tolist(),
        "alloy": random.choice(ALLOYS, rows).tolist(),
        "bore_material": random.choice(WALLS, rows).tolist(),
        "duty.aspiration": random.choice(ASPIRATIONS, rows).tolist(),
        "coating_thickness": random.uniform(0, 0.02, rows).round(4).tolist(),
        "temperatures.skirt": [None if each < 90 else each for each in random.uniform(50, 250, rows).round(1).tolist()],
    }
    columns["skirt"] = [None if row % 5 == 0 else round(bore * 0.9992, 3) for row, bore in enumerate(columns["bore"])]
    batch = answer_batch(CALCULATION, {"units": "metric", "columns": columns}, most_rows=100)
    assert batch["failures"] == []
    for row in range(rows):
        given_row = {name: column[row] for name, column in columns.items() if column[row] is not None}
        body = {name: value for name, value in given_row.items() if "." not in name}
        body["duty"] = {"aspiration": given_row["duty.aspiration"]}
        if "temperatures.skirt" in given_row:
            body["temperatures"] = {"skirt": given_row["temperatures.skirt"]}
        single = answer(CALCULATION, {"units": "metric", **body})
        for name in ("hot_clearance", "target_bore", "clearance", "clearance_over_coating"):
            found = batch["columns"][name][row]
            assert found == single[name]["value"] if single[name] is not None else np.isnan(found)
        for side in ("low", "high"):
            assert batch["columns"][f"recommended.{side}"][row] == single["recommended"][side]["value"]
        assert {name: column[row] for name, column in batch["checks"].items() if column[row] is not None} == verdicts(single)


def test_a_batch_pairs_common_lists_as_the_single_answer_does() -> None:
    lists = {"bores": listed([84.32, 84.3, 84.31], "cylinder"), "skirts": listed([84.23, 84.25, 84.24], "piston"), "alloy": "2618"}
    coats = [0.0, 0.005, 0.02]
    batch = answer_batch(CALCULATION, {"units": "metric", "common": lists, "columns": {"coating_thickness": coats}}, most_rows=10)
    for row, coat in enumerate(coats):
        single = answer(CALCULATION, {"units": "metric", **lists, "coating_thickness": coat})
        assert [pair["piston"] for pair in single["pairing"]] == [2, 1, 3]
        assert batch["columns"]["hot_clearance"][row] == single["hot_clearance"]["value"]
        assert {name: column[row] for name, column in batch["checks"].items()} == verdicts(single)


def test_a_batch_refuses_only_the_row_that_can_not_be() -> None:
    batch = answer_batch(
        CALCULATION,
        {"units": "metric", "common": {"alloy": "4032"}, "columns": {"bore": [100, 100, 100], "skirt": [99.9, 60, -1]}},
        most_rows=10,
    )
    assert [failure["row"] for failure in batch["failures"]] == [1, 2]
    assert np.isfinite(batch["columns"]["clearance"]).tolist() == [True, False, False]


@pytest.mark.parametrize("title", list(CALCULATION.examples))
def test_examples_answer(title: str) -> None:
    found = answer(CALCULATION, CALCULATION.examples[title])
    assert found["recommended"]["low"]["value"] > 0


ALLOYS = ("2618", "4032", "cast_eutectic", "hypereutectic")
WALLS = ("gray_iron", "ductile_iron", "ductile_iron_annealed", "aluminum_356", "plated_aluminum")


@given(
    bore=st.floats(min_value=40.0, max_value=160.0),
    alloy=st.sampled_from(ALLOYS),
    wall=st.sampled_from(WALLS),
    cooling=st.sampled_from(["liquid", "air"]),
    aspiration=st.sampled_from(["natural", "boost", "nitrous"]),
    service=st.sampled_from(["street", "sport", "race"]),
)
def test_the_low_edge_recommended_is_never_squeezed(
    bore: float, alloy: str, wall: str, cooling: str, aspiration: str, service: str
) -> None:
    """The clearance asked for must not be one that the same answer then calls too small."""
    body = {"bore": f"{bore} mm", "alloy": alloy, "bore_material": wall, "cooling": cooling}
    body |= {"duty": {"aspiration": aspiration, "service": service}}
    low = answered(**body)["recommended"]["low"]["value"]
    found = answered(**body, skirt=f"{bore - low!r} mm")
    assert {check["name"]: check["verdict"] for check in found["checks"]}["hot-clearance"] == "pass"
    assert 0.0 <= found["hot_clearance"]["value"] < 0.003 * bore


@pytest.mark.parametrize("alloy", ALLOYS)
def test_an_aluminum_bore_runs_closer_and_an_air_cooled_one_looser(alloy: str) -> None:
    def low(**body: Any) -> float:
        value: float = answered(bore="100 mm", alloy=alloy, **body)["recommended"]["low"]["value"]
        return value

    assert low(bore_material="plated_aluminum") < low() < low(cooling="air")
    assert low(bore_material="plated_aluminum") == low(bore_material="aluminum_356")


@given(low=st.floats(min_value=0.0, max_value=300.0), high=st.floats(min_value=0.0, max_value=300.0), alloy=st.sampled_from(ALLOYS))
def test_more_boost_never_wants_less_clearance(low: float, high: float, alloy: str) -> None:
    first, second = (
        answered(bore="100 mm", alloy=alloy, boost={"pressure": f"{each} kPa"})["recommended"]["low"]["value"]
        for each in sorted((low, high))
    )
    assert first <= second + 1e-9


def test_eight_pistons_are_picked_out_of_ten() -> None:
    """The two that fit worst are spare, and neither they nor what they would do shows in any result."""
    bores = listed([84.3 + 0.002 * place for place in range(8)], "cylinder")
    skirts = [
        {**entry, "piston": 11 + index} for index, entry in enumerate(listed([84.24 + 0.002 * place for place in range(8)], "piston"))
    ]
    odd = [{"piston": 1, "diameter": "83.5 mm"}, {"piston": 2, "diameter": "84.299 mm"}]
    eight = answered(bores=bores, skirts=skirts, alloy="4032")
    ten = answered(bores=bores, skirts=[odd[0], *skirts, odd[1]], alloy="4032")
    assert ten["spare"] == [1, 2]
    assert eight["spare"] == []
    for name in ("pairing", "hone_to", "clearance", "hot_clearance", "target_bore", "checks"):
        assert ten[name] == eight[name], name
