"""Sections as rows and tables, for every calculation that is registered."""

from typing import Any

import pytest

from borewright.calculations.base.answers import COMMON_FIELDS
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.sheet.sections import ORDER_OF_WORK
from borewright.sheet.showing import is_figure, number, places
from borewright.sheet.sign_off import at
from borewright.sheet.tables import CHOSEN, MOST_COLUMNS, OMITTED, Shown, results

EXAMPLES = [(calculation, title) for calculation in calculations().values() for title in calculation.examples]


def written(found: Shown) -> str:
    return "\n".join([*(row.shown for row in found.figures), *("\t".join(row) for grid in found.grids for row in grid.rows)])


@pytest.mark.parametrize(("calculation", "title"), EXAMPLES, ids=lambda part: getattr(part, "name", part))
def test_every_result_at_the_top_of_an_answer_is_written(calculation: Calculation, title: str) -> None:
    section = answer(calculation, calculation.examples[title])
    found = results(calculation.name, calculation.answer_schema, section)
    text = written(found)
    for member, value in section.items():
        if member not in COMMON_FIELDS and is_figure(value):
            assert number(value["value"], places(value["unit"], [value["value"]])) in text, member
    labels = {row.label for row in found.figures} | {grid.title for grid in found.grids}
    assert labels
    assert "_" not in "".join(labels)


@pytest.mark.parametrize(("calculation", "title"), EXAMPLES, ids=lambda part: getattr(part, "name", part))
def test_tables_are_even_and_narrow(calculation: Calculation, title: str) -> None:
    found = results(calculation.name, calculation.answer_schema, answer(calculation, calculation.examples[title]))
    for grid in found.grids:
        assert grid.rows
        assert {len(row) for row in grid.rows} == {len(grid.heads)}
        assert len(grid.heads) <= MOST_COLUMNS + 1


@pytest.mark.parametrize(("name", "member"), sorted({*CHOSEN, *OMITTED}))
def test_what_is_chosen_exists(name: str, member: str) -> None:
    assert name in ORDER_OF_WORK
    calculation = calculations().get(name)
    assert calculation is None or member in calculation.answer_schema.fields


def test_long_lists_say_how_much_they_leave_out() -> None:
    calculation = calculations()["skirt-clearance"]
    pair: dict[str, Any] = {"piston": 1, "cylinder": 1, "verdict": "pass", "reason": "as wanted"}
    found = results("skirt-clearance", calculation.answer_schema, {"pairing": [pair] * 100})
    assert len(found.grids[0].rows) + found.grids[0].left_out == 100
    assert found.grids[0].left_out > 0


def test_a_name_of_the_callers_stays_as_it_is() -> None:
    calculation = calculations()["compression-target"]
    section = {"plans": [{"steps": ["fit the gasket my_thin_one"], "verdict": "pass"}]}
    assert "my_thin_one" in written(results("compression-target", calculation.answer_schema, section))


def test_at_finds_nothing_without_failing() -> None:
    assert at({"a": [1]}, "a.b") is None
    assert at({"a": [1]}, "a.7") is None
