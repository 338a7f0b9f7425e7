"""Ring gaps against the literature and against common practice."""

import math
from typing import Any

import pytest

from borewright.calculations.base.single import answer
from borewright.calculations.cylinders.ring_gap import CALCULATION
from borewright.practice.tables import table


def answered(**body: Any) -> dict[str, Any]:
    return answer(CALCULATION, body)


def test_closure_of_an_iron_ring_in_an_iron_bore() -> None:
    """Expansion 11.4e-6/K: W. D. Callister, Fundamentals of Materials Science and Engineering, 3rd ed., table B.6.
    100 mm bore, ring 200 K up, bore 80 K up: π·100·11.4e-6·120 = 0.42977 mm by hand."""
    temperatures = {"ring": "220 degC", "bore": "100 degC", "assembly": "20 degC"}
    top = answered(bore="100 mm", rings={"top": {"material": "gray_iron"}}, temperatures=temperatures)["top"]
    assert top["thermal_closure"]["value"] == pytest.approx(0.42977, abs=5e-6)
    assert top["butting_gap"] == top["thermal_closure"]


@pytest.mark.parametrize("bore", [50.0, 86.0, 100.0, 130.0])
def test_natural_street_gap_lies_in_the_textbook_range(bore: float) -> None:
    """R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32: gap of a ring in its cylinder 0.002 D to 0.004 D.
    Its example 32.2 (D 100 mm) thus has 0.2 to 0.4 mm."""
    gap = answered(bore=f"{bore} mm")["top"]["practice_gap"]["value"]
    assert 0.002 * bore <= gap <= 0.004 * bore * (1 + 1e-12)
    row = table("ring_gaps").row("textbook")
    assert (row.si("low"), row.si("high")) == (0.002, 0.004)


def test_too_tight_a_gap_butts_when_hot() -> None:
    """Common practice: too tight a gap butts when hot. Here the heat closes 0.2865 mm = π·100·11.4e-6·80 by hand."""
    hot = {"ring": "190 degC", "bore": "110 degC", "assembly": "20 degC"}
    rings = {"top": {"material": "gray_iron"}}
    assert math.pi * 100 * 11.4e-6 * 80 == pytest.approx(0.28651, abs=1e-5)
    given = [{"cylinder": 1, "top": "0.286 mm"}, {"cylinder": 2, "top": "0.287 mm"}]
    found = answered(bore="100 mm", rings=rings, temperatures=hot, measured=given)
    assert [row["verdict"] for row in found["cylinders"]] == ["fail", "watch"]
    assert "butts when hot" in found["cylinders"][0]["reason"]


@pytest.mark.parametrize("service", ["street", "sport", "race"])
def test_boost_and_nitrous_want_wider_gaps(service: str) -> None:
    """Common practice: boosted and nitrous engines run wider gaps than natural ones."""
    natural, boost, nitrous = (
        answered(bore="4 in", duty={"aspiration": aspiration, "service": service}) for aspiration in ("natural", "boost", "nitrous")
    )
    for ring in ("top", "second"):
        for gap in ("practice_gap", "recommended_gap"):
            assert natural[ring][gap]["value"] < boost[ring][gap]["value"] < nitrous[ring][gap]["value"]


def test_practice_leaves_the_ends_apart() -> None:
    """Common practice and physics agree: at practice's temperatures the practice gap of an iron top ring stays open for every duty."""
    for aspiration in ("natural", "boost", "nitrous"):
        for service in ("street", "sport", "race"):
            top = answered(bore="4 in", units="inch", duty={"aspiration": aspiration, "service": service})["top"]
            left = top["practice_gap"]["value"] - top["butting_gap"]["value"]
            assert 0.001 < left < 0.006
