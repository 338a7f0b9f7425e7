"""What the document admits is answered or can't exist; it is never refused as against the schema.

Every field of every request is tried in every way its schema names: each unit, each form, the ends of its range.
"""

import copy
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from admitted import BY_READING, codes_of_reading
from flask.testing import FlaskClient

from borewright.calculations.base.mistakes import BEYOND_SCHEMA, Code
from borewright.calculations.base.registry import calculations
from borewright.web.app import create_app
from borewright.web.document.openapi import openapi

DOCUMENT = openapi()
MAY_BE = {*BEYOND_SCHEMA, Code.OUT_OF_RANGE, Code.IMPOSSIBLE}
SCHEMAS: dict[str, Any] = DOCUMENT["components"]["schemas"]
Complaints = Callable[[Any, Any], list[str]]
Steps = tuple[Any, ...]


@pytest.fixture(scope="module")
def service() -> FlaskClient:
    return create_app().test_client()


def resolved(schema: dict[str, Any]) -> dict[str, Any]:
    """A schema with what it refers to and what it adds to; `kind` is the last component on the way."""
    if "$ref" in schema:
        name = schema["$ref"].rsplit("/", 1)[1]
        return {"kind": name, **resolved(SCHEMAS[name])} | {key: inner for key, inner in schema.items() if key != "$ref"}
    found = {key: inner for key, inner in schema.items() if key != "allOf"}
    ways = [way for way in schema.get("allOf", ()) if "oneOf" in way]
    for part in schema.get("allOf", ()):
        if "oneOf" not in part:
            inner = resolved(part)
            ways += inner.get("ways", [])
            joined = {key: {**inner.get(key, {}), **found.get(key, {})} for key in ("properties",) if key in inner or key in found}
            required = [*inner.get("required", ()), *found.get("required", ())]
            found = {**inner, **found, **joined, **({"required": required} if required else {})}
    return {**found, **({"ways": ways} if ways else {})}


def admitted(schema: dict[str, Any]) -> Iterator[Any]:
    """Values that a schema admits: the corners of what it says."""
    found = resolved(schema)
    if "oneOf" in found and len(found["oneOf"]) == 3:
        yield from _quantities(found)
    elif "enum" in found:
        yield from found["enum"]
    elif found.get("type") == "integer":
        yield from (found["minimum"], found["maximum"], float(found["minimum"]))
    elif found.get("type") == "number":
        yield from (found["minimum"], found["maximum"], 12, 12.5)
    elif found.get("type") == "boolean":
        yield from (True, False)
    elif found.get("type") == "string":
        text = "A-1" if found.get("pattern", "").startswith("^[^") else "2026-02-28"
        yield from (text, text[0] if text == "A-1" else text, "x" * found["maxLength"] if text == "A-1" else text)
    elif found.get("type") == "array":
        inner = next(admitted(found["items"]))
        yield from ([copy.deepcopy(inner)] * found["minItems"], [copy.deepcopy(inner)] * min(found["maxItems"], 30))
    elif found.get("type") == "object":
        yield _smallest(found)


def _quantities(found: dict[str, Any]) -> Iterator[Any]:
    _, described, bare = found["oneOf"]
    signed = "minimum" not in bare
    units = resolved(described)["properties"]["unit"]["enum"]
    for unit in units:
        yield from (f"1.5 {unit}", f"2 {unit} ± 0.001 {unit}", f"2 +/- 0.001 {unit}")
        yield {"value": 1e300, "unit": unit, "tolerance": 1e300}
    unit = units[0]
    yield from (f"0 {unit}", f"1e17 {unit}", {"value": 0, "unit": unit, "tolerance": 0}, 1.5, 0, 10**17, 1e300)
    if signed:
        yield from (f"-1.5 {unit}", {"value": -1e300, "unit": unit}, -1e300)


def _smallest(found: dict[str, Any]) -> dict[str, Any]:
    """An object with what it requires and the first of each of its alternatives."""
    names = set(found.get("required", []))
    for group in found.get("ways", []):
        names.update(group["oneOf"][0]["required"])
    return {name: next(admitted(found["properties"][name])) for name in sorted(names)}


def _changed(body: dict[str, Any], steps: Steps, value: Any) -> dict[str, Any]:
    changed = copy.deepcopy(body)
    inner: Any = changed
    for step in steps[:-1]:
        inner = inner[step]
    inner[steps[-1]] = value
    return changed


def variations(schema: dict[str, Any], body: dict[str, Any], spelled: set[str], steps: Steps = ()) -> Iterator[tuple[Steps, Any]]:
    """Every field of the schema with each value it admits; objects that the example holds are gone into.

    spelled : kinds of quantity that were tried in every spelling already; further fields of the kind get the last few
    """
    for name, described in resolved(schema)["properties"].items():
        here, given = (*steps, name), _at(body, (*steps, name))
        found = resolved(described)
        if found.get("type") == "object" and "properties" in found and isinstance(given, dict):
            yield from variations(described, body, spelled, here)
        values = list(admitted(described))
        kind = found["kind"] if "oneOf" in found else ""
        for value in values[-8:] if kind in spelled else values:
            yield here, value
        spelled.update([kind] if kind else [])


def _at(body: Any, steps: Steps) -> Any:
    for step in steps:
        body = body.get(step) if isinstance(body, dict) else None
    return body


@pytest.mark.parametrize("name", calculations())
def test_every_admitted_value_of_every_field(service: FlaskClient, complaints: Complaints, name: str) -> None:
    calculation = calculations()[name]
    example: dict[str, Any] = dict(next(iter(calculation.examples.values())))
    schema = {"$ref": f"#/components/schemas/{calculation.request.__name__}"}
    tried, answered, refused = 0, 0, []
    spelled: set[str] = set()
    for steps, value in variations(schema, example, spelled):
        body = _changed(example, steps, value)
        tried += 1
        response = service.post(f"/v1/{name}", json=body)
        problem = response.get_json()
        if response.status_code == 200:
            answered += 1
        elif response.status_code != 422:
            refused.append((steps, value, problem))
        elif problem["type"] == "/problems/invalid-request":
            read = codes_of_reading(f"/v1/{name}", body) - BY_READING
            unexpected = [error for error in problem["errors"] if error["code"] in read or error["code"] not in MAY_BE]
            # the change can leave the schema: another alternative doubled, say; then the document has to say no too
            if unexpected and complaints(body, schema) == []:
                refused.append((steps, value, unexpected))
    assert refused == []
    assert tried > 20
    assert answered > 3
