"""Whether the tables of facts and of what calculations take fit the calculations: asked by a test, which says what to add."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from marshmallow import Schema

from borewright.build.facts import fact_at, within
from borewright.build.takes import TAKES, Takes
from borewright.calculations.base.fields import Part


def leaves(schema: Schema, path: str = "") -> Iterator[str]:
    """The dotted paths of a request's fields: objects are entered, lists are not.

    >>> from borewright.calculations.base.registry import calculations
    >>> list(leaves(calculations()["displacement"].request_schema))
    ['bore', 'stroke', 'cylinders']
    """
    for name, found in schema.fields.items():
        if isinstance(found, Part):
            yield from leaves(found.schema, f"{path}{name}.")
        elif path or name != "units":
            yield path + name


def entry_problems(schemas: Mapping[str, Schema], takes: Mapping[str, Takes] = TAKES) -> list[str]:
    """What is wrong with the table for these calculations, each with what to write; empty where it covers them.

    >>> from borewright.calculations.base.registry import calculations
    >>> entry_problems({"displacement": calculations()["displacement"].request_schema}, {})
    ['displacement has no entry in TAKES: add "displacement": Takes((…facts…), own=(…)) with these fields: bore, stroke, cylinders']
    """
    found: list[str] = []
    owners: dict[str, str] = {}
    for name, schema in schemas.items():
        if name not in takes:
            found.append(
                f'{name} has no entry in TAKES: add "{name}": Takes((…facts…), own=(…)) with these fields: {", ".join(leaves(schema))}'
            )
            continue
        found += _uncovered(name, takes[name], list(leaves(schema)))
        for path in leaves(schema):
            place = takes[name].place(path)
            if any(within(path, named) for named in takes[name].own):
                if fact_at(place) is not None:
                    found.append(f"{place} states a fact of FACTS: in TAKES of {name}, move {path!r} from own to facts")
                elif owners.setdefault(place, name) != name:
                    found.append(
                        f"{place} is own to {owners[place]} and to {name}: where both mean the same, add Fact(…, ({place!r},)) to FACTS "
                        f"and move it to the facts of both; else give it another name in the build, with renamed= in TAKES of {name}"
                    )
    return found


def _uncovered(name: str, entry: Takes, paths: list[str]) -> Iterator[str]:
    for path in paths:
        if not entry.covers(path):
            fact = fact_at(entry.place(path))
            where = (
                f"facts=, as it is the {fact.text}" if fact else "own=, or to facts= with a Fact in FACTS where other calculations share it"
            )
            yield f"{name} has a field {path!r} that the build's table does not know: in TAKES of {name} add {path!r} to {where}"
        elif any(within(path, named) for named in entry.facts) and fact_at(entry.place(path)) is None:
            yield f"{name} takes {path!r} as a fact, and FACTS has none at {entry.place(path)!r}: add Fact(…, ({entry.place(path)!r},))"
    for named in (*entry.facts, *entry.own):
        if not any(within(path, named) for path in paths):
            yield f"{name} has no field {named!r} any more: take it out of TAKES of {name}"
