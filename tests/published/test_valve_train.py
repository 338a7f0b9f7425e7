"""Valve train against cases worked by hand from first principles, and the standard for sprockets."""

import math

import pytest

from borewright.calculations.assembly.valve_train import CALCULATION
from borewright.calculations.base.single import answer


def test_an_upright_pushrod_by_hand() -> None:
    """0.8 mm off the head and 0.2 mm off the deck: the lifter goes down 1.0 mm more. A stem 0.3 mm higher on a 1.5 rocker: 0.2 mm more.

    A base circle with 0.4 mm less radius: 0.4 mm less. 200 mm becomes 200 − 1.0 − 0.2 + 0.4 = 199.2 mm.
    """
    found = answer(
        CALCULATION,
        {
            "camshaft": "block",
            "head_mill": "0.8 mm",
            "deck_cut": "0.2 mm",
            "stem_rise": "0.3 mm",
            "base_circle_loss": "0.4 mm",
            "pushrod": {"length": "200 mm"},
            "rocker": {"ratio": 1.5},
            "lifter": {"preload": "0.6 mm"},
        },
    )
    assert found["pushrod"]["same_geometry"]["value"] == pytest.approx(199.2, abs=1e-9)
    assert found["lifter"]["preload"]["value"] == pytest.approx(0.6 + 0.8, abs=1e-9)


def test_a_leaning_pushrod_by_hand() -> None:
    """A 3-4-5 triangle: 250 mm leaning so that it stands 200 high and 150 aside. 20 mm lower: √(180² + 150²) = 234.30749 mm."""
    lean = math.degrees(math.atan2(150, 200))
    work = {"head_mill": "10 mm", "deck_cut": "10 mm"}
    found = answer(CALCULATION, {"camshaft": "block", **work, "pushrod": {"length": "250 mm", "lean": f"{lean} deg"}})
    assert found["pushrod"]["same_geometry"]["value"] == pytest.approx(math.hypot(180, 150), abs=1e-6)


def test_a_rockers_sweep_by_hand() -> None:
    """Arm 13, lift 10, square at half lift: from 13 to √(13² − 5²) = 12, a sweep of 1 mm; first order l²/(8a) = 0.96 mm."""
    found = answer(CALCULATION, {"camshaft": "block", "valve_lift": "10 mm", "rocker": {"ratio": 1.5, "arm_length": "13 mm"}})
    assert found["rocker"]["sweep"]["value"] == pytest.approx(1.0, abs=1e-9)


def test_a_sprocket_of_the_standard() -> None:
    """ISO 606: pitch circle p/sin(180°/z); z = 40, p = 9.525 mm: 9.525/0.0784591 = 121.401 mm, from memory of the table of unit pitches
    (12.7455 for 40 teeth). 1 mm off the head: 1/60.7005 rad at the cam, twice at the crankshaft, 1.88782°."""
    found = answer(CALCULATION, {"camshaft": "overhead", "head_mill": "1 mm", "cam_drive": {"teeth": 40, "pitch": "9.525 mm"}})
    assert found["cam"]["retard"]["value"] == pytest.approx(2 * math.degrees(1 / (12.7455 * 9.525 / 2)), rel=1e-5)
    assert found["cam"]["retard"]["value"] == pytest.approx(1.88782, abs=2e-4)
