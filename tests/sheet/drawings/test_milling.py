"""Compression against milling: each point of a line is what the compression calculation answers for the milled chamber."""

from typing import Any

import numpy as np
import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.sheet.drawings import milling
from borewright.sheet.sections import Worked, worked

INCH = 0.0254


def test_the_line_is_the_compression_of_the_milled_chamber(demo: Worked) -> None:
    request = demo.nominal("compression-target")
    depth = np.linspace(0.0, 0.02 * INCH, 5)
    line = milling.ratio_over_depth(request, request["gasket"], depth)
    body = dict(demo.requests["compression"])
    area = 11.2  # in², as the demo's order says
    assert request["levers"]["head_mill"]["chamber_area"][0] == pytest.approx(area * INCH**2)
    for milled, ratio in zip(depth, line, strict=True):
        chamber = 59.0 - area * (milled / INCH) * 16.387064
        found = answer(calculations()["compression"], {**body, "chamber_volume": f"{chamber:.9f} cm3"})
        assert ratio == pytest.approx(found["compression_ratio"]["value"], rel=1e-7)


def test_a_chamber_that_is_milled_away_ends_the_line(demo: Worked) -> None:
    request = demo.nominal("compression-target")
    line = milling.ratio_over_depth(request, request["gasket"], np.array([0.0, 0.012]))
    assert np.isfinite(line[0])
    assert np.isnan(line[1])


def test_gaskets_of_one_shape_share_a_line_and_all_are_named(demo: Worked, order: dict[str, Any]) -> None:
    drawing = milling.draw(demo)
    assert drawing is not None
    named = " ".join(meaning for _, meaning in drawing.key)
    assert all(gasket["name"] in named for gasket in order["build"]["levers"]["gaskets"])
    assert [letter for letter, _ in drawing.key] == ["A", "B"]


def test_many_gaskets_are_counted_not_drawn(order: dict[str, Any]) -> None:
    order["build"]["levers"]["gaskets"] = [{"name": f"g{place}", "bore": 3.987, "thickness": 0.03 + place / 1000} for place in range(20)]
    drawing = milling.draw(worked(order))
    assert drawing is not None
    assert len(drawing.key) == milling.MOST_LINES + 1
    assert "more are not drawn" in drawing.key[-1][1]


def test_nothing_where_no_head_may_be_milled(order: dict[str, Any]) -> None:
    del order["build"]["levers"]["head_mill"]
    assert milling.draw(worked(order)) is None
