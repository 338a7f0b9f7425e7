"""Skirt clearance against expansion from the literature and against common practice."""

from typing import Any

import pytest

from borewright.calculations.base.single import answer
from borewright.calculations.cylinders.skirt_clearance import CALCULATION

DUTIES = [
    {"aspiration": aspiration, "service": service}
    for aspiration in ("natural", "boost", "nitrous")
    for service in ("street", "sport", "race")
]


def answered(**body: Any) -> dict[str, Any]:
    return answer(CALCULATION, body)


@pytest.mark.parametrize(
    ("alloy", "wall", "skirt", "bore_temperature", "hot"),
    [
        # 2618 22.3e-6/K to 100 degC (ASM Handbook vol. 2, from memory), 24.0 to 200 (a piston handbook, from memory), so 22.64 to 120; gray
        # iron 11.4e-6/K (W. D. Callister, Fundamentals of Materials Science and Engineering, table B.6):
        # 100·(1 + 11.4e-6·80) − 99.9·(1 + 22.64e-6·100) = 0.100 + 0.0912 − 0.2261736 = −0.0349736 mm by hand
        ("2618", "gray_iron", "120 degC", "100 degC", -0.0349736),
        # 4032 has mean 20.2e-6/K to 200 degC: 100·(1 + 21.5e-6·100) − 99.9·(1 + 20.2e-6·180) = 0.1 + 0.215 − 0.3632364 = −0.0482364 mm
        ("4032", "aluminum_356", "200 degC", "120 degC", -0.0482364),
    ],
)
def test_hot_clearance_by_hand(alloy: str, wall: str, skirt: str, bore_temperature: str, hot: float) -> None:
    temperatures = {"skirt": skirt, "bore": bore_temperature, "assembly": "20 degC"}
    found = answered(bore="100 mm", skirt="99.9 mm", alloy=alloy, bore_material=wall, temperatures=temperatures)
    assert found["hot_clearance"]["value"] == pytest.approx(hot, abs=1e-7)


@pytest.mark.parametrize("duty", DUTIES, ids=lambda duty: "-".join(duty.values()))
def test_low_silicon_forgings_want_more_cold_clearance(duty: dict[str, str]) -> None:
    """Common practice: a forged low-silicon alloy wants more cold clearance than 4032, and a cast hypereutectic piston least."""
    wanted = [answered(bore="4 in", alloy=alloy, duty=duty)["recommended"] for alloy in ("2618", "4032", "hypereutectic")]
    for tighter, looser in ((wanted[1], wanted[0]), (wanted[2], wanted[1])):
        assert tighter["low"]["value"] < looser["low"]["value"]
        assert tighter["high"]["value"] < looser["high"]["value"]


def test_boost_and_nitrous_want_more_clearance() -> None:
    """Common practice: boosted and nitrous engines run more skirt clearance than natural ones of the same service."""
    for service in ("street", "sport", "race"):
        natural, boost, nitrous = (
            answered(bore="4 in", alloy="2618", duty={"aspiration": aspiration, "service": service})["recommended"]["low"]["value"]
            for aspiration in ("natural", "boost", "nitrous")
        )
        assert natural < boost
        assert natural < nitrous


@pytest.mark.parametrize("duty", DUTIES, ids=lambda duty: "-".join(duty.values()))
@pytest.mark.parametrize("alloy", ["2618", "4032", "cast_eutectic", "hypereutectic"])
def test_practice_and_expansion_agree(alloy: str, duty: dict[str, str]) -> None:
    """Common practice: cold clearance is what lets the hot skirt just about fit. At practice's temperatures the middle of the range
    leaves between nothing and 0.03 mm in a 100 mm iron bore."""
    found = answered(bore="100 mm", alloy=alloy, duty=duty)
    assert 0.0 <= found["hot_clearance"]["value"] <= 0.03
