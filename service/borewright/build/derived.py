"""Facts that nobody stated and that follow from others; the sheet lists each as an assumption."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from borewright.build.facts import STANDS_IN
from borewright.build.state import Build, Taken

Assumed = dict[str, Any]


def aspiration(build: Build) -> tuple[Build, list[Assumed]]:
    """A build with boost or nitrous oxide and no aspiration stated gets the one that suits it.

    >>> aspiration(Build({"boost": {"pressure": "8 psi"}}))[0].stated["duty"]
    {'aspiration': 'boost'}
    """
    given = [name for name in ("boost", "nitrous") if build.at(name)]
    if build.at("duty.aspiration") is not None or not given:
        return build, []
    return build.having("duty.aspiration", given[0]), [_assumed("duty.aspiration", given[0], f"the build has {given[0]}")]


def clean_bore(build: Build, section: Mapping[str, Any]) -> tuple[Any, list[Assumed]]:
    """The bore that a worn engine is bored to where none is stated: the smallest on offer that cleans up.

    section : the answer of bore-cleanup

    >>> clean_bore(Build({}), {"smallest_clean_size": {"value": 3.892, "unit": "in"}})[0]
    {'value': 3.892, 'unit': 'in'}
    """
    smallest = section.get("smallest_clean_size")
    if build.at("bore") is not None or not smallest:
        return None, []
    bore = {"value": smallest["value"], "unit": smallest["unit"]}
    return bore, [_assumed("bore", bore, "the smallest size that cleans up, from bore-cleanup")]


def stood_in(build: Build, taken: Taken) -> list[Assumed]:
    """What stands in for facts that a calculation takes and that are stated nowhere.

    >>> stood_in(Build({"speed": "6000 rpm"}), Taken({}, {}, {"margin_speed": "speed"}, []))[0]["value"]
    '6000 rpm'
    """
    return [_assumed(place, build.at(origin), STANDS_IN[place][1]) for place, origin in taken.stood_in.items()]


def _assumed(name: str, value: Any, source: str) -> Assumed:
    return {"name": name, "value": value, "basis": "caller", "source": source}
