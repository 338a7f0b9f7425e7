"""Each example of the documentation as a program: with curl, in Python, in TypeScript."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from borewright.calculations.base.calculation import Calculation
from borewright.web.client_code.examples import call
from borewright.web.document.batches import TITLE, batch_example
from borewright.web.document.openapi import in_order_of_work, operation_id
from borewright.web.document.sheet import EXAMPLES as SHEETS

ADDRESS = "http://127.0.0.1:8080"
SHEET = ("How does the whole order stand, on one sheet?", "BuildSheet")


@dataclass(frozen=True)
class Shown:
    """An operation and its examples as programs.

    place : its path less /v1/
    code : of each example, by its title, the program in each language
    """

    place: str
    operation: str
    question: str
    code: Mapping[str, Mapping[str, str]]


@cache
def shown() -> tuple[Shown, ...]:
    """Every operation that takes a body, in the order of a job, each batch behind its calculation.

    >>> found = {one.operation: one for one in shown()}
    >>> next(iter(found["displacement"].code.values()))["Python"].splitlines()[0]
    'from borewright_client import Client'
    """
    return tuple(_every())


def _every() -> Iterator[Shown]:
    for calculation in in_order_of_work():
        name, owner = calculation.name, _owner(calculation)
        yield _shown(name, owner, calculation.question, calculation.examples)
        if calculation.batch:
            yield _shown(f"{name}/batch", f"{owner}Batch", f"{calculation.title}, many rows", {TITLE: batch_example(calculation)})
    question, owner = SHEET
    yield _shown("build-sheet", owner, question, SHEETS)


def _owner(calculation: Calculation) -> str:
    return calculation.request.__name__.removesuffix("Request")


def _shown(place: str, owner: str, question: str, examples: Mapping[str, Mapping[str, Any]]) -> Shown:
    operation = operation_id(place.replace("/", "_"))
    code = {
        title: {
            "curl": curl(place, request),
            "Python": python(operation, request),
            "TypeScript": typescript(place, owner, request),
        }
        for title, request in examples.items()
    }
    return Shown(place, operation, question, code)


def curl(place: str, request: Mapping[str, Any]) -> str:
    r"""A command for a POSIX shell.

    >>> print(curl("displacement", {"bore": "4'"}))
    curl --silent --show-error --header 'Content-Type: application/json' --data '{
      "bore": "4'\''"
    }' http://127.0.0.1:8080/v1/displacement
    """
    body = _json(request).replace("'", "'\\''")
    return f"curl --silent --show-error --header 'Content-Type: application/json' --data '{body}' {ADDRESS}/v1/{place}"


def python(operation: str, request: Mapping[str, Any]) -> str:
    """A program with the service's own client.

    >>> print(python("displacement", {"cylinders": 4}))
    from borewright_client import Client
    <BLANKLINE>
    client = Client("http://127.0.0.1:8080")
    answer = client.displacement(cylinders=4)
    print(answer.verdict)
    """
    asked = [line[4:] for line in call(operation, request)]
    last = "print(answer.rows, answer.failures)" if operation.endswith("_batch") else "print(answer.verdict)"
    return "\n".join(["from borewright_client import Client", "", f'client = Client("{ADDRESS}")', *asked, last])


def typescript(place: str, owner: str, request: Mapping[str, Any]) -> str:
    """A program over the types that openapi-typescript makes of the document.

    >>> print(typescript("displacement", "Displacement", {"cylinders": 4}).splitlines()[0])
    // npx openapi-typescript "http://127.0.0.1:8080/v1/openapi.json?text=full" --output schema.d.ts
    """
    last = "answer.rows, answer.failures" if place.endswith("/batch") else "answer.verdict"
    return "\n".join(
        [
            f'// npx openapi-typescript "{ADDRESS}/v1/openapi.json?text=full" --output schema.d.ts',
            'import type { components } from "./schema";',
            "",
            f'const body: components["schemas"]["{owner}Request"] = {_json(request)};',
            f'const response = await fetch("{ADDRESS}/v1/{place}", {{',
            '  method: "POST",',
            '  headers: { "Content-Type": "application/json" },',
            "  body: JSON.stringify(body),",
            "});",
            "if (!response.ok) throw new Error(await response.text());",
            f'const answer: components["schemas"]["{owner}Answer"] = await response.json();',
            f"console.log({last});",
        ]
    )


def _json(request: Mapping[str, Any]) -> str:
    return json.dumps(request, indent=2, ensure_ascii=False)
