"""One build that holds the fields of every calculation: the union of their request schemas, made from the registry."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from marshmallow import Schema, fields

from borewright.calculations.base.fields import Choice, Many, Part, Quantity, QuantityOrPart, RequestPart, Whole
from borewright.calculations.base.registry import calculations

OWN = ("units",)


class UnionError(TypeError):
    """Two calculations give one name to fields that can't be one; found by the tests, never by a caller."""


def merged(name: str, schemas: list[Schema]) -> type[RequestPart]:
    """A request part with the fields of several, none required.

    >>> from borewright.calculations.compression.displacement import DisplacementRequest
    >>> sorted(merged("Bore", [DisplacementRequest()])().fields)
    ['bore', 'cylinders', 'stroke']
    """
    found: dict[str, list[fields.Field[Any]]] = {}
    for schema in schemas:
        for member, field in schema.declared_fields.items():
            if member not in OWN:
                found.setdefault(member, []).append(field)
    attributes: dict[str, Any] = {member: _one(name, member, several) for member, several in found.items()}
    meta = type("Meta", (), {"include": attributes})
    return type(
        name, (RequestPart,), {"Meta": meta, "__doc__": f"{schemas[0].__doc__ if len(schemas) == 1 else 'Fields of several calculations.'}"}
    )


def _one(owner: str, member: str, several: list[fields.Field[Any]]) -> fields.Field[Any]:
    first = several[0]
    if isinstance(first, Part) and all(isinstance(field, Part) for field in several):
        return Part(_part(owner, member, [field.schema for field in several if isinstance(field, Part)]), first.text)
    if isinstance(first, Many) and isinstance(first.inner, Part) and all(isinstance(field, Many) for field in several):
        part = _part(owner, member, [field.inner.schema for field in several if isinstance(field, Many) and isinstance(field.inner, Part)])
        longest = max(field.longest for field in several if isinstance(field, Many))
        return Many(Part(part, first.inner.text), first.text, shortest=1, longest=longest)
    if any(type(field) is not type(first) for field in several):
        raise UnionError(f"{owner}.{member} is of several types: {', '.join(sorted(type(field).__name__ for field in several))}")
    field = copy.deepcopy(first)
    field.required = False
    if isinstance(field, Quantity | Whole):
        field.low = min(each.low for each in several if isinstance(each, Quantity | Whole))
        field.high = max(each.high for each in several if isinstance(each, Quantity | Whole))
    if isinstance(field, Quantity):
        if any(isinstance(each, Quantity) and each.kind != field.kind for each in several):
            raise UnionError(f"{owner}.{member} is of several kinds")
        field.signed = any(isinstance(each, Quantity) and each.signed for each in several)
    if isinstance(field, Choice):
        field.options = tuple(dict.fromkeys(option for each in several if isinstance(each, Choice) for option in each.options))
    return field


def _part(owner: str, member: str, schemas: list[Schema]) -> type[RequestPart]:
    kinds = list(dict.fromkeys(type(schema) for schema in schemas if isinstance(schema, RequestPart)))
    return kinds[0] if len(kinds) == 1 else merged(_camel(owner, member), [kind() for kind in kinds])


def _camel(owner: str, member: str) -> str:
    return owner + member.title().replace("_", "")


@cache
def build_part() -> type[RequestPart]:
    """The build of a build sheet: every field of every calculation.

    >>> "chamber_volume" in build_part()().fields
    True
    """
    return merged("Build", [calculation.request_schema for calculation in calculations().values()])


def picked(schema: Schema, build: Mapping[str, Any]) -> dict[str, Any]:
    """The part of a build that a calculation's request knows.

    >>> picked(calculations()["displacement"].request_schema, {"bore": "4 in", "gasket": {}})
    {'bore': '4 in'}
    """
    found: dict[str, Any] = {}
    for member, field in schema.fields.items():
        if member in OWN or member not in build:
            continue
        value = build[member]
        if isinstance(field, Part) and isinstance(value, Mapping):
            value = picked(field.schema, value)
        elif isinstance(field, Many) and isinstance(field.inner, Part) and isinstance(value, list):
            value = [picked(field.inner.schema, entry) if isinstance(entry, Mapping) else entry for entry in value]
        found[member] = value
    return _one_of_each(schema, found)


def _one_of_each(schema: Schema, found: dict[str, Any]) -> dict[str, Any]:
    """Where a build fills sets of fields that exclude each other in a request, the last of them, the most detailed, is used."""
    for group in getattr(schema, "alternatives", ()):
        complete = [names for names in group if all(name in found for name in names)]
        for names in complete[:-1]:
            for name in set(names) - set(complete[-1]):
                found.pop(name, None)
    return found


def missing(schema: Schema, request: Mapping[str, Any], path: str = "") -> Iterator[str]:
    """The fields that a request lacks, as dotted names; where one of several sets is needed, all of them in words.

    >>> list(missing(calculations()["displacement"].request_schema, {"bore": "4 in"}))
    ['stroke', 'cylinders']
    """
    for member, field in schema.fields.items():
        value = request.get(member)
        if member not in request:
            if field.required:
                yield path + member
        elif isinstance(value, Mapping) and (isinstance(field, Part) or (isinstance(field, QuantityOrPart) and field.holds_part(value))):
            yield from missing(field.schema, value, f"{path}{member}.")
        elif isinstance(field, Many) and isinstance(field.inner, Part) and isinstance(value, list):
            for index, entry in enumerate(value):
                if isinstance(entry, Mapping):
                    yield from missing(field.inner.schema, entry, f"{path}{member}[{index}].")
    for group in getattr(schema, "alternatives", ()):
        if not any(all(name in request for name in names) for names in group):
            yield " or ".join(" and ".join(path + name for name in names) for names in group)
