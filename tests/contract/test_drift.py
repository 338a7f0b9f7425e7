"""What the repository keeps of its own interface is what the service and the client say today."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from borewright.web.document.openapi import openapi
from borewright.web.document.published_files import ANSWERS, CLIENT, EXAMPLES, generated, stale, write

ROOT = Path(__file__).parents[2]
AGAIN = "run `borewright openapi` and commit what it writes"


@pytest.fixture(scope="module")
def files() -> Mapping[str, str]:
    return generated()


def alike(kept: Any, made: Any) -> bool:
    """Equal, with room for the last digits: another processor's sine or exponential may differ there."""
    if isinstance(kept, dict) and isinstance(made, dict):
        return list(kept) == list(made) and all(alike(kept[name], made[name]) for name in kept)
    if isinstance(kept, list) and isinstance(made, list):
        return len(kept) == len(made) and all(map(alike, kept, made))
    if isinstance(kept, float) and isinstance(made, float):
        return kept == pytest.approx(made, rel=1e-9, abs=1e-12)
    return type(kept) is type(made) and bool(kept == made)


def text(name: str) -> str:
    assert (ROOT / name).is_file(), f"{name} is missing: {AGAIN}"
    return (ROOT / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["openapi/openapi.json", ANSWERS])
def test_document_and_the_answers_in_it(files: Mapping[str, str], name: str) -> None:
    assert alike(json.loads(text(name)), json.loads(files[name])), AGAIN


def test_the_document_kept_is_the_one_served() -> None:
    assert json.loads(text("openapi/openapi.json")) == openapi(), AGAIN


def test_examples(files: Mapping[str, str]) -> None:
    names = [name for name in files if name.startswith(EXAMPLES)]
    drifted = [name for name in names if not alike(json.loads(text(name)), json.loads(files[name]))]
    assert not drifted, AGAIN


def test_no_example_of_what_is_gone(files: Mapping[str, str]) -> None:
    assert stale(ROOT, files) == [], AGAIN


def test_client(files: Mapping[str, str]) -> None:
    names = [name for name in files if name.startswith(CLIENT)]
    assert sorted(Path(name).name for name in names) == ["_operations.py", "answers.py", "parts.py", "sections.py"]
    drifted = [name for name in names if text(name) != files[name]]
    assert not drifted, AGAIN


def test_writing_makes_the_files_and_removes_what_is_gone(files: Mapping[str, str], tmp_path: Path) -> None:
    gone = tmp_path / EXAMPLES / "gone.json"
    gone.parent.mkdir(parents=True)
    gone.write_text("{}")
    written = write(tmp_path)
    assert {str(path.relative_to(tmp_path)): path.read_text(encoding="utf-8") for path in written} == dict(files)
    assert sorted(path for path in tmp_path.rglob("*") if path.is_file()) == sorted(written)


@pytest.mark.parametrize(
    ("made", "same"),
    [
        ({"a": [1.0 + 1e-12, "x"]}, True),
        ({"a": [1.0 + 1e-6, "x"]}, False),
        ({"a": [1.0, "y"]}, False),
        ({"a": [1.0]}, False),
        ({"a": [1, "x"]}, False),
        ({"b": [1.0, "x"]}, False),
    ],
)
def test_alike_sees_every_difference_but_the_last_digits(made: Any, same: bool) -> None:
    assert alike({"a": [1.0, "x"]}, made) is same
