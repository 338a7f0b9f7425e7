"""The build of a build sheet: what a calculation says of the same field is not said again, equal objects are one."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from itertools import takewhile
from typing import Any

from borewright.web.document.compact.references import PREFIX, TEXT, WHOLE, Schema, bare, key_of, places, target, unused

BUILD = "Build"
SHEET = ("BuildSheetRequest", "BuildSheetAnswer")
TOLD = TEXT - {WHOLE} | {"x-range"}


def of_a_build(name: str) -> bool:
    """Whether a component is the build of a build sheet, or an object inside it.

    >>> of_a_build("BuildGasket"), of_a_build("BuildSheetAnswer"), of_a_build("GasketPart")
    (True, False, False)
    """
    return name.startswith("Build") and name not in SHEET


def untold(schemas: dict[str, Schema]) -> None:
    """Leave out of a build and its sheet what a calculation says of the same field or member.

    >>> bore = {"$ref": "#/components/schemas/Length", "description": "the cylinder's diameter"}
    >>> schemas = {"OneRequest": {"properties": {"bore": dict(bore)}}, "Build": {"properties": {"bore": dict(bore)}}}
    >>> untold(schemas)
    >>> schemas["Build"]["properties"]["bore"], schemas["OneRequest"]["properties"]["bore"] == bore
    ({'$ref': '#/components/schemas/Length'}, True)
    """
    said = {pair for name, schema in schemas.items() if not _of_a_sheet(name) for pair in _told_members(schema)}
    for name, schema in schemas.items():
        if of_a_build(name) and name != BUILD:
            schema.pop("description", None)  # its fields are those of several calculations
        if _of_a_sheet(name):
            for pair in list(_told_members(schema)):
                if pair in said:
                    for key in TOLD:
                        schema["properties"][pair[0]].pop(key, None)


def _of_a_sheet(name: str) -> bool:
    return of_a_build(name) or name.startswith("Sheet")


def _told_members(schema: Schema) -> Iterator[tuple[str, bytes]]:
    """Each member with all that is told of it but its whole text."""
    for member, inner in schema.get("properties", {}).items():
        yield member, key_of({key: part for key, part in inner.items() if key != WHOLE})


def merged(document: dict[str, Any]) -> None:
    """Make one component of each object of a build that is equal to another one, of a build or of a calculation.

    >>> pair = {"type": "object", "properties": {"low": {"type": "number"}}}
    >>> schemas = {"BuildLow": pair, "LowPart": pair, "Build": {"properties": {"a": {"$ref": PREFIX + "BuildLow"}}}}
    >>> merged({"components": {"schemas": schemas}})
    >>> schemas["Build"]["properties"]["a"], list(schemas)
    ({'$ref': '#/components/schemas/LowPart'}, ['LowPart', 'Build'])
    """
    schemas: dict[str, Schema] = document["components"]["schemas"]
    while True:
        equal: dict[bytes, list[str]] = defaultdict(list)
        for name, schema in schemas.items():
            if schema.get("type") == "object":
                equal[key_of(bare(schema))].append(name)
        instead: dict[str, str] = {}
        for names in equal.values():
            ours = [name for name in names if of_a_build(name)]
            others = [name for name in names if not of_a_build(name)]
            if others:
                instead |= dict.fromkeys(ours, others[0])
            elif len(ours) > 1:
                one = unused(schemas, f"{_common_words(ours)}Each")
                schemas[one] = bare(schemas[ours[0]])
                instead |= dict.fromkeys(ours, one)
        if not instead:
            return
        for place in places(schemas):
            held = target(place.schema)
            if held in instead:
                place.schema["$ref"] = PREFIX + instead[held]
        for name in instead:
            del schemas[name]


def _common_words(names: list[str]) -> str:
    """The words with which all of some names begin."""
    words = [re.findall(r"[A-Z][a-z0-9]*", name) for name in names]
    return "".join(first for first, *_ in takewhile(lambda alike: len(set(alike)) == 1, zip(*words, strict=False)))
