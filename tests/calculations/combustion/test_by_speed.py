"""What is told of each speed, against the same engine asked at that speed alone, whose cycles are solved there in full."""

from typing import Any

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

CALCULATION = calculations()["detonation-margin"]
ENGINE: dict[str, Any] = {
    "bore": "84 mm",
    "stroke": "85 mm",
    "cylinders": 4,
    "compression_ratio": 11.5,
    "speed": "3000 rpm",
    "fuel": {"octane": {"rating": 91, "scale": "ron"}},
    "duty": {"aspiration": "boost", "service": "sport"},
    "boost": {"pressure": "140 kPa", "intercooler_effectiveness": 0.6},
    "speeds": {"low": "1200 rpm", "high": "6500 rpm"},
}
ELSEWHERE = {"low": "19000 rpm", "high": "19900 rpm"}  # a range that the speed asked for is no part of: it is shown as it is solved


def alone(request: dict[str, Any], speed: float) -> dict[str, Any]:
    found = answer(CALCULATION, {**request, "speed": {"value": speed, "unit": "rpm"}, "speeds": ELSEWHERE})
    (row,) = (row for row in found["by_speed"] if row["speed"]["value"] == pytest.approx(speed))
    return dict(row)


@pytest.mark.parametrize(
    ("changes", "quiet"),
    [
        ({}, "some"),
        ({"boost": {"pressure": "60 kPa", "intercooler_effectiveness": 0.6}, "compression_ratio": 9}, "all"),
        ({"fuel": {"octane": {"rating": 80, "scale": "ron"}}, "compression_ratio": 14}, "none"),
    ],
    ids=["some speeds have a quiet timing", "all have", "none has"],
)
def test_each_speed_is_told_what_it_is_told_alone(changes: dict[str, Any], quiet: str) -> None:
    """No retard stands where no timing is quiet, not even the latest that was tried."""
    request = {**ENGINE, **changes}
    rows = answer(CALCULATION, request)["by_speed"]
    known = [row["retard_required"] is not None for row in rows]
    assert {"some": any(known) and not all(known), "all": all(known), "none": not any(known)}[quiet]
    for row in rows:
        expected = alone(request, row["speed"]["value"])
        assert row["octane_margin"]["value"] == pytest.approx(expected["octane_margin"]["value"], abs=0.15)
        assert row["peak_pressure"]["value"] == pytest.approx(expected["peak_pressure"]["value"], rel=0.003)
        assert (row["retard_required"] is None) == (expected["retard_required"] is None)
        if row["retard_required"] is not None:
            assert row["retard_required"]["value"] == pytest.approx(expected["retard_required"]["value"], abs=0.2)


def test_what_is_not_solved_has_no_retard() -> None:
    """More nitrous oxide than evaporates: no side of the band is known."""
    found = answer(
        CALCULATION,
        {
            **{name: ENGINE[name] for name in ("bore", "stroke", "fuel", "speed")},
            "cylinders": 1,
            "compression_ratio": 10,
            "duty": {"aspiration": "nitrous", "service": "sport"},
            "nitrous": {"power": "70 kW"},
        },
    )
    assert found["state"] == "not solved"
    for name in ("retard_required", "retard_cost", "octane_margin"):
        assert [found[name][side] for side in ("low", "value", "high")] == [None] * 3, name


def test_where_no_timing_is_quiet_the_better_case_is_told_as_it_is() -> None:
    """With a fuel as much better as all that is not known may help, some timing is quiet; no engine that knocks so asks for none."""
    for pressure in range(60, 180, 4):
        found = answer(CALCULATION, {**ENGINE, "boost": {"pressure": f"{pressure} kPa", "intercooler_effectiveness": 0.6}})
        if found["state"] == "no quiet timing":
            break
    assert found["octane_margin"]["high"]["value"] < 0.0
    assert (found["retard_required"]["value"], found["retard_required"]["high"]) == (None, None)
    assert found["retard_required"]["low"]["value"] > 10.0
    assert found["retard_cost"]["low"]["value"] > 5.0


@pytest.mark.parametrize("ambient", [{}, {"temperature": "38 degC", "altitude": "900 m"}], ids=["as practice has it", "hot and high"])
def test_a_filling_from_the_torque_curve_is_one_that_is_given(ambient: dict[str, Any]) -> None:
    """At one of its speeds the engine is the one that is given the same filling there, in a heat of any kind."""
    common = {**{name: ENGINE[name] for name in ("bore", "stroke", "cylinders", "fuel")}, "compression_ratio": 9, "ambient": ambient}
    curve = [
        {"speed": {"value": speed, "unit": "rpm"}, "volumetric_efficiency": filling}
        for speed, filling in ((2000, 0.98), (4000, 0.86), (6000, 0.93))
    ]
    found = answer(CALCULATION, {**common, "speed": "6000 rpm", "torque_curve": curve})
    rows = {round(row["speed"]["value"]): row for row in found["by_speed"]}
    for point in curve:
        speed = point["speed"]["value"]
        asked = {**common, "speed": point["speed"], "volumetric_efficiency": point["volumetric_efficiency"], "speeds": ELSEWHERE}
        (expected,) = (row for row in answer(CALCULATION, asked)["by_speed"] if row["speed"]["value"] == pytest.approx(speed))
        assert rows[speed]["octane_required"]["value"] == pytest.approx(expected["octane_required"]["value"], abs=0.05)
        assert rows[speed]["peak_pressure"]["value"] == pytest.approx(expected["peak_pressure"]["value"], rel=0.001)
    assert "volumetric_efficiency" not in {each["name"] for each in (*found["assumptions"], *found["drivers"])}
