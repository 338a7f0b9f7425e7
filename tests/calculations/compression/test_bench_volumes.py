"""Bench volumes: pour and sizes tell the same crown, what they leave is the dome, what can't be is refused, batch."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.problems import InvalidRequest, Refusal
from borewright.calculations.base.single import answer
from borewright.calculations.compression.bench_volumes import CALCULATION
from borewright.calculations.compression.compression import CALCULATION as COMPRESSION

AREA = 78.53981633974483  # cm² of a bore of 100 mm
DISH = {"diameter": "80 mm", "depth": "2 mm"}


def answered(**bench: Any) -> dict[str, Any]:
    outside = {name: bench.pop(name) for name in ("top_land",) if name in bench}
    return answer(CALCULATION, {"bore": "100 mm", "bench": bench, **outside})


def pour(net: float, depth: float = 10.0, **more: Any) -> dict[str, Any]:
    return {"depth": f"{depth} mm", "volume": f"{AREA * depth / 10 + net} cm3", **more}


def verdicts(found: dict[str, Any]) -> dict[str, str]:
    return {check["name"]: check["verdict"] for check in found["checks"]}


@given(net=st.floats(-20.0, 40.0), depth=st.floats(5.0, 40.0))
def test_a_pour_tells_the_crown_whatever_its_depth(net: float, depth: float) -> None:
    found = answered(pour=pour(net, depth))
    assert found["crown_volume"]["value"] == pytest.approx(net, abs=1e-6)
    assert found["crown"]["recess"]["value"] - found["crown"]["dome"]["value"] == pytest.approx(net, abs=1e-6)
    assert min(found["crown"]["recess"]["value"], found["crown"]["dome"]["value"]) == 0


@given(gap=st.floats(-2.0, 2.0))
def test_pour_and_sizes_agree_to_half_a_cubic_centimeter(gap: float) -> None:
    dish = answered(dishes=[DISH])["by_sizes"]["value"]
    found = answered(dishes=[DISH], pour=pour(dish + gap))
    if abs(abs(gap) - 0.5) > 1e-6:
        assert verdicts(found)["crown-volumes-agree"] == ("pass" if abs(gap) < 0.5 else "watch")
    assert found["dome_standing"]["value"] == pytest.approx(-gap, abs=1e-6)
    assert verdicts(answered(dishes=[DISH], pour=pour(dish + gap), domed=True)) == {}


def test_one_measurement_alone_is_not_confirmed() -> None:
    (check,) = answered(dishes=[DISH])["checks"]
    assert (check["verdict"], check["missing"]) == ("unknown", ["#/bench/pour"])
    (check,) = answered(pour=pour(3.0))["checks"]
    assert (check["verdict"], check["missing"]) == ("unknown", ["#/bench/dishes", "#/bench/pockets"])


def test_an_unsealed_pour_fills_the_crevice_as_well() -> None:
    land = {"height": "6 mm", "diameter": "99 mm"}
    sealed, open_ = answered(pour=pour(3.0)), answered(pour=pour(3.0, sealed=False), top_land=land)
    crevice = 3.141592653589793 / 4 * (10.0**2 - 9.9**2) * 0.6
    assert open_["crown_volume"]["value"] == pytest.approx(sealed["crown_volume"]["value"] - crevice, abs=1e-6)
    with pytest.raises(InvalidRequest, match="#/top_land: unsealed"):
        answered(pour=pour(3.0, sealed=False))


def test_the_crown_found_is_the_crown_that_compression_takes() -> None:
    crown = answered(pour=pour(-4.0), domed=True)["crown"]
    taken = {name: f"{figure['value']} cm3" for name, figure in crown.items()}
    gasket = {"bore": "101 mm", "thickness": "1 mm"}
    engine = {"bore": "100 mm", "stroke": "90 mm", "cylinders": 4, "chamber_volume": "60 cm3", "gasket": gasket, "deck_clearance": "0 mm"}
    assert answer(COMPRESSION, {**engine, "crown": taken})["clearance_parts"]["crown"]["value"] == pytest.approx(-4.0, abs=1e-6)


def test_what_cannot_be_is_refused_at_its_field() -> None:
    for body, said in (
        ({}, "#/bench: there is nothing"),
        ({"dishes": [DISH], "domed": True}, "#/bench/pour: a dome"),
        ({"pour": pour(-4.0, 5.0, dome_height="6 mm")}, "#/bench/pour/depth: the dome"),
        ({"dishes": [{**DISH, "diameter": "101 mm"}]}, "#/bench/dishes/0/diameter"),
        ({"dishes": [{**DISH, "corner_radius": "3 mm"}]}, "#/bench/dishes/0/corner_radius"),
    ):
        with pytest.raises(Refusal, match=said):
            answered(**body)


def test_alike_pockets_count_and_a_floor_above_the_flat_takes_nothing() -> None:
    pocket = {"diameter": "36 mm", "depth": "2 mm", "angle": "16 deg"}
    one, two = (answered(pockets=[{**pocket, "count": count}])["by_sizes"]["value"] for count in (1, 2))
    assert two == pytest.approx(2 * one)
    assert answered(pockets=[{**pocket, "depth": "-1 mm"}])["by_sizes"]["value"] == 0


def test_a_row_of_a_batch_is_the_same_as_one_request() -> None:
    volumes = ["80 cm3", "85 cm3", "90 cm3"]
    columns = answer_batch(
        CALCULATION,
        {"common": {"bore": "100 mm", "bench": {"pour": {"depth": "10 mm"}}}, "columns": {"bench.pour.volume": volumes}},
        most_rows=10,
    )["columns"]
    for row, volume in enumerate(volumes):
        assert columns["crown_volume"][row] == answered(pour={"depth": "10 mm", "volume": volume})["crown_volume"]["value"]
