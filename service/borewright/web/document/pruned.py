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
    used: set[tuple[str, str]] = set()
    waiting = [document["paths"]]
    while waiting:
        for kind, name in _references(waiting.pop()):
            if (kind, name) not in used:
                used.add((kind, name))
                waiting.append(components[kind][name])
    kept = {
        kind: {name: part for name, part in parts.items() if kind not in KINDS or (kind, name) in used}
        for kind, parts in components.items()
    }
    return {**document, "components": kept}


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
