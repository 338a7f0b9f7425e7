"""The decision in words: what a machinist wants to know of a build sheet, for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from borewright.demo import fitting, running
from borewright.demo.wording import show
from borewright.sheet.judged import wanted_shown, yes_or_no
from borewright.sheet.page_one import MOST_MEASURES
from borewright.sheet.showing import spoken

WIDTH = 100
Lines = Iterator[str]
MARKS = {"fail": "FAIL", "watch": "watch", "unknown": "unknown", "pass": "pass"}


def summary(sheet: Mapping[str, Any]) -> str:
    """The whole summary of a build sheet.

    >>> nothing = {"sections": {}, "checks": [], "missing": [], "refused": [], "disagreements": [], "cautions": [], "measure_next": []}
    >>> summary({"order": {"id": "A-1"}, "verdict": "pass", **nothing})[:14]
    'Work order A-1'
    """
    return "\n".join(line for part in _parts(sheet) for line in part).rstrip()


def _parts(sheet: Mapping[str, Any]) -> Iterator[Iterable[str]]:
    yield _head(sheet)
    if sheet["disagreements"]:
        yield _titled("stated unequal", (found["detail"] for found in sheet["disagreements"]))
    if sheet["refused"]:
        yield _titled(
            "refused", (f"{spoken(entry['section'])}: {e['pointer']}: {e['detail']}" for entry in sheet["refused"] for e in entry["errors"])
        )
    yield _titled("needs attention", _checks(sheet["checks"]))
    yield _titled("what to measure next", (f"{entry['measure']} ({entry['how']})" for entry in sheet["measure_next"][:MOST_MEASURES]))
    for name, section in sheet["sections"].items():
        writer = WRITERS.get(name)
        if writer is not None:
            yield _titled(spoken(name), writer(section))
    if sheet["missing"]:
        lacking = (f"{spoken(entry['section'])}: {', '.join(entry['fields'])}" for entry in sheet["missing"])
        yield _titled("not calculated, missing", lacking)
    yield _titled("cautions", sheet["cautions"])


def _head(sheet: Mapping[str, Any]) -> Lines:
    order = sheet["order"]
    about = "".join(f" · {order[name]}" for name in ("shop", "engine", "date") if name in order)
    yield from textwrap.wrap(f"Work order {order['id']}{about}", WIDTH, subsequent_indent="    ")
    if "notes" in order:
        yield from textwrap.wrap(order["notes"], WIDTH)
    yield f"Overall verdict: {MARKS[sheet['verdict']]}"


def _titled(title: str, lines: Iterable[str]) -> Lines:
    found = list(lines)
    if found:
        yield ""
        yield title.upper()
        for line in found:
            yield from textwrap.wrap(line, WIDTH, initial_indent="  ", subsequent_indent="      ")


def _checks(checks: Iterable[Mapping[str, Any]]) -> Lines:
    for check in checks:
        if check["verdict"] != "pass":
            names = dict.fromkeys((spoken(check["section"]), spoken(check["name"])))
            found = check["value"]
            value = f" {yes_or_no(check['name'], found['value']) or show(found)}" if found else ""
            limits = wanted_shown(check)
            wanted = f", wanted {limits}" if value and limits else ""
            yield f"{MARKS[check['verdict']]}: {', '.join(names)}{value}{wanted}: {check['reason']}"


WRITERS: Mapping[str, Callable[[Mapping[str, Any]], Lines]] = {
    "bore-cleanup": fitting.cleanup,
    "displacement": fitting.displacement,
    "compression": fitting.compression,
    "bench-volumes": fitting.crown,
    "cylinder-spread": fitting.cylinders,
    "compression-target": fitting.target,
    "part-selection": fitting.selection,
    "assembly-fit": fitting.assembly,
    "valve-clearance": fitting.valves,
    "valve-train": fitting.valve_train,
    "ring-gap": fitting.rings,
    "skirt-clearance": fitting.skirts,
    "bearing-clearance": running.bearings,
    "detonation-margin": running.detonation,
    "strength": running.strength,
    "power-gain": running.power,
    "fuel-air-supply": running.supply,
    "crank-balance": running.balance,
    "air-correction": running.air,
}
