"""Page one: its figures exist, and what can be measured has room to be written down."""

from collections.abc import Callable
from typing import Any

import pytest
from marshmallow import Schema, fields

from borewright.calculations.base.registry import calculations
from borewright.sheet.sections import Worked
from borewright.sheet.sign_off import KEY_FIGURES, cylinder_rows, key_figures


def known(schema: Schema, steps: list[str]) -> bool:
    """Whether a dotted path can stand in an answer."""
    field: Any = schema.fields.get(steps[0])
    rest = steps[1:]
    if isinstance(field, fields.List) and rest:
        field, rest = field.inner, rest[1:]
    if field is None:
        return False
    return known(field.schema, rest) if rest and isinstance(field, fields.Nested) else not rest


@pytest.mark.parametrize(("name", "path"), [(name, entry.path) for name, entries in KEY_FIGURES.items() for entry in entries])
def test_each_path_exists(name: str, path: str) -> None:
    assert known(calculations()[name].answer_schema, path.split("."))


def test_the_headline_of_every_section_is_on_page_one(demo: Worked) -> None:
    titles = {figure.section for figure in key_figures(demo.sheet["sections"])}
    assert titles == {calculations()[name].title for name in demo.sheet["sections"]}


def test_gaps_stand_either_by_cylinder_or_once(demo: Worked) -> None:
    whole = [figure.label for figure in key_figures(demo.sheet["sections"])]
    short = [figure.label for figure in key_figures(demo.sheet["sections"], by_cylinder=True)]
    assert set(whole) - set(short) == {"top ring end gap minimum", "second ring end gap minimum", "bore for the largest skirt"}


def test_a_cut_that_is_not_made_needs_no_measuring(working: Callable[..., Worked]) -> None:
    sections = {"compression-target": {"plans": [{"head_mill": {"value": 0.0, "unit": "in"}, "deck_cut": {"value": 0.01, "unit": "in"}}]}}
    assert [figure.label for figure in key_figures(sections)] == ["plan 1: cut off each deck"]


def test_each_cylinder_has_a_line_with_its_own_bore(demo: Worked) -> None:
    rows = cylinder_rows(demo.sheet["sections"], {"cylinders": 8})
    hones = demo.sheet["sections"]["skirt-clearance"]["hone_to"]
    assert [row.cylinder for row in rows] == [str(number) for number in range(1, 9)]
    assert [row.bore for row in rows] == [
        f"{hone['diameter']['value']:.4f} in" for hone in sorted(hones, key=lambda hone: hone["cylinder"])
    ]


def test_rings_alone_fill_their_part_of_the_lines(working: Callable[..., Worked]) -> None:
    found = working({"bore": "100 mm", "cylinders": 4, "stroke": "80 mm"})
    rows = cylinder_rows(found.sheet["sections"], {"cylinders": 4})
    assert len(rows) == 4
    assert {row.bore for row in rows} == {row.piston for row in rows} == {"—"}
    assert all(row.top.endswith(" mm") for row in rows)
