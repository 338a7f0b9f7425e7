"""Shares of the variance as bars."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from borewright.sheet.drawings import shares
from borewright.sheet.sections import Worked


def test_every_share_is_said(demo: Worked) -> None:
    drawing = shares.draw(demo)
    found = demo.sheet["sections"]["compression"]["sensitivity"]
    assert drawing is not None
    assert sum(share["contribution"] for share in found) == pytest.approx(1.0)
    for share in found:
        assert f"{share['contribution']:.0%}" in drawing.svg


def test_small_shares_are_counted(demo: Worked) -> None:
    section = demo.sheet["sections"]["compression"]
    many = [{"input": f"#/a/{place}", "output": "compression_ratio", "contribution": 0.1} for place in range(shares.MOST + 3)]
    sections = {**demo.sheet["sections"], "compression": {**section, "sensitivity": many}}
    drawing = shares.draw(replace(demo, sheet={**demo.sheet, "sections": sections}))
    assert drawing is not None
    assert "3 smaller ones are not drawn" in drawing.text


def test_nothing_without_tolerances(working: Callable[..., Worked]) -> None:
    assert shares.draw(working({"bore": "84.3 mm", "stroke": "85.3 mm", "cylinders": 4})) is None
