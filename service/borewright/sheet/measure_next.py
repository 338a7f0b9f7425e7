"""What to measure next: which measurements are the likeliest to settle a sheet's open checks, for the time that they take."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from marshmallow import Schema

from borewright.build import Taken
from borewright.build.facts import fact_at
from borewright.calculations.base.answers import figure, number
from borewright.calculations.base.fields import Many, Part, Quantity, QuantityOrPart
from borewright.calculations.base.reach import Reach
from borewright.calculations.base.single import Answered
from borewright.practice.tables import Row, table
from borewright.quantities import System

MOST_ENTRIES = 12
MOST_TOGETHER = 4  # measurements that are proposed as one
LEAST_CHANCE = 0.01  # below it a measurement is not worth its time
KINDS: Mapping[str, str] = {
    "length": "a length",
    "volume": "a volume",
    "displacement": "a volume",
    "mass": "a mass",
    "angle": "an angle",
    "temperature": "a temperature",
    "pressure": "a pressure",
    "power": "a power",
    "torque": "a power",
}
DIFFERENCES = {"temperature": "temperature_difference"}


@dataclass(frozen=True)
class Field:
    """One thing that can be measured.

    pointer : where the build states it, or would
    kind : of quantity; None where it is a word
    tolerance : half of what it carries [SI]; None where it is not stated
    several : what it is in words, where it is an object of several figures
    """

    pointer: str
    kind: str | None
    tolerance: float | None
    several: str = ""

    @property
    def place(self) -> str:
        """Its first place among those that state the same fact."""
        return _fact_place(_dotted(self.pointer))

    @property
    def cost(self) -> Row:
        """What it takes.

        >>> Field("#/build/gasket/thickness", "length", None).cost.values["minutes"]
        3
        """
        rows = table("measuring").rows
        names = [step for step in self.place.split(".") if not step.isdigit()]
        names = ["limits" if name.endswith("limits") else name for name in names]
        asked = [".".join(names), names[-1], *names[::-1], _row(self.kind, self.several)]
        return next(rows[name] for name in asked if name in rows)

    @property
    def words(self) -> str:
        """How it is called.

        >>> Field("#/build/rod/length", "length", None).words, Field("#/build/readings/3/thrust", "length", None).words
        ('rod length', 'readings no. 4 thrust')
        """
        if self.several and not self.place.split(".")[0].endswith("limits"):
            return self.several
        fact = fact_at(self.place)
        if fact is not None and self.place in fact.places:
            return fact.text
        steps = [f"no. {int(step) + 1}" if step.isdigit() else step.replace("_", " ") for step in self.place.split(".")]
        return f"limit of {' '.join(steps[1:])}" if steps[0].endswith("limits") else " ".join(steps)


@dataclass(frozen=True)
class OpenCheck:
    """A check that a measurement may change: its inputs go by their first places."""

    section: str
    name: str
    reach: Reach


class Measurable:
    """The open checks of a sheet, and what can be measured for them."""

    def __init__(self) -> None:
        self.checks: list[OpenCheck] = []
        self.fields: dict[str, Field] = {}

    def add(self, section: str, schema: Schema, taken: Taken, answered: Answered) -> None:
        """The checks of a section.

        schema : of its request
        """
        for check, reach in zip(answered.outcome.checks, answered.reaches(), strict=True):
            if reach.verdict == "pass":
                continue
            here = {pointer: self._place(schema, taken, answered, pointer) for pointer in (*reach.effects, *reach.missing)}
            effects = {here[pointer]: width for pointer, width in reach.effects.items()}
            self.checks.append(
                OpenCheck(section, check.name, replace(reach, effects=effects, missing=tuple(here[pointer] for pointer in reach.missing)))
            )

    def _place(self, schema: Schema, taken: Taken, answered: Answered, pointer: str) -> str:
        field = _field_at(schema, pointer)
        kind = field.kind if isinstance(field, Quantity | QuantityOrPart) else None
        reading = answered.toleranced.get(pointer)
        found = Field(
            taken.pointer(pointer), kind, None if reading is None else reading.tolerance, field.text if isinstance(field, Part) else ""
        )
        self.fields.setdefault(found.place, found)
        return found.place

    def ranked(self, system: System) -> list[dict[str, Any]]:
        """The measurements, each time the one that settles the most checks for the time it takes, given those before it."""
        known: frozenset[str] = frozenset()
        found: list[dict[str, Any]] = []
        bundles = list(dict.fromkeys(bundle for check in self.checks for bundle in _bundles(check.reach)))
        while len(found) < MOST_ENTRIES:
            open_bundles = [bundle for bundle in bundles if not bundle <= known]
            worth = {bundle: self._settled(known, bundle) / self._minutes(bundle - known) for bundle in open_bundles}
            best = max(open_bundles, key=lambda bundle: worth[bundle], default=None)
            if best is None or self._settled(known, best) < LEAST_CHANCE:
                break
            found.append(self._entry(known, best, system))
            known |= best
        return found

    def _minutes(self, places: Iterable[str]) -> float:
        return sum(float(self.fields[place].cost.values["minutes"]) for place in places)

    def _gains(self, known: frozenset[str], bundle: frozenset[str]) -> Iterator[tuple[OpenCheck, float]]:
        """The checks that a bundle may settle, and by how much it raises the chance."""
        for check in self.checks:
            if not bundle.isdisjoint(check.reach.effects) or not bundle.isdisjoint(check.reach.missing):
                yield check, check.reach.chance(known | bundle) - check.reach.chance(known)

    def _settled(self, known: frozenset[str], bundle: frozenset[str]) -> float:
        return sum(gain for _, gain in self._gains(known, bundle))

    def _entry(self, known: frozenset[str], bundle: frozenset[str], system: System) -> dict[str, Any]:
        taken = [self.fields[place] for place in sorted(bundle - known, key=list(self.fields).index)]
        settles = [(check, gain) for check, gain in self._gains(known, bundle) if gain >= LEAST_CHANCE]
        shares = [check.reach.share_allowed(known | bundle) for check, _ in settles if check.reach.verdict == "watch"]
        share = min((share for share in shares if share is not None), default=None)
        return {
            "measure": ", ".join(dict.fromkeys(field.words for field in taken)),
            "how": "; ".join(dict.fromkeys(field.cost.word("how") for field in taken)),
            "fields": [field.pointer for field in taken],
            "tolerances": [_tolerance(field, share, system) for field in taken],
            "settles": [
                {"section": check.section, "check": check.name, "verdict": check.reach.verdict, "chance": number(round(gain, 6))}
                for check, gain in sorted(settles, key=lambda entry: -entry[1])
            ],
            "expected": number(round(sum(gain for _, gain in settles), 6)),
            "minutes": number(self._minutes(bundle - known)),
        }


def _tolerance(field: Field, share: float | None, system: System) -> dict[str, Any] | None:
    """How closely to measure so that what is stated, if it is confirmed, passes; None where nothing was stated or it does not help."""
    if share is None or field.tolerance is None or field.kind is None:
        return None
    return figure(share * field.tolerance, DIFFERENCES.get(field.kind, field.kind), system)


def _bundles(reach: Reach) -> Iterator[frozenset[str]]:
    """What may be measured for a check: all that is missing; or each input alone, and the largest together."""
    if reach.verdict == "unknown":
        if reach.missing:
            yield frozenset(reach.missing)
        return
    largest = sorted((place for place, width in reach.effects.items() if width > 0.0), key=lambda place: -reach.effects[place])
    yield from (frozenset([place]) for place in largest)
    yield from (frozenset(largest[:count]) for count in range(2, min(MOST_TOGETHER, len(largest)) + 1))


def _row(kind: str | None, several: str) -> str:
    """The row of the table for what has none of its own."""
    if several:
        return "several figures"
    return "a word" if kind is None else KINDS.get(kind, "a figure")


def _dotted(pointer: str) -> str:
    return pointer.removeprefix("#/build").strip("/").replace("/", ".")


def _fact_place(place: str) -> str:
    """The first place of the fact that a place states, with what lies inside it."""
    fact = fact_at(place)
    if fact is None:
        return place
    named = next(known for known in fact.places if place == known or place.startswith(known + "."))
    return fact.places[0] + place.removeprefix(named)


def _field_at(schema: Schema, pointer: str) -> Any:
    """The field that a pointer of a request leads to; None where it leads to no single one."""
    found: Any = None
    for step in pointer.removeprefix("#/").split("/"):
        if step.isdigit():
            found = getattr(found, "inner", found)
            continue
        inside = found.inner if isinstance(found, Many) else found
        holder = schema if found is None else inside.schema if isinstance(inside, Part | QuantityOrPart) else None
        found = None if holder is None else holder.fields.get(step)
        if found is None:
            return None
    return found
