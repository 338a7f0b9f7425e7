"""What stands in several places of the document is said once, in a component of its own."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from typing import Any

from borewright.web.document.compact.references import (
    TEXT,
    WHOLE,
    Place,
    Schema,
    bare,
    camel,
    key_of,
    kind_of_name,
    places,
    reference,
    size,
    target,
    unused,
)

RANGE = "x-range"
WORTH = 24  # bytes; for less, a component is not worth a class of a generated client
# members whose name means nothing without what they are of
VAGUE = re.compile(
    "low|high|max|min|top|name|id|kind|value|before|after|missing|errors|ring|rod|crown|skirt|journal|flow|height|depth|width"
)


# ranges that many members share: a component each
RANGES = {
    ("Length", "5 mm", "500 mm"): "BoreSize",
    ("Length", "0 mm", "10 mm"): "SmallLength",
    ("SignedTemperature", "-60 degC", "600 degC"): "PartTemperature",
}


def ranged(schemas: dict[str, Schema]) -> None:
    """Members that share a kind and a range refer to one component, each with its own text.

    >>> bore = {"$ref": "#/components/schemas/Length", "description": "its bore", "x-range": ["5 mm", "500 mm"]}
    >>> schemas = {"OnePart": {"properties": {"bore": bore}}}
    >>> ranged(schemas)
    >>> schemas["OnePart"]["properties"]["bore"], schemas["BoreSize"]["x-range"]
    ({'description': 'its bore', '$ref': '#/components/schemas/BoreSize'}, ['5 mm', '500 mm'])
    """
    for place in places(schemas):
        kind, between = target(place.schema), place.schema.get(RANGE, ())
        name = RANGES.get((kind or "", *between))
        if kind is not None and name is not None:
            schemas[name] = {"allOf": [reference(kind)], RANGE: between}
            place.holder[place.key] = {key: part for key, part in place.schema.items() if key not in ("$ref", RANGE)} | reference(name)


def or_null(schemas: dict[str, Schema]) -> None:
    """Words that may be null become these words, or null: so they are one type with the same words elsewhere.

    >>> schemas = {"One": {"properties": {"by": {"type": ["string", "null"], "enum": ["crown", None]}}}}
    >>> or_null(schemas)
    >>> schemas["One"]["properties"]["by"]
    {'anyOf': [{'type': 'string', 'enum': ['crown']}, {'type': 'null'}]}
    """
    for place in places(schemas):
        given = place.schema
        if given.get("type") == ["string", "null"] and "enum" in given:
            words = {"type": "string", "enum": [word for word in given["enum"] if word is not None]}
            rest = {key: inner for key, inner in given.items() if key not in ("type", "enum")}
            place.holder[place.key] = {"anyOf": [words, {"type": "null"}], **rest}


def untyped_ways(schemas: dict[str, Schema]) -> None:
    """The sets of members of which one is given stand beside an object's members: that they are of an object is known.

    >>> way = {"type": "object", "properties": {"volume": {"type": "number"}}, "required": ["volume"]}
    >>> schemas = {"GasketPart": {"type": "object", "allOf": [{"oneOf": [way]}]}}
    >>> untyped_ways(schemas)
    >>> list(schemas["GasketPart"]["allOf"][0]["oneOf"][0])
    ['properties', 'required']
    """
    for place in places(schemas):
        if _alternative(place):
            place.schema.pop("type", None)


def shared_members(schemas: dict[str, Schema]) -> None:
    """Members of one name that are told alike refer to one component, which says what they are; another range than its stands beside.

    >>> bore = {"$ref": "#/components/schemas/Length", "description": "diameter of the cylinder", "x-range": ["5 mm", "500 mm"]}
    >>> schemas = {name: {"properties": {"bore": dict(bore)}} for name in ("OnePart", "TwoPart", "ThreePart")}
    >>> shared_members(schemas)
    >>> schemas["TwoPart"]["properties"], sorted(schemas["Bore"])
    ({'bore': {'$ref': '#/components/schemas/Bore'}}, ['allOf', 'description', 'x-range'])
    """
    alike: dict[tuple[str, bytes], list[Place]] = defaultdict(list)
    for place in places(schemas):
        if place.key == place.member and set(place.schema) - {WHOLE} != {"$ref"}:
            plain = place.member.rsplit(".", 1)[-1]
            alike[plain, key_of(_without_whole({**place.schema, RANGE: RANGE in place.schema}))].append(place)
    for (name, _), found in sorted(alike.items(), key=lambda pair: -len(pair[1])):
        first = _usual(found)
        component = dict(first)
        if "$ref" in component:
            rest = {key: part for key, part in first.items() if key not in ("$ref", "allOf")}
            component = {"allOf": [reference(target(first) or ""), *first.get("allOf", ())], **rest}
        own = [_beside(place.schema, component) for place in found]
        _share(schemas, found, component, _names(schemas, name, found[0], first), own)


def _beside(schema: Schema, component: Schema) -> Schema:
    """What a place says beside its component: another range, another whole text."""
    return {key: schema[key] for key in (RANGE, WHOLE) if key in schema and schema[key] != component.get(key)}


def _usual(found: list[Place]) -> Schema:
    """One of them that has the range which most of them have."""
    ranges = Counter(key_of(place.schema.get(RANGE)) for place in found)
    return max((place.schema for place in found), key=lambda schema: ranges[key_of(schema.get(RANGE))])


def recurring(schemas: dict[str, Schema], *, texts: bool = False) -> None:
    """What is spelled out in several places becomes a component, the largest first; each place keeps its own text.

    texts : only where the texts inside are the same too

    >>> words = {"type": ["string", "null"], "enum": ["crown", "top-land", "pin-boss-bearing", "pin-bending", "rod-tension", None]}
    >>> schemas = {name: {"properties": {"weakest": dict(words)}} for name in ("OneAnswer", "TwoAnswer", "ThreeAnswer")}
    >>> recurring(schemas)
    >>> schemas["TwoAnswer"]["properties"], list(schemas)[-1]
    ({'weakest': {'$ref': '#/components/schemas/WeakestOrNull'}}, 'WeakestOrNull')
    """
    for _ in range(3):  # what is inside of what was shared can recur in turn
        _known(schemas)
        alike: dict[bytes, list[Place]] = defaultdict(list)
        for place in places(schemas):
            if "$ref" not in place.schema and not _alternative(place):
                alike[key_of(_shape(place.schema, texts=texts))].append(place)
        for found in sorted(alike.values(), key=lambda places: -size(bare(places[0].schema))):
            still = [place for place in found if "$ref" not in place.schema]
            if len(still) > 1:
                shape = _shape(still[0].schema, texts=texts)
                own = [{key: part for key, part in place.schema.items() if key in TEXT} for place in still]
                _share(schemas, still, shape, _names(schemas, still[0].member, still[0], shape), own)


def _shape(schema: Schema, *, texts: bool) -> Schema:
    """A schema without its own text, with or without those inside."""
    found: Schema = {key: part for key, part in schema.items() if key not in TEXT}
    return found if texts else bare(found)


def _known(schemas: dict[str, Schema]) -> None:
    """Put a reference in the place of what is spelled out though there is a component of the same words."""
    named = {key_of(bare(schema)): name for name, schema in schemas.items() if "enum" in schema}
    for place in places(schemas):
        name = named.get(key_of(bare(place.schema))) if "enum" in place.schema else None
        if name is not None:
            own = {key: part for key, part in place.schema.items() if key in TEXT}
            if size(_without_whole(reference(name) | own)) < size(_without_whole(place.schema)):
                place.holder[place.key] = {**reference(name), **own}


def _alternative(place: Place) -> bool:
    """Whether it is one of the sets of members of which one is given, or all of them: these are no types of their own."""
    return isinstance(place.key, int) and ("oneOf" in place.schema or "required" in place.schema)


def _share(schemas: dict[str, Schema], found: list[Place], component: Schema, name: str, own: list[Schema]) -> None:
    """Put a component in the place of what is found, if it saves anything.

    own : what each place says for itself
    """
    before = sum(size(_without_whole(place.schema)) for place in found)
    after = sum(size(_without_whole(reference(name) | says)) for says in own) + size(_without_whole(component)) + len(name) + 4
    if len(found) < 2 or before - after < WORTH:
        return
    schemas[name] = component
    for place, says in zip(found, own, strict=True):
        place.holder[place.key] = {**reference(name), **says}


def _without_whole(schema: Any) -> Any:
    if isinstance(schema, dict):
        return {key: _without_whole(inner) for key, inner in schema.items() if key != WHOLE}
    return [_without_whole(inner) for inner in schema] if isinstance(schema, list) else schema


def _names(schemas: dict[str, Schema], member: str, place: Place, schema: Schema) -> str:
    """A name for a component, from what it is and from the first member that refers to it."""
    if not member:
        return unused(schemas, f"{place.component}{'Text' if schema.get('type') == 'string' else 'Object'}")
    plain = camel(member.rsplit(".", 1)[-1])
    kinds, items = schema.get("type"), schema.get("items", {})
    ways = [target(way) for way in schema.get("anyOf", ())]
    if len(ways) == 2 and ways[0] and schema["anyOf"][1] == {"type": "null"} and set(schema) <= {"anyOf"}:
        return unused(schemas, f"{re.sub(r'(?<!^Any)Figure$', '', ways[0])}OrNull")
    if isinstance(kinds, list) or {"type": "null"} in schema.get("anyOf", ()):
        plain = f"{plain}OrNull"
    elif kinds == "array" and isinstance(items.get("type"), list):
        plain = f"{plain}Column"
    elif kinds == "array" and not plain.endswith("s"):
        plain = f"{plain}List"
    elif (target(schema) or "").endswith("Figure"):
        plain = f"{plain}Figure"
    owned = f"{kind_of_name(place.component)}{plain}"
    return unused(schemas, owned) if VAGUE.fullmatch(member) else unused(schemas, plain, owned)
