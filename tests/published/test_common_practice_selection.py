"""Choosing parts against what the trade holds: common practice of engine shops, as told in its books and benches; each rule is marked so.

The catalogs are invented; only the limits they are held to are not.
"""

import copy
from typing import Any

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

CALCULATION = calculations()["part-selection"]
REQUEST: dict[str, Any] = {
    "units": "inch",
    "block": {"deck_height": 9.14, "bore": 3.862, "cylinders": 8},
    "cranks": [{"id": "crank", "stroke": 3.36, "rod_journal_diameter": 2.072, "counterweight_radius": 2.9}],
    "rods": [{"id": "rod", "length": 5.86, "small_end_bore": 0.9519, "journal_diameter": 2.072}],
    "pistons": [
        {
            "id": "piston",
            "bore": 3.862,
            "compression_height": 1.59,
            "top_land": 0.3,
            "second_land": 0.18,
            "pin_diameter": 0.951,
            "pin_length": 3.0,
            "boss_below_pin": 0.8,
        }
    ],
    "gaskets": [{"id": "gasket", "bore": 3.962, "thickness": 0.04}],
    "heads": [{"id": "head", "chamber_volume": "57 cm3"}],
    "duty": {"aspiration": "natural"},
}


def ask(**changes: dict[str, Any]) -> dict[str, Any]:
    """The answer for one combination; a change goes into the only part of its list, or into an object."""
    request = copy.deepcopy(REQUEST)
    for name, change in changes.items():
        held = request.setdefault(name, {})
        (held[0] if isinstance(held, list) else held).update(change)
    return answer(CALCULATION, request)


def test_the_combination_itself_fits() -> None:
    """What follows breaks one rule at a time."""
    found = ask()
    assert (found["fitting"], found["rejected"]) == (1, {})
    assert {check["verdict"] for check in found["checks"]} <= {"pass", "unknown"}


@pytest.mark.parametrize("aspiration", ["boost", "nitrous"])
@pytest.mark.parametrize(("land", "low_enough", "too_low"), [("top_land", 0.275, 0.27), ("second_land", 0.165, 0.16)])
def test_boost_and_nitrous_want_tall_ring_lands(aspiration: str, land: str, low_enough: float, too_low: float) -> None:
    """Common practice: under boost or nitrous a top land of at least 0.275 in and a second one of about 0.165 in."""
    duty = {"aspiration": aspiration}
    assert ask(duty=duty, pistons={land: low_enough})["fitting"] == 1
    found = ask(duty=duty, pistons={land: too_low})
    assert found["rejected"] == {land.replace("_", "-"): 1}
    (check,) = [each for each in found["checks"] if each["verdict"] == "fail"]
    assert check["name"] == land.replace("_", "-")
    assert check["limits"]["low"]["value"] == pytest.approx(low_enough, rel=1e-9)
    assert ask(pistons={land: too_low})["fitting"] == 1, "a natural engine lives with lower ones"


def test_a_pressed_rod_floats_after_two_thousandths_of_honing() -> None:
    """Common practice: the small end of a press-fit rod is honed by about two thousandths of an inch to let the pin float."""
    pressed = {"small_end_bore": 0.9499, "pin_retention": "press"}
    kept = ask(rods=pressed)
    assert kept["fitting"] == 1
    assert kept["choices"][0]["machining"] == [], "pistons that take either are left pressed"
    bushed = ask(rods=pressed, pistons={"pin_retentions": ["floating"]})
    assert bushed["rejected"] == {"pin-retention": 1}
    honed = ask(rods=pressed, pistons={"pin_retentions": ["floating"]}, machining={"small_end_hone": {"max": 0.003, "price": 90}})
    (work,) = honed["choices"][0]["machining"]
    assert work["operation"] == "small_end_hone"
    assert work["amount"]["value"] == pytest.approx(0.002, abs=0.0002)


@pytest.mark.parametrize(("thickness", "fits"), [(0.024, False), (0.026, True), (0.049, True), (0.051, False)])
def test_squish_between_thirty_five_and_sixty_thousandths(thickness: float, fits: bool) -> None:
    """Common practice: with steel rods 0.035 to 0.060 in of squish; here the piston stands 0.010 in under the deck."""
    found = ask(gaskets={"thickness": thickness})
    assert found["fitting"] == int(fits)
    assert ("squish" in found["rejected"]) is not fits


def test_counterweights_keep_sixty_thousandths_off() -> None:
    """Common practice: at least 0.060 in between counterweight and piston; at the bottom the bosses are 5.86 − 1.68 − 0.8 = 3.38 in up."""
    assert ask(cranks={"counterweight_radius": 3.319})["fitting"] == 1
    assert ask(cranks={"counterweight_radius": 3.321})["rejected"] == {"counterweight-to-boss": 1}


def test_pins_and_gaskets_keep_their_room() -> None:
    """Common practice: a pin stays off the wall by at least 0.020 in at each end; a gasket's opening is never under the bore.

    The wall is round: the rim of a pin of 0.951 in meets the bore of 3.862 in on a chord of √(3.862² − 0.951²) = 3.7431 in.
    """
    assert ask(pistons={"pin_length": 3.703})["fitting"] == 1
    assert ask(pistons={"pin_length": 3.704})["rejected"] == {"pin-end-room": 1}
    assert ask(gaskets={"bore": 3.861})["rejected"] == {"bore-to-gasket-clearance": 1}


def test_a_bore_is_never_made_smaller_and_wear_must_clean_up() -> None:
    """Common practice: a worn block goes to a size that cleans up, within what its walls allow, and only by boring."""
    larger = {"bore": 3.892}
    assert ask(pistons=larger)["rejected"] == {"bore": 1}
    boring = {"bore": {"price": 280}}
    assert ask(pistons=larger, machining=boring)["rejected"] == {"bore": 1}, "nobody said how far the walls go"
    found = ask(pistons=larger, machining=boring, block={"maximum_bore": 3.892, "cleanup_bore": 3.882})
    assert found["choices"][0]["machining"][0]["amount"]["value"] == pytest.approx(0.03, rel=1e-9)
    assert ask(machining=boring, block={"maximum_bore": 3.922, "cleanup_bore": 3.882})["rejected"] == {"bore": 1}
