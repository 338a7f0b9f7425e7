"""The generated files under openapi/: the document and one example request and answer per operation."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from flask import Flask

from borewright.calculations.base.registry import calculations
from borewright.web.app import create_app
from borewright.web.openapi import batch_example, openapi


def example_requests() -> dict[str, tuple[str, Mapping[str, Any]]]:
    """The example request of every operation: file name to path and body.

    >>> example_requests()["displacement"][0]
    '/v1/displacement'
    """
    found: dict[str, tuple[str, Mapping[str, Any]]] = {}
    for name, calculation in calculations().items():
        found[name] = (f"/v1/{name}", next(iter(calculation.examples.values())))
        if calculation.batch:
            found[f"{name}-batch"] = (f"/v1/{name}/batch", batch_example(calculation))
    return found


def generated(app: Flask | None = None) -> dict[str, str]:
    """Every generated file: its path under openapi/ and its text."""
    client = (app or create_app()).test_client()
    files = {"openapi.json": _text(openapi())}
    for name, (path, body) in example_requests().items():
        answer = client.post(path, json=body).get_json()
        files[f"examples/{name}.json"] = _text({"path": path, "request": body, "answer": answer})
    return files


def write(folder: Path) -> list[Path]:
    """Write the generated files, and remove examples of operations that are gone."""
    files = generated()
    for stale in (folder / "examples").glob("*.json"):
        if f"examples/{stale.name}" not in files:
            stale.unlink()
    written = []
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        written.append(path)
    return written


def _text(content: Any) -> str:
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"
