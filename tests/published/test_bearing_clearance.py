"""Bearing clearance against worked examples from outside."""

import pytest

from borewright.calculations.base.single import answer
from borewright.calculations.cylinders.bearing_clearance import CALCULATION

INCH = 25.4


def test_the_textbook_bearing() -> None:
    """J. E. Shigley, Mechanical Engineering Design, the example of the charts of Raimondi and Boyd, from memory.

    Load 500 lbf, 30 turns a second, radius 0.75 in, radial clearance 0.0015 in, width 1.5 in, 4 microreyn (27.58 mPa·s): Sommerfeld number
    0.135, least film 0.42 of the clearance, 0.00063 in. The charts are read to two figures.
    """
    found = answer(
        CALCULATION,
        {
            "units": "inch",
            "kind": "main",
            "journal": {"diameter": 1.5},
            "housing": {"bore": 1.703},
            "shell": {"thickness": 0.1},
            "width": 1.5,
            "temperatures": {"journal": "20 degC", "housing": "20 degC", "assembly": "20 degC"},
            "oil": {"viscosity": "27.58 mPa·s"},
            "running": {"speed": "1800 rpm", "peak_load": "500 lbf"},
            "limits": {"clearance": {"low": 0.002, "high": 0.004}},
        },
    )
    film = found["bearings"][0]["film"]
    assert film["sommerfeld"]["value"] == pytest.approx(0.135, rel=0.005)
    assert film["least_film"]["value"] == pytest.approx(0.00063, rel=0.02)


def test_hot_clearance_by_hand() -> None:
    """Mean expansions of W. D. Callister, table B.6: aluminum 356 21.5e-6, steel 4340 12.3e-6 per kelvin.

    A housing of 56.052 mm at +80 K grows by 0.096409 mm, journal and shells of 52.000 and 2 · 2.005 mm at +90 K by 0.057564 + 0.004439 mm.
    """
    found = answer(
        CALCULATION,
        {
            "kind": "main",
            "journal": {"diameter": "52 mm"},
            "housing": {"bore": "56.052 mm"},
            "shell": {"thickness": "2.005 mm"},
            "housing_material": "aluminum_356",
            "temperatures": {"journal": "110 degC", "housing": "100 degC", "assembly": "20 degC"},
        },
    )
    assert found["bearings"][0]["clearance"]["value"] == pytest.approx(0.042, abs=1e-9)
    assert found["bearings"][0]["hot_clearance"]["value"] == pytest.approx(0.042 + 0.096409 - 0.057564 - 0.004439, abs=2e-6)


def test_common_practice_a_thousandth_for_each_inch() -> None:
    """Common practice, no published source: the middle of the range on a street journal is about 0.001 in for each inch of it."""
    for kind in ("main", "rod"):
        found = answer(
            CALCULATION,
            {"units": "inch", "kind": kind, "journal": {"diameter": 2.0}, "housing": {"bore": 2.122}, "shell": {"thickness": 0.06}},
        )
        wanted = found["wanted"]
        assert (wanted["low"]["value"] + wanted["high"]["value"]) / 2 == pytest.approx(0.002, rel=0.03)
        assert found["bearings"][0]["verdict"] == "pass"
