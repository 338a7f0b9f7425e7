"""Valve train: pushrods that make up for the work, preload and lash, rocker, spring, overhead cam; blame, unknowns, batch."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.assembly.valve_train import CALCULATION
from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.problems import InvalidRequest
from borewright.calculations.base.single import answer

BLOCK: dict[str, Any] = {
    "camshaft": "block",
    "valve_lift": "12 mm",
    "pushrod": {"length": "200 mm", "lean": "6 deg"},
    "rocker": {"ratio": 1.5, "arm_length": "38 mm"},
    "lifter": {"preload": "1 mm"},
}
OVERHEAD: dict[str, Any] = {"camshaft": "overhead", "cam_drive": {"pitch_diameter": "100 mm"}}
cuts = st.floats(0.0, 1.5)
signed = st.floats(-0.5, 0.5)


def answered(base: dict[str, Any] = BLOCK, **changes: Any) -> dict[str, Any]:
    return answer(CALCULATION, {**base, **changes})


def checks(found: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {check["name"]: check for check in found["checks"]}


@given(mill=cuts, cut=cuts, rise=signed, loss=signed)
def test_the_pushrod_named_leaves_preload_and_rocker_as_they_were(mill: float, cut: float, rise: float, loss: float) -> None:
    work = {"head_mill": f"{mill} mm", "deck_cut": f"{cut} mm", "stem_rise": f"{rise} mm", "base_circle_loss": f"{loss} mm"}
    length = answered(**work)["pushrod"]["same_geometry"]["value"]
    found = answered(**work, pushrod={**BLOCK["pushrod"], "fitted_length": f"{length} mm"})
    assert found["lifter"]["pressed"]["value"] == pytest.approx(0.0, abs=1e-7)
    assert found["lifter"]["preload"]["value"] == pytest.approx(1.0, abs=1e-7)


@given(mill=cuts)
def test_the_lifter_takes_what_the_pushrod_is_too_long_by(mill: float) -> None:
    found = answered(head_mill=f"{mill} mm")
    assert found["lifter"]["preload"]["value"] == pytest.approx(1.0 + found["pushrod"]["change"]["value"], abs=1e-7)
    assert 0 <= found["pushrod"]["change"]["value"] <= mill + 1e-9
    limits = checks(found)["lifter-preload"]["limits"]
    inside = limits["low"]["value"] <= found["lifter"]["preload"]["value"] <= limits["high"]["value"]
    assert checks(found)["lifter-preload"]["verdict"] == ("pass" if inside else "fail")


def test_lash_closes_by_the_rocker_ratio_and_a_valve_held_open_fails() -> None:
    solid = {"lifter": {"lash": "0.5 mm"}, "pushrod": {"length": "200 mm"}}
    assert answered(**solid, head_mill="0.2 mm")["lifter"]["lash"]["value"] == pytest.approx(0.5 - 1.5 * 0.2)
    assert checks(answered(**solid, head_mill="0.2 mm"))["valve-lash"]["verdict"] == "pass"
    assert checks(answered(**solid, head_mill="0.4 mm"))["valve-lash"]["verdict"] == "fail"


def test_a_stud_takes_the_preload_back_and_tilts_the_rocker() -> None:
    fixed, stud = (answered(head_mill="1 mm", rocker={**BLOCK["rocker"], "mounting": mounting}) for mounting in ("fixed", "stud"))
    assert stud["lifter"]["preload"]["value"] == pytest.approx(1.0)
    assert stud["rocker"]["pivot_rise"]["value"] == pytest.approx(fixed["lifter"]["pressed"]["value"] * 1.5 / 2.5, abs=1e-7)
    assert fixed["rocker"]["sweep"] == fixed["rocker"]["sweep_before"]
    assert stud["rocker"]["sweep"]["value"] > stud["rocker"]["sweep_before"]["value"]


@given(off=st.floats(-5.0, 5.0))
def test_square_at_half_lift_sweeps_least(off: float) -> None:
    square = answered()["rocker"]["sweep"]["value"]
    tilted = answered(rocker={**BLOCK["rocker"], "off_square": f"{off} mm"})["rocker"]["sweep"]["value"]
    assert tilted >= square - 1e-9
    mirrored = answered(rocker={**BLOCK["rocker"], "off_square": f"{-off} mm"})["rocker"]["sweep"]["value"]
    assert tilted == pytest.approx(mirrored, abs=1e-8)


def test_spring_and_retainer_lose_the_lift_and_gain_what_a_stem_rises() -> None:
    found = answered(spring={"installed_height": "45 mm", "coil_bind_height": "30 mm"}, retainer_to_seal="13 mm", stem_rise="0.3 mm")
    assert found["coil_bind_room"]["value"] == pytest.approx(45.3 - 30 - 12)
    assert found["retainer_room"]["value"] == pytest.approx(13.3 - 12)
    assert checks(found)["coil-bind"]["verdict"] == "pass"
    assert checks(found)["retainer-room"]["verdict"] == "fail"  # 1.3 of 1.524 mm
    own = answered(retainer_to_seal="13 mm", limits={"retainer": {"low": "0.9 mm"}})
    assert checks(own)["retainer-room"]["verdict"] == "pass"


@given(mill=cuts, thinner=st.floats(0.0, 0.5))
def test_an_overhead_cam_lags_with_every_drop_and_the_crankshaft_counts_twice(mill: float, thinner: float) -> None:
    gaskets = {"gasket": {"thickness": "1.5 mm"}, "new_gasket_thickness": f"{1.5 - thinner} mm"}
    found = answered(OVERHEAD, head_mill=f"{mill} mm", **gaskets)
    assert found["cam"]["at_cam"]["value"] == pytest.approx((mill + thinner) / 50 * 57.29577951, abs=1e-6)
    assert found["cam"]["retard"]["value"] == pytest.approx(2 * found["cam"]["at_cam"]["value"], abs=1e-8)
    if abs(found["cam"]["retard"]["value"] - 2) > 1e-6:
        assert checks(found)["cam-timing"]["verdict"] == ("pass" if found["cam"]["retard"]["value"] < 2 else "watch")


def test_a_thicker_gasket_makes_the_cam_lead_and_that_counts_as_much() -> None:
    gaskets = {"gasket": {"thickness": "1 mm"}, "new_gasket_thickness": "2 mm"}
    found = answered(OVERHEAD, **gaskets)
    assert found["cam"]["retard"]["value"] < -2
    assert checks(found)["cam-timing"]["verdict"] == "watch"
    assert checks(answered(OVERHEAD, **gaskets, limits={"cam_shift": {"high": "3 deg"}}))["cam-timing"]["verdict"] == "pass"


def test_what_is_asked_and_lacks_something_is_unknown() -> None:
    bare = {"camshaft": "block", "lifter": {"preload": "1 mm"}, "spring": {"installed_height": "45 mm", "coil_bind_height": "30 mm"}}
    found = checks(answer(CALCULATION, bare))
    assert (found["lifter-preload"]["verdict"], found["lifter-preload"]["missing"]) == ("unknown", ["#/pushrod", "#/rocker"])
    assert (found["coil-bind"]["verdict"], found["coil-bind"]["missing"]) == ("unknown", ["#/valve_lift"])
    sweep = checks(answered(stem_diameter="8 mm", rocker={"ratio": 1.5}))["rocker-sweep"]
    assert sweep["missing"] == ["#/rocker/arm_length"]
    assert checks(answer(CALCULATION, {"camshaft": "overhead"}))["cam-timing"]["missing"] == ["#/cam_drive"]
    assert answer(CALCULATION, {"camshaft": "block"})["checks"] == []


def test_what_cannot_be_is_refused_at_its_field() -> None:
    with pytest.raises(InvalidRequest, match="#/cam_drive"):
        answered(cam_drive=OVERHEAD["cam_drive"])
    with pytest.raises(InvalidRequest, match="#/pushrod"):
        answered(OVERHEAD, pushrod=BLOCK["pushrod"])
    with pytest.raises(InvalidRequest, match="#/gasket"):
        answered(new_gasket_thickness="1 mm")


def test_a_row_of_a_batch_is_the_same_as_one_request() -> None:
    depths = ["0 mm", "0.4 mm", "1.2 mm"]
    columns = answer_batch(CALCULATION, {"common": BLOCK, "columns": {"head_mill": depths}}, most_rows=10)["columns"]
    for row, depth in enumerate(depths):
        assert columns["lifter.preload"][row] == answered(head_mill=depth)["lifter"]["preload"]["value"]
