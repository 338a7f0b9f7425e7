"""32 engines in general terms on their fuel against what practice says of each; written down before the model was fitted.

Common practice, from memory. Where model and practice differ is listed, and the list may only grow shorter.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

ENGINES: list[dict[str, Any]] = json.loads((Path(__file__).parent / "data" / "engines_on_their_fuel.json").read_text("utf-8"))["engines"]

MISSED = {
    "side-valve six, 6.3:1, on the fuel of its day": "asks for 14 degrees: its chamber burns faster and cooler than the model's",
    "port-injected street engine, 12.5:1, on regular": "asks for 7.5 degrees where 8 are normal: late, but quiet",
    "turbo four on E85, 9.5:1, 1.2 bar intercooled": "asks for 13 degrees: the delay knows no more of alcohol than its octane number",
}


def said(engine: dict[str, Any]) -> str:
    """What the model says of an engine: whether it lives at the retard that is normal in its kind."""
    found = answer(calculations()["detonation-margin"], engine["request"])
    verdict = next(check["verdict"] for check in found["checks"] if check["name"] == "spark-retard")
    assert verdict != "unknown"
    return "fails" if verdict == "fail" else "lives"


@pytest.mark.parametrize("engine", ENGINES, ids=[engine["engine"] for engine in ENGINES])
def test_lives_or_fails_as_practice_says(engine: dict[str, Any]) -> None:
    assert (said(engine) == engine["practice"]) == (engine["engine"] not in MISSED)


def test_an_aircraft_engine_takes_off_full_rich() -> None:
    """At 12:1 of air over fuel and richer (texts for pilots' examinations), unless the caller says otherwise."""
    engine = next(one["request"] for one in ENGINES if "7.0:1, on its placarded" in one["engine"])
    silent, said_so = (
        answer(calculations()["detonation-margin"], {**engine, "fuel": {**engine["fuel"], **mixture}})
        for mixture in ({}, {"equivalence_ratio": 1.1})
    )
    assumed = {one["name"]: one for one in silent["assumptions"]}["fuel.equivalence_ratio"]
    assert 14.7 / assumed["value"]["value"] <= 12.1
    assert "fuel.equivalence_ratio" not in {one["name"] for one in said_so["assumptions"]}
    assert silent["octane_margin"]["value"]["value"] > said_so["octane_margin"]["value"]["value"] + 1.0


def test_the_grid_is_wide_and_mostly_hit() -> None:
    assert len(ENGINES) >= 20
    assert {engine["practice"] for engine in ENGINES} == {"lives", "fails"}
    assert len(MISSED) <= len(ENGINES) // 8
