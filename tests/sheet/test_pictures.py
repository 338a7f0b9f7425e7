"""The README's pictures show the sheet as it is: each carries a digest of what the page said when it was taken."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest
from PIL import Image

ROOT = Path(__file__).parents[2]
PICTURES = ("sheet.png", "compression.png", "phone.png")


@pytest.fixture(scope="module")
def pictured() -> ModuleType:
    """The module beside this one: a folder of tests is no package."""
    spec = importlib.util.spec_from_file_location("pictured", Path(__file__).with_name("pictured.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["pictured"] = module
    spec.loader.exec_module(module)
    return module


def test_the_pictures_of_the_readme_are_of_today(pictured: ModuleType) -> None:
    said = pictured.digest()
    stale = []
    for name in PICTURES:
        with Image.open(ROOT / ".readme" / name) as picture:
            if picture.info.get(pictured.NOTE) != said:
                stale.append(name)
    assert stale == [], "the sheet says something else by now: run .ci/screenshots"


def test_the_readme_shows_them() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert all(f".readme/{name}" in readme for name in PICTURES)
