"""What a build says, and what each calculation is given of it: a fact stated in one place reaches every place that wants it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from marshmallow import Schema, fields

from borewright.build.facts import STANDS_IN, fact_at, within
from borewright.build.takes import Takes
from borewright.calculations.base.fields import Choice, Many, Part, QuantityOrPart

OTHER_ENGINES = ("diesel",)
"""Words that some calculations know and others do not, since they are for other engines: these are not calculated, and not refused."""


@dataclass(frozen=True)
class Taken:
    """The request of a calculation, made from a build.

    request : the body, without its units
    origins : where the build states what stands at a dotted path of the request
    stood_in : places of the build whose fact is stated nowhere, with the place that stands in
    lacking : what the build would have to state, as its places
    """

    request: dict[str, Any]
    origins: Mapping[str, str]
    stood_in: Mapping[str, str]
    lacking: list[str]

    def pointer(self, pointer: str) -> str:
        """Where in the build a pointer of the request leads.

        >>> Taken({}, {"stack.rod_length": "rod.length"}, {}, []).pointer("#/stack/rod_length")
        '#/build/rod/length'
        """
        steps = pointer.removeprefix("#").strip("/").split("/")
        for count in range(len(steps), 0, -1):
            origin = self.origins.get(".".join(steps[:count]))
            if origin is not None:
                return "/".join(["#/build", *origin.split("."), *steps[count:]])
        return "/".join(["#/build", *steps]) if pointer.strip("#/") else "#/build"


@dataclass(frozen=True)
class Build:
    """A build as it was written.

    stated : the body, a tree of values as JSON has them
    withheld : places whose value is no longer what was stated and can't be known, with what would have to be stated
    """

    stated: Mapping[str, Any]
    withheld: Mapping[str, str] = field(default_factory=dict)

    def at(self, place: str) -> Any:
        """What is stated at a place; None where nothing is.

        >>> Build({"crank": {"stroke": "3.36 in"}}).at("crank.stroke")
        '3.36 in'
        """
        return value_at(self.stated, place)

    def where(self, place: str) -> str | None:
        """The place that states what a place wants: itself, else another of its fact, else the one that stands in; None where none does.

        >>> Build({"crank": {"stroke": "3.36 in"}}).where("stroke")
        'crank.stroke'
        """
        if place in self.withheld:
            return None
        if self.at(place) is not None:
            return place
        fact = fact_at(place)
        others = fact.places if fact is not None and place in fact.places else ()
        found = next((other for other in others if other not in self.withheld and self.at(other) is not None), None)
        if found is None and place in STANDS_IN:
            return self.where(STANDS_IN[place][0])
        return found

    def having(self, place: str, value: Any) -> Build:
        """The same build with something stated at a place.

        >>> Build({}).having("duty.aspiration", "boost").stated
        {'duty': {'aspiration': 'boost'}}
        """
        return Build(with_value(self.stated, place.split("."), value), self.withheld)

    def taken_by(self, takes: Takes, schema: Schema) -> Taken:
        """What a calculation is given.

        >>> from borewright.build.takes import TAKES
        >>> from borewright.calculations.base.registry import calculations
        >>> schema = calculations()["displacement"].request_schema
        >>> taken = Build({"bore": "4 in", "crank": {"stroke": "3.36 in"}}).taken_by(TAKES["displacement"], schema)
        >>> taken.request, taken.lacking
        ({'bore': '4 in', 'stroke': '3.36 in'}, ['cylinders'])
        """
        taking = _Taking(self, takes)
        request = taking.of(schema, "")
        lacking = [*(self._wanted(takes, path) for path in missing(schema, request)), *taking.other_words]
        return Taken(request, taking.origins, taking.stood_in, lacking)

    def _wanted(self, takes: Takes, path: str) -> str:
        """What to state so that a request has a field; where several sets would do, their words with the places of the build."""
        words = [self.withheld.get(takes.place(word), takes.place(word)) for word in path.split(" ")]
        return " ".join(words)


class _Taking:
    """One walk through a request's schema."""

    def __init__(self, build: Build, takes: Takes) -> None:
        self.build, self.takes = build, takes
        self.origins: dict[str, str] = {}
        self.stood_in: dict[str, str] = {}
        self.other_words: list[str] = []

    def of(self, schema: Schema, path: str) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for member, wanted in schema.fields.items():
            here = path + member
            if isinstance(wanted, Part):
                inner = self.of(wanted.schema, here + ".")
                stated = self._states(here)
                # what only follows from elsewhere is left out where it would be half an object that nobody asked for
                if stated or (inner and (wanted.required or not any(missing(wanted.schema, inner)))):
                    found[member] = inner
            elif here != "units" and self.takes.covers(here):
                value = self._value(here, wanted)
                if value is not None:
                    found[member] = value
        return self._one_of_each(schema, found, path)

    def _states(self, path: str) -> bool:
        """Whether the build itself has the object, and something in it that this calculation takes, or nothing at all."""
        inside = self.build.at(self.takes.place(path))
        if not isinstance(inside, Mapping):
            return False
        return not inside or any(within(given, path) and self.takes.place(given) == origin for given, origin in self.origins.items())

    def _value(self, path: str, wanted: fields.Field[Any]) -> Any:
        place = self.takes.place(path)
        origin = self.build.where(place)
        if origin is None:
            return None
        value = self.build.at(origin)
        if isinstance(wanted, Choice) and self._is_another_word(place, origin, wanted, value):
            return None
        self.origins[path] = origin
        if origin != place and place in STANDS_IN and origin not in _places(place):
            self.stood_in[place] = origin
        return _known(wanted, value)

    def _is_another_word(self, place: str, origin: str, wanted: Choice, value: Any) -> bool:
        """Whether another calculation knows a word that this one does not: stated at its own place, it is for other engines than this."""
        if value in wanted.options or value in wanted.spellings:
            return False
        if origin == place and value in OTHER_ENGINES:
            self.other_words.append(f"{origin} of {' or '.join(wanted.options)}, not {value}")
        return origin != place or value in OTHER_ENGINES

    def _one_of_each(self, schema: Schema, found: dict[str, Any], path: str) -> dict[str, Any]:
        """Of sets of fields that exclude each other one is kept: what is stated before what follows, the last before others."""
        for group in getattr(schema, "alternatives", ()):
            complete = [names for names in group if all(name in found for name in names)]
            stated = [names for names in complete if all(self._is_stated(path + name) for name in names if _only_in(name, names, group))]
            kept = (stated or complete)[-1:]
            for names in complete:
                for name in set(names) - set(*kept):
                    found.pop(name, None)
        return found

    def _is_stated(self, path: str) -> bool:
        return (
            self.origins.get(path, self.takes.place(path)) == self.takes.place(path) and self.build.at(self.takes.place(path)) is not None
        )


def _places(place: str) -> tuple[str, ...]:
    fact = fact_at(place)
    return () if fact is None else fact.places


def _only_in(name: str, names: tuple[str, ...], group: tuple[tuple[str, ...], ...]) -> bool:
    return not any(name in other for other in group if other is not names)


def _known(wanted: fields.Field[Any], value: Any) -> Any:
    """A value with what the field knows of it: entries of a list may say more than one calculation reads."""
    if isinstance(wanted, Many) and isinstance(wanted.inner, Part) and isinstance(value, list):
        schema = wanted.inner.schema
        entries = [entry if isinstance(entry, Mapping) else {} for entry in value]
        return [{name: inner for name, inner in entry.items() if name in schema.fields} for entry in entries]
    return value


def value_at(tree: Any, place: str) -> Any:
    """What stands at a dotted place of a tree; None where nothing does.

    >>> value_at({"crank": {"stroke": 3.36}}, "crank.stroke"), value_at({}, "crank.stroke")
    (3.36, None)
    """
    for step in place.split("."):
        tree = tree.get(step) if isinstance(tree, Mapping) else None
    return tree


def with_value(tree: Mapping[str, Any], steps: list[str], value: Any) -> dict[str, Any]:
    """A tree with a value at a place, its other values as they were.

    >>> with_value({"crank": {"radius": 2}}, ["crank", "stroke"], 3.36)
    {'crank': {'radius': 2, 'stroke': 3.36}}
    """
    first, *rest = steps
    inner = tree.get(first)
    return {**tree, first: with_value(inner if isinstance(inner, Mapping) else {}, rest, value) if rest else value}


def missing(schema: Schema, request: Mapping[str, Any], path: str = "") -> Iterator[str]:
    """The fields that a request lacks, as dotted names; where one of several sets is needed, all of them in words.

    >>> from borewright.calculations.base.registry import calculations
    >>> list(missing(calculations()["displacement"].request_schema, {"bore": "4 in"}))
    ['stroke', 'cylinders']
    """
    for member, wanted in schema.fields.items():
        value = request.get(member)
        if member not in request:
            if wanted.required:
                yield path + member
        elif isinstance(value, Mapping) and (isinstance(wanted, Part) or (isinstance(wanted, QuantityOrPart) and wanted.holds_part(value))):
            yield from missing(wanted.schema, value, f"{path}{member}.")
        elif isinstance(wanted, Many) and isinstance(wanted.inner, Part) and isinstance(value, list):
            for index, entry in enumerate(value):
                if isinstance(entry, Mapping):
                    yield from missing(wanted.inner.schema, entry, f"{path}{member}[{index}].")
    for group in getattr(schema, "alternatives", ()):
        if not any(all(name in request for name in names) for names in group):
            yield " or ".join(" and ".join(path + name for name in names) for names in group)
