"""How much of a sheet is shown: what a shop staples, page one alone, everything; and the page for the customer."""

import io
import re
from typing import Any

import pytest
from pypdf import PdfReader

from borewright.calculations.base.problems import InvalidRequest
from borewright.demo.run import read_order
from borewright.sheet.content import Content, content
from borewright.sheet.customer import VERDICTS, customer_page
from borewright.sheet.page import page
from borewright.sheet.paper import paper
from borewright.sheet.sections import worked


def made(**members: Any) -> Content:
    return content(worked({**read_order(None), **members}))


def pages(found: Content) -> list[str]:
    return [" ".join(each.extract_text().split()) for each in PdfReader(io.BytesIO(paper(found))).pages]


@pytest.mark.parametrize("units", ["inch", "metric"])
def test_left_out_it_is_what_a_shop_staples(units: str) -> None:
    """Page one, at most three pages of drawings, tables by cylinder and what needs attention, and the customer's."""
    found = made()
    printed = pages(Content(**{**vars(found), "letter": units == "inch"}))
    assert len(printed) <= 5
    assert "Measured by" in printed[0]
    assert "Measured by" not in printed[1]
    assert all(section.text not in " ".join(printed) for section in found.sections if section.results.grids)
    for check in found.attention:
        assert check.reason.split(";")[0].split(":")[0] in " ".join(printed)


def test_page_one_and_the_customers_page_alone() -> None:
    assert len(pages(made(detail="page"))) == 2
    assert len(pages(made(detail="page", customer_page=False))) == 1
    assert "Cautions" not in page(made(detail="page"))


def test_full_holds_every_section_and_every_wide_table() -> None:
    found = made(detail="full")
    text = " ".join(pages(found))
    for section in found.sections:
        assert section.title in text
        for grid in section.results.grids:
            assert grid.title.lower() in text.lower()


@pytest.mark.parametrize("form", ["page", "paper"])
def test_no_drawing_gets_lost(form: str) -> None:
    found = made()
    drawn = [drawing for section in found.sections for drawing in section.drawings]
    text = page(found) if form == "page" else " ".join(pages(found))
    assert drawn
    assert all(drawing.title in text for drawing in drawn)


def test_another_detail_is_refused() -> None:
    with pytest.raises(InvalidRequest, match="detail"):
        made(detail="everything")


def test_the_customers_page_has_no_figure_of_the_shop() -> None:
    """No limit, no tolerance, no thousandth: what is left is what the engine is and what comes next."""
    sheet = worked(read_order(None)).sheet
    found = customer_page(sheet)
    said = " ".join((found.verdict_says, *found.says, *found.open_points))
    assert found.verdict_says == VERDICTS[sheet["verdict"]]
    assert not re.search(r"±|at least|at most|\d\.\d{4}", said)
    assert "_" not in said
    open_sections = {check["section"] for check in sheet["checks"] if check["verdict"] != "pass"}
    assert len(found.open_points) == len(open_sections)


def test_an_order_that_is_refused_is_an_open_point() -> None:
    sheet = worked({"order": {"id": "A-1"}, "build": {"bore": "90 mm", "stroke": "80 mm", "cylinders": 4}}).sheet
    refused = {**sheet, "refused": [{"section": "strength", "errors": []}], "verdict": "fail"}
    assert customer_page(refused).open_points[0].startswith("The strength of pistons, pins and rods")
