"""The generated files: the OpenAPI document, an example of every operation, the client's methods and types."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cache
from http import HTTPStatus
from pathlib import Path
from types import MappingProxyType
from typing import Any

from flask.testing import FlaskClient

from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.web.app import create_app
from borewright.web.client_code.source import Example, client_source
from borewright.web.document.answers import FILE, cut
from borewright.web.document.openapi import batch_example, openapi
from borewright.web.document.sheet import EXAMPLES as SHEETS
from borewright.web.document.sheet import PATH as SHEET
from borewright.web.document.shortened import shortened

EXAMPLES = "openapi/examples"
CLIENT = "client/src/borewright_client"
ANSWERS = f"service/borewright/web/document/{FILE}"


@cache
def generated() -> Mapping[str, str]:
    """Every generated file: its path in the repository and its text.

    >>> "openapi/examples/displacement.json" in generated()
    True
    """
    service = create_app().test_client()
    examples: dict[str, Example] = {}
    batches: dict[str, Example] = {}
    files: dict[str, str] = {}
    for name, calculation in calculations().items():
        path = f"/v1/{name}"
        examples[name] = _answered(service, path, next(iter(calculation.examples.values())))
        files[f"{EXAMPLES}/{name}.json"] = _example(path, examples[name])
        if calculation.batch:
            batches[name] = _answered(service, f"{path}/batch", batch_example(calculation))
            files[f"{EXAMPLES}/{name}-batch.json"] = _example(f"{path}/batch", batches[name])
    made = {f"/v1/{name}": answer for name, (_, answer) in examples.items()}
    made |= {f"/v1/{name}/batch": answer for name, (_, answer) in batches.items()}
    made[SHEET] = _answered(service, SHEET, next(iter(SHEETS.values())))[1]
    answers = {path: cut(answer) for path, answer in made.items()}
    document = openapi(answers)
    files = {"openapi/openapi.json": _text(document), ANSWERS: _text(answers), **files}
    given = {name: list(_answers(service, calculation)) for name, calculation in calculations().items()}
    client = {f"{CLIENT}/{module}": text for module, text in client_source(document, examples, batches, given).items()}
    return MappingProxyType(files | client)


def stale(root: Path, files: Mapping[str, str]) -> list[Path]:
    """The example files of operations that are gone.

    >>> stale(Path("no such folder"), {})
    []
    """
    return [path for path in sorted((root / EXAMPLES).glob("*.json")) if f"{EXAMPLES}/{path.name}" not in files]


def write(root: Path) -> list[Path]:
    """Write the generated files into the repository, and remove examples of operations that are gone.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     write(Path(folder))[0].name
    'openapi.json'
    """
    files = generated()
    for path in stale(root, files):
        path.unlink()
    for name, text in files.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")
    return [root / name for name in files]


def _answered(service: FlaskClient, path: str, request: Mapping[str, Any]) -> Example:
    response = service.post(path, json=request)
    answer: Mapping[str, Any] = response.get_json()
    if response.status_code != HTTPStatus.OK:
        raise ValueError(f"an example of {path} is refused: {answer['detail']} {answer.get('errors', '')}")
    return request, answer


def _answers(service: FlaskClient, calculation: Calculation) -> Iterator[Mapping[str, Any]]:
    for request in calculation.examples.values():
        yield _answered(service, f"/v1/{calculation.name}", request)[1]
        for shorter in shortened(calculation.request_schema, request):
            response = service.post(f"/v1/{calculation.name}", json=shorter)
            if response.status_code == HTTPStatus.OK:
                yield response.get_json()


def _example(path: str, example: Example) -> str:
    request, answer = example
    return _text({"path": path, "request": request, "answer": answer})


def _text(content: Any) -> str:
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"
