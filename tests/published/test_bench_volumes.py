"""Bench volumes against cases worked by hand from first principles."""

import pytest

from borewright.calculations.base.single import answer
from borewright.calculations.compression.bench_volumes import CALCULATION


def test_a_pour_by_hand() -> None:
    """A bore of area 100 cm² (112.837917 mm), the flat 5 mm down: 50 cm³ over a flat crown. 56.2 poured: 6.2 cm³ recess; 46: 4 cm³ dome."""
    body = {"bore": "112.8379167 mm"}
    dished = answer(CALCULATION, {**body, "bench": {"pour": {"depth": "5 mm", "volume": "56.2 cm3"}}})
    domed = answer(CALCULATION, {**body, "bench": {"domed": True, "pour": {"depth": "5 mm", "volume": "46 cm3"}}})
    assert dished["crown"]["recess"]["value"] == pytest.approx(6.2, abs=1e-5)
    assert domed["crown"]["dome"]["value"] == pytest.approx(4.0, abs=1e-5)


def test_dish_and_pockets_by_hand() -> None:
    """Dish 60 mm by 2 mm: 9π·2 = 5.654867 cm³. Two pockets 40 mm by 1.5 mm, straight: 2·4π·0.15 = 3.769911 cm³.

    A cap 60 mm by 6 mm: π·0.6/6·(3·9 + 0.36) = 8.595398 cm³ [V = πh/6·(3a² + h²)].
    A pocket whose floor just touches the flat at its high edge is half its cylinder: 40 mm, 30°, deepest 20 mm, mean depth 10 mm along
    the bore, 10/cos 30° along the cutter: 4π·1/0.8660254 = 14.510395 cm³.
    """
    found = answer(
        CALCULATION,
        {
            "bore": "100 mm",
            "bench": {
                "dishes": [{"diameter": "60 mm", "depth": "2 mm"}, {"diameter": "60 mm", "depth": "6 mm", "shape": "spherical"}],
                "pockets": [
                    {"diameter": "40 mm", "depth": "1.5 mm", "count": 2},
                    {"diameter": "40 mm", "depth": "20 mm", "angle": "30 deg"},
                ],
            },
        },
    )
    assert [row["volume"]["value"] for row in found["dishes"]] == pytest.approx([5.654867, 8.595398], abs=1e-6)
    assert [row["volume"]["value"] for row in found["pockets"]] == pytest.approx([3.769911, 14.510395], abs=1e-6)
