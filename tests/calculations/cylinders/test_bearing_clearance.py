"""Bearing clearance: each bearing and all, shells that bring it in, journals out of round, the film, invariants, batch."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest
from borewright.calculations.base.single import answer
from borewright.calculations.cylinders.bearing_clearance import CALCULATION

MAIN: dict[str, Any] = {
    "kind": "main",
    "journal": {"diameter": "60 mm"},
    "housing": {"bore": "64.060 mm"},
    "shell": {"thickness": "2 mm"},
}
FILM: dict[str, Any] = {
    "width": "22 mm",
    "oil": {"viscosity": "8 mPa·s"},
    "running": {"speed": "5000 rpm", "peak_load": "15 kN"},
}
microns = st.integers(min_value=10, max_value=140)


def answered(**changes: Any) -> dict[str, Any]:
    return answer(CALCULATION, {**MAIN, **changes})


def verdicts(found: dict[str, Any]) -> dict[str, str]:
    return {check["name"]: check["verdict"] for check in found["checks"]}


def micron(figure: dict[str, Any]) -> float:
    return round(figure["value"] * 1000, 6)


@given(gap=microns)
def test_the_verdict_follows_the_range(gap: int) -> None:
    found = answered(housing={"bore": f"{64 + gap / 1000:.3f} mm"})
    low, high = (micron(found["wanted"][end]) for end in ("low", "high"))
    assert micron(found["bearings"][0]["clearance"]) == pytest.approx(gap)
    assert verdicts(found)["oil-clearance-tight"] == ("pass" if gap >= low else "fail")
    assert verdicts(found)["oil-clearance-loose"] == ("pass" if gap <= high else "watch")
    assert found["bearings"][0]["verdict"] == ("fail" if gap < low else "watch" if gap > high else "pass")


def test_the_governing_bearing_is_the_tightest_and_the_loosest() -> None:
    bearings = [{"name": str(number), "housing": {"bore": f"{64 + gap / 1000:.3f} mm"}} for number, gap in enumerate((60, 30, 100), 1)]
    found = answered(bearings=bearings)
    assert [micron(row["clearance"]) for row in found["bearings"]] == [60, 30, 100]
    assert (micron(found["tightest_clearance"]), micron(found["loosest_clearance"])) == (30, 100)
    assert [row["verdict"] for row in found["bearings"]] == ["pass", "fail", "watch"]
    assert verdicts(found)["oil-clearance-tight"] == "fail"


def test_what_a_bearing_leaves_out_is_that_of_all_or_is_asked_for() -> None:
    with pytest.raises(InvalidRequest, match="#/bearings/0/shell: the shell is missing"):
        answer(CALCULATION, {"kind": "rod", "bearings": [{"name": "1", "journal": {"diameter": "50 mm"}, "housing": {"bore": "54 mm"}}]})
    with pytest.raises(InvalidRequest, match="#/shell: the shell is missing"):
        answer(CALCULATION, {"kind": "rod", "journal": {"diameter": "50 mm"}, "housing": {"bore": "54 mm"}})
    with pytest.raises(InvalidRequest, match="twice"):
        answered(bearings=[{"name": "1"}, {"name": "1"}])


def test_a_worn_journal_is_tight_by_its_largest_and_loose_by_its_smallest_diameter() -> None:
    readings = [
        {"position": "5 mm", "vertical": "59.990 mm", "horizontal": "60.000 mm"},
        {"position": "20 mm", "vertical": "59.970 mm", "horizontal": "59.990 mm"},
    ]
    found = answered(journal={"readings": readings})
    row = found["bearings"][0]
    assert (micron(row["clearance"]), micron(found["loosest_clearance"])) == (60, 90)
    assert (micron(row["out_of_round"]), micron(row["taper"])) == (20, 15)
    assert verdicts(found)["journal-out-of-round"] == verdicts(found)["journal-taper"] == "watch"
    assert answered(journal={"readings": readings[:1]})["bearings"][0]["taper"] is None


@given(undersize=st.sampled_from([0, 25, 50, 250, 500, 750]), off=st.integers(-40, 60))
def test_ground_to_what_is_said_the_clearance_is_the_middle(undersize: int, off: int) -> None:
    """Each shell on offer names the journal that suits it; with that journal and those shells the clearance is the middle of its range."""
    journal = 60 - undersize / 1000 + off / 1000
    shells = [{"undersize": f"{undersize} um"}]
    (choice,) = answered(journal={"diameter": f"{journal:.3f} mm"}, shells=shells)["bearings"][0]["choose"]
    assert choice["journal_for_middle"]["value"] == pytest.approx(journal - choice["grind"]["value"], abs=1e-9)
    ground = answered(
        journal={"diameter": f"{choice['journal_for_middle']['value']} mm"}, shell={"thickness": f"{choice['thickness']['value']} mm"}
    )
    wanted = answered(journal={"diameter": f"{journal:.3f} mm"})["wanted"]
    assert ground["tightest_clearance"]["value"] == pytest.approx((wanted["low"]["value"] + wanted["high"]["value"]) / 2, abs=1e-9)


def test_shells_that_suit_come_first() -> None:
    shells = [
        {"name": "thick", "thickness": "2.02 mm"},
        {"name": "as it is", "undersize": "0 mm"},
        {"name": "thin", "thickness": "1.99 mm"},
    ]
    found = answered(housing={"bore": "64.045 mm"}, shells=shells)["bearings"][0]["choose"]
    assert [(choice["name"], choice["inside"]) for choice in found] == [("thin", True), ("as it is", True), ("thick", False)]
    assert found[2]["clearance"]["value"] == pytest.approx(0.005)


def test_an_aluminum_housing_opens_and_an_iron_one_hardly_does() -> None:
    cold = answered()["tightest_clearance"]["value"]
    iron, aluminum = (answered(housing_material=of)["hot_clearance"]["value"] for of in ("gray_iron", "aluminum_356"))
    assert aluminum > cold + 0.02
    assert abs(iron - cold) < 0.02
    assert answered(housing_material="aluminium_356") == answered(housing_material="aluminum_356")


@given(load=st.floats(2.0, 60.0), gap=microns)
def test_more_load_and_thinner_oil_leave_less_film(load: float, gap: int) -> None:
    def film(kilonewtons: float, viscosity: float) -> float:
        running = {"speed": "5000 rpm", "peak_load": f"{kilonewtons} kN"}
        found = answered(
            housing={"bore": f"{64 + gap / 1000:.3f} mm"}, **{**FILM, "running": running, "oil": {"viscosity": f"{viscosity} mPa·s"}}
        )
        return float(found["least_film"]["value"])

    if gap > 30:  # hot, a tighter one has no clearance left
        assert film(load * 1.2, 8.0) <= film(load, 8.0)
        assert film(load, 6.0) <= film(load, 8.0)


def test_looser_is_a_thinner_film_under_a_high_load() -> None:
    """Short bearings: S falls with C², so near the wall the film falls as the clearance grows."""
    film = answered(**FILM)["bearings"][0]["film"]
    assert film["at_high"]["value"] < film["at_low"]["value"]


def test_a_main_takes_half_of_its_throws_load_and_inertia_or_gas_whichever_is_more() -> None:
    running = {"peak_pressure": "60 bar", "bore": "90 mm", "stroke": "80 mm", "rod_length": "140 mm", "reciprocating_mass": "600 g"}

    def load(kind: str, speed: str) -> float:
        return float(
            answered(**{**FILM, "kind": kind, "running": {**running, "speed": speed}})["bearings"][0]["film"]["peak_load"]["value"]
        )

    assert load("main", "1000 rpm") == pytest.approx(load("rod", "1000 rpm") / 2)
    assert load("rod", "1000 rpm") == pytest.approx(load("rod", "2000 rpm"))  # the gas decides
    assert load("rod", "24000 rpm") == pytest.approx(4 * load("rod", "12000 rpm"))  # the inertia does


def test_without_width_oil_and_load_no_film_is_guessed() -> None:
    assert "oil-film" not in verdicts(answered())
    found = answered(width="22 mm")
    (check,) = [each for each in found["checks"] if each["name"] == "oil-film"]
    assert (check["verdict"], check["missing"]) == ("unknown", ["#/oil", "#/running"])
    assert answered(**{**FILM, "width": "2 mm"})["least_film"] is None  # narrower than the solution holds for


def test_the_callers_own_limits_replace_those_of_practice() -> None:
    own = {"clearance": {"low": "0.07 mm", "high": "0.09 mm"}, "end_float": {"low": "0.05 mm", "high": "0.4 mm"}}
    found = answered(limits=own, end_float="0.35 mm")
    assert verdicts(found)["oil-clearance-tight"] == "fail"
    assert verdicts(found)["crank-end-float"] == "pass"
    assert {check["basis"] for check in found["checks"] if check["name"].startswith(("oil", "crank"))} == {"caller"}


def test_a_value_on_its_limit_is_inside() -> None:
    for thousandths in range(15, 26):
        clearance = thousandths / 10_000
        found = answer(
            CALCULATION,
            {
                "units": "inch",
                "kind": "main",
                "journal": {"diameter": 2.072},
                "housing": {"bore": round(2.072 + 2 * 0.0623 + clearance, 4)},
                "shell": {"thickness": 0.0623},
                "limits": {"clearance": {"low": clearance, "high": clearance}},
            },
        )
        assert found["bearings"][0]["verdict"] == "pass"


def test_sizes_of_another_engine_are_refused() -> None:
    with pytest.raises(ImpossibleBuild, match="a fiftieth apart"):
        answered(shell={"thickness": "4 mm"})
    with pytest.raises(InvalidRequest, match="one of these is needed"):
        answered(journal={})


def test_a_row_of_a_batch_is_the_same_as_one_request() -> None:
    gaps = [30, 60, 120]
    body = {
        "common": {"kind": "main", "journal": {"diameter": "60 mm"}, "shell": {"thickness": "2 mm"}},
        "columns": {"housing.bore": [f"{64 + gap / 1000:.3f} mm" for gap in gaps]},
    }
    columns = answer_batch(CALCULATION, body, most_rows=10)["columns"]
    for row, gap in enumerate(gaps):
        single = answered(housing={"bore": f"{64 + gap / 1000:.3f} mm"})
        for name in ("tightest_clearance", "hot_clearance"):
            assert columns[name][row] == single[name]["value"]
