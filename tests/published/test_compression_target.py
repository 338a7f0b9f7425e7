"""Compression target against cases worked by hand from first principles."""

import math
from typing import Any

import pytest

from borewright.calculations.base.single import answer
from borewright.calculations.compression.compression_target import CALCULATION

ENGINE: dict[str, Any] = {  # a bore of area 100 cm², so that a millimeter is 10 cm³; a stroke of 100 mm sweeps 1000 cm³
    "bore": "112.8379167 mm",
    "stroke": "100 mm",
    "cylinders": 1,
    "gasket": {"bore": "112.8379167 mm", "thickness": "1 mm"},
    "deck_clearance": "0 mm",
    "chamber_volume": "80 cm3",
}


def test_a_crown_cut_by_hand() -> None:
    """Clearance 90 cm³, ratio 12.1111. For 11 it must be 100 cm³: 10 cm³ out of a round of 50 cm² (79.788456 mm) is 2 mm deep."""
    levers = {"crown_cut": {"max": "5 mm", "diameter": "79.78845608 mm", "price": 60, "hours": "1.5 h"}, "labor_rate": 80}
    plan = answer(CALCULATION, {**ENGINE, "target": 11.0, "levers": levers})["plans"][0]
    assert plan["crown_cut"]["value"] == pytest.approx(2.0, abs=1e-6)
    assert plan["squish"]["value"] == pytest.approx(1.0)
    assert plan["cost"] == pytest.approx(60 + 1.5 * 80)


def test_a_dynamic_target_by_hand() -> None:
    """Intake closing 60° after the bottom, rod 200 mm, throw 50 mm (Heywood, eq. 2.5, from the piston's top, at 240°):

    x = 50 + 200 − (50·cos 240° + √(200² − (50·sin 240°)²)) = 250 + 25 − √(40000 − 1875) = 275 − 195.256242 = 79.743758 mm,
    so 797.43758 cm³ are left. For a dynamic ratio of 9 the clearance is 797.43758/8 = 99.679697 cm³, the chamber 89.679697 cm³.
    """
    left = 10 * (275 - math.sqrt(38125))
    found = answer(
        CALCULATION,
        {
            **ENGINE,
            "rod_length": "200 mm",
            "intake_closing": "60 deg",
            "target_dynamic": "9",
            "levers": {"chamber_volume": {"min": "80 cm3", "max": "95 cm3"}},
        },
    )
    assert left == pytest.approx(797.43758, abs=1e-5)
    assert found["single"]["chamber_volume"]["amount"]["value"] == pytest.approx(left / 8 - 10, abs=1e-4)
    assert found["plans"][0]["dynamic_compression_ratio"]["value"] == pytest.approx(9.0, abs=1e-6)
    assert found["plans"][0]["compression_ratio"]["value"] == pytest.approx(1 + 1000 / (left / 8), abs=1e-5)
