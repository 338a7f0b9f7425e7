"""Rings, skirts and bores against their limits: every entry is there with its verdict."""

from collections.abc import Callable
from xml.etree import ElementTree

from borewright.sheet.drawings import cylinders
from borewright.sheet.drawings.canvas import INK, SVG
from borewright.sheet.sections import Worked
from borewright.sheet.showing import shown


def marks(svg: str) -> int:
    """How often a marker is set; the ticks of the axes are in ink."""
    return sum(1 for element in ElementTree.fromstring(svg).iter(f"{{{SVG}}}use") if element.attrib["fill"] != INK)


def test_every_gap_and_every_limit_is_said(demo: Worked) -> None:
    drawing, section = cylinders.rings(demo), demo.sheet["sections"]["ring-gap"]
    assert drawing is not None
    for entry in section["cylinders"]:
        assert f"cylinder {entry['cylinder']} {shown(entry['gap'])} ({entry['verdict']})" in drawing.text
    for ring in ("top", "second"):
        assert shown(section[ring]["butting_gap"]) in drawing.svg
        assert shown(section[ring]["recommended_gap"]) in drawing.svg
    verdicts = {entry["verdict"] for entry in section["cylinders"]}
    assert marks(drawing.svg) == len(section["cylinders"]) + len(verdicts)


def test_without_measured_gaps_the_wanted_ones_are_drawn(working: Callable[..., Worked]) -> None:
    found = working({"bore": "100 mm"})
    drawing = cylinders.rings(found)
    assert drawing is not None
    assert all(shown(found.sheet["sections"]["ring-gap"][ring]["recommended_gap"]) in drawing.svg for ring in cylinders.RINGS)


def test_every_piston_is_marked(demo: Worked) -> None:
    drawing, section = cylinders.skirts(demo), demo.sheet["sections"]["skirt-clearance"]
    assert drawing is not None
    verdicts = {entry["verdict"] for entry in section["pairing"]}
    assert marks(drawing.svg) == len(section["pairing"]) + len(verdicts)


def test_one_skirt_is_no_drawing(working: Callable[..., Worked]) -> None:
    assert cylinders.skirts(working({"bore": "100 mm", "alloy": "2618"})) is None


def test_every_bore_and_every_size_is_said(demo: Worked) -> None:
    drawing, section = cylinders.bores(demo), demo.sheet["sections"]["bore-cleanup"]
    assert drawing is not None
    for entry in section["cylinders"]:
        assert (
            f"cylinder {entry['cylinder']} largest {shown(entry['largest'])}, cleans up at {shown(entry['cleanup_diameter'])}"
            in drawing.text
        )
    for size in section["sizes"]:
        assert shown(size["size"]) in drawing.svg
        assert f"{shown(size['size'])} {'cleans up' if size['cleans_up'] else 'does not clean up'}" in drawing.text
    assert marks(drawing.svg) == 2 * len(section["cylinders"]) + 2


def test_nothing_without_the_sections(working: Callable[..., Worked]) -> None:
    found = working({})
    assert cylinders.rings(found) is cylinders.skirts(found) is cylinders.bores(found) is None
