"""Page one holds the decision on one page, however many cylinders, notes and checks there are."""

import io
from typing import Any

import pytest
from pypdf import PdfReader

from borewright.demo.run import read_order
from borewright.sheet.content import content
from borewright.sheet.page_one import page_one
from borewright.sheet.paper import paper
from borewright.sheet.sections import worked

LONG = "Worn block. " * 19


@pytest.mark.parametrize(("cylinders", "notes"), [(1, ""), (4, LONG), (8, ""), (8, LONG), (12, LONG), (16, ""), (16, LONG)])
def test_it_is_one_page(cylinders: int, notes: str) -> None:
    order: dict[str, Any] = read_order(None)
    order["order"]["notes"] = notes or "none"
    build = order["build"]
    build["cylinders"] = cylinders
    for name in ("measured", "skirts", "bores", "weighed"):
        build.pop(name, None)
    build.pop("layout", None)
    found = content(worked({**order, "detail": "page", "customer_page": False}))
    assert len(PdfReader(io.BytesIO(paper(found))).pages) == 1
    assert found.worst


def test_what_is_only_calculated_gives_way_first() -> None:
    much: dict[str, Any] = {"refused": [], "notes": "", "figures": 14, "calculated": 20}
    few, many = (page_one(reasons=["ream it"] * 9, cylinders=count, **much) for count in (4, 16))
    assert few.calculated > many.calculated
    assert few.checks >= many.checks >= 3
    assert few.figures == 14


def test_what_to_measure_next_takes_five_lines_at_most_and_gives_way_to_checks() -> None:
    much: dict[str, Any] = {"refused": [], "notes": "", "figures": 14, "calculated": 20, "measures": ["gasket thickness: 3 min"] * 9}
    few, many, most = (page_one(reasons=["ream it"] * 9, cylinders=count, **much) for count in (0, 16, 24))
    assert few.measures == 5
    assert 5 >= many.measures >= most.measures
    assert most.checks >= 3


def test_what_to_measure_next_is_on_page_one() -> None:
    found = content(worked({**read_order(None), "detail": "page"}))
    first = " ".join(PdfReader(io.BytesIO(paper(found))).pages[0].extract_text().split())
    assert 0 < len(found.measure_next) <= 5
    for line in found.measure_next:
        assert " ".join(line.says.split()[-3:]) in first
