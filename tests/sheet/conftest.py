"""The demo's order calculated, and orders that are not so well behaved."""

import copy
import datetime
from collections.abc import Callable
from typing import Any

import pytest

from borewright.demo.run import read_order
from borewright.sheet.content import Content, content
from borewright.sheet.sections import Worked, worked

TODAY = datetime.date(2031, 5, 17)
MARKUP = "<script>alert(1)</script>\"'&/..\\"
HOSTILE_ORDER = {
    "id": MARKUP,
    "shop": "\u202eoverride <img src=x onerror=alert(1)>",
    "customer": "שלום العربية \u2067unclosed",
    "engine": "🏎️ 田中 #emph[x] $x$ #panic()",
    "notes": "W" * 2000,
}
HOSTILE_NAME = "</title></svg><script>x</script> #panic() $y$ " + "Z" * 34


@pytest.fixture
def order() -> dict[str, Any]:
    """The demo's order in full, to be changed at will."""
    return {**copy.deepcopy(read_order(None)), "detail": "full"}


@pytest.fixture
def hostile_order(order: dict[str, Any]) -> dict[str, Any]:
    """The demo's build under an order of markup, changed directions, missing letters and words without end."""
    order["order"] = dict(HOSTILE_ORDER)
    order["build"]["levers"]["gaskets"][1]["name"] = HOSTILE_NAME
    return order


@pytest.fixture
def demo(order: dict[str, Any]) -> Worked:
    """The demo's order, calculated on a fixed day."""
    return worked(order, today=TODAY)


@pytest.fixture
def hostile(hostile_order: dict[str, Any]) -> Worked:
    """The hostile order, calculated."""
    return worked(hostile_order, today=TODAY)


@pytest.fixture(scope="session")
def demo_content() -> Content:
    """The words and drawings of the demo's order, made once."""
    return content(worked({**read_order(None), "detail": "full"}, today=TODAY))


@pytest.fixture
def working() -> Callable[..., Worked]:
    """Work out a build under a plain order."""

    def work(build: dict[str, Any], units: str | None = None, detail: str = "full") -> Worked:
        named = {} if units is None else {"units": units}
        return worked({**named, "order": {"id": "A-1"}, "build": build, "detail": detail}, today=TODAY)

    return work
