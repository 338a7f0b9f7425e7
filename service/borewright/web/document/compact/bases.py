"""What several objects have alike stands once, in an object that they add to."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from borewright.web.document.compact.references import Schema, bare, key_of, reference

# The bases by name: members, and what they are.
BASES: Mapping[str, tuple[tuple[str, ...], str]] = MappingProxyType(
    {
        "AnyBatchAnswer": (("rows", "units", "failures", "verdicts", "checks", "cautions", "assumptions"), "what every batch answers"),
        "AnyAnswer": (("verdict", "checks", "cautions", "assumptions", "sensitivity"), "what every answer carries"),
        "Cycle": (
            (
                "injection",
                "cooling",
                "rod_length",
                "pin_offset",
                "intake_closing",
                "exhaust_opening",
                "ambient",
                "volumetric_efficiency",
                "compression_ratio",
                "chamber_volume",
                "gasket",
                "deck_clearance",
                "crown",
                "top_land",
            ),
            "what the cylinder cycle wants to know",
        ),
    }
)
FEWEST = 3  # objects; for fewer it saves nothing


def on_bases(schemas: dict[str, Schema]) -> None:
    """Let objects that have all members of a base add their own to it; they stay closed as a whole.

    >>> carried = {name: {"type": "string"} for name in BASES["AnyAnswer"][0]}
    >>> answer = {"type": "object", "properties": carried, "required": list(carried), "additionalProperties": False}
    >>> schemas = {name: {**answer, "properties": {**carried, "own": {"type": "null"}}} for name in ("One", "Two", "Three")}
    >>> on_bases(schemas)
    >>> schemas["Two"]["allOf"][1]["properties"], schemas["Two"]["unevaluatedProperties"]
    ({'own': {'type': 'null'}}, False)
    """
    for base, (members, text) in BASES.items():
        found = [name for name, schema in schemas.items() if _has(schema, members)]
        if len(found) < FEWEST:
            continue
        first = schemas[found[0]]["properties"]
        shared = {member: first[member] for member in members}
        alike = [name for name in found if _same(schemas[name]["properties"], shared)]
        always = {"required": list(members)} if members[0] in schemas[found[0]].get("required", ()) else {}
        schemas[base] = {"type": "object", "description": text, "properties": shared, **always}
        for name in alike:
            whole = schemas[name]
            own = {member: inner for member, inner in whole["properties"].items() if member not in members}
            needed = [member for member in whole.get("required", ()) if member not in members]
            added = {"properties": own, **({"required": needed} if needed else {})}
            kept = {key: inner for key, inner in whole.items() if key not in ("type", "properties", "required", "additionalProperties")}
            schemas[name] = {**kept, "allOf": [reference(base), added, *whole.get("allOf", ())], "unevaluatedProperties": False}


def _has(schema: Schema, members: tuple[str, ...]) -> bool:
    """Whether an object has all of some members, and always all of them or none of them always."""
    always = set(members) & set(schema.get("required", ()))
    return set(members) <= set(schema.get("properties", {})) and always in (set(), set(members))


def _same(properties: Schema, shared: Schema) -> bool:
    return all(key_of(bare(properties[member])) == key_of(bare(inner)) for member, inner in shared.items())
