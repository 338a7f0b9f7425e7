"""Strength over random builds: what makes a part thicker or lighter never makes it weaker, and what loads it never makes it safer."""

import copy
import random
from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from borewright.calculations.base.problems import ImpossibleBuild
from borewright.calculations.base.single import answer
from borewright.calculations.strength import CALCULATION

ALLOYS = ("2618", "4032", "cast_eutectic", "hypereutectic")
PINS = ("steel_16mncr5", "steel_17cr3", "steel_31crmov9", "steel_52100", "steel_h13", "steel_4340")
RODS = ("steel_4340_540", "steel_38mnvs6", "steel_c70", "steel_1040")


def build(seed: int) -> dict[str, Any]:
    """An engine of random but possible sizes, in mm, g, rpm and bar."""
    draw = random.Random(seed).uniform
    pick = random.Random(seed + 1).choice
    bore = draw(55, 150)
    stroke = bore * draw(0.6, 1.3)
    outer, span = bore * draw(0.2, 0.35), bore * draw(0.25, 0.4)
    shank = bore * draw(0.9, 1.5)
    return {
        "units": "metric",
        "bore": bore,
        "stroke": stroke,
        "cylinders": 1,
        "rod_length": stroke * draw(1.5, 2.1),
        "speed": draw(5, 24) / (2 * stroke) * 60000,
        "peak_pressure": f"{draw(30, 170)} bar",
        "duty": {"aspiration": pick(("natural", "boost", "nitrous")), "service": pick(("street", "sport", "race"))},
        "piston": {
            "mass": 0.09 * bore**2 * draw(0.5, 1.2),
            "alloy": pick(ALLOYS),
            "top_land": bore * draw(0.04, 0.12),
            "second_land": bore * draw(0.03, 0.08),
            "land_groove_root": bore * draw(0.89, 0.94),
            "crown_thickness": bore * draw(0.05, 0.15),
            "crown_span": bore * draw(0.3, 0.5),
        },
        "pin": {
            "outer": outer,
            "inner": outer * draw(0.3, 0.7),
            "length": bore * draw(0.6, 0.85),
            "mass": 0.015 * bore**2,
            "boss_span": span,
            "material": pick(PINS),
        },
        "rod": {
            "mass": 0.08 * bore**2,
            "small_end_width": span * draw(0.8, 0.98),
            "material": pick(RODS),
            "shank": {"height": 0.295 * shank, "width": 0.205 * shank, "web": 0.041 * shank, "flange": 0.0436 * shank},
        },
    }


def changed(request: dict[str, Any], path: str, factor: float) -> dict[str, Any]:
    found = copy.deepcopy(request)
    *steps, last = path.split(".")
    place = found
    for step in steps:
        place = place[step]
    if isinstance(place[last], str):
        number, _, unit = place[last].partition(" ")
        place[last] = f"{float(number) * factor} {unit}"
    else:
        place[last] *= factor
    return found


def factors(request: dict[str, Any]) -> dict[str, float] | None:
    """Factors of safety over those wanted; None where the sizes cannot be."""
    try:
        found = answer(CALCULATION, request)
    except ImpossibleBuild:
        return None
    known = (row for row in found["parts"] if row["factor_of_safety"] is not None)
    return {row["name"]: row["factor_of_safety"]["value"] / row["factor_wanted"]["value"] for row in known}


@cache
def unchanged(seed: int) -> dict[str, float] | None:
    """Those of a build as it is drawn, which every change of it is held against."""
    return factors(build(seed))


SAFER = {  # what is raised, and whether that is safer
    "piston.crown_thickness": True,
    "piston.crown_span": False,
    "piston.top_land": True,
    "piston.second_land": True,
    "piston.land_groove_root": True,
    "pin.outer": True,
    "pin.inner": False,
    "pin.boss_span": False,
    "rod.shank.flange": True,
    "rod.shank.web": True,
    "piston.mass": False,
    "speed": False,
    "peak_pressure": False,
}


@pytest.mark.parametrize("path", list(SAFER))
def test_no_wrong_sign(path: str) -> None:
    tried = 0
    for seed in range(40):
        before, after = unchanged(seed), factors(changed(build(seed), path, 1.04))
        if before is None or after is None:
            continue
        tried += 1
        for name, factor in after.items():
            better = factor >= before[name] * (1 - 1e-9) if SAFER[path] else factor <= before[name] * (1 + 1e-9)
            assert better, (seed, name, before[name], factor)
    assert tried >= 30


def least(request: dict[str, Any]) -> tuple[float, float]:
    """The least margin, and how far boost may go."""
    found = answer(CALCULATION, request)
    margins = [row["factor_of_safety"]["value"] / row["factor_wanted"]["value"] for row in found["parts"] if row["factor_of_safety"]]
    limit = found["boost_to_limit"]
    return min(margins), 0.0 if limit is None else limit["value"]


def running(seed: int, boost: float) -> dict[str, Any]:
    request = build(seed)
    del request["peak_pressure"]
    return {**request, "compression_ratio": 9.5, "volumetric_efficiency": 0.9, "boost": {"pressure": boost}}


@pytest.mark.parametrize("seed", range(12))
def test_more_boost_is_never_safer_and_never_in_a_step(seed: int) -> None:
    """From nothing, in small steps: the margin falls, and by no more than the boost rises."""
    steps = [0.0, 0.5, 20.0, 20.5, 80.0, 80.5, 150.0, 150.5]
    margins = [least(running(seed, boost))[0] for boost in steps]
    assert all(later <= earlier * (1 + 1e-6) for earlier, later in pairwise(margins))
    for before, after in zip(margins[::2], margins[1::2], strict=True):
        assert after > 0.98 * before
