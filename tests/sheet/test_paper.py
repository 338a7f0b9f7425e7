"""The PDF: the same content as real text, bookmarks, embedded fonts, tags; nothing of the caller's is read as markup."""

import io
import json
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from borewright.calculations.base.registry import calculations
from borewright.sheet.content import LONGEST_NOTES, Content, content
from borewright.sheet.paper import paper
from borewright.sheet.sections import Worked
from borewright.sheet.showing import is_figure, shown
from borewright.sheet.sign_off import at


def read(found: Content) -> PdfReader:
    return PdfReader(io.BytesIO(paper(found)))


def text_of(document: PdfReader) -> str:
    """All text, with blanks and places to break taken for one blank."""
    return plain(" ".join(page.extract_text() for page in document.pages))


def plain(text: str) -> str:
    return re.sub(r"\s+", "", text.replace("\u200b", ""))


def titles(outline: list[Any]) -> Iterator[str]:
    for entry in outline:
        if isinstance(entry, list):
            yield from titles(entry)
        else:
            yield str(entry.title)


def fonts(document: PdfReader) -> Iterator[DictionaryObject]:
    for page in document.pages:
        resources: Any = page["/Resources"]
        for font in resources.get("/Font", {}).values():
            yield font.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()


@pytest.fixture(scope="module")
def document(demo_content: Content) -> PdfReader:
    return read(demo_content)


def test_every_headline_and_verdict_is_in_the_text(demo: Worked, document: PdfReader) -> None:
    text = text_of(document)
    for name, section in demo.sheet["sections"].items():
        assert plain(calculations()[name].title) in text
        headline = next((at(section, path) for path in calculations()[name].headline if is_figure(at(section, path))), None)
        if headline is not None:
            assert plain(shown(headline)) in text or shown(headline).split()[0] in text, name
    for check in demo.sheet["checks"]:
        assert plain(check["reason"]) in text
    for caution in demo.sheet["cautions"]:
        assert plain(caution) in text
    order = {name: word for name, word in demo.sheet["order"].items() if name != "date"}
    for word in (*order.values(), demo.sheet["input_digest"], demo.sheet["service_version"]):
        assert plain(word) in text


def test_page_one_carries_the_decision_and_room_to_sign(demo: Worked, document: PdfReader) -> None:
    first = plain(document.pages[0].extract_text())
    assert plain("FAIL") in first
    for words in ("Needs attention", "Key figures to confirm", "Cylinder by cylinder", "Measured by", "Checked by", "Initials"):
        assert plain(words) in first
    found = content(demo)
    assert all(plain(figure.label + figure.shown) in first for figure in found.calculated)
    assert all(plain(figure.label) in first for figure in found.key_figures)
    assert len({check.section for check in found.worst}) == len(found.worst)  # as many sections as there is room for
    assert plain(demo.sheet["input_digest"][:16]) in first


def test_it_has_bookmarks_tags_a_language_and_a_title(demo: Worked, document: PdfReader) -> None:
    found = list(titles(document.outline))
    assert found[0] == f"Build sheet {demo.sheet['order']['id']}"
    assert {calculations()[name].title for name in demo.sheet["sections"]} <= set(found)
    root: Any = document.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/StructTreeRoot"]
    assert root["/Lang"] == "en"
    assert document.metadata is not None
    assert document.metadata.title == found[0]


def test_every_drawing_has_its_words(demo_content: Content, document: PdfReader) -> None:
    alternatives = set()
    for number in range(1, len(document.xref[0]) + 1):
        entry = document.get_object(number)
        if isinstance(entry, DictionaryObject) and "/Alt" in entry:
            alternatives.add(plain(str(entry["/Alt"])))
    wanted = {plain(drawing.text) for section in demo_content.sections for drawing in section.drawings}
    assert wanted
    assert wanted <= alternatives


def test_fonts_are_embedded(document: PdfReader) -> None:
    found = list(fonts(document))
    assert found
    assert all({"/FontFile", "/FontFile2", "/FontFile3"} & set(font) for font in found)


def test_no_page_asks_for_anything(demo_content: Content) -> None:
    raw = paper(demo_content)
    assert not re.search(rb"/(JavaScript|JS|Launch|URI|SubmitForm|EmbeddedFile)\b", raw)


def test_it_is_the_same_each_time(demo: Worked, demo_content: Content) -> None:
    assert paper(content(demo)) == paper(demo_content)


def test_hostile_words_stay_words_and_on_the_page(hostile: Worked) -> None:
    document = read(content(hostile))
    text, order = text_of(document), hostile.sheet["order"]
    assert plain(order["id"]) in text
    assert plain("<img src=x onerror=alert(1)>") in text
    assert plain("#emph[x] $x$ #panic()") in text
    assert plain("[U+7530][U+4E2D]") in text
    assert text.count("W") >= 2000 + LONGEST_NOTES - 1  # a page ends within
    assert "Z" * 34 in text
    assert plain("written as their code points") in text
    for page in document.pages:
        wide = float(page.mediabox.width)
        ends: list[float] = []

        def note(text: str, _: Any, matrix: list[float], *rest: Any, ends: list[float] = ends) -> None:
            if text.strip():
                ends.append(matrix[4])

        page.extract_text(visitor_text=note)
        assert ends
        assert 0 <= min(ends) <= max(ends) < wide


@pytest.mark.parametrize(("units", "size"), [("inch", (612, 792)), ("metric", (595.28, 841.89)), (None, (595.28, 841.89))])
def test_the_paper_follows_the_units(working: Callable[..., Worked], units: str | None, size: tuple[float, float]) -> None:
    page = read(content(working({"bore": "84.3 mm", "stroke": "85.3 mm", "cylinders": 4}, units))).pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.1)


def test_any_sign_that_a_text_takes_can_be_set(working: Callable[..., Worked]) -> None:
    found = content(working({}))
    every = "".join(
        chr(code) for code in (0x7E, 0xA0, 0xAD, 0x300, 0x2007, 0x200D, 0x2060, 0xFE0F, 0xFEFF, 0xFFFE, 0xE000, 0x1F468, 0x10FFFF)
    )
    assert read(Content(**{**vars(found), "order_id": every, "notes": json.dumps(every)})).pages
