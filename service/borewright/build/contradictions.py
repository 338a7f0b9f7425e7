"""What a build says twice and not alike, and what can't be true together."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, cast

from marshmallow import Schema

from borewright.build.facts import FACTS, Fact
from borewright.build.schema import build_part
from borewright.build.state import Build, value_at
from borewright.calculations.base.fields import Label, Many, Part, Quantity
from borewright.calculations.common.defaults import SPOKEN_TO
from borewright.physics.mechanism.balance_layouts import LAYOUTS
from borewright.practice.tables import table
from borewright.quantities import KINDS, Reading, System, from_si, read_quantity

ROUNDING = 1e-9  # of a size
STACKED = 0.1e-3  # m: how far a measured deck clearance may lie from its stack; common practice, from memory
NUMBERS = ("cylinder", "piston")  # what entries of lists are numbered by


@dataclass(frozen=True)
class Disagreement:
    """Places of a build that can't all be right.

    pointers : where they are
    values : what is stated there, or calculated from it, in the same order
    detail : what is wrong and what to do
    """

    pointers: list[str]
    values: list[Any]
    detail: str


@dataclass(frozen=True)
class Stated:
    """A build with its values in SI and the sections calculated from it.

    data : the build's values as they were loaded
    sections : the answers, in the units of the sheet
    """

    build: Build
    data: Mapping[str, Any]
    sections: Mapping[str, Any]
    system: System

    def of(self, place: str) -> Any:
        """What is loaded at a place that the build states; None where it states nothing."""
        return value_at(self.data, place) if self.build.at(place) is not None else None

    def fact(self, place: str) -> tuple[str, Any] | None:
        """The place that states a place's fact, and what is loaded there."""
        where = self.build.where(place)
        return None if where is None else (where, value_at(self.data, where))

    def shown(self, value: Any, kind: str) -> str:
        """A value in the units of the sheet, as it is read in a sentence."""
        if not isinstance(value, Reading):
            return str(value)
        unit = KINDS[kind].answer_unit(self.system)
        return f"{from_si(value.value, unit, kind):.6g}" + ("" if unit == "1" else f" {unit}")


def disagreements(build: Build, data: Mapping[str, Any], sections: Mapping[str, Any], system: System) -> list[Disagreement]:
    """All that a build says twice and not alike, and all in it that can't be true together.

    data : the build's values in SI, as they were loaded
    sections : the answers of the sheet's sections

    >>> build = {"stroke": "3.36 in", "crank": {"stroke": "3.63 in"}}
    >>> data = {"stroke": read_quantity("3.36 in", "length"), "crank": {"stroke": read_quantity("3.63 in", "length")}}
    >>> found = disagreements(Build(build), data, {}, "inch")
    >>> found[0].pointers, found[0].detail
    (['#/build/stroke', '#/build/crank/stroke'], 'the stroke is 3.36 in (stroke) and 3.63 in (crank.stroke): state it once, as it is')
    """
    stated = Stated(build, data, sections, system)
    found: list[Disagreement] = []
    for rule in (_facts, _layout, _beyond_the_last, _worn, _measured_bores, _ratio, _stack, _forced):
        found += rule(stated)
    return found


def pointer(place: str) -> str:
    """Where a place of the build is in the request.

    >>> pointer("crank.stroke")
    '#/build/crank/stroke'
    """
    return "/".join(["#/build", *place.split(".")])


def apart(first: Reading, second: Reading, margin: float = 0.0) -> bool:
    """Whether two readings of one size differ beyond their tolerances, a margin and the rounding of a double [SI].

    >>> apart(Reading(0.1, 0.0, 0.001), Reading(0.101)), apart(Reading(0.1), Reading(0.101))
    (False, True)
    """
    slack = margin + ROUNDING * max(abs(first.value), abs(second.value))
    return first.low > second.high + slack or second.low > first.high + slack


def _facts(stated: Stated) -> Iterator[Disagreement]:
    """Each fact that is stated in several places."""
    for fact in FACTS:
        places = [place for place in fact.places if stated.of(place) is not None]
        if len(places) > 1 and not isinstance(stated.of(places[0]), Mapping) and _unequal(stated, fact, places):
            kind = _kind(places[0])
            named = " and ".join(f"{stated.shown(stated.of(place), kind)} ({place})" for place in places)
            yield Disagreement(
                [pointer(place) for place in places],
                [stated.build.at(place) for place in places],
                f"the {fact.text} is {named}: state it once, as it is",
            )


def _unequal(stated: Stated, fact: Fact, places: list[str]) -> bool:
    values = [stated.of(place) for place in places]
    pairs = [(first, second) for index, first in enumerate(values) for second in values[index + 1 :]]
    return any(
        apart(first, second, fact.margin) if isinstance(first, Reading) and isinstance(second, Reading) else first != second
        for first, second in pairs
    )


def _kind(place: str) -> str:
    """The kind of quantity that is stated at a place."""
    schema: Schema = build_part()()
    *objects, last = place.split(".")
    for step in objects:
        schema = cast("Part", schema.fields[step]).schema
    field = schema.fields[last]
    return field.kind if isinstance(field, Quantity) else "ratio"


def _layout(stated: Stated) -> Iterator[Disagreement]:
    """The number of cylinders against the crank's layout, or against those on its throws."""
    layout, own, counted = stated.of("layout"), stated.of("crank_cylinders"), stated.fact("cylinders")
    if counted is None:
        return
    if layout in LAYOUTS and len(LAYOUTS[layout].throw_degrees) != counted[1]:
        yield Disagreement(
            [pointer(counted[0]), "#/build/layout"],
            [counted[1], layout],
            f"the layout {layout} has {len(LAYOUTS[layout].throw_degrees)} cylinders, and {counted[1]} are stated: "
            "mend the number or choose the layout of this crank",
        )
    if own is not None and len(own) != counted[1]:
        yield Disagreement(
            [pointer(counted[0]), "#/build/crank_cylinders"],
            [counted[1], len(own)],
            f"the crank's throws carry {len(own)} cylinders, and {counted[1]} are stated: mend the number, or list every cylinder",
        )


def _beyond_the_last(stated: Stated) -> Iterator[Disagreement]:
    """Entries of lists that are numbered beyond the last cylinder."""
    counted = stated.fact("cylinders")
    if counted is None:
        return
    where, count = counted
    for name, field in build_part()().fields.items():
        entries = stated.of(name)
        if not (isinstance(field, Many) and isinstance(field.inner, Part) and entries):
            continue
        for numbered in (label for label in NUMBERS if isinstance(field.inner.schema.fields.get(label), Label)):
            beyond = [(index, entry[numbered]) for index, entry in enumerate(entries) if entry.get(numbered, 0) > count]
            if beyond:
                numbers = ", ".join(map(str, dict.fromkeys(number for _, number in beyond)))
                yield Disagreement(
                    [*(f"#/build/{name}/{index}/{numbered}" for index, _ in beyond), pointer(where)],
                    [*(number for _, number in beyond), count],
                    f"{name} has {numbered} {numbers}, and the engine has {count} cylinders: mend the numbers or the count",
                )


def _worn(stated: Stated) -> Iterator[Disagreement]:
    """A bore that the wear reaches past."""
    bore, worn = stated.of("bore"), stated.sections.get("bore-cleanup")
    if bore is None or worn is None:
        return
    needs = [(_si(row["cleanup_diameter"], "length"), row["cylinder"]) for row in worn["cylinders"] if row.get("cleanup_diameter")]
    needed, cylinder = max(needs, key=lambda need: (need[0], -need[1]), default=(0.0, 0))
    if bore.high < needed * (1.0 - ROUNDING):
        smallest = worn.get("smallest_clean_size")
        size = (
            f"bore it to {stated.shown(Reading(_si(smallest, 'length')), 'length')}, the smallest size on offer that does"
            if smallest
            else ("no size on offer cleans up: sleeve it, or offer a larger one")
        )
        yield Disagreement(
            ["#/build/bore", "#/build/readings"],
            [stated.build.at("bore"), _quantity(stated, needed, "length")],
            f"the bore is {stated.shown(bore, 'length')}, and cylinder {cylinder} cleans up at "
            f"{stated.shown(Reading(needed), 'length')}: {size}",
        )


def _measured_bores(stated: Stated) -> Iterator[Disagreement]:
    """Measured bores that are not those of the bore stated: further from it than a worn cylinder that is still used."""
    bore, bores = stated.of("bore"), stated.of("bores")
    if bore is None or not bores:
        return
    margin = table("cylinders").row("worn").si("taper")
    away = [(index, entry) for index, entry in enumerate(bores) if apart(entry["diameter"], bore, margin)]
    if away:
        named = ", ".join(f"{entry['cylinder']} at {stated.shown(entry['diameter'], 'length')}" for _, entry in away)
        yield Disagreement(
            [*(f"#/build/bores/{index}/diameter" for index, _ in away), "#/build/bore"],
            [*(stated.build.at("bores")[index]["diameter"] for index, _ in away), stated.build.at("bore")],
            f"the bore is {stated.shown(bore, 'length')}, and cylinders were measured away from it: {named}; "
            "state the bore they were finished to, or measure again",
        )


def _ratio(stated: Stated) -> Iterator[Disagreement]:
    """A stated compression ratio away from the one that the volumes come to."""
    ratio, section = stated.of("compression_ratio"), stated.sections.get("compression")
    if ratio is None or section is None:
        return
    found = section["compression_ratio"]
    computed = Reading(
        found["value"], found["value"] - found.get("low", found["value"]), found.get("high", found["value"]) - found["value"]
    )
    if apart(ratio, computed, SPOKEN_TO if not ratio.tolerance else 0.0):
        yield Disagreement(
            ["#/build/compression_ratio", "#/build/chamber_volume"],
            [stated.build.at("compression_ratio"), {"value": found["value"], "unit": "1"}],
            f"the compression ratio is stated as {ratio.value:.6g}, and the volumes come to {found['value']:.4g}: "
            "leave the stated one out, or mend the volumes",
        )


def _stack(stated: Stated) -> Iterator[Disagreement]:
    """A stated deck clearance away from the one that deck, crank, rod and piston leave."""
    clearance = stated.of("deck_clearance")
    parts = [stated.fact(place) for place in ("stack.deck_height", "stack.rod_length", "stack.compression_height", "stroke")]
    found = [part for part in parts if part is not None]
    if clearance is None or len(found) < len(parts):
        return
    deck, rod, height, stroke = (reading for _, reading in found)
    offset = stated.of("pin_offset") or Reading(0.0)
    reach = rod.value + stroke.value / 2.0
    if abs(offset.value) >= reach:
        return
    computed = deck.value - height.value - math.sqrt(reach**2 - offset.value**2)
    below = deck.below + height.above + rod.above + stroke.above / 2.0
    above = deck.above + height.below + rod.below + stroke.below / 2.0
    if apart(clearance, Reading(computed, below, above), STACKED):
        yield Disagreement(
            ["#/build/deck_clearance", *(pointer(place) for place, _ in found)],
            [stated.build.at("deck_clearance"), *(stated.build.at(place) for place, _ in found)],
            f"the deck clearance is stated as {stated.shown(clearance, 'length')}, and the stack leaves "
            f"{stated.shown(Reading(computed), 'length')}: measure it again, or mend the stack",
        )


def _forced(stated: Stated) -> Iterator[Disagreement]:
    """A duty that says natural, boost or nitrous, against boost and nitrous oxide as they are stated."""
    aspiration = stated.of("duty.aspiration")
    boost = stated.of("boost.pressure")
    given = [
        name for name, there in (("boost", boost is not None and boost.high > 0.0), ("nitrous", bool(stated.build.at("nitrous")))) if there
    ]
    if aspiration is None or not given or aspiration in given:
        return
    yield Disagreement(
        ["#/build/duty/aspiration", *(f"#/build/{name}" for name in given)],
        [aspiration, *(stated.build.at(name) for name in given)],
        f"the duty says {aspiration}, and the build has {' and '.join(given)}: the duty of such an engine is {' or '.join(given)}",
    )


def _si(figure: Mapping[str, Any], kind: str) -> float:
    return read_quantity({"value": figure["value"], "unit": figure["unit"]}, kind).value


def _quantity(stated: Stated, value: float, kind: str) -> dict[str, Any]:
    unit = KINDS[kind].answer_unit(stated.system)
    return {"value": float(f"{from_si(value, unit, kind):.9g}"), "unit": unit}
