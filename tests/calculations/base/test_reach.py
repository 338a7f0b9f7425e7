"""What knowing an input exactly is likely to do to a verdict: against sums of rectangles worked by hand, and against chance itself."""

import math
from itertools import pairwise

import numpy as np
import pytest

from borewright.calculations.base.loading import load
from borewright.calculations.base.reach import Reach, below
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answered

SQUISH = {
    "bore": "100 mm",
    "stroke": "90 mm",
    "cylinders": 4,
    "chamber_volume": "50 cm3",
    "gasket": {"bore": "101 mm", "thickness": "1.0 mm ± 0.05 mm"},
    "deck_clearance": "0.02 mm ± 0.02 mm",
    "limits": {"squish": {"low": "1.0 mm", "high": "1.5 mm"}},
}


@pytest.mark.parametrize(
    ("limit", "half_widths", "chance"),
    [
        (-2.0, [1.0, 1.0], 0.0),
        (-1.0, [1.0, 1.0], 1.0 / 8.0),  # the corner of a triangle: (1/2)·1²/4
        (0.0, [1.0, 1.0], 0.5),
        (1.0, [2.0, 1.0], 0.75),  # a trapezoid, flat from -1 to 1 at 1/4
        (-2.0, [1.0, 1.0, 1.0], 1.0 / 48.0),  # the corner of a cube of side 2: 1/3! of 2³
    ],
)
def test_sums_of_rectangles_as_worked_by_hand(limit: float, half_widths: list[float], chance: float) -> None:
    assert below(limit, half_widths) == pytest.approx(chance, abs=1e-12)


@pytest.mark.parametrize("half_widths", [[0.3, 1.1, 0.7], [1.0, 0.2, 0.5, 0.9], [0.4, 0.9, 0.6, 1.0, 0.8, 0.7], [1.0, 1e-9]])
def test_sums_of_rectangles_as_chance_has_them(half_widths: list[float]) -> None:
    drawn = np.random.default_rng(5).uniform(-1.0, 1.0, (200_000, len(half_widths))) @ np.array(half_widths)
    for limit in (-1.0, -0.3, 0.2, 0.8):
        assert below(limit, half_widths) == pytest.approx(float((drawn < limit).mean()), abs=0.01)


def test_a_squish_at_the_edge_as_worked_by_hand() -> None:
    """Squish 1.02 ± 0.07 over a limit of 1.00: the gasket moves it by 0.05, the deck by 0.02.

    With the gasket known, the deck leaves 0.02: a gasket of 1.00 or more passes (a half of its tolerance), one below 0.98 fails
    (three tenths). The deck alone leaves 0.05: it can lift the squish to 1.04 at most and sink it to 1.00, and changes nothing.
    """
    calculation = calculations()["compression"]
    found = answered(calculation, load(calculation.request_schema, SQUISH))
    squish = dict(zip([check.name for check in found.outcome.checks], found.reaches(), strict=True))["squish"]
    assert squish.verdict == "watch"
    assert squish.effects == pytest.approx({"#/gasket/thickness": 0.05e-3, "#/deck_clearance": 0.02e-3})
    assert squish.chance(["#/gasket/thickness"]) == pytest.approx(0.5 + 0.3, abs=1e-6)
    assert squish.chance(["#/deck_clearance"]) == pytest.approx(0.0, abs=1e-6)
    assert squish.chance(["#/deck_clearance", "#/gasket/thickness"]) == pytest.approx(1.0)
    assert squish.share_allowed(["#/gasket/thickness", "#/deck_clearance"]) == pytest.approx(0.02 / 0.07, rel=1e-6)
    assert squish.share_allowed(["#/deck_clearance"]) is None


def test_knowing_more_never_settles_less() -> None:
    effects = {"a": 0.5, "b": 0.3, "c": 0.4}
    for value in (-0.4, -0.1, 0.05, 0.3, 0.7):
        for verdict in ("watch", "fail"):
            edge = Reach(value, 0.0, math.inf, True, True, verdict, effects)
            chances = [edge.chance(known) for known in ("", "a", "ab", "abc")]
            assert all(0.0 <= chance <= 1.0 for chance in chances)
            if verdict == "watch" and value >= 0.0:
                assert all(more >= less - 1e-12 for less, more in pairwise(chances))


def test_a_soft_limit_that_is_gone_beyond_is_only_left_by_coming_back() -> None:
    soft = Reach(-0.5, 0.0, math.inf, False, False, "watch", {"a": 1.0})
    assert soft.chance(["a"]) == pytest.approx(0.25)  # half of what reaches up, of a tolerance to both sides
