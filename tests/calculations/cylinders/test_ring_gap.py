"""Ring gaps: behavior, invariants, batch."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.problems import InvalidRequest
from borewright.calculations.base.single import answer
from borewright.calculations.cylinders.ring_gap import CALCULATION, RINGS

ASPIRATIONS = ("natural", "boost", "nitrous")
SERVICES = ("street", "sport", "race")
MATERIALS = ("gray_iron", "ductile_iron", "stainless_440a", "steel_4140")
bores = st.floats(min_value=25.0, max_value=400.0)
duties = st.fixed_dictionaries({"aspiration": st.sampled_from(ASPIRATIONS), "service": st.sampled_from(SERVICES)})
materials = st.sampled_from(MATERIALS)
hot = st.floats(min_value=20.0, max_value=500.0)


def answered(**body: Any) -> dict[str, Any]:
    return answer(CALCULATION, body)


def verdicts(found: dict[str, Any]) -> dict[str, str]:
    return {check["name"]: check["verdict"] for check in found["checks"]}


@given(bore=bores, duty=duties, top=materials, second=materials, wall=st.sampled_from(["gray_iron", "aluminum_356"]))
def test_recommended_is_the_larger_of_practice_and_closure_with_margin(
    bore: float, duty: dict[str, str], top: str, second: str, wall: str
) -> None:
    rings = {"top": {"material": top}, "second": {"material": second}}
    found = answered(bore=f"{bore} mm", duty=duty, rings=rings, bore_material=wall)
    for ring in RINGS:
        gaps = {name: found[ring][name]["value"] for name in found[ring]}
        wanted = max(gaps["practice_gap"], gaps["thermal_closure"] + 0.0508)
        if ring == "second":
            wanted = max(wanted, found["top"]["recommended_gap"]["value"])
        assert gaps["recommended_gap"] == pytest.approx(wanted, rel=1e-11)
        assert gaps["butting_gap"] == max(gaps["thermal_closure"], 0.0)
        assert gaps["recommended_gap"] > gaps["butting_gap"]


@given(bore=bores, duty=duties, ring=hot, wall=hot)
def test_any_spelling_of_the_units_gives_the_same_gaps(bore: float, duty: dict[str, str], ring: float, wall: float) -> None:
    metric = answered(bore=f"{bore} mm", duty=duty, temperatures={"ring": f"{ring} degC", "bore": f"{wall} degC", "assembly": "15 degC"})
    inch = answered(
        units="inch",
        bore=bore / 25.4,
        duty=duty,
        temperatures={"ring": f"{ring + 273.15} K", "bore": wall * 1.8 + 32, "assembly": {"value": 59.0, "unit": "degF"}},
    )
    for name in RINGS:
        for gap, value in metric[name].items():
            assert inch[name][gap]["value"] * 25.4 == pytest.approx(value["value"], rel=1e-9, abs=1e-9)


@given(bore=bores, colder=hot, hotter=hot, wall=hot, material=materials)
def test_a_hotter_ring_wants_no_less_gap(bore: float, colder: float, hotter: float, wall: float, material: str) -> None:
    colder, hotter = sorted((colder, hotter))
    cold, warm = (
        answered(bore=f"{bore} mm", rings={"top": {"material": material}}, temperatures={"ring": f"{ring} degC", "bore": f"{wall} degC"})
        for ring in (colder, hotter)
    )
    for name in RINGS:
        for gap in ("thermal_closure", "recommended_gap"):
            assert cold[name][gap]["value"] <= warm[name][gap]["value"] + 1e-12


@given(one=bores, other=bores, duty=duties)
def test_a_larger_bore_wants_no_less_gap(one: float, other: float, duty: dict[str, str]) -> None:
    small, large = (answered(bore=f"{bore} mm", duty=duty) for bore in sorted((one, other)))
    for name in RINGS:
        for gap in ("practice_gap", "thermal_closure", "recommended_gap"):
            assert small[name][gap]["value"] <= large[name][gap]["value"] + 1e-12


@given(bore=bores, gap=st.floats(min_value=0.0, max_value=6.0), duty=duties)
def test_filing_brings_a_gap_to_what_is_recommended(bore: float, gap: float, duty: dict[str, str]) -> None:
    found = answered(bore=f"{bore} mm", duty=duty, measured=[{"cylinder": 1, "top": {"value": gap, "unit": "mm"}}])
    row, top = found["cylinders"][0], found["top"]
    wanted, butts = top["recommended_gap"]["value"], top["butting_gap"]["value"]
    assert row["gap"]["value"] + row["file_off"]["value"] == pytest.approx(max(wanted, gap), rel=1e-9)
    expected = "fail" if gap < butts else "watch" if gap < wanted or gap > 1.5 * wanted else "pass"
    near = min(abs(gap - edge) for edge in (butts, wanted, 1.5 * wanted)) < 1e-9
    assert near or row["verdict"] == expected


def test_every_ring_that_was_measured_is_judged_and_the_checks_name_the_worst() -> None:
    found = answered(
        bore="3.892 in",
        units="inch",
        measured=[
            {"cylinder": 3, "top": 0.018, "second": 0.020, "oil_rail": 0.020},
            {"cylinder": 1, "top": 0.012, "second": 0.040},
            {"cylinder": 2, "top": 0.009, "oil_rail": 0.060},
        ],
    )
    rows = [(row["cylinder"], row["ring"], row["verdict"]) for row in found["cylinders"]]
    assert rows == [
        (3, "top", "pass"),
        (3, "second", "pass"),
        (3, "oil_rail", "pass"),
        (1, "top", "watch"),
        (1, "second", "watch"),
        (2, "top", "fail"),
        (2, "oil_rail", "watch"),
    ]
    assert verdicts(found) == {
        "top-butting": "fail",
        "top-gap": "watch",
        "top-blow-by": "pass",
        "second-butting": "pass",
        "second-gap": "pass",
        "second-blow-by": "watch",
        "oil-rail-butting": "pass",
        "oil-rail-gap": "pass",
        "oil-rail-blow-by": "watch",
    }
    wide = next(row for row in found["cylinders"] if row["ring"] == "second" and row["cylinder"] == 1)
    assert wide["file_off"]["value"] == 0.0
    assert "blow-by" not in wide["reason"]
    assert "wide" in wide["reason"]


def test_a_tolerance_that_reaches_below_the_gap_wanted_is_a_watch() -> None:
    body = {"bore": "100 mm", "measured": [{"cylinder": 1, "top": "0.405 mm ± 0.01 mm"}, {"cylinder": 2, "top": "0.405 mm"}]}
    found = answer(CALCULATION, body)
    assert [row["verdict"] for row in found["cylinders"]] == ["watch", "pass"]
    assert verdicts(found)["top-gap"] == "watch"
    assert found["cylinders"][0]["file_off"]["high"] == pytest.approx(0.005, abs=1e-9)


def test_the_callers_limits_replace_practice_but_not_the_heat() -> None:
    found = answered(
        bore="100 mm",
        limits={"top": {"low": "0.1 mm", "high": "0.3 mm"}, "second": {"low": "0.6 mm"}},
        measured=[{"cylinder": 1, "top": "0.2 mm", "second": "0.5 mm"}, {"cylinder": 2, "top": "0.31 mm", "second": "0.7 mm"}],
    )
    assert verdicts(found) == {
        "top-butting": "fail",
        "top-gap": "pass",
        "top-blow-by": "watch",
        "second-butting": "pass",
        "second-gap": "watch",
        "second-blow-by": "pass",
    }
    bases = {check["name"]: check["basis"] for check in found["checks"]}
    assert bases["top-gap"] == bases["top-blow-by"] == bases["second-gap"] == "caller"
    assert bases["second-blow-by"] == "common practice"
    assert found["cylinders"][1]["file_off"]["value"] == pytest.approx(0.1)


def test_what_was_left_out_is_listed_and_what_was_given_is_not() -> None:
    everything = {each["name"]: each["value"] for each in answered(bore="100 mm")["assumptions"]}
    assert set(everything) == {
        "duty.aspiration",
        "duty.service",
        "duty.fuel",
        "bore_material",
        "cooling",
        "margin",
        "temperatures.assembly",
        "temperatures.ring",
        "temperatures.bore",
        "temperatures.second_ring",
        "temperatures.oil_rail",
        "rings.top.material",
        "rings.second.material",
        "rings.oil_rail.material",
    }
    assert everything["temperatures.ring"] == {"value": 190.0, "unit": "degC"}
    given = answered(
        bore="100 mm",
        duty={"aspiration": "natural", "service": "street", "fuel": "gasoline"},
        bore_material="gray_iron",
        cooling="liquid",
        rings={ring: {"material": "gray_iron"} for ring in RINGS},
        temperatures=dict.fromkeys(("ring", "second_ring", "oil_rail", "bore", "assembly"), "100 degC"),
    )
    assert [each["name"] for each in given["assumptions"]] == ["margin"]
    assert given["top"]["thermal_closure"]["value"] == 0.0


def test_nitrous_and_boost_carry_their_cautions() -> None:
    cautions = {each: " ".join(answered(bore="4 in", duty={"aspiration": each})["cautions"]) for each in ASPIRATIONS}
    assert "local codes" in cautions["nitrous"]
    assert "Boost raises" in cautions["boost"]
    assert not {"Boost", "Nitrous"} & set(cautions["natural"].replace(".", " ").split())
    assert all("butts when hot" in text for text in cautions.values())


def test_a_cylinder_twice_or_limits_crossed_are_refused() -> None:
    with pytest.raises(InvalidRequest) as refused:
        answered(
            bore="100 mm",
            measured=[{"cylinder": 1, "top": "0.4 mm"}, {"cylinder": 1, "second": "0.5 mm"}],
            limits={"top": {"low": "0.5 mm", "high": "0.4 mm"}},
        )
    assert {error.pointer for error in refused.value.errors} == {"#/measured/1/cylinder", "#/limits/top/high"}


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "#/bore"),
        ({"bore": "100 mm", "rings": {"top": {"material": "2618"}}}, "#/rings/top/material"),
        ({"bore": "100 mm", "bore_material": "steel_1040"}, "#/bore_material"),
        ({"bore": "100 mm", "measured": [{"top": "0.4 mm"}]}, "#/measured/0/cylinder"),
        ({"bore": "100 mm", "measured": []}, "#/measured"),
        ({"bore": "100 mm", "temperatures": {"ring": "200 mm"}}, "#/temperatures/ring"),
    ],
)
def test_what_the_schema_refuses(body: dict[str, Any], pointer: str) -> None:
    with pytest.raises(InvalidRequest) as refused:
        answer(CALCULATION, body)
    assert [error.pointer for error in refused.value.errors] == [pointer]


def test_a_batch_row_is_exactly_the_single_answer() -> None:
    random = np.random.default_rng(7)
    rows = 40
    columns: dict[str, list[Any]] = {
        "bore": (random.uniform(60, 130, rows)).round(3).tolist(),
        "duty.aspiration": random.choice(ASPIRATIONS, rows).tolist(),
        "duty.service": random.choice(SERVICES, rows).tolist(),
        "rings.top.material": random.choice(MATERIALS, rows).tolist(),
        "temperatures.ring": [None if each < 100 else each for each in random.uniform(0, 400, rows).round(1).tolist()],
    }
    measured = [{"cylinder": 1, "top": "0.45 mm", "second": "0.5 mm"}]
    batch = answer_batch(
        CALCULATION, {"units": "metric", "common": {"bore_material": "gray_iron", "measured": measured}, "columns": columns}, most_rows=100
    )
    assert batch["failures"] == []
    for row in range(rows):
        body = {"units": "metric", "bore": columns["bore"][row], "bore_material": "gray_iron", "measured": measured}
        body["duty"] = {"aspiration": columns["duty.aspiration"][row], "service": columns["duty.service"][row]}
        body["rings"] = {"top": {"material": columns["rings.top.material"][row]}}
        if columns["temperatures.ring"][row] is not None:
            body["temperatures"] = {"ring": columns["temperatures.ring"][row]}
        single = answer(CALCULATION, body)
        for ring in RINGS:
            for gap, value in single[ring].items():
                assert batch["columns"][f"{ring}.{gap}"][row] == value["value"]
        assert {name: column[row] for name, column in batch["checks"].items()} == verdicts(single)


def test_a_batch_refuses_only_the_row_that_can_not_be() -> None:
    batch = answer_batch(
        CALCULATION, {"units": "metric", "columns": {"bore": [100, 4000, 90], "temperatures.ring": [200, 200, 900]}}, most_rows=10
    )
    assert [failure["row"] for failure in batch["failures"]] == [1, 2]
    assert np.isfinite(batch["columns"]["top.recommended_gap"]).tolist() == [True, False, False]


@pytest.mark.parametrize("title", list(CALCULATION.examples))
def test_examples_answer(title: str) -> None:
    found = answer(CALCULATION, CALCULATION.examples[title])
    assert found["top"]["recommended_gap"]["value"] > 0


levels = st.floats(min_value=0.0, max_value=300.0)


def top_gap(**body: Any) -> float:
    value: float = answered(bore="4 in", cylinders=8, **body)["top"]["recommended_gap"]["value"]
    return value


@given(service=st.sampled_from(SERVICES), low=levels, high=levels, load=st.sampled_from(["boost", "nitrous"]))
def test_the_gap_grows_with_boost_and_nitrous_without_a_jump(service: str, low: float, high: float, load: str) -> None:
    """From nothing, where it is the natural engine's, on; a kilopascal or a horsepower more never takes it further than a hair."""

    def at(level: float) -> float:
        amount = {"boost": {"pressure": f"{level} kPa"}} if load == "boost" else {"nitrous": {"power": f"{level} hp"}}
        return top_gap(duty={"aspiration": load, "service": service}, **amount)

    natural = top_gap(duty={"aspiration": "natural", "service": service})
    assert at(0.0) == pytest.approx(natural, rel=1e-9)
    low, high = sorted((low, high))
    assert natural - 1e-9 <= at(low) <= at(high) + 1e-9
    assert at(low + 1.0) - at(low) < 0.01


@pytest.mark.parametrize("service", SERVICES)
def test_as_much_as_the_duty_usually_has_is_the_duty(service: str) -> None:
    usual = answered(bore="4 in", duty={"aspiration": "boost", "service": service})
    named = {each["name"]: each["value"] for each in usual["assumptions"]}["boost.pressure"]
    same = answered(bore="4 in", duty={"aspiration": "natural", "service": service}, boost={"pressure": f"{named['value']} kPa"})
    assert same["top"]["recommended_gap"]["value"] == pytest.approx(usual["top"]["recommended_gap"]["value"], rel=1e-9)
    assert any("Boost raises" in text for text in same["cautions"])


def test_the_same_nitrous_on_fewer_or_smaller_cylinders_wants_more_gap() -> None:
    """Power per area counts: in one cylinder of eight the share is eight times as large."""
    body = {"duty": {"aspiration": "nitrous", "service": "street"}, "nitrous": {"power": "100 hp"}}
    eight, four = (answered(bore="100 mm", cylinders=count, **body)["top"]["recommended_gap"]["value"] for count in (8, 4))
    small = answered(bore="80 mm", cylinders=8, **body)["top"]["recommended_gap"]["value"]
    assert eight < four
    assert eight / 100 < small / 80


def test_nitrous_without_its_cylinders_is_refused() -> None:
    with pytest.raises(InvalidRequest) as refused:
        answered(bore="100 mm", nitrous={"power": "100 hp"})
    assert [error.pointer for error in refused.value.errors] == ["#/cylinders"]


def test_diesel_air_and_cast_pistons_are_answered() -> None:
    plain = top_gap()
    assert top_gap(duty={"fuel": "diesel"}) < plain
    assert top_gap(cooling="air") > plain
    assert top_gap(alloy="hypereutectic") > plain
    assert top_gap(alloy="cast_eutectic") == top_gap(alloy="2618") == plain
    forced = {"boost": {"pressure": "150 kPa"}}
    assert top_gap(duty={"fuel": "diesel"}, **forced) - top_gap(duty={"fuel": "diesel"}) < top_gap(**forced) - plain


@pytest.mark.parametrize(("british", "american"), [("grey_iron", "gray_iron"), ("aluminium_356", "aluminum_356")])
def test_british_spellings_are_read(british: str, american: str) -> None:
    assert answered(bore="100 mm", bore_material=british) == answered(bore="100 mm", bore_material=american)


@pytest.mark.parametrize("wall", ["aluminum_356", "plated_aluminum"])
def test_an_aluminum_bore_closes_the_gap_less(wall: str) -> None:
    iron, other = (answered(bore="100 mm", bore_material=each)["top"]["thermal_closure"]["value"] for each in ("gray_iron", wall))
    assert other < iron
