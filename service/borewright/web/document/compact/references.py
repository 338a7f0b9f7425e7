"""Going through the schemas of a document, and what refers to what."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import orjson

PREFIX = "#/components/schemas/"
WHOLE = "x-whole"  # while a document is made: the whole text of what has a short one
TEXT = frozenset(("description", WHOLE))
Schema = dict[str, Any]


@dataclass(frozen=True)
class Place:
    """Where a schema stands: `holder[key]`, in a component, as a member of that name or within one."""

    holder: Any
    key: Any
    component: str
    member: str

    @property
    def schema(self) -> Schema:
        """What stands there."""
        found: Schema = self.holder[self.key]
        return found


def reference(name: str) -> Schema:
    """What refers to a component.

    >>> reference("Length")
    {'$ref': '#/components/schemas/Length'}
    """
    return {"$ref": PREFIX + name}


def target(schema: Mapping[str, Any]) -> str | None:
    """The component that a schema refers to.

    >>> target(reference("Length")), target({"type": "string"})
    ('Length', None)
    """
    return str(schema["$ref"]).removeprefix(PREFIX) if "$ref" in schema else None


def places(schemas: Mapping[str, Any]) -> Iterator[Place]:
    """Every place inside the components, the outer before the inner.

    >>> schemas = {"Pair": {"properties": {"low": {"items": {"type": "number"}}}}}
    >>> [(place.member, place.key) for place in places(schemas)]
    [('low', 'low'), ('low', 'items')]
    """
    for name in list(schemas):
        if name in schemas:  # who goes through them may take some away
            yield from _within(schemas[name], name, "")


def _within(schema: Schema, component: str, member: str) -> Iterator[Place]:
    for name in list(schema.get("properties", ())):
        yield from _at(schema["properties"], name, component, name)
    for key in ("items", "additionalProperties"):
        if isinstance(schema.get(key), dict):
            yield from _at(schema, key, component, member)
    for key in ("anyOf", "oneOf", "allOf"):
        for index in range(len(schema.get(key, ()))):
            yield from _at(schema[key], index, component, member)


def _at(holder: Any, key: Any, component: str, member: str) -> Iterator[Place]:
    yield Place(holder, key, component, member)
    yield from _within(holder[key], component, member)


def bare(schema: Any) -> Any:
    """A schema without its texts.

    >>> bare({"description": "a pair", "properties": {"description": {"type": "string", "description": "a text"}}})
    {'properties': {'description': {'type': 'string'}}}
    """
    if isinstance(schema, dict):
        return {
            name: {member: bare(each) for member, each in inner.items()} if name == "properties" else bare(inner)
            for name, inner in schema.items()
            if name not in TEXT
        }
    return [bare(inner) for inner in schema] if isinstance(schema, list) else schema


def size(part: Any) -> int:
    """How many bytes a part of the document takes.

    >>> size({"a": [1, 2]})
    11
    """
    return len(orjson.dumps(part))


def key_of(part: Any) -> bytes:
    """The same for what is the same.

    >>> key_of({"a": 1, "b": 2}) == key_of({"b": 2, "a": 1})
    True
    """
    return orjson.dumps(part, option=orjson.OPT_SORT_KEYS)


@cache
def camel(name: str) -> str:
    """The name of a component for what a member is called.

    >>> camel("rod_length"), camel("duty.fuel")
    ('RodLength', 'DutyFuel')
    """
    return "".join(word[:1].upper() + word[1:] for word in re.split(r"[_.-]", name))


def kind_of_name(component: str) -> str:
    """A component's name without what says that it goes in or comes out.

    >>> kind_of_name("DisplacementRequest"), kind_of_name("GasketPart")
    ('Displacement', 'Gasket')
    """
    return re.sub(r"(BatchRequest|Request|Fields|Answer|Part)$", "", component) or component


def unused(schemas: Mapping[str, Any], *names: str) -> str:
    """The first of some names that no component has.

    >>> unused({"Bore": {}}, "Bore", "GasketBore")
    'GasketBore'
    """
    for name in names:
        if name not in schemas:
            return name
    return next(f"{names[-1]}{number}" for number in range(2, 1000) if f"{names[-1]}{number}" not in schemas)
