"""What common practice says of duties hangs together: a harder service or a boosted engine never asks for less than an easier one."""

from itertools import pairwise

import pytest

from borewright.practice.tables import table

SERVICES = ("street", "sport", "race")
ASPIRATIONS = ("natural", "boost", "nitrous")
RISING = (
    [("ring_gaps", column) for column in ("top", "second", "ring_temperature", "bore_temperature")]
    + [("skirt_clearances", column) for column in ("extra", "skirt_temperature", "bore_temperature")]
    + [("strength", f"{place}_temperature") for place in ("crown", "top_land", "second_land", "pin_boss", "pin", "rod")]
)


@pytest.mark.parametrize(("name", "column"), RISING)
def test_harder_duties_ask_for_no_less(name: str, column: str) -> None:
    def of(aspiration: str, service: str) -> float:
        return table(name).row(f"{aspiration}_{service}").si(column)

    for aspiration in ASPIRATIONS:
        for easier, harder in pairwise(SERVICES):
            assert of(aspiration, harder) >= of(aspiration, easier)
    for service in SERVICES:
        for forced in ("boost", "nitrous"):
            assert of(forced, service) >= of("natural", service)
    assert of("boost", "race") > of("natural", "street")


@pytest.mark.parametrize("duty", [f"{aspiration}_{service}" for aspiration in ASPIRATIONS for service in SERVICES])
def test_the_second_gap_is_no_smaller_than_the_top(duty: str) -> None:
    row = table("ring_gaps").row(duty)
    assert row.si("second") >= row.si("top")


@pytest.mark.parametrize("duty", [f"{aspiration}_{service}" for aspiration in ASPIRATIONS for service in SERVICES])
def test_heat_falls_from_the_crown_down(duty: str) -> None:
    row = table("strength").row(duty)
    down = [row.si(f"{place}_temperature") for place in ("crown", "top_land", "second_land", "pin_boss", "pin")]
    assert down == sorted(down, reverse=True)


def test_forged_alloys_of_more_growth_run_looser() -> None:
    """The order of the expansions: 2618 grows more than 4032, and that more than the hypereutectic."""
    clearances, materials = table("skirt_clearances"), table("materials")
    for more, less in pairwise(("2618", "4032", "hypereutectic")):  # a cast piston of 12 % silicon grows as 4032 and is made to run closer
        assert materials.row(more).si("expansion") > materials.row(less).si("expansion")
        for side in ("low", "high"):
            assert clearances.row(more).si(side) > clearances.row(less).si(side)
