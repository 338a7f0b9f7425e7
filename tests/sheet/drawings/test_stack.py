"""The stack: its caps hold the volumes they stand for, its sizes are those of the answer."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.sheet.drawings import stack
from borewright.sheet.sections import Worked

BUILD: dict[str, Any] = {
    "bore": "84.3 mm",
    "stroke": "85.3 mm",
    "cylinders": 4,
    "chamber_volume": "41 cm3",
    "gasket": {"bore": "85.3 mm", "thickness": "1.1 mm"},
    "deck_clearance": "0.1 mm",
}


@given(st.floats(1e-7, 1e-3), st.floats(0.02, 0.2))
def test_a_cap_holds_its_volume(volume: float, radius: float) -> None:
    """Turning the outline round the axis gives the volume back: V = ∫ 2πr·y dr."""
    height = stack._cap_height(volume, radius)
    x, y = stack._cap(radius, height, 0.0)
    fine = np.linspace(0, radius, 20_001)
    sphere = (radius**2 + height**2) / (2 * height)
    outline = np.sqrt(sphere**2 - fine**2) - (sphere - height)
    assert np.trapezoid(2 * np.pi * fine * outline, fine) == pytest.approx(volume, rel=1e-4) or height > radius
    assert y.max() <= height * (1 + 1e-9)
    assert x[0] == -radius


@pytest.mark.parametrize(("deck", "words"), [("0.1 mm", "0.10 mm below the deck"), ("-0.2 mm", "0.20 mm above the deck")])
def test_it_says_where_the_piston_stands(working: Callable[..., Worked], deck: str, words: str) -> None:
    drawing = stack.draw(working({**BUILD, "deck_clearance": deck}))
    assert drawing is not None
    assert words in drawing.text
    assert "squish" in drawing.svg


def test_without_a_thickness_the_squish_is_not_drawn(working: Callable[..., Worked]) -> None:
    drawing = stack.draw(working({**BUILD, "gasket": {"volume": "6.5 cm3"}}))
    assert drawing is not None
    assert "squish not known" in drawing.text
    assert ">squish" not in drawing.svg


@pytest.mark.parametrize(
    "more",
    [
        {"crown": {"dome": "6 cm3"}},
        {"crown": {"recess": "12 cm3"}},
        {"chamber_volume": "0 cm3", "crown": {"recess": "40 cm3"}},
        {"gasket": {"bore": "78 mm", "thickness": "1 mm"}},
        {"deck_clearance": "-1.1 mm"},
        {"deck_clearance": "12 mm"},
        {"top_land": {"height": "6 mm", "diameter": "83 mm"}},
    ],
)
def test_odd_builds_are_drawn(working: Callable[..., Worked], more: dict[str, Any]) -> None:
    found = working({**BUILD, **more})
    assert "compression" in found.sheet["sections"]
    assert stack.draw(found) is not None


def test_nothing_without_the_section(working: Callable[..., Worked]) -> None:
    assert stack.draw(working({"bore": "84.3 mm"})) is None
