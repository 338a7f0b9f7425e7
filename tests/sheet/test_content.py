"""The words of a sheet: worst checks first, nothing of a refusal or a lack lost."""

from collections.abc import Callable

from borewright.demo.run import read_order
from borewright.sheet.content import LONGEST_NOTES, Content, content
from borewright.sheet.page_one import FEWEST_CHECKS, MOST_CHECKS
from borewright.sheet.sections import Worked


def test_page_one_shows_the_worst_checks_and_counts_the_rest(demo: Worked, demo_content: Content) -> None:
    bad = [check for check in demo.sheet["checks"] if check["verdict"] != "pass"]
    kept = len(demo_content.worst)
    assert FEWEST_CHECKS <= kept <= MOST_CHECKS
    assert demo_content.more_checks == len(bad) - kept > 0
    assert [check.verdict for check in demo_content.worst] == [check["verdict"] for check in bad[:kept]]
    assert demo_content.verdict == "fail"


def test_each_drawing_stands_in_one_section(demo_content: Content) -> None:
    names = [drawing.name for section in demo_content.sections for drawing in section.drawings]
    assert len(names) == len(set(names))
    assert {"bores", "stack", "shares", "milling", "rings", "skirts"} <= set(names)


def test_lacks_and_refusals_are_said(working: Callable[..., Worked]) -> None:
    found = content(working({"bore": "84.3 mm", "stroke": "85.3 mm", "cylinders": 4, "alloy": "2618", "skirt": "60 mm"}))
    assert [line.about for line in found.refused] == ["Skirt clearance: #/build/skirt"]
    assert any(line.about == "Compression" and "chamber_volume" in line.says for line in found.missing)
    assert found.verdict == "fail"


def test_a_sheet_of_nothing_is_a_sheet(working: Callable[..., Worked]) -> None:
    found = content(working({}))
    assert (found.verdict, found.sections, found.key_figures, found.cylinders) == ("unknown", [], [], [])
    assert len(found.missing) > 5


def test_long_notes_leave_page_one_to_the_decision(hostile: Worked, demo_content: Content) -> None:
    assert len(content(hostile).notes) < LONGEST_NOTES + 40
    assert content(hostile).long_notes == "W" * 2000
    assert demo_content.notes == read_order(None)["order"]["notes"]
    assert not demo_content.long_notes
