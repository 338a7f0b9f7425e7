"""Random parts, asked of every operation that judges them: one rule has one value, one limit and one verdict wherever it is asked."""

import itertools
import math
import random
import re
from collections import Counter
from typing import Any

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

BUILDS = 300  # each asked of four operations
SEARCHES = 20  # each of 96 combinations, every one of them asked alone as well: 2,220 in all
CUTS = {"deck_cut": 0.3, "head_mill": 0.5, "small_end_hone": 0.1}
UNITS = {"inch": 1.0, "metric": 25.4}


def figure(draw: random.Random, size: float, scale: float, tolerance: float) -> str:
    """A size in the caller's decimals, sometimes with a tolerance."""
    unit, digits = ("in", 3) if scale == 1.0 else ("mm", 2)
    text = f"{round(size * scale, digits)} {unit}"
    return f"{text} ± {round(tolerance * scale, digits + 1)} {unit}" if draw.random() < 0.25 else text


def parts(draw: random.Random, scale: float) -> dict[str, dict[str, Any]]:
    """A block, a crank, a rod, a piston with its pin, a gasket and a head, [in], near to going together; facts may be missing."""

    def size(low: float, high: float, tolerance: float = 0.001) -> str:
        return figure(draw, draw.uniform(low, high), scale, tolerance)

    def maybe(**facts: Any) -> dict[str, Any]:
        return {name: fact for name, fact in facts.items() if draw.random() > 0.15}

    stroke = draw.choice((3.36, 3.5, 3.63))
    rod = draw.choice((5.86, 6.01, 6.16))
    height = 9.140 - stroke / 2 - rod - draw.choice((0.0, 0.01, 0.025, draw.uniform(-0.02, 0.14)))
    opening = draw.choice((3.862, 3.892, 3.922, 3.962))
    gasket = {"bore": figure(draw, opening, scale, 0.001)}
    if draw.random() < 0.3:
        side = math.pi / 4 * opening**2 * (2.54**2 if scale != 1.0 else 1.0)
        gasket = {"area": f"{side:.3f} {'cm2' if scale != 1.0 else 'in2'}"}
    return {
        "block": {"deck_height": figure(draw, 9.140, scale, 0.002)},
        "crank": {
            "stroke": figure(draw, stroke, scale, 0.001),
            **maybe(counterweight_radius=size(2.8, 3.6), counterweight_gap=size(2.3, 2.8)),
        },
        "rod": {"length": figure(draw, rod, scale, 0.001), "pin_retention": draw.choice(("press", "floating"))},
        "piston": {
            "compression_height": figure(draw, height, scale, 0.001),
            **maybe(
                pin_diameter=size(0.9, 1.0, 0.0001),
                pin_length=size(2.6, 3.95),
                retainer_thickness=size(0.01, 0.09),
                boss_below_pin=size(0.6, 0.9),
                width_at_boss=size(2.4, 3.2),
                top_land=size(0.2, 0.35),
                second_land=size(0.12, 0.2),
            ),
        },
        "gasket": {"thickness": size(0.027, 0.065), **gasket},
        "head": {"chamber_volume": f"{round(draw.uniform(58, 76), 1)} cm3"},
    }


def own_limits(draw: random.Random) -> dict[str, Any]:
    """The caller's own limits, now and then."""
    limits: dict[str, Any] = {}
    if draw.random() < 0.2:
        limits["squish"] = draw.choice(({"low": "0.030 in"}, {"high": "0.055 in"}, {"low": "0.028 in", "high": "0.05 in"}))
    if draw.random() < 0.2:
        limits["deck_clearance"] = {"low": "0 in", "high": "0.02 in"}
    for name, low in (("counterweight_clearance", "0.04 in"), ("pin_end_room", "0.03 in"), ("top_land", "0.25 in")):
        if draw.random() < 0.15:
            limits[name] = {"low": low}
    return limits


def asked(draw: random.Random, built: dict[str, dict[str, Any]], duty: dict[str, str], limits: dict[str, Any], scale: float) -> Any:
    """The same parts as each operation takes them, with the checks it answers by their names."""
    bore = f"{round(3.892 * scale, 2 if scale != 1.0 else 3)} {'in' if scale == 1.0 else 'mm'}"
    units = "inch" if scale == 1.0 else "metric"
    stack = {
        "deck_height": built["block"]["deck_height"],
        "rod_length": built["rod"]["length"],
        "compression_height": built["piston"]["compression_height"],
    }
    geometry = {
        "bore": bore,
        "stroke": built["crank"]["stroke"],
        "cylinders": 8,
        "chamber_volume": built["head"]["chamber_volume"],
        "gasket": built["gasket"],
        "stack": stack,
        "units": units,
    }
    squish = {"squish": limits["squish"]} if "squish" in limits else {}
    fit = {name: dict(built[name]) for name in ("block", "crank", "rod", "piston", "gasket")}
    listed = {f"{name}s": [{"id": name, **built[name]}] for name in ("crank", "rod", "piston", "gasket", "head")}
    listed["pistons"][0]["bore"] = bore
    held = {"duty": duty, "limits": limits, "units": units}
    requests = {
        "assembly-fit": {**fit, "bore": bore, **held},
        "part-selection": {
            **listed,
            "block": {**built["block"], "bore": bore, "cylinders": 8},
            **held,
        },
        "compression": {**geometry, "limits": squish},
        "compression-target": {**geometry, "target": "10 ± 8", "levers": {"limits": squish}},
    }
    return {name: answer(calculations()[name], body) for name, body in requests.items()}


@pytest.mark.parametrize("seed", range(BUILDS))
def test_the_same_parts_are_told_one_thing(seed: int) -> None:
    """Every name that two operations share: the same verdict, value and limits; four operations and the search over one of each."""
    draw = random.Random(seed)
    scale = draw.choice(tuple(UNITS.values()))
    built, limits = parts(draw, scale), own_limits(draw)
    duty = {"aspiration": draw.choice(("natural", "boost", "nitrous"))}
    answers = asked(draw, built, duty, limits, scale)
    found: dict[str, list[tuple[str, Any]]] = {}
    for operation, answered in answers.items():
        for check in answered["checks"]:
            found.setdefault(check["name"], []).append((operation, check))
    shared = {name: told for name, told in found.items() if len(told) > 1}
    assert {"deck-clearance", "squish", "bore-to-gasket-clearance", "pin-end-room", "counterweight-to-boss"} <= set(shared)
    for name, told in shared.items():
        (first, expected), *others = told
        for operation, check in others:
            between = f"{name}: {first} and {operation} of {built}"
            assert check["verdict"] == expected["verdict"], between
            assert check["basis"] == expected["basis"], between
            assert same(check["value"], expected["value"]), between
            assert all(same(check["limits"].get(side), expected["limits"].get(side)) for side in ("low", "high")), between
            assert bool(check["missing"]) == bool(expected["missing"]) == (check["verdict"] == "unknown"), between


def same(one: dict[str, Any] | None, other: dict[str, Any] | None) -> bool:
    """Whether two figures of an answer are equal, to the last digits of a sum."""
    if one is None or other is None:
        return one is other
    return one["unit"] == other["unit"] and math.isclose(one["value"], other["value"], rel_tol=1e-9, abs_tol=1e-11)


@pytest.mark.parametrize("seed", range(SEARCHES))
def test_a_search_turns_away_what_its_combinations_break_alone(seed: int) -> None:
    """Every combination of some lists asked alone: as many fit, and each counts under the first rule that it breaks there."""
    draw = random.Random(1000 + seed)
    scale = draw.choice(tuple(UNITS.values()))
    bore = f"{round(3.892 * scale, 2 if scale != 1.0 else 3)} {'in' if scale == 1.0 else 'mm'}"
    sizes = {"cranks": 2, "rods": 3, "pistons": 4, "gaskets": 2, "heads": 2}
    lists: dict[str, list[dict[str, Any]]] = {}
    for name, count in sizes.items():
        lists[name] = [{"id": f"{name} {place}", **parts(draw, scale)[name.removesuffix("s")]} for place in range(count)]
    for piston in lists["pistons"]:
        piston["bore"] = bore
    body: dict[str, Any] = {
        "units": "metric",
        "target_compression": {"value": "9.5 ± 1.5"},
        "block": {"deck_height": f"{9.140 * scale} {'in' if scale == 1.0 else 'mm'}", "bore": bore, "cylinders": 8},
        "duty": {"aspiration": draw.choice(("natural", "boost"))},
        "machining": draw.choice(({}, {name: {"max": f"{most} mm"} for name, most in CUTS.items()})),
        "limits": own_limits(draw),
    }
    calculation = calculations()["part-selection"]
    together = answer(calculation, {**body, **lists, "top": 50})
    alone, fitting = Counter[str](), {}
    for chosen in itertools.product(*lists.values()):
        one = answer(calculation, {**body, **{name: [part] for name, part in zip(lists, chosen, strict=True)}})
        alone.update(one["rejected"])
        if one["choices"]:
            fitting[tuple(part["id"] for part in chosen)] = one["choices"][0]
    assert together["considered"] == math.prod(sizes.values())
    assert together["fitting"] == len(fitting)
    assert together["rejected"] == dict(alone)
    for choice in together["choices"]:
        assert placeless(choice) == placeless(fitting[tuple(choice["parts"].values())])


def placeless(choice: dict[str, Any]) -> dict[str, Any]:
    """A choice whose checks point at lists, not at places in them: alone, every part is the first of its list."""
    checks = [{**check, "missing": [re.sub(r"/[0-9]+/", "/", pointer) for pointer in check["missing"]]} for check in choice["checks"]]
    return {**choice, "checks": checks}


def test_the_random_parts_meet_every_verdict() -> None:
    """The comparison means something only where the rules that are shared pass, fail, and lack something."""
    met: dict[str, set[str]] = {}
    for seed in range(40):
        draw = random.Random(seed)
        scale = draw.choice(tuple(UNITS.values()))
        built, limits = parts(draw, scale), own_limits(draw)
        for answered in asked(draw, built, {"aspiration": "boost"}, limits, scale).values():
            for check in answered["checks"]:
                met.setdefault(check["name"], set()).add(check["verdict"])
    for name in ("squish", "pin-end-room", "counterweight-to-boss", "bore-to-gasket-clearance", "top-land", "second-land"):
        assert {"pass", "fail"} <= met[name], name
    assert "watch" in met["squish"] & met["deck-clearance"]
    assert "unknown" in met["pin-end-room"] & met["counterweight-to-boss"]


INCHES = [thousandths / 1000.0 for thousandths in range(-30, 31, 2)]


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_values_on_their_limits_pass(unit: str) -> None:
    """Gasket and deck in decimals that add up to a limit of the caller's, in either unit, of every operation that judges squish."""
    scale, judged = (1.0, 3) if unit == "in" else (25.4, 4), 0
    for deck, limit in itertools.product(INCHES, (0.035, 0.040, 0.060)):
        thickness = round(limit - deck, 3)
        if thickness < 0.005:
            continue
        texts = [f"{round(each * scale[0], scale[1])} {unit}" for each in (deck, thickness, limit)]
        geometry = {
            "bore": "3.892 in",
            "stroke": "3.36 in",
            "cylinders": 8,
            "chamber_volume": "57 cm3",
            "gasket": {"thickness": texts[1], "bore": "3.892 in"},
            "deck_clearance": texts[0],
        }
        for side in ("low", "high"):
            own = {"squish": {side: texts[2]}}
            for name, body in (
                ("compression", {**geometry, "limits": own}),
                ("compression-target", {**geometry, "target": "10 ± 8", "levers": {"limits": own}}),
            ):
                checks = {check["name"]: check for check in answer(calculations()[name], body)["checks"]}
                assert checks["squish"]["verdict"] == "pass", (name, texts, checks["squish"]["value"])
                assert checks["bore-to-gasket-clearance"]["verdict"] == "pass"
                judged += 1
    assert judged > 300


ON_THEIR_LIMITS = (
    *("counterweight-to-boss", "top-land", "second-land", "squish", "deck-clearance"),
    *("bore-to-gasket-clearance", "head-bore", "bore", "journal-diameter", "pin-fit"),
)


def test_fits_on_their_limits_pass() -> None:
    """Counterweight, pin end, pin fit, lands, journals and bores that meet their limits to the last decimal."""
    judged = 0
    for thousandths in range(0, 200, 4):
        boss = round(0.7 + thousandths / 1000.0, 3)
        request: dict[str, Any] = {
            "units": "inch",
            "block": {"deck_height": 9.140, "bore": 3.892, "cylinders": 8},
            "cranks": [{"id": "c", "stroke": 3.36, "counterweight_radius": round(3.9 - boss, 3), "rod_journal_diameter": 2.072}],
            "rods": [{"id": "r", "length": 5.86, "small_end_bore": 0.951, "journal_diameter": 2.072}],
            "pistons": [
                {
                    "id": "p",
                    "bore": 3.892,
                    "compression_height": round(9.140 - 1.68 - 5.86 - 0.06, 3),
                    "pin_diameter": 0.951,
                    "boss_below_pin": boss,
                    "top_land": 0.275,
                    "second_land": 0.165,
                }
            ],
            "gaskets": [{"id": "g", "bore": 3.892, "thickness": 0.0}],
            "heads": [{"id": "h", "chamber_volume": "57 cm3", "minimum_bore": 3.892, "maximum_bore": 3.892}],
            "duty": {"aspiration": "boost"},
            "limits": {"squish": {"high": 0.1}, "journal_diameter_difference": {"high": 0.0}},
        }
        request["gaskets"][0]["thickness"] = round(0.02 + thousandths / 10000.0, 4)
        request["limits"]["squish"] = {"low": round(0.08 + thousandths / 10000.0, 4), "high": round(0.08 + thousandths / 10000.0, 4)}
        found = answer(calculations()["part-selection"], request)
        verdicts = {check["name"]: check["verdict"] for check in found["checks"]}
        for name in ON_THEIR_LIMITS:
            assert verdicts[name] == "pass", (name, boss)
            judged += 1
        assert found["fitting"] == 1
    assert judged >= 500
