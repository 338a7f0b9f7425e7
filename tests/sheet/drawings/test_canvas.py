"""Every drawing of the demo: clean SVG with its words, the same each time, told apart without color."""

import threading
from typing import Any
from xml.etree import ElementTree

import pytest

from borewright.demo.run import read_order
from borewright.sheet.drawings import Drawing, drawings
from borewright.sheet.drawings.canvas import LINES, MARKS, SVG
from borewright.sheet.sections import worked

DRAWN = drawings(worked(read_order(None)))


@pytest.mark.parametrize("drawing", DRAWN, ids=lambda drawing: drawing.name)
def test_it_is_clean(drawing: Drawing) -> None:
    root = ElementTree.fromstring(drawing.svg)
    assert root.tag == f"{{{SVG}}}svg"
    named = {child.attrib["id"]: child.text for child in list(root)[:2]}
    assert [named[each] for each in root.attrib["aria-labelledby"].split()] == [drawing.title, drawing.text]
    tags = {str(element.tag).removeprefix(f"{{{SVG}}}") for element in root.iter()}
    assert tags <= {"svg", "title", "desc", "defs", "g", "path", "use", "text", "tspan", "clipPath", "rect", "pattern"}
    ids = {element.attrib["id"] for element in root.iter() if "id" in element.attrib}
    for element in root.iter():
        for name, value in element.attrib.items():
            assert name != "style"
            if name.endswith("href"):
                assert value.removeprefix("#") in ids
            if "url(" in value:
                assert value.removeprefix("url(#").removesuffix(")") in ids
    assert len(drawing.svg) < 60_000
    assert any(element.text for element in root.iter(f"{{{SVG}}}text"))


def test_each_is_there_once_and_says_something() -> None:
    assert len({drawing.name for drawing in DRAWN}) == len(DRAWN) >= 6
    assert len({drawing.text for drawing in DRAWN}) == len(DRAWN)


def test_the_same_bytes_each_time_and_in_every_thread() -> None:
    found: dict[int, list[Any]] = {}

    def draw(place: int) -> None:
        found[place] = drawings(worked(read_order(None)))

    threads = [threading.Thread(target=draw, args=(place,)) for place in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found[0] == found[1] == found[2] == DRAWN


def test_no_two_lines_or_marks_differ_by_color_alone() -> None:
    assert len({str(style) for _, style in LINES}) == len(LINES)
    assert len({marker for marker, _ in MARKS.values()}) == len(MARKS)


def test_names_of_the_callers_are_never_drawn() -> None:
    order = read_order(None)
    order["build"]["levers"]["gaskets"][1]["name"] = "<b>NAMED</b>"
    drawn = {drawing.name: drawing for drawing in drawings(worked(order))}
    assert all("NAMED" not in drawing.svg for drawing in drawn.values())
    assert any("<b>NAMED</b>" in meaning for _, meaning in drawn["milling"].key)
