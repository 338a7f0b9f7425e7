"""What the repository keeps of its own interface is what the service and the client say today."""

import json
from collections.abc import Mapping
from pathlib import Path

import pytest

from borewright.web.document.openapi import openapi
from borewright.web.document.published_files import CLIENT, EXAMPLES, generated, stale, write

ROOT = Path(__file__).parents[2]
AGAIN = "run `borewright openapi` and commit what it writes"


@pytest.fixture(scope="module")
def files() -> Mapping[str, str]:
    return generated(ROOT)


def text(name: str) -> str:
    assert (ROOT / name).is_file(), f"{name} is missing: {AGAIN}"
    return (ROOT / name).read_text(encoding="utf-8")


def test_files_are_the_same_to_the_last_byte(files: Mapping[str, str]) -> None:
    drifted = [name for name in files if text(name) != files[name]]
    assert not drifted, AGAIN


def test_the_document_kept_is_the_one_served() -> None:
    assert json.loads(text("openapi/openapi.json")) == openapi(), AGAIN


def test_no_example_of_what_is_gone(files: Mapping[str, str]) -> None:
    assert stale(ROOT, files) == [], AGAIN


def test_every_file_of_the_client_that_is_generated_is_among_them(files: Mapping[str, str]) -> None:
    names = [name for name in files if name.startswith(CLIENT)]
    assert sorted(str(Path(name).relative_to(CLIENT)) for name in names) == [
        "_async/batches.py",
        "_async/calls.py",
        "_async/operations.py",
        "_async/service.py",
        "_async/sheet.py",
        "_operations.py",
        "_units.py",
        "_words.py",
        "answers.py",
        "parts.py",
        "sections.py",
    ]


def test_writing_makes_the_files_and_removes_what_is_gone(files: Mapping[str, str], tmp_path: Path) -> None:
    gone = tmp_path / EXAMPLES / "gone.json"
    gone.parent.mkdir(parents=True)
    gone.write_text("{}")
    written = write(tmp_path)
    assert {str(path.relative_to(tmp_path)): path.read_text(encoding="utf-8") for path in written} == dict(generated(tmp_path))
    assert sorted(path for path in tmp_path.rglob("*") if path.is_file()) == sorted(written)
