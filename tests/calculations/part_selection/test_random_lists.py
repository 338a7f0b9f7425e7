"""Random lists of parts, from JSON to JSON: the search on the same sizes, in any unit, and no worse with more parts."""

import random
from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from selecting import CALCULATION, FIVE

from borewright.calculations.base.single import answer
from borewright.calculations.part_selection.catalog import LISTS
from borewright.selection.candidates import Block, Crank, Gasket, Head, Piston, Rod
from borewright.selection.demands import BuildLimits, Cut, Duty, Machining, SearchProblem, Span, Target
from borewright.selection.search import search


def random_lists(draw: random.Random) -> dict[str, list[dict[str, float]]]:
    """Small lists of plain sizes [mm, cm3, currency]."""

    def some(make: Any) -> list[dict[str, float]]:
        return [make() for _ in range(draw.randint(1, 3))]

    def at(nominal: float, spread: float) -> float:
        return round(nominal + draw.uniform(-spread, spread), 3)

    return {
        "cranks": some(lambda: {"stroke": at(88, 2), "rod_journal_diameter": draw.choice([48.0, 50.0]), "price": draw.randint(0, 500)}),
        "rods": some(
            lambda: {
                "length": at(144, 2),
                "small_end_bore": draw.choice([21.97, 22.0, 22.02]),
                "journal_diameter": draw.choice([48.0, 50.0]),
                "price": draw.randint(0, 300),
            }
        ),
        "pistons": some(
            lambda: {
                "bore": draw.choice([100.0, 100.5, 101.0]),
                "compression_height": at(40, 1.5),
                "dome": draw.choice([0.0, 3.0]),
                "recess": at(6, 5),
                "pin_diameter": draw.choice([22.0, 23.0]),
                "price": draw.randint(0, 800),
            }
        ),
        "gaskets": some(lambda: {"bore": draw.choice([100.2, 102.0]), "thickness": at(1.2, 0.4), "price": draw.randint(0, 90)}),
        "heads": some(lambda: {"chamber_volume": at(66, 10), "chamber_area": 55.0, "price": draw.randint(0, 900)}),
    }


KINDS = {"dome": "cm3", "recess": "cm3", "chamber_volume": "cm3", "chamber_area": "cm2", "price": ""}
SI = {"mm": 1e-3, "cm3": 1e-6, "cm2": 1e-4, "": 1.0}


def as_json(lists: Mapping[str, list[dict[str, float]]]) -> dict[str, Any]:
    """The lists as a request spells them."""
    return {
        name: [
            {
                "id": f"{name}-{place}",
                **{field: f"{value} {unit}" if (unit := KINDS.get(field, "mm")) else value for field, value in entry.items()},
            }
            for place, entry in enumerate(entries)
        ]
        for name, entries in lists.items()
    }


def as_problem(lists: Mapping[str, list[dict[str, float]]]) -> SearchProblem:
    """The lists as the search takes them, built without the calculation."""
    makes = {"cranks": Crank, "rods": Rod, "pistons": Piston, "gaskets": Gasket, "heads": Head}
    made: dict[str, Any] = {
        name: tuple(
            makes[name](f"{name}-{place}", **{field: value * SI[KINDS.get(field, "mm")] for field, value in entry.items()})
            for place, entry in enumerate(entries)
        )
        for name, entries in lists.items()
    }
    return SearchProblem(
        block=Block(deck_height=0.2287, bore=0.1, maximum_bore=0.1008, cylinders=8),
        target=Target(10.0, 9.6, 10.4),
        machining=Machining(bore_price=200.0, deck_cut=Cut(0.5e-3, 150.0), head_mill=Cut(0.7e-3, 140.0), small_end_hone=Cut(0.08e-3, 60.0)),
        limits=BuildLimits(
            deck_clearance=Span(-0.5e-3, 1.6e-3),
            squish=Span(0.7e-3, 2.2e-3),
            pin_end_room=0.508e-3,
            counterweight_clearance=1.524e-3,
            floating_clearance=Span(0.0, 0.05e-3),
            press_interference=Span(0.0, 0.06e-3),
        ),
        duty=Duty(),
        **made,
    )


SHOP = {
    "block": {"deck_height": "228.7 mm", "bore": "100 mm", "maximum_bore": "100.8 mm", "cylinders": 8},
    "target_compression": {"value": 10, "low": 9.6, "high": 10.4},
    "machining": {
        "bore": {"price": 200},
        "deck_cut": {"max": "0.5 mm", "price": 150},
        "head_mill": {"max": "0.7 mm", "price": 140},
        "small_end_hone": {"max": "0.08 mm", "price": 60},
    },
    "limits": {"deck_clearance": {"low": "-0.5 mm", "high": "1.6 mm"}, "squish": {"low": "0.7 mm", "high": "2.2 mm"}},
    "top": 50,
}


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9), st.permutations(["operations", "cost", "closeness"]))
def test_a_request_is_the_search_of_its_lists(seed: int, prefer: list[str]) -> None:
    """From JSON to JSON nothing is lost: choices, amounts, counts and the nearest miss are those of the search on the same sizes."""
    lists = random_lists(random.Random(seed))
    found = answer(CALCULATION, {**SHOP, **as_json(lists), "prefer": prefer})
    expected = search(as_problem(lists), prefer=prefer, top=50)
    assert found["considered"] == expected.considered == found["fitting"] + sum(found["rejected"].values())
    assert (found["fitting"], found["rejected"]) == (expected.fitting, expected.rejected)
    assert len(found["choices"]) == len(expected.choices)
    for choice, chosen in zip(found["choices"], expected.choices, strict=True):
        assert list(choice["parts"].values()) == [getattr(chosen, name).id for name in FIVE]
        assert choice["cost"] == pytest.approx(chosen.cost)
        assert choice["results"]["compression_ratio"]["value"] == pytest.approx(chosen.compression_ratio, rel=1e-10)
        assert [work["operation"] for work in choice["machining"]] == [work.operation for work in chosen.work]
        for work, done in zip(choice["machining"], chosen.work, strict=True):
            assert work["amount"]["value"] == pytest.approx(done.amount * 1e3, rel=1e-9, abs=1e-9)
        assert "fail" not in {each["verdict"] for each in choice["checks"]}, "what the search admits, its checks admit"
    near = found["nearest"]
    assert (near is None) is bool(expected.fitting)
    if near is not None:
        first, combination = expected.nearest[0], expected.nearest[0].combination
        broken = [give["rule"] for give in near["gives"] if not give["follows"]]
        if broken != [first.reason]:  # else one that breaks no other, of those that miss it by as little
            assert list(near["parts"].values()) == [f"{name}-{place}" for name, place in zip(LISTS, combination.places, strict=True)]
            assert broken == [each.reason for each in combination.broken]
        failing = sum(each["verdict"] == "fail" for each in near["checks"])
        assert failing >= len(broken), "each broken rule fails a check"
    assert [each["rule"] for each in found["closest"]] == [miss.reason for miss in expected.nearest]


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**9))
def test_units_change_nothing(seed: int) -> None:
    """The same lists in inches, answered in inches, choose the same parts with the same sizes."""
    lists = as_json(random_lists(random.Random(seed)))
    metric = answer(CALCULATION, {**SHOP, **lists})
    inches = {name: [{field: in_inches(value) for field, value in entry.items()} for entry in entries] for name, entries in lists.items()}
    inch = answer(CALCULATION, {"units": "inch", **SHOP, **inches})
    assert [choice["parts"] for choice in metric["choices"]] == [choice["parts"] for choice in inch["choices"]]
    assert (metric["rejected"], metric["fitting"]) == (inch["rejected"], inch["fitting"])
    for one, other in zip(metric["choices"], inch["choices"], strict=True):
        assert one["results"]["compression_ratio"]["value"] == pytest.approx(other["results"]["compression_ratio"]["value"], rel=1e-9)
        assert one["results"]["deck_clearance"]["value"] == pytest.approx(other["results"]["deck_clearance"]["value"] * 25.4, abs=1e-8)
        assert [each["verdict"] for each in one["checks"]] == [each["verdict"] for each in other["checks"]]


def in_inches(value: Any) -> Any:
    """A length in millimeters as the same length in inches, to the last digit of a double."""
    if isinstance(value, str) and value.endswith(" mm"):
        return {"value": float(value.removesuffix(" mm")) / 25.4, "unit": "in"}
    return value


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**9))
def test_more_parts_never_make_it_worse(seed: int) -> None:
    """Monotone: with another part in a list there are at least as many choices, and the best is at least as good."""
    draw = random.Random(seed)
    lists = random_lists(draw)
    name = draw.choice(LISTS)
    more = {**lists, name: [*lists[name], random_lists(draw)[name][0]]}
    fewer, all_of_them = answer(CALCULATION, {**SHOP, **as_json(lists)}), answer(CALCULATION, {**SHOP, **as_json(more)})
    assert all_of_them["fitting"] >= fewer["fitting"]
    if fewer["choices"]:
        best, first = all_of_them["choices"][0], fewer["choices"][0]
        assert (best["operations"], best["cost"]) <= (first["operations"], first["cost"])
