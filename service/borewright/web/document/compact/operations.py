"""The operations: one short example of each and what they do, or everything."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from borewright.web.document.compact.references import size
from borewright.web.document.compact.texts import clause

# bytes of an example that is shown to everybody: one of a batch has the fields of the single request again
MOST, MOST_OF_A_BATCH = 700, 180


def operations(paths: Mapping[str, Any], *, whole: bool) -> dict[str, Any]:
    """The paths with short descriptions and one example of each request.

    whole : as they are

    >>> body = {"content": {"application/json": {"examples": {"a": {"value": {"bore": 1, "stroke": 2}}, "b": {"value": {"bore": 1}}}}}}
    >>> found = operations({"/": {"post": {"description": "What it is. More.", "requestBody": body, "responses": {}}}}, whole=False)
    >>> found["/"]["post"]["description"], found["/"]["post"]["requestBody"]["content"]["application/json"]
    ('What it is', {'example': {'bore': 1}})
    """
    if whole:
        return dict(paths)
    return {path: {method: _short(operation) for method, operation in methods.items()} for path, methods in paths.items()}


def _short(operation: Mapping[str, Any]) -> dict[str, Any]:
    found = {**operation, "description": clause(operation["description"])}
    if "requestBody" in operation:
        body = operation["requestBody"]
        most = MOST_OF_A_BATCH if "batches" in operation.get("tags", ()) else MOST
        found["requestBody"] = {**body, "content": {form: _one(shown, most) for form, shown in body["content"].items()}}
    found["responses"] = {status: answer_alone(answer) for status, answer in operation["responses"].items()}
    return found


def header_alone(header: Mapping[str, Any]) -> dict[str, Any]:
    """A header without its example, and briefly.

    >>> header_alone({"description": "The key. Or another.", "schema": {"type": "string"}, "example": "a"})
    {'description': 'Key', 'schema': {'type': 'string'}}
    """
    return {**{key: part for key, part in header.items() if key != "example"}, "description": clause(header["description"])}


def answer_alone(answer: Mapping[str, Any]) -> dict[str, Any]:
    """An answer with its smallest example, if that is a short one.

    >>> answer_alone({"content": {"application/json": {"example": list(range(1000))}}})
    {'content': {'application/json': {}}}
    """
    if "content" not in answer:
        return dict(answer)
    return {**answer, "content": {form: _one(shown) for form, shown in answer["content"].items()}}


def _one(shown: Mapping[str, Any], most: int = 340) -> dict[str, Any]:
    found = {key: part for key, part in shown.items() if key not in ("example", "examples")}
    examples = [shown["example"]] if "example" in shown else [each["value"] for each in shown.get("examples", {}).values()]
    smallest = _smallest(examples)
    return {**found, "example": smallest} if smallest is not None and size(smallest) < most else found


def _smallest(examples: Iterable[Any]) -> Any:
    return min(examples, key=size, default=None)
