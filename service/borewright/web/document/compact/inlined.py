"""Objects that a single member has stand there, and are no component."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection
from typing import Any

from borewright.web.document.compact.references import Schema, places, target

KEPT = re.compile(r"^Build$|(Request|Fields)$")  # what a caller makes as a whole has a name of its own


def inlined(document: dict[str, Any], answers: Collection[str]) -> None:
    """Put what is referred to once in the place of what refers to it; quantities keep their names.

    Those of lists that a caller makes keep their names too, and those that stand beside others.

    answers : the components that come out

    >>> band = {"type": "object", "properties": {"low": {"type": "number"}}}
    >>> schemas = {"RatioBand": band, "Answer": {"properties": {"ratio": {"$ref": "#/components/schemas/RatioBand"}}}}
    >>> inlined({"paths": {}, "components": {"schemas": schemas, "responses": {}, "headers": {}}}, [])
    >>> schemas["Answer"]["properties"]["ratio"]["type"], list(schemas)
    ('object', ['Answer'])
    """
    schemas: dict[str, Schema] = document["components"]["schemas"]
    used: Counter[str] = Counter()
    for part in (document["paths"], *document["components"].values()):
        used.update(_references(part))
    for place in places(schemas):
        name = target(place.schema)
        listed = place.key == "items" and place.component in answers
        if name is None or used[name] != 1 or not (place.key == place.member or listed):
            continue
        component = schemas[name]
        if "oneOf" not in component and not KEPT.search(name):
            told = {key: part for key, part in place.schema.items() if key != "$ref"}
            place.holder[place.key] = {**component, **told}
            del schemas[name]


def _references(part: Any) -> list[str]:
    if isinstance(part, dict):
        own = [name] if isinstance(part.get("$ref"), str) and (name := target(part)) is not None else []
        return own + [name for inner in part.values() for name in _references(inner)]
    return [name for inner in part for name in _references(inner)] if isinstance(part, list) else []
