"""Valve to piston clearance against a textbook's piston travel, a plain minimizer and the trade's rules."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

CALCULATION = calculations()["valve-clearance"]


def ask(lift: list, **changes: object) -> dict:
    request = {
        "stroke": "86 mm",
        "rod_length": "143.5 mm",
        "deck_clearance": "0.5 mm",
        "gasket": {"thickness": "1 mm"},
        "lift": lift,
        "relief": {"intake": "3 mm", "exhaust": "3 mm"},
        "valve_angle": "0 deg",
        "valve_drop": "1 mm",
    }
    return answer(CALCULATION, {**request, **changes})


def test_travel_of_the_textbook_v6_under_a_resting_valve() -> None:
    """W. W. Pulkrabek, Engineering Fundamentals of the Internal Combustion Engine, ex. 2-1 (from memory): stroke 8.60 cm, rod 16.6 cm:
    at 20° after top dead center the piston is 0.32 cm down. Deck, gasket, relief and drop of 5.5 mm together add to it."""
    found = ask([{"crank": "20 deg", "intake": "0 mm"}], stroke="8.60 cm", rod_length="16.6 cm")
    assert found["intake"]["minimum"]["value"] == pytest.approx(5.5 + 3.2, abs=0.05)


@pytest.mark.parametrize("degrees", [0.0, 12.0, 20.0])
def test_least_clearance_of_a_known_lift_curve(degrees: float) -> None:
    """An intake lift 4.5 mm·(1 − cos(θ + 40°)), sampled every five degrees, against scipy's minimizer on the closed form with the
    slider-crank of J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.5."""
    r, rod = 43.0, 143.5

    def lift(theta: float) -> float:
        return 4.5 * (1 - np.cos(theta + np.radians(40)))

    def clearance(theta: float) -> float:
        down = rod + r - r * np.cos(theta) - np.sqrt(rod**2 - (r * np.sin(theta)) ** 2)
        return float((down + 5.5) * np.cos(np.radians(degrees)) - lift(theta))

    expected = minimize_scalar(clearance, bounds=(np.radians(-35), np.radians(35)), method="bounded", options={"xatol": 1e-10})
    samples = [{"crank": f"{at} deg", "intake": f"{lift(np.radians(at)):.12g} mm"} for at in range(-40, 41, 5)]
    found = ask(samples, valve_angle=f"{degrees} deg")["intake"]
    assert found["minimum"]["value"] == pytest.approx(expected.fun, abs=3e-3)
    assert found["crank"]["value"] == pytest.approx(np.degrees(expected.x), abs=2.0)


@pytest.mark.parametrize(
    ("side", "lift", "verdict"),
    [("intake", "0.1 in", "pass"), ("intake", "0.13 in", "fail"), ("exhaust", "0.1 in", "pass"), ("exhaust", "0.11 in", "fail")],
)
def test_the_trades_least_clearances(side: str, lift: str, verdict: str) -> None:
    """Common practice with steel rods: 0.080 in at the intake valve, 0.100 in at the exhaust valve; here 0.205 in are there at rest."""
    flat = [{"crank": f"{at} deg", side: lift} for at in (-10, 0, 10)]
    found = ask(
        flat,
        units="inch",
        deck_clearance="0.015 in",
        gasket={"thickness": "0.040 in"},
        relief={side: "0.110 in"},
        valve_drop="0.040 in",
    )
    assert found[side]["minimum"]["value"] == pytest.approx(0.205 - float(lift.split()[0]), abs=1e-9)
    assert found[side]["crank"]["value"] == pytest.approx(0.0, abs=1e-9)
    assert found[side]["verdict"] == verdict


def test_metal_off_the_head_closes_by_its_cosine() -> None:
    """Geometry: 1 mm along the bore is cos 20° = 0.939693 mm along a valve that leans by 20°."""
    flat = [{"crank": f"{at} deg", "intake": "1 mm"} for at in (-10, 0, 10)]
    found = ask(flat, valve_angle="20 deg", head_mill="1 mm")["intake"]
    assert found["change"]["value"] == pytest.approx(-0.939693, abs=5e-7)
