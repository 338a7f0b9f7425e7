"""Factors of safety: all are found wherever an answer carries them, weakest first."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from borewright.sheet.drawings import strength
from borewright.sheet.sections import Worked


def factor(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "1"}


def with_section(found: Worked, section: dict[str, Any]) -> Worked:
    return replace(found, sheet={**found.sheet, "sections": {**found.sheet["sections"], "strength": section}})


def test_the_weakest_is_named(working: Callable[..., Worked]) -> None:
    parts = [{"name": "pin bending", "factor_of_safety": factor(2.1)}, {"name": "second-land", "factor_of_safety": factor(1.15)}]
    drawing = strength.draw(with_section(working({}), {"parts": parts}))
    assert drawing is not None
    assert drawing.title.endswith("the weakest is second land")
    assert "1.15 weakest" in drawing.svg
    assert drawing.text == "Bars, weakest first: second land 1.15, pin bending 2.10."


def test_nested_parts_are_found_by_the_name_of_their_field() -> None:
    tree = {
        "pin": {"bending": {"factor_of_safety": factor(2.0)}},
        "rod": {"factor_of_safety": factor(3.0)},
        "checks": [{"factor_of_safety": factor(9)}],
    }
    assert sorted(strength.factors(tree)) == [("bending", 2.0), ("rod", 3.0)]


def test_an_unknown_factor_is_no_bar(working: Callable[..., Worked]) -> None:
    assert strength.draw(with_section(working({}), {"parts": [{"name": "pin", "factor_of_safety": None}]})) is None
    assert strength.draw(working({})) is None
