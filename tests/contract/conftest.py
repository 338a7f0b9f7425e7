"""The document and the schemas made of it, shared by the contract tests."""

import json
from collections.abc import Callable, Iterator
from typing import Any

import jsonschema_rs
import pytest

from borewright.web.document.openapi import openapi

ADDRESS = "urn:borewright:openapi"


@pytest.fixture(scope="session")
def document() -> dict[str, Any]:
    return openapi()


@pytest.fixture(scope="session")
def complaints(document: dict[str, Any]) -> Callable[[Any, Any], list[str]]:
    """What a validator that is not ours says of a value and a schema of the document, references resolved."""
    registry = jsonschema_rs.Registry([(ADDRESS, document)], draft=jsonschema_rs.Draft202012)
    validators: dict[str, jsonschema_rs.Draft202012Validator] = {}

    def rebased(part: Any) -> Any:
        if isinstance(part, dict):
            return {name: ADDRESS + inner if name == "$ref" else rebased(inner) for name, inner in part.items()}
        return [rebased(inner) for inner in part] if isinstance(part, list) else part

    def complain(value: Any, schema: Any) -> list[str]:
        key = json.dumps(schema)
        if key not in validators:
            validators[key] = jsonschema_rs.Draft202012Validator(rebased(schema), registry=registry)
        return [f"{error.instance_path}: {error.message}" for error in validators[key].iter_errors(value)]

    return complain


@pytest.fixture(scope="session")
def operations(document: dict[str, Any]) -> dict[tuple[str, str], dict[str, Any]]:
    """Every operation by its method and path."""

    def found() -> Iterator[tuple[tuple[str, str], dict[str, Any]]]:
        for path, methods in document["paths"].items():
            for method, operation in methods.items():
                yield (method, path), operation

    return dict(found())
