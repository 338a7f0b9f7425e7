"""Assembly of crank, rod, piston and pin against textbooks, ISO 286-1 and the trade's rules."""

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

CALCULATION = calculations()["assembly-fit"]


def ask(**changes: dict) -> dict:
    request = {
        "block": {"deck_height": "220 mm"},
        "crank": {"stroke": "86 mm"},
        "rod": {"length": "143.5 mm"},
        "piston": {"compression_height": "33 mm"},
    }
    for name, change in changes.items():
        request[name] = {**request.get(name, {}), **change} if isinstance(change, dict) else change
    return answer(CALCULATION, request)


def check(found: dict, name: str) -> dict:
    (one,) = [each for each in found["checks"] if each["name"] == name]
    return one


def test_mean_speed_of_the_textbook_v6() -> None:
    """W. W. Pulkrabek, Engineering Fundamentals of the Internal Combustion Engine, ex. 2-1 (from memory):
    bore and stroke 8.60 cm, rod 16.6 cm, 3600 rpm: mean piston speed 10.32 m/s."""
    found = ask(crank={"stroke": "8.60 cm"}, rod={"length": "16.6 cm"}, speed="3600 rpm")
    assert found["mean_piston_speed"]["value"] == pytest.approx(10.32, abs=0.005)


def test_acceleration_at_top_dead_center() -> None:
    """J. B. Heywood, Internal Combustion Engine Fundamentals (1988), section 2.2: ω²·r·(1 + r/l) for 86 mm stroke, 143.5 mm rod and
    6000 rpm by hand: (200π)² · 0.043 · (1 + 43/143.5) = 22 063 m/s²; mean speed 17.2 m/s."""
    found = ask(speed="6000 rpm")
    assert found["peak_acceleration"]["value"] == pytest.approx(22063, abs=0.5)
    assert found["mean_piston_speed"]["value"] == pytest.approx(17.2, rel=1e-12)


def test_inertia_load_of_the_textbook_piston() -> None:
    """R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ex. 32.3: 2.25 kg, rod 380 mm, stroke 190 mm, 1800 rpm:
    m·ω²·r·(1 + r/l) = 9493 N."""
    found = ask(block={"deck_height": "540 mm"}, crank={"stroke": "190 mm"}, rod={"length": "380 mm"}, speed="1800 rpm")
    assert 2.25 * found["peak_acceleration"]["value"] == pytest.approx(9493, rel=1e-3)


@pytest.mark.parametrize(
    ("pin", "pin_width", "hole_width"),
    [
        ("22 mm", 9, 13),  # ISO 286-1, table of standard tolerance grades, 18-30 mm, IT5 and IT6, from memory
        ("60 mm", 13, 19),  # ISO 286-1, table of standard tolerance grades, 50-80 mm, IT5 and IT6
        ("95 mm", 15, 22),  # ISO 286-1, table of standard tolerance grades, 80-120 mm, IT5 and IT6
    ],
)
def test_spread_of_a_fit_made_to_standard_widths(pin: str, pin_width: int, hole_width: int) -> None:
    """The fit varies by the widths of pin and hole together."""
    found = ask(piston={"compression_height": "60 mm", "pin_diameter": pin})
    assert found["pin_fit_rod"]["spread"] == {"value": pytest.approx((pin_width + hole_width) / 1000, rel=1e-9), "unit": "mm"}


def test_a_press_fit_rod_is_honed_by_about_two_thousandths_to_float() -> None:
    """Common practice: about two thousandths of an inch turn a press-fit small end into one with a floating pin."""
    found = ask(
        units="inch",
        rod={"small_end_bore": "0.9499 in", "pin_retention": "press", "wanted_retention": "floating"},
        piston={"pin_diameter": "0.951 in"},
    )
    assert found["pin_fit_rod"]["change"] == {"value": pytest.approx(0.002, abs=0.0003), "unit": "in"}
    assert check(found, "honing-to-float")["verdict"] == "pass"


@pytest.mark.parametrize("aspiration", ["boost", "nitrous"])
@pytest.mark.parametrize(("top", "verdict"), [("0.300 in", "pass"), ("0.275 in", "pass"), ("0.260 in", "fail")])
def test_top_land_for_a_hard_duty(aspiration: str, top: str, verdict: str) -> None:
    """Common practice: at least 0.275 in, often 0.300 in, for boost and nitrous."""
    assert check(ask(piston={"top_land": top}, duty={"aspiration": aspiration}), "top-land")["verdict"] == verdict


@pytest.mark.parametrize(("second", "verdict"), [("0.170 in", "pass"), ("0.150 in", "fail")])
def test_second_land_for_a_hard_duty(second: str, verdict: str) -> None:
    """Common practice: about 0.165 in for boost and nitrous."""
    assert check(ask(piston={"second_land": second}, duty={"aspiration": "boost"}), "second-land")["verdict"] == verdict
