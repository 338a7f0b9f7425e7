"""What the trade knows of fuels and knock. Common practice: no published source, unless one is named."""

from typing import Any

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

PREMIUM = {"octane": {"rating": 93, "scale": "aki"}}
REGULAR = {"octane": {"rating": 87, "scale": "aki"}}


def ask(ratio: float, speed: int, boost: float = 0.0, **changes: Any) -> dict[str, Any]:
    """An eight-cylinder of 5.7 liters; boost in bar, through an intercooler."""
    body: dict[str, Any] = {
        "bore": "101.6 mm",
        "stroke": "88.4 mm",
        "rod_length": "152.4 mm",
        "cylinders": 8,
        "compression_ratio": ratio,
        "speed": f"{speed} rpm",
        "fuel": PREMIUM,
        **({"boost": {"pressure": f"{boost} bar", "intercooler_effectiveness": 0.6}} if boost else {}),
        **changes,
    }
    return answer(calculations()["detonation-margin"], body)


def near(found: dict[str, Any]) -> bool:
    """Near its margin: zero lies in the band or within five octane numbers of it."""
    band = {side: found["octane_margin"][side]["value"] for side in ("low", "value", "high")}
    return bool(band["low"] - 5.0 < 0.0 < band["high"] + 5.0 and abs(band["value"]) < 12.0)


@pytest.mark.parametrize("speed", [2500, 3500, 4500])
def test_natural_engines_up_to_about_eleven_and_a_half_are_near_their_margin(speed: int) -> None:
    """Common practice: about 11.5:1 is the most that natural engines run on good pump fuel."""
    found = ask(11.5, speed)
    assert near(found)
    assert found["retard_required"]["value"]["value"] < 5.0


@pytest.mark.parametrize("speed", [3000, 4000, 5000])
def test_mid_nines_with_boost_on_premium_are_near_their_margin(speed: int) -> None:
    """Common practice: boosted engines on premium sit in the mid nines or lower; half a bar is the usual start."""
    found = ask(9.5, speed, 0.5)
    assert near(found)
    assert found["retard_required"]["value"]["value"] < 10.0
    assert found["retard_cost"]["value"]["value"] < 4.0


def test_compression_limits_stand_where_practice_has_them() -> None:
    """Common practice: 8.5 to 11.5 natural, 8 to 9.75 with boost: the low end, which is what to build to, lies near it."""
    natural, boosted = ask(10.0, 4000)["compression_ratio_limit"], ask(9.0, 4000, 0.5)["compression_ratio_limit"]
    assert 8.5 < natural["low"]["value"] < 12.0
    assert 8.0 < boosted["low"]["value"] < 9.75


def test_what_nobody_does() -> None:
    """Common practice: regular fuel does not carry 12.5:1, nor premium 11.5:1 with a bar of boost; nobody worries at 8:1 on premium."""
    assert ask(12.5, 2500, fuel=REGULAR)["octane_margin"]["high"]["value"] < 0.0
    foolish = ask(11.5, 3500, 1.0)
    assert foolish["octane_margin"]["high"]["value"] < 0.0
    assert next(check for check in foolish["checks"] if check["name"] == "spark-retard")["verdict"] == "fail"
    assert ask(8.0, 4000)["octane_margin"]["low"]["value"] > 0.0


def test_a_point_of_compression_costs_a_few_octane_numbers() -> None:
    """C. F. Taylor, The Internal Combustion Engine in Theory and Practice, vol. 2, ch. 2 (from memory): 3 to 6 a point near 9:1."""
    rise = [ask(ratio, 2500)["octane_required"]["value"]["value"] for ratio in (8.5, 9.5)]
    assert 3.0 < rise[1] - rise[0] < 7.0


def test_higher_is_easier() -> None:
    """Common practice: about one octane number less is asked for with each 300 m of altitude; a tenth to three tenths of it a kelvin."""
    heights = [ask(10.0, 3000, ambient={"altitude": height, "temperature": "25 degC"}) for height in ("0 m", "1500 m")]
    fall = heights[0]["octane_required"]["value"]["value"] - heights[1]["octane_required"]["value"]["value"]
    assert 3.0 < fall < 12.0
    warm = [ask(10.0, 3000, ambient={"temperature": t})["octane_required"]["value"]["value"] for t in ("15 degC", "35 degC")]
    assert 0.1 < (warm[1] - warm[0]) / 20.0 < 0.5


def test_octane_scales() -> None:
    """ASTM D4814: the index is (RON + MON)/2, so a fuel of 97.5 RON and 88.5 MON is a 93."""
    by_scale = [ask(10.0, 4000, fuel={"octane": {"rating": r, "scale": s}}) for r, s in ((97.5, "ron"), (88.5, "mon"), (93, "aki"))]
    margins = [one["octane_margin"]["value"]["value"] for one in by_scale]
    assert margins == pytest.approx([margins[0]] * 3)
