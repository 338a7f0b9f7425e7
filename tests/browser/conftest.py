"""The service on a loopback socket, one browser, and a watched tab for each test at desktop and at phone width."""

import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from borewright.demo.run import read_order, running_service

WIDTHS = {"desktop": 1280, "phone": 390}


@pytest.fixture(scope="session")
def chromium() -> ModuleType:
    """The module beside this one: a folder of tests is no package."""
    spec = importlib.util.spec_from_file_location("chromium", Path(__file__).with_name("chromium.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["chromium"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    with running_service() as found:
        yield found


@pytest.fixture(scope="session")
def browser(chromium: ModuleType) -> Iterator[Any]:
    with chromium.launched() as found:
        yield found


@pytest.fixture(params=WIDTHS)
def tab(request: pytest.FixtureRequest, chromium: ModuleType, browser: Any, address: str) -> Iterator[Any]:
    """A tab that must have asked nobody else, complained of nothing and fitted its window when the test ends."""
    watched = chromium.Watched(browser, address, WIDTHS[request.param])
    try:
        yield watched
        assert watched.strangers() == []
        assert watched.complaints == []
        assert watched.overhang() <= 0
    finally:
        watched.close()


@pytest.fixture(scope="session")
def order() -> dict[str, Any]:
    """The demo's work order."""
    return read_order(None)
