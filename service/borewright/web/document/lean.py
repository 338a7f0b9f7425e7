"""The document as it is served: what is told in one place is not told again in another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

TOLD = ("description", "x-range")
PREFIX = "#/components/schemas/"
SHEET = ("BuildSheetRequest", "BuildSheetAnswer")


def lean(document: Mapping[str, Any]) -> dict[str, Any]:
    """The document without what it says twice.

    A member that is an object says what it is by its type alone; a field of a build, what a calculation says of the same field.

    >>> gasket = {"type": "object", "description": "A head gasket.", "properties": {}}
    >>> bore = {"$ref": "#/components/schemas/Length", "description": "diameter of the cylinder"}
    >>> members = {"gasket": {"$ref": "#/components/schemas/GasketPart", "description": "the gasket"}, "bore": bore}
    >>> schemas = {"GasketPart": gasket, "OnePart": {"properties": members}, "Build": {"properties": {"bore": bore}}}
    >>> found = lean({"components": {"schemas": schemas}})["components"]["schemas"]
    >>> found["OnePart"]["properties"]["gasket"], found["OnePart"]["properties"]["bore"] == bore
    ({'$ref': '#/components/schemas/GasketPart'}, True)
    >>> found["Build"]["properties"]
    {'bore': {'$ref': '#/components/schemas/Length'}}
    """
    components = document["components"]
    schemas: Mapping[str, Any] = components["schemas"]
    objects = {name for name, schema in schemas.items() if schema.get("type") == "object" and "value" not in schema.get("properties", {})}
    told = [pair for name, schema in schemas.items() if not of_a_build(name) for pair in _members(schema)]
    kept = {
        name: {**schema, "properties": {member: _said(name, member, inner, objects, told) for member, inner in _members(schema)}}
        if "properties" in schema
        else schema
        for name, schema in schemas.items()
    }
    return {**document, "components": {**components, "schemas": kept}}


def of_a_build(name: str) -> bool:
    """Whether a component is the build of a build sheet, or an object inside it.

    >>> of_a_build("BuildGasket"), of_a_build("BuildSheetAnswer"), of_a_build("GasketPart")
    (True, False, False)
    """
    return name.startswith("Build") and name not in SHEET


def _members(schema: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    yield from schema.get("properties", {}).items()


def _said(owner: str, member: str, schema: Mapping[str, Any], objects: set[str], told: list[tuple[str, Any]]) -> Mapping[str, Any]:
    by_type = str(schema.get("$ref", "")).removeprefix(PREFIX) in objects
    if by_type or (of_a_build(owner) and "$ref" in schema and (member, schema) in told):
        return {name: inner for name, inner in schema.items() if name not in TOLD}
    return schema
