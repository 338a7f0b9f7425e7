"""The build sheet in a real browser, as the service sends it."""

import io
import shutil
import subprocess
import unicodedata
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from borewright.demo.run import read_order
from borewright.sheet.content import content
from borewright.sheet.paper import paper as paper_of
from borewright.sheet.sections import worked

# what is wider than the window lies in a box that scrolls by itself
OUTSIDE = """[...document.querySelectorAll("main *")]
  .filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest(".scroll")).map(e => e.outerHTML.slice(0, 120))"""
HOSTILE = {
    "shop": "<script>window.ran = true</script><img src=x onerror='window.ran = true'>",
    "customer": "</style></title><svg onload='window.ran = true'> \u202emore right to left \u05d0\u05d1\u05d2",
    "engine": "W" * 120,
    "notes": "\U0001f527 " * 10 + "W" * 150,
}


@pytest.mark.parametrize("detail", ["page", "drawings", "full"])
def test_reads_well(tab: Any, order: dict[str, Any], detail: str) -> None:
    page = tab.open_sheet({**order, "detail": detail})
    assert order["order"]["id"] in page.locator("h1").inner_text()
    assert page.locator("svg").count() > (0 if detail == "page" else 3)
    assert tab.findings() == []
    assert tab.requests == [page.url]  # self-contained: the page alone was asked for
    assert page.evaluate(OUTSIDE) == []


@pytest.mark.parametrize("paper", ["Letter", "A4"])
@pytest.mark.parametrize("tab", ["desktop"], indirect=True)
def test_what_a_shop_staples_to_the_order_prints_on_one_page(tab: Any, order: dict[str, Any], paper: str) -> None:
    printed = PdfReader(io.BytesIO(tab.open_sheet(order).pdf(format=paper))).pages[0].extract_text()
    first = unicodedata.normalize("NFKC", printed)  # some fonts print fi as one sign
    for words in ("FAIL", "Needs attention", "Key figures to confirm", "Cylinder by cylinder", "Calculated, not measured", "Checked by"):
        assert words in first


def test_the_machinists_page_prints_in_black_and_white(tmp_path: Path) -> None:
    """Page one of the PDF as a printer sees it: no dot of it has a color."""
    order = read_order(None)
    (tmp_path / "sheet.pdf").write_bytes(paper_of(content(worked(order))))
    program = shutil.which("pdftoppm")
    assert program, ".ci/packages installs poppler-utils"
    subprocess.run([program, "-r", "60", "-l", "1", "-png", "-singlefile", str(tmp_path / "sheet.pdf"), str(tmp_path / "one")], check=True)
    dots = np.asarray(Image.open(tmp_path / "one.png").convert("RGB"), dtype=int)
    assert dots.min() < 40 < 250 < dots.max()
    assert np.ptp(dots, axis=2).max() <= 1


@pytest.mark.parametrize("tab", ["desktop"], indirect=True)
def test_by_keyboard_alone(tab: Any, order: dict[str, Any]) -> None:
    page = tab.open_sheet(order)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("scrollY") > 0
    page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
    page.locator("h1").click()
    stops, unseen = tab.unseen_stops(200)
    assert unseen == []
    assert stops >= page.locator("nav a").count()


@pytest.mark.parametrize("tab", ["phone"], indirect=True)
def test_what_a_caller_writes_is_text(tab: Any, order: dict[str, Any]) -> None:
    written = {**order, "order": {**order["order"], **HOSTILE}}
    page = tab.open_sheet(written)
    assert page.evaluate("window.ran") is None
    assert set(HOSTILE.values()) <= set(page.locator("header dd bdi").all_text_contents())
