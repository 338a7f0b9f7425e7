"""Diesels, models, heads without a gasket and marine bores: geometry worked by hand, limits from where the source beside each says."""

from typing import Any

import numpy as np
import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.sheet.sections import build_sheet


def ask(name: str, **body: Any) -> dict[str, Any]:
    return answer(calculations()[name], body)


def check(found: dict[str, Any], name: str) -> dict[str, Any]:
    return next(entry for entry in found["checks"] if entry["name"] == name)


DIESEL = {
    "bore": "100 mm",
    "stroke": "127 mm",
    "cylinders": 4,
    "chamber_volume": "6 cm3",
    "gasket": {"bore": "102 mm", "thickness": "1.3 mm"},
    "deck_clearance": "-0.5 mm",
    "crown": {"recess": "46 cm3"},
}


def test_a_diesel_by_hand() -> None:
    """Swept π/4·10²·12.7 = 997.46 cm³; left 6 + π/4·10.2²·0.13 − π/4·10²·0.05 + 46 = 58.696 cm³: 1 + 997.46/58.696 = 17.994."""
    found = ask("compression", **DIESEL, duty={"fuel": "diesel", "aspiration": "boost"})
    left = 6.0 + np.pi / 4 * 10.2**2 * 0.13 - np.pi / 4 * 10.0**2 * 0.05 + 46.0
    assert found["compression_ratio"]["value"] == pytest.approx(1.0 + np.pi / 4 * 1270.0 / left)
    assert found["compression_ratio"]["value"] == pytest.approx(17.994, abs=1e-3)
    assert check(found, "compression-for-duty")["verdict"] == "pass"
    assert check(found, "squish")["verdict"] == "pass"  # 0.8 mm, as diesels have it; a spark engine's would fail
    assert check(ask("compression", **DIESEL, duty={"fuel": "gasoline"}), "squish")["verdict"] == "fail"


@pytest.mark.parametrize(("name", "more"), [("compression", {}), ("cylinder-spread", {"by_cylinder": [{"cylinder": 1}, {"cylinder": 2}]})])
def test_one_squish_of_a_diesel_wherever_it_is_asked(name: str, more: dict[str, Any]) -> None:
    found = ask(name, **DIESEL, **more, duty={"fuel": "diesel"})
    limits = check(found, "squish")["limits"]
    assert (limits["low"]["value"], limits["high"]["value"]) == (0.6, 1.2)


def test_a_diesel_sheet_leaves_out_what_is_for_spark_ignition() -> None:
    build = {
        **DIESEL,
        "duty": {"fuel": "diesel", "aspiration": "boost"},
        "speed": "2400 rpm",
        "rod_length": "200 mm",
        "bore_material": "gray_iron",
    }
    sheet = build_sheet({"order": {"id": "A-1"}, "build": {**build, "fuel": {"octane": {"rating": 91, "scale": "ron"}}}})
    assert {"compression", "displacement", "ring-gap"} <= set(sheet["sections"])
    assert sheet["refused"] == []
    assert "detonation-margin" not in sheet["sections"]
    told = {entry["section"]: entry["fields"] for entry in sheet["missing"]}
    assert any("diesel" in field for field in told["detonation-margin"])


def test_a_head_without_a_gasket() -> None:
    """No thickness, no volume, nothing in the squish: swept 5.984 cm³ over 0.7 cm³ and π/4·2²·0.02 cm³ of deck."""
    model = {"bore": "20 mm", "stroke": "19.05 mm", "cylinders": 1, "chamber_volume": "0.7 cm3", "deck_clearance": "0.2 mm"}
    bare = ask("compression", **model, gasket={"bore": "20 mm", "thickness": "0 mm"})
    assert bare["clearance_parts"]["gasket"]["value"] == 0.0
    assert bare["squish"]["value"] == pytest.approx(0.2)
    deck = np.pi / 4 * 4.0 * 0.02
    assert bare["compression_ratio"]["value"] == pytest.approx(1.0 + np.pi / 4 * 4.0 * 1.905 / (0.7 + deck))
    poured = ask("compression", **model, gasket={"volume": "0 cm3"})
    assert poured["compression_ratio"] == bare["compression_ratio"]


@pytest.mark.parametrize(("bore", "stroke", "displacement"), [(8.0, 7.0, 0.35186), (12.5, 12.0, 1.47262), (500.0, 600.0, 117809.72)])
def test_from_models_to_ships(bore: float, stroke: float, displacement: float) -> None:
    """π/4·D²·s, to the last digit shown."""
    found = ask("displacement", bore=f"{bore} mm", stroke=f"{stroke} mm", cylinders=1)
    assert found["displacement"]["value"] == pytest.approx(displacement, rel=1e-5)


@pytest.mark.parametrize("bore", [8.0, 16.0, 100.0, 500.0])
def test_gap_and_clearance_of_any_bore(bore: float) -> None:
    """Practice is a share of the bore, so gap and clearance are the same share of an 8 mm and of a 500 mm bore."""
    duty = {"aspiration": "natural", "service": "street"}
    for material in ("gray_iron", "plated_aluminum", "aluminum_356"):
        for alloy in ("cast_eutectic", "hypereutectic", "4032"):
            skirt, usual = (
                ask("skirt-clearance", bore=f"{size} mm", alloy=alloy, bore_material=material, duty=duty) for size in (bore, 90.0)
            )
            for end in ("low", "high"):
                share = skirt["recommended"][end]["value"] / bore
                assert share == pytest.approx(usual["recommended"][end]["value"] / 90.0, rel=0.02), (material, alloy)
    ring = ask("ring-gap", bore=f"{bore} mm", duty=duty, rings={"top": {"material": "ductile_iron"}, "second": {"material": "gray_iron"}})
    assert ring["top"]["practice_gap"]["value"] == pytest.approx(0.0040 * bore, rel=0.15)


def test_a_small_bore_wears_and_fits_as_a_large_one() -> None:
    """Similar engines have similar geometry: all lengths ten times smaller, every length of the answer ten times smaller."""

    def wear(scale: float) -> dict[str, Any]:
        readings = [
            {"cylinder": 1, "depth": f"{20 * scale} mm", "thrust": f"{100.2 * scale} mm", "axial": f"{100.1 * scale} mm"},
            {"cylinder": 1, "depth": f"{90 * scale} mm", "thrust": f"{100.05 * scale} mm", "axial": f"{100.02 * scale} mm"},
        ]
        return ask(
            "bore-cleanup",
            nominal_bore=f"{100 * scale} mm",
            readings=readings,
            oversizes=[f"{0.5 * scale} mm"],
            minimum_stock=f"{0.03 * scale} mm",
        )

    large, small = wear(1.0), wear(0.1)
    for name in ("out_of_round", "taper", "largest", "cleanup_diameter"):
        assert small["cylinders"][0][name]["value"] == pytest.approx(large["cylinders"][0][name]["value"] / 10.0, rel=1e-9), name
