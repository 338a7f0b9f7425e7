"""Leaving out of the document what nothing in it refers to: a generated client makes a class of each component."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

PREFIX = "#/components/"
KINDS = ("schemas", "responses", "headers")


def pruned(document: Mapping[str, Any]) -> dict[str, Any]:
    """The document without the schemas, responses and headers that no path reaches.

    >>> schemas = {"Used": {"items": {"$ref": "#/components/schemas/Inner"}}, "Inner": {}, "Left": {}}
    >>> found = pruned({"paths": {"/": {"$ref": "#/components/schemas/Used"}}, "components": {"schemas": schemas}})
    >>> list(found["components"]["schemas"])
    ['Used', 'Inner']
    """
    components = document["components"]
    used = _reached(components, document["paths"])
    kept = {
        kind: {name: part for name, part in parts.items() if kind not in KINDS or (kind, name) in used}
        for kind, parts in components.items()
    }
    return {**document, "components": kept}


def coming_out(document: Mapping[str, Any]) -> set[str]:
    """The schemas that answers alone are made of.

    >>> schemas = {"Asked": {}, "Told": {}}
    >>> asked, told = ({"$ref": f"#/components/schemas/{name}"} for name in schemas)
    >>> coming_out({"paths": {"/": {"post": {"requestBody": asked, "responses": told}}}, "components": {"schemas": schemas}})
    {'Told'}
    """
    operations = [operation for methods in document["paths"].values() for operation in methods.values()]
    going, coming = (
        _reached(document["components"], [operation.get(key, {}) for operation in operations]) for key in ("requestBody", "responses")
    )
    return {name for kind, name in coming - going if kind == "schemas"}


def _reached(components: Mapping[str, Any], part: Any) -> set[tuple[str, str]]:
    """Kind and name of every component that a part refers to, directly or not."""
    used: set[tuple[str, str]] = set()
    waiting = [part]
    while waiting:
        for kind, name in _references(waiting.pop()):
            if (kind, name) not in used:
                used.add((kind, name))
                waiting.append(components[kind][name])
    return used


def _references(part: Any) -> Iterator[tuple[str, str]]:
    if isinstance(part, Mapping):
        reference = part.get("$ref")
        if isinstance(reference, str):
            kind, name = reference.removeprefix(PREFIX).split("/")[:2]
            yield kind, name
        for inner in part.values():
            yield from _references(inner)
    elif isinstance(part, list):
        for inner in part:
            yield from _references(inner)
