"""The generated files: the OpenAPI document, an example of every operation, the client's methods and types."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from http import HTTPStatus
from pathlib import Path
from types import MappingProxyType
from typing import Any

from flask.testing import FlaskClient

from borewright.calculations.base.registry import calculations
from borewright.web.app import create_app
from borewright.web.client_code.source import Example, client_source
from borewright.web.client_code.twins import twins
from borewright.web.document.answers import FILE, cut
from borewright.web.document.batches import batch_example
from borewright.web.document.openapi import openapi, outspoken
from borewright.web.document.settled import settled
from borewright.web.document.sheet import EXAMPLES as SHEETS
from borewright.web.document.sheet import PATH as SHEET

EXAMPLES = "openapi/examples"
CLIENT = "client/src/borewright_client"
ANSWERS = f"service/borewright/web/document/{FILE}"


@dataclass(frozen=True)
class Asked:
    """What the service answers to the examples.

    singles, batches : of each calculation, the example that is shown, with its answer
    """

    singles: Mapping[str, Example]
    batches: Mapping[str, Example]
    sheet: Mapping[str, Any]


@cache
def asked() -> Asked:
    """Ask the service every example; this takes all of the time."""
    service, every = create_app().test_client(), calculations()
    return Asked(
        {name: _answered(service, f"/v1/{name}", next(iter(found.examples.values()))) for name, found in every.items()},
        {name: _answered(service, f"/v1/{name}/batch", batch_example(found)) for name, found in every.items() if found.batch},
        _answered(service, SHEET, next(iter(SHEETS.values())))[1],
    )


def generated(root: Path) -> Mapping[str, str]:
    """Every generated file: its path in the repository and its text.

    root : the repository, whose examples keep the figures that differ from those made now by a processor's last digits alone

    >>> "openapi/examples/displacement.json" in generated(Path("no such folder"))
    True
    """
    found = asked()
    examples = {f"/v1/{name}": (f"{EXAMPLES}/{name}.json", example) for name, example in found.singles.items()}
    examples |= {f"/v1/{name}/batch": (f"{EXAMPLES}/{name}-batch.json", example) for name, example in found.batches.items()}
    files: dict[str, str] = {}
    answers: dict[str, Any] = {}
    for path, (file, (request, answer)) in examples.items():
        steady = settled(answer, _kept(root / file).get("answer"))
        files[file] = _text({"path": path, "request": request, "answer": steady})
        answers[path] = cut(steady)
    answers[SHEET] = settled(cut(found.sheet), _kept(root / ANSWERS).get(SHEET))
    files = {"openapi/openapi.json": _text(openapi()), ANSWERS: _text(answers), **files}
    client = client_source(outspoken(), found.singles, found.batches)
    client |= twins(client, root / CLIENT)
    return MappingProxyType(files | {f"{CLIENT}/{module}": text for module, text in client.items()})


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
    files = generated(root)
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


def _kept(path: Path) -> Mapping[str, Any]:
    """What a generated file of the repository holds; nothing where there is none."""
    found: Mapping[str, Any] = json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {}
    return found


def _text(content: Any) -> str:
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"
