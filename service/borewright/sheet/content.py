"""What the page and the PDF both say: one tree of plain text and drawings, made once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from borewright.calculations.base.registry import calculations
from borewright.rules.cautions import ESTIMATE
from borewright.sheet.customer import CustomerPage, customer_page
from borewright.sheet.drawings import Drawing, drawings
from borewright.sheet.judged import value_shown, wanted_shown
from borewright.sheet.page_one import page_one, texts
from borewright.sheet.scan_code import scan_code
from borewright.sheet.sections import WORST_FIRST, Worked
from borewright.sheet.showing import fewest, label, shown, worst_case
from borewright.sheet.sign_off import CylinderRow, KeyFigure, cylinder_rows, key_figures
from borewright.sheet.tables import Grid, Shown, results, text_of

LONGEST_NOTES = 240  # characters; page one carries the decision, longer notes stand at the end
MOST_PLACES = 4  # of a disagreement that are named; its words name the others
MOST_LINES = 200  # assumptions, errors and the like, each
MOST_SETTLED = 2  # checks that a measurement settles, in its line
LONGEST_MEASURE = 70  # characters
MOST_ATTENTION = 24  # further checks that need attention, on the pages after it
SHORT_DIGEST = 16
BY_CYLINDER = ("Cylinder", "Piston")  # first columns of the tables that the machinist works along
VERDICTS = {
    "fail": "Do not go on: at least one figure is outside its limits.",
    "watch": "Go on with care: at least one figure is at the edge of its limits.",
    "unknown": "Not decided: something that must be known is missing.",
    "pass": "Every figure that was judged is inside its limits.",
}


@dataclass(frozen=True)
class CheckRow:
    """One check."""

    section: str
    name: str
    verdict: str
    value: str
    spread: str
    limits: str
    reason: str
    source: str


@dataclass(frozen=True)
class SectionPart:
    """One section: its results, its checks, its drawings."""

    name: str
    title: str
    text: str
    results: Shown
    checks: list[CheckRow]
    drawings: list[Drawing]


@dataclass(frozen=True)
class Line:
    """A line of a list: what it is about, what it says, where that comes from."""

    about: str
    says: str
    source: str = ""


@dataclass(frozen=True)
class Content:
    """The whole sheet in words and drawings."""

    order: list[tuple[str, str]]
    order_id: str
    date: str
    notes: str
    long_notes: str
    verdict: str
    verdict_says: str
    detail: str
    worst: list[CheckRow]
    more_checks: int
    attention: list[CheckRow]
    by_cylinder: list[Grid]
    key_figures: list[KeyFigure]
    calculated: list[KeyFigure]
    cylinders: list[CylinderRow]
    sections: list[SectionPart]
    assumptions: list[Line]
    cautions: list[str]
    measure_next: list[Line]
    missing: list[Line]
    refused: list[Line]
    estimate: str
    version: str
    digest: str
    short_digest: str
    scan_code: str
    customer: CustomerPage | None
    letter: bool


def content(worked: Worked) -> Content:
    """The words and drawings of a sheet that was calculated."""
    sheet = worked.sheet
    order, drawn = sheet["order"], drawings(worked)
    notes = order.get("notes", "")
    checks = [check_row(check["section"], check) for check in sheet["checks"]]
    worst = [check for check in checks if check.verdict != "pass"]
    builds: dict[str, Any] = {}
    for request in worked.requests.values():
        builds.update(request)
    cylinders = cylinder_rows(sheet["sections"], builds, worked.increments)
    figures = key_figures(sheet["sections"], by_cylinder=bool(cylinders), build=builds, steps=worked.increments)
    sections = [_section(name, section, drawn) for name, section in sheet["sections"].items()]
    short_digest = sheet["input_digest"][:SHORT_DIGEST]
    refused = [
        *(Line(_places(found["pointers"]), found["detail"]) for found in sheet["disagreements"]),
        *(
            Line(f"{_title(entry['section'])}: {error['pointer']}", error["detail"])
            for entry in sheet["refused"]
            for error in entry["errors"]
        ),
    ][:MOST_LINES]
    confirm, calculated = ([figure for figure in figures if figure.measure is measured] for measured in (True, False))
    attention, short_notes = (
        spread_out(worst),
        notes if len(notes) <= LONGEST_NOTES else notes[: LONGEST_NOTES - 1] + "… (in full at the end)",
    )
    measures = [_measure(entry) for entry in sheet["measure_next"]]
    kept = page_one(
        reasons=[check.reason for check in attention],
        names=[check.name for check in attention],
        refused=texts(refused),
        notes=short_notes,
        figures=len(confirm),
        cylinders=len(cylinders),
        calculated=len(calculated),
        measures=texts(measures),
    )
    return Content(
        order=[(name, order[name.lower()]) for name in ("Engine", "Customer", "Shop") if name.lower() in order],
        order_id=order["id"],
        date=order["date"],
        notes=short_notes,
        long_notes=notes if len(notes) > LONGEST_NOTES else "",
        verdict=sheet["verdict"],
        verdict_says=VERDICTS[sheet["verdict"]],
        detail=worked.detail,
        worst=attention[: kept.checks],
        more_checks=len(worst) - kept.checks,
        attention=attention[kept.checks :][:MOST_ATTENTION],
        by_cylinder=[_named(section.title, grid) for section in sections for grid in section.results.grids if grid.heads[0] in BY_CYLINDER],
        key_figures=confirm[: kept.figures],
        calculated=calculated[: kept.calculated],
        cylinders=cylinders,
        sections=sections,
        assumptions=[_assumption(entry) for entry in sheet["assumptions"][:MOST_LINES]],
        cautions=sheet["cautions"],
        measure_next=measures[: kept.measures],
        missing=[Line(_title(entry["section"]), ", ".join(entry["fields"])) for entry in sheet["missing"]],
        refused=refused,
        estimate=ESTIMATE,
        version=sheet["service_version"],
        digest=sheet["input_digest"],
        short_digest=short_digest,
        scan_code=scan_code(order["id"], short_digest),
        customer=customer_page(sheet) if worked.customer_page else None,
        letter=worked.system == "inch",
    )


def spread_out(checks: list[CheckRow]) -> list[CheckRow]:
    """Checks by verdict as they come, but of each verdict the first of every section before the second of any.

    >>> rows = [CheckRow(section, name, "watch", "", "", "", "", "") for section, name in (("A", "1"), ("A", "2"), ("B", "3"))]
    >>> [row.name for row in spread_out(rows)]
    ['1', '3', '2']
    """
    seen: Counter[tuple[str, str]] = Counter()
    turn: list[tuple[int, int]] = []
    for check in checks:
        turn.append((WORST_FIRST.index(check.verdict), seen[check.verdict, check.section]))
        seen[check.verdict, check.section] += 1
    return [checks[place] for place in sorted(range(len(checks)), key=turn.__getitem__)]


def _places(pointers: list[str]) -> str:
    """Pointers into the build as they are read."""
    return ", ".join(pointer.removeprefix("#/build/").replace("/", ": ").replace("_", " ") for pointer in pointers[:MOST_PLACES])


def _title(name: str) -> str:
    found = calculations().get(name)
    return label(name) if found is None else found.title


def _section(name: str, section: Mapping[str, Any], drawn: Iterable[Drawing]) -> SectionPart:
    calculation = calculations()[name]
    return SectionPart(
        name=name,
        title=calculation.title,
        text=calculation.text,
        results=results(name, calculation.answer_schema, section),
        checks=_sourced_once([check_row(name, check) for check in section["checks"]]),
        drawings=[drawing for drawing in drawn if drawing.section == name],
    )


def _named(section: str, grid: Grid) -> Grid:
    """A table that stands away from its section."""
    return replace(grid, title=f"{section}: {grid.title.lower()}")


def _sourced_once(checks: list[CheckRow]) -> list[CheckRow]:
    """Checks of which one that has the source of the one above leaves it out."""
    above = ["", *(check.source for check in checks)]
    return [replace(check, source="") if check.source == source else check for check, source in zip(checks, above, strict=False)]


def check_row(section: str, check: Mapping[str, Any]) -> CheckRow:
    """A check as it is read."""
    return CheckRow(
        section=_title(section),
        name=label(check["name"]),
        verdict=check["verdict"],
        value=value_shown(check),
        spread=worst_case(check["value"]),
        limits=wanted_shown(check),
        reason=check["reason"],
        source=_source(check),
    )


def _assumption(entry: Mapping[str, Any]) -> Line:
    where = ", ".join(_title(name) for name in entry.get("sections", []))
    name = entry["name"].replace("_", " ").replace(".", ": ").replace("[]", "")
    says = f"{name} = {text_of(entry['value']).replace('_', ' ')}"
    return Line(where, says, _source(entry))


def _measure(entry: Mapping[str, Any]) -> Line:
    """What to measure next, to within how much, how long it takes, and which checks it may settle."""
    within = ", ".join("± " + shown(tolerance, fewest) for tolerance in entry["tolerances"] if tolerance is not None)
    checks = [f"{label(found['check']).lower()} {found['chance']:.0%}" for found in entry["settles"]]
    more = f" and {len(checks) - MOST_SETTLED} more" if len(checks) > MOST_SETTLED else ""
    says = f"{'to within ' + within + ', ' if within else ''}{entry['minutes']:.0f} min; settles {', '.join(checks[:MOST_SETTLED])}{more}"
    return Line(_shortened(entry["measure"], LONGEST_MEASURE), says)


def _shortened(text: str, longest: int) -> str:
    return text if len(text) <= longest else text[: longest - 1] + "…"


def _source(entry: Mapping[str, Any]) -> str:
    """Where something comes from, led by what kind of knowledge it is."""
    basis, source = str(entry["basis"]), str(entry["source"])
    return source if source.startswith(basis) else f"{basis}: {source}"
