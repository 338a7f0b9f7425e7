"""Bore clean-up against what the trade says of it: common practice, no published source stands behind it."""

from typing import Any

import pytest

from borewright.calculations.base.single import answer
from borewright.calculations.cylinders import bore_cleanup


def worn(top: float, oversizes: list[float], centring: str) -> dict[str, Any]:
    """A 4.000 in cylinder worn by `top` under the deck and hardly below, in thousandths."""
    request = {
        "units": "inch",
        "nominal_bore": 4.0,
        "readings": [
            {"cylinder": 1, "depth": 0.5, "thrust": 4 + top / 1000, "axial": 4 + top / 2000},
            {"cylinder": 1, "depth": 4.0, "thrust": 4.0002, "axial": 4.0001},
        ],
        "oversizes": [oversize / 1000 for oversize in oversizes],
        "centring": centring,
    }
    return answer(bore_cleanup.CALCULATION, request)


@pytest.mark.parametrize("top", [0.5, 1.0, 2.0])
def test_an_oversize_of_five_thousandths_saves_a_rebore(top: float) -> None:
    """Common practice: pistons 0.005 in over let a little-worn block be honed, which otherwise has to be bored 0.020 or 0.030 in over.

    A hone follows the wear; 0.005 in less the 0.003 in that the hone wants leaves 0.002 in of wear.
    """
    without = worn(top, [0.0, 20.0, 30.0], "follow_wear")
    with_it = worn(top, [0.0, 5.0, 20.0, 30.0], "follow_wear")
    assert without["smallest_clean_size"]["value"] == pytest.approx(4.020)
    assert with_it["smallest_clean_size"]["value"] == pytest.approx(4.005)


def test_a_bar_on_the_old_center_needs_twice_the_wear() -> None:
    """Common practice: boring back to the original center, a one-sided wear counts twice, so the same block may miss the small oversize."""
    assert worn(2.0, [5.0, 20.0], "follow_wear")["smallest_clean_size"]["value"] == pytest.approx(4.005)
    assert worn(2.0, [5.0, 20.0], "original")["smallest_clean_size"]["value"] == pytest.approx(4.020)
    assert worn(1.0, [5.0, 20.0], "original")["smallest_clean_size"]["value"] == pytest.approx(4.005)


def test_a_well_worn_cylinder_is_past_five_thousandths() -> None:
    found = worn(4.0, [5.0, 20.0], "follow_wear")
    assert found["smallest_clean_size"]["value"] == pytest.approx(4.020)
    assert found["sizes"][0]["holdouts"] == [1]
