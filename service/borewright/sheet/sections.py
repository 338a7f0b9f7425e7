"""Working out a build sheet: each section the build allows, one verdict over all, and what is missing for the rest."""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from borewright import __version__
from borewright.build import Build, Taken, build_part, disagreements
from borewright.build.derived import aspiration, clean_bore, stood_in
from borewright.build.machining import machined
from borewright.build.takes import TAKES
from borewright.calculations.base.fields import Assumed, Choice, Flag, Part, Request, RequestPart, Text
from borewright.calculations.base.loading import load
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import WORST_LAST
from borewright.calculations.base.problems import FieldError, ImpossibleBuild, InvalidRequest, Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answered, arrays_of
from borewright.quantities import System
from borewright.rules.cautions import ESTIMATE, gravest_first
from borewright.sheet.increments import Increments, IncrementsPart, increments
from borewright.sheet.measure_next import Measurable

WORST_FIRST = tuple(reversed(WORST_LAST))
ORDER_OF_WORK = (
    "bore-cleanup",
    "displacement",
    "bench-volumes",
    "compression",
    "cylinder-spread",
    "compression-target",
    "part-selection",
    "assembly-fit",
    "valve-clearance",
    "valve-train",
    "ring-gap",
    "skirt-clearance",
    "bearing-clearance",
    "detonation-margin",
    "strength",
    "power-gain",
    "fuel-air-supply",
    "crank-balance",
    "air-correction",
)
DETAILS = ("page", "drawings", "full")
DATE = r"^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"


class OrderPart(RequestPart):
    """The work order that the sheet belongs to."""

    id = Text(64, "the shop's number of the order", required=True)
    date = Text(10, "date of the sheet, YYYY-MM-DD; left out, today", pattern=DATE)
    shop = Text(120, "who does the work")
    customer = Text(120, "who ordered it")
    engine = Text(120, "what is built")
    notes = Text(2000, "anything else for the sheet")


@cache
def sheet_request() -> type[Request]:
    """The request of a build sheet: an order and a build.

    >>> sorted(sheet_request()().fields)
    ['build', 'customer_page', 'detail', 'increments', 'order', 'units']
    """
    members = {
        "order": Part(OrderPart, "the work order", required=True),
        "build": Part(build_part(), "what is known of the build: the fields of any of the calculations", required=True),
        "detail": Choice(
            DETAILS,
            "how much of it page and PDF show: page one, with the drawings and what needs attention, or everything",
            assumed=Assumed("drawings", "common practice", "what a shop staples to the work order"),
        ),
        "customer_page": Flag(
            "whether page and PDF end with a page for the customer, in plain words",
            assumed=Assumed(True, "common practice", "the customer wants to know what was found"),
        ),
        "increments": Part(IncrementsPart, "the steps in which the shop's tools are read; left out, those usual in the sheet's units"),
        "__doc__": "What a build sheet needs.",
    }
    return type("BuildSheetRequest", (Request,), members)


@cache
def _schema() -> Request:
    return sheet_request()()


@dataclass(frozen=True)
class Worked:
    """A sheet that was calculated, with what its drawings need besides.

    sheet : the answer
    requests : the body of each section's request, as it was answered
    system : the units of the sheet
    detail : how much of it page and PDF show
    customer_page : whether they end with a page for the customer
    increments : the steps in which the shop's tools are read
    """

    sheet: dict[str, Any]
    requests: Mapping[str, Mapping[str, Any]]
    system: System
    detail: str
    customer_page: bool
    increments: Increments

    def nominal(self, section: str) -> dict[str, Any]:
        """A section's request as arrays of one [SI], without its tolerances."""
        schema = calculations()[section].request_schema
        return arrays_of(schema, load(schema, self.requests[section]).data, {})


def build_sheet(body: Any, *, today: datetime.date | None = None) -> dict[str, Any]:
    """Work out every section that the build allows.

    Raises InvalidRequest or ImpossibleBuild where a field of the order or the build can't be read at all; what only one
    section refuses is listed in `refused`.
    """
    return worked(body, today=today).sheet


def worked(body: Any, *, today: datetime.date | None = None) -> Worked:
    """Work out a sheet and keep the request of each of its sections.

    Raises as build_sheet.
    """
    loaded = load(_schema(), body)
    _require_a_day(loaded.data["order"])
    stated = Build(body["build"])
    named = {"units": body["units"]} if "units" in body else {}
    sections: dict[str, Any] = {}
    requests: dict[str, Mapping[str, Any]] = {}
    lacking: list[dict[str, Any]] = []
    refused: list[dict[str, Any]] = []
    measurable = Measurable()
    before, assumptions = aspiration(stated)
    build = machined(before, loaded.data["build"])
    for name in order_of_work():
        calculation, takes = calculations()[name], TAKES[name]
        taken = (before if takes.before_machining else build).taken_by(takes, calculation.request_schema)
        request = {**named, **taken.request}
        if taken.lacking:
            lacking.append({"section": name, "fields": taken.lacking})
            continue
        try:
            found_out = answered(calculation, load(calculation.request_schema, request))
        except Refusal as refusal:
            refused.append(_refused(name, refusal, taken))
            continue
        sections[name], requests[name] = found_out.answer, request
        measurable.add(name, calculation.request_schema, taken, found_out)
        assumptions += [found for found in stood_in(build, taken) if found not in assumptions]
        if name == "bore-cleanup":
            bore, found = clean_bore(build, sections[name])
            if bore is not None:
                before, build = before.having("bore", bore), build.having("bore", bore)
                assumptions += found
    unequal = disagreements(stated, loaded.data["build"], sections, loaded.system)
    checks = _checks(sections)
    order = dict(loaded.data["order"])
    order.setdefault("date", (today or datetime.datetime.now(datetime.UTC).date()).isoformat())
    sheet = {
        "order": order,
        "service_version": __version__,
        "input_digest": digest(body),
        "verdict": _verdict(checks, [*refused, *unequal]),
        "sections": sections,
        "missing": lacking,
        "refused": refused,
        "disagreements": [{"pointers": found.pointers, "values": found.values, "detail": found.detail} for found in unequal],
        "checks": checks,
        "measure_next": measurable.ranked(loaded.system),
        "cautions": gravest_first([*(text for section in sections.values() for text in section["cautions"]), ESTIMATE]),
        "assumptions": [*assumptions, *_assumptions(sections)],
        "sensitivity": [{"section": name, **share} for name, section in sections.items() for share in section["sensitivity"]],
    }
    data = loaded.data
    steps = increments(data.get("increments", {}), loaded.system)
    return Worked(sheet, requests, loaded.system, data["detail"], data["customer_page"], steps)


def order_of_work() -> list[str]:
    """The sections in the order in which the questions are settled at the counter; what is not named here comes last.

    >>> order_of_work()[-1] != "displacement"
    True
    """
    names = [name for name in calculations() if name in TAKES]
    return sorted(names, key=lambda name: ORDER_OF_WORK.index(name) if name in ORDER_OF_WORK else len(ORDER_OF_WORK))


def _require_a_day(order: Mapping[str, Any]) -> None:
    if "date" in order:
        try:
            datetime.date.fromisoformat(order["date"])
        except ValueError:
            told = "the calendar has no such day: check month and day"
            raise ImpossibleBuild([FieldError("#/order/date", told, Code.IMPOSSIBLE)]) from None


def _refused(name: str, refusal: Refusal, taken: Taken) -> dict[str, Any]:
    kind = "invalid-request" if isinstance(refusal, InvalidRequest) else "impossible-build"
    errors = [{**error.shown(), "pointer": taken.pointer(error.pointer)} for error in refusal.errors]
    return {"section": name, "type": f"/problems/{kind}", "errors": errors}


def _checks(sections: Mapping[str, Any]) -> list[dict[str, Any]]:
    found = [{"section": name, **check} for name, section in sections.items() for check in section["checks"]]
    return sorted(found, key=lambda check: WORST_FIRST.index(check["verdict"]))


def _verdict(checks: list[dict[str, Any]], failed: list[Any]) -> str:
    if failed:
        return "fail"
    return str(checks[0]["verdict"]) if checks else "unknown"


def _assumptions(sections: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Every assumption once, with the sections that made it."""
    found: dict[str, dict[str, Any]] = {}
    for name, section in sections.items():
        for assumption in section["assumptions"]:
            entry = found.setdefault(json.dumps(assumption, sort_keys=True), {**assumption, "sections": []})
            entry["sections"].append(name)
    return list(found.values())


def digest(body: Any) -> str:
    """A digest by which the same input can be recognized later: SHA-256 of its canonical JSON.

    >>> digest({"a": 1, "b": 2}) == digest({"b": 2, "a": 1})
    True
    """
    canonical = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(canonical.encode("ascii")).hexdigest()
