"""A piston's guidance by hand: the skirt left in the bore, rock from a circle in a slot, a stack of lands, grooves and pin."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.physics.fits.piston_in_bore import edge_rise, tilt

BUILD: dict[str, Any] = {
    "block": {"deck_height": "220 mm", "cylinder_length": "135 mm"},
    "crank": {"stroke": "86 mm"},
    "rod": {"length": "143.5 mm", "pin_retention": "floating"},
    "piston": {
        "compression_height": "33 mm",
        "pin_diameter": "22 mm",
        "skirt_below_pin": "28 mm",
        "skirt_length": "50 mm",
        "top_land": "6 mm",
        "second_land": "4 mm",
        "third_land": "2 mm",
        "grooves": {"top": "1.2 mm", "second": "1.5 mm", "oil": "3 mm"},
    },
    "bore": "100 mm",
    "skirt_clearance": "0.1 mm",
    "gasket": {"thickness": "0.8 mm"},
}


def ask(**changes: Any) -> dict[str, Any]:
    body = {**BUILD, **changes}
    return answer(calculations()["assembly-fit"], {**body, "piston": {**BUILD["piston"], **changes.get("piston", {})}})


def check(found: dict[str, Any], name: str) -> dict[str, Any]:
    return next(entry for entry in found["checks"] if entry["name"] == name)


def test_the_skirt_left_in_the_bore_stroker_against_standard() -> None:
    """At the bottom the pin stands 143.5 − 43 = 100.5 over the crank, 119.5 under the deck: 28 of skirt below it end at 147.5, 12.5 out of
    135. 37.5 of 50 are left. With 76 of stroke and a rod 5 longer the pin stood at 110.5, and 2.5 were out: 47.5 of 50."""
    found = ask(original={"stroke": "76 mm", "rod_length": "148.5 mm"})
    assert found["skirt_exposed_at_bdc"]["value"] == pytest.approx(12.5)
    assert found["skirt_in_bore_at_bdc"]["value"] == pytest.approx(0.75)
    assert found["original_skirt_in_bore_at_bdc"]["value"] == pytest.approx(0.95)
    assert check(found, "skirt-in-bore")["verdict"] == "pass"
    assert check(ask(crank={"stroke": "90 mm"}, piston={"compression_height": "31 mm"}), "skirt-in-bore")["verdict"] == "watch"


def test_rock_by_hand() -> None:
    """0.1 in 50 is 1/500: 0.1146 degrees; the crown's edge 50 from the middle rises 0.1, with the pin 1 mm off 0.102, and the edge moves
    33/500 = 0.066 across. At the bottom 37.5 guide it: 1/375."""
    rock = ask()["rock"]
    assert rock["tilt"]["value"] == pytest.approx(np.degrees(1 / 500))
    assert rock["tilt_at_bdc"]["value"] == pytest.approx(np.degrees(1 / 375))
    assert rock["edge_rise"]["value"] == pytest.approx(0.1)
    assert rock["crown_side"]["value"] == pytest.approx(0.066)
    assert ask(pin_offset="1 mm")["rock"]["edge_rise"]["value"] == pytest.approx(0.102)
    found = check(ask(), "rocked-squish")
    assert found["value"]["value"] == pytest.approx(0.5 + 0.8 - 0.1)
    assert check(ask(gasket={"thickness": "0 mm"}, skirt_clearance="1 mm"), "rocked-squish")["verdict"] == "fail"


@given(clearance=st.floats(0.02, 0.3), length=st.floats(30.0, 90.0))
def test_tilt_is_that_of_a_rectangle_in_a_slot(clearance: float, length: float) -> None:
    """Solved without the small angle: L·sin θ + d·cos θ = d + c, for d = 100 mm."""
    low, high = 0.0, 0.02
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if length * np.sin(middle) + 100.0 * np.cos(middle) < 100.0 + clearance else (low, middle)
    assert float(tilt(clearance * 1e-3, length * 1e-3)) == pytest.approx(low, rel=0.02)


@given(offset=st.floats(-5.0, 5.0), more=st.floats(0.01, 1.0))
def test_more_clearance_less_skirt_or_more_offset_rock_more(offset: float, more: float) -> None:
    leaning = tilt(1e-4, 0.05)
    assert tilt(1e-4 * (1 + more), 0.05) > leaning
    assert tilt(1e-4, 0.05 * (1 + more)) < leaning
    assert edge_rise(leaning, 0.1, (abs(offset) + more) * 1e-3) > edge_rise(leaning, 0.1, offset * 1e-3)


def test_what_the_compression_height_holds() -> None:
    """6 + 1.2 + 4 + 1.5 + 2 + 3 = 17.7 of ring pack; 33 − 11 − 17.7 = 4.3 above the pin."""
    found = ask()
    assert found["ring_pack_height"]["value"] == pytest.approx(17.7)
    assert found["pin_to_ring_pack"]["value"] == pytest.approx(4.3)
    for height, verdict in (("33 mm", "pass"), ("28.7 mm", "pass"), ("27 mm", "watch"), ("25.6 mm", "fail")):
        piston = {"compression_height": height}
        deck = {"deck_height": f"{220 - 33 + float(height.split()[0])} mm", "cylinder_length": "135 mm"}
        assert check(ask(piston=piston, block=deck), "pin-to-ring-pack")["verdict"] == verdict, height


def test_what_was_not_asked_for_is_not_judged_and_what_lacks_a_size_says_which() -> None:
    plain = {name: size for name, size in BUILD["piston"].items() if name not in ("skirt_length", "grooves", "third_land")}
    body = {name: part for name, part in BUILD.items() if name != "skirt_clearance"}
    found = answer(calculations()["assembly-fit"], {**body, "piston": plain})
    assert not {"skirt-in-bore", "rocked-squish", "pin-to-ring-pack"} & {entry["name"] for entry in found["checks"]}
    assert found["rock"] is found["ring_pack_height"] is found["skirt_in_bore_at_bdc"] is None
    half = answer(calculations()["assembly-fit"], {**body, "piston": plain, "skirt_clearance": "0.1 mm"})
    assert check(half, "rocked-squish")["missing"] == ["#/piston/skirt_length"]
    grooved = answer(calculations()["assembly-fit"], {**body, "piston": {**plain, "grooves": BUILD["piston"]["grooves"]}})
    assert check(grooved, "pin-to-ring-pack")["missing"] == ["#/piston/third_land"]


def test_tolerances_reach_the_rock() -> None:
    rise = ask(skirt_clearance="0.1 mm ± 0.02 mm")["rock"]["edge_rise"]
    assert (rise["low"], rise["high"]) == (pytest.approx(0.08), pytest.approx(0.12))
