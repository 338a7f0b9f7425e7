"""The closed schema of a build: the fields of every calculation that the table knows, each at its place."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from functools import cache
from typing import Any

from marshmallow import Schema, fields

from borewright.build.takes import TAKES
from borewright.calculations.base.fields import Choice, Many, Part, Quantity, RequestPart, Whole
from borewright.calculations.base.registry import calculations


class PlaceError(TypeError):
    """Two calculations have fields at one place that can't be one; found by the tests, never by a caller."""


def fields_of(schema: Schema) -> Mapping[str, fields.Field[Any]]:
    """The fields of a request that a build has too.

    >>> from borewright.calculations.base.registry import calculations
    >>> list(fields_of(calculations()["displacement"].request_schema))
    ['bore', 'stroke', 'cylinders']
    """
    return {name: found for name, found in schema.fields.items() if name != "units"}


def merged(name: str, members: list[dict[str, fields.Field[Any]]], text: str) -> type[RequestPart]:
    """A request part with the members of several, none required; the table says that what meets at a place is one fact.

    >>> from borewright.calculations.compression.displacement import DisplacementRequest
    >>> sorted(merged("Bore", [dict(fields_of(DisplacementRequest()))], "A bore.")().fields)
    ['bore', 'cylinders', 'stroke']
    """
    found: dict[str, list[fields.Field[Any]]] = {}
    for one in members:
        for member, field in one.items():
            found.setdefault(member, []).append(field)
    attributes: dict[str, Any] = {member: _one(name, member, several) for member, several in found.items()}
    meta = type("Meta", (), {"include": attributes})
    return type(name, (RequestPart,), {"Meta": meta, "__doc__": text})


def _one(owner: str, member: str, several: list[fields.Field[Any]]) -> fields.Field[Any]:
    first = several[0]
    if isinstance(first, Part) and all(isinstance(field, Part) for field in several):
        return Part(_part(owner, member, [field.schema for field in several if isinstance(field, Part)]), first.text)
    if isinstance(first, Many) and isinstance(first.inner, Part) and all(isinstance(field, Many) for field in several):
        part = _entry(owner, member, [field.inner.schema for field in several if isinstance(field, Many) and isinstance(field.inner, Part)])
        longest = max(field.longest for field in several if isinstance(field, Many))
        return Many(Part(part, first.inner.text), first.text, shortest=1, longest=longest)
    if any(type(field) is not type(first) for field in several):
        kinds = ", ".join(sorted({type(field).__name__ for field in several}))
        raise PlaceError(
            f"{owner}.{member} is of several types ({kinds}): give one of them another name in the build, with renamed= in TAKES"
        )
    field = copy.deepcopy(first)
    field.required = False
    if isinstance(field, Quantity | Whole):
        field.low = min(each.low for each in several if isinstance(each, Quantity | Whole))
        field.high = max(each.high for each in several if isinstance(each, Quantity | Whole))
    if isinstance(field, Quantity):
        if any(isinstance(each, Quantity) and each.kind != field.kind for each in several):
            raise PlaceError(f"{owner}.{member} is of several kinds")
        field.signed = any(isinstance(each, Quantity) and each.signed for each in several)
    if isinstance(field, Choice):
        field.options = tuple(dict.fromkeys(option for each in several if isinstance(each, Choice) for option in each.options))
    return field


def _part(owner: str, member: str, schemas: list[Schema]) -> type[RequestPart]:
    """The object at a place: nothing in it is required, as what it lacks may be stated elsewhere."""
    kinds = list(dict.fromkeys(type(schema) for schema in schemas if isinstance(schema, RequestPart)))
    if len(kinds) == 1 and not _wants_something(kinds[0]()):
        return kinds[0]
    text = (kinds[0].__doc__ or "") if len(kinds) == 1 else "Fields of several calculations."
    return merged(owner + member.title().replace("_", ""), [dict(kind().fields) for kind in kinds], text)


def _entry(owner: str, member: str, schemas: list[Schema]) -> type[RequestPart]:
    """An entry of a list: it stands for itself, so that what it needs is required."""
    kinds = list(dict.fromkeys(type(schema) for schema in schemas if isinstance(schema, RequestPart)))
    if len(kinds) == 1:
        return kinds[0]
    return merged(owner + member.title().replace("_", ""), [dict(kind().fields) for kind in kinds], "Fields of several calculations.")


def _wants_something(schema: Schema) -> bool:
    inside = (field.schema for field in schema.fields.values() if isinstance(field, Part))
    return any(field.required for field in schema.fields.values()) or any(map(_wants_something, inside))


@cache
def build_part() -> type[RequestPart]:
    """The build of a build sheet: every field of every calculation in the table.

    >>> "chamber_volume" in build_part()().fields
    True
    """
    known = [(TAKES[name], calculation.request_schema) for name, calculation in calculations().items() if name in TAKES]
    members = [{takes.place(name): field for name, field in fields_of(schema).items()} for takes, schema in known]
    return merged("Build", members, "Fields of several calculations.")
