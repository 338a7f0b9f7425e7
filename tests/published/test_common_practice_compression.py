"""Compression against what the trade says of it. Every figure here is common practice: no published source stands behind it.

Where such a figure is round ("about 11"), the tolerance is how finely it is spoken: half of the last place said, or a spread of the
dimensions that the sentence leaves open.
"""

from typing import Any

import pytest

from borewright.calculations.base.single import answer
from borewright.calculations.compression import compression, compression_target

BORE_AREA = 72.38  # cm2, of 96.0 mm


def engine(**changes: Any) -> dict[str, Any]:
    """The 96.0 × 92.0 mm V8, a flat top with 5 cm3 of valve reliefs unless told; its chamber makes 10.25 with a 2 cm3 dome."""
    return {
        "bore": "96.0 mm",
        "stroke": "92.0 mm",
        "cylinders": 8,
        "chamber_volume": "64.2 cm3",
        "gasket": {"bore": "98 mm", "thickness": "1.0 mm"},
        "deck_clearance": "0.3 mm",
        **changes,
    }


def ratio(request: dict[str, Any]) -> float:
    return float(answer(compression.CALCULATION, request)["compression_ratio"]["value"])


@pytest.mark.parametrize("opening", [0.92, 0.96, 1.0])
def test_thirty_thousandths_off_the_heads_make_ten_and_a_quarter_about_eleven(opening: float) -> None:
    """Common practice: milling 0.030 in off heads whose chamber opening nearly fills the bore takes 10.25:1 to about 11:1.

    "Nearly fills" is read as 92 to 100 % of the bore's area, "about 11" as 11 ± 0.1.
    """
    request = engine(
        crown={"dome": "2 cm3"},
        target="11",
        levers={"head_mill": {"max": "0.030 in", "chamber_area": f"{opening * BORE_AREA:.4f} cm2"}},
    )
    found = answer(compression_target.CALCULATION, request)
    assert found["now"]["compression_ratio"]["value"] == pytest.approx(10.25, abs=0.02)
    milled = answer(
        compression.CALCULATION, engine(chamber_volume=f"{64.2 - opening * BORE_AREA * 0.0762:.6f} cm3", crown={"dome": "2 cm3"})
    )
    assert milled["compression_ratio"]["value"] == pytest.approx(11.0, abs=0.1)
    # and asked the other way round, 11:1 wants about 0.030 in: the ratio climbs by 0.025 a thousandth, so ± 0.1 is ± 0.004 in
    assert found["single"]["head_mill"]["reached"]["value"] == pytest.approx(11.0, abs=0.1)
    needed = found["single"]["head_mill"]["amount"]
    assert needed["unit"] == "mm"
    assert needed["value"] / 25.4 == pytest.approx(0.030, abs=0.004)


@pytest.mark.parametrize("reliefs", [4.0, 5.0, 6.0])
def test_reliefs_put_a_flat_top_in_the_mid_nines_and_a_small_dome_brings_it_back(reliefs: float) -> None:
    """Common practice: such an engine with a flat top and reliefs sits in the mid nines; a 2 cm3 dome instead makes about 10.25.

    Reliefs of two valves pour 4 to 6 cm3; "mid nines" is read as 9.25 to 9.75.
    """
    flat = engine(crown={"recess": f"{reliefs} cm3"})
    assert 9.25 <= ratio(flat) <= 9.75
    found = answer(
        compression_target.CALCULATION,
        {**flat, "target": "10.25", "levers": {"crowns": [{"name": "dome", "dome": "2 cm3"}, {"name": "more reliefs", "recess": "8 cm3"}]}},
    )
    assert found["single"]["crowns"]["best"] == "dome"
    assert found["single"]["crowns"]["feasible"] is True
    assert found["plans"][0]["crown"] == "dome"
    assert found["plans"][0]["compression_ratio"]["value"] == pytest.approx(10.25, abs=0.05)


@pytest.mark.parametrize(
    ("face_angle", "side", "rail"),
    [
        (90, 1.00, 1.41),  # common practice: square faces, as much off the side as off the head, 1.4 times as much off the rails
        (80, 1.23, 1.72),  # common practice: faces leaning ten degrees in, 0.0123 in off the side for 0.010 in off the head
    ],
)
def test_intake_cuts_of_a_ninety_degree_block(face_angle: int, side: float, rail: float) -> None:
    """Common practice, from memory: the trade's multipliers for 90° V engines, said to two places, so ± 0.01.

    The multiplier of the rails is told as 1.73 as well as 1.72 where the faces lean; the geometry gives 1.717.
    """
    request = engine(
        target="9.9 ± 0.05",
        crown={"recess": "5 cm3"},
        levers={"head_mill": {"max": "2 mm", "chamber_area": "68 cm2"}},
        bank_angle="90 deg",
        intake_face_angle=f"{face_angle} deg",
    )
    plan = answer(compression_target.CALCULATION, request)["plans"][0]
    milled = plan["head_mill"]["value"]
    assert milled > 0.1
    assert plan["intake_face_cut"]["value"] / milled == pytest.approx(side, abs=0.01)
    assert plan["intake_rail_cut"]["value"] / milled == pytest.approx(rail, abs=0.01)
