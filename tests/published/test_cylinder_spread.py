"""Cylinder spread against a case worked by hand from first principles."""

import pytest

from borewright.calculations.base.single import answer
from borewright.calculations.compression.cylinder_spread import CALCULATION


def test_two_cylinders_by_hand() -> None:
    """J. B. Heywood (1988), eq. 2.1, with a bore of area 100 cm² (112.837917 mm) so that every figure can be done on paper.

    Stroke 10 cm sweeps 1000 cm³. Gasket 1 mm over the bore 10 cm³, deck 0.5 and 0.0 mm 5 and 0 cm³, chambers 85 and 90 cm³:
    clearance 100 and 100 cm³, ratio 11 both. A third, chamber 80 and deck 0: 90 cm³, ratio 1 + 1000/90 = 12.1111; spread 1.1111.
    To open for 11: 10 cm³. Chambers all 90 leave 105, 100, 100: 1 + 1000/105 = 10.52381 against 11, 0.47619.
    Decks all 0 leave 95, 100, 90: 11.526316, 11, 12.111111, 1.11111.
    """
    found = answer(
        CALCULATION,
        {
            "bore": "112.8379167 mm",
            "stroke": "100 mm",
            "cylinders": 3,
            "gasket": {"bore": "112.8379167 mm", "thickness": "1 mm"},
            "by_cylinder": [
                {"cylinder": 1, "chamber_volume": "85 cm3", "deck_clearance": "0.5 mm"},
                {"cylinder": 2, "chamber_volume": "90 cm3", "deck_clearance": "0 mm"},
                {"cylinder": 3, "chamber_volume": "80 cm3", "deck_clearance": "0 mm"},
            ],
        },
    )
    assert [row["compression_ratio"]["value"] for row in found["cylinders"]] == pytest.approx([11.0, 11.0, 1 + 1000 / 90], abs=1e-6)
    assert found["ratio"]["spread"]["value"] == pytest.approx(1.111111, abs=1e-6)
    assert [row["open_chamber"]["value"] for row in found["cylinders"]] == pytest.approx([0.0, 0.0, 10.0], abs=1e-5)
    assert found["left"]["chambers"]["value"] == pytest.approx(0.476190, abs=1e-6)
    assert found["left"]["decks"]["value"] == pytest.approx(1.111111, abs=1e-6)
