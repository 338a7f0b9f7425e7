"""The steps that the shop's tools are read in: defaults by units, the shop's own, and which way a figure is rounded."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.demo.run import read_order
from borewright.sheet.content import Content, content
from borewright.sheet.increments import Increments, increments, stepped
from borewright.sheet.sections import worked


def made(**members: Any) -> Content:
    return content(worked({**read_order(None), **members}))


def named(found: Content) -> dict[str, str]:
    return {figure.label: figure.shown for figure in (*found.key_figures, *found.calculated)}


def test_gaps_and_fits_in_ten_thousandths_lengths_in_thousandths() -> None:
    found = named(made())
    assert len(found["pin-to-bore clearance, rod"].removesuffix(" in").partition(".")[2]) == 4
    assert len(found["squish"].removesuffix(" in").partition(".")[2]) == 3


def test_the_shops_own_steps() -> None:
    found = made(increments={"fit": "0.0005 in", "length": "0.005 in"})
    for row in found.cylinders:
        for gap in (row.top, row.second):
            assert round(float(gap.removesuffix(" in")) * 10_000) % 5 == 0
    assert round(float(named(found)["squish"].removesuffix(" in")) * 1000) % 5 == 0


@pytest.mark.parametrize(("system", "decimals"), [("inch", (4, 3)), ("metric", (3, 2))])
def test_left_out_they_are_those_of_the_units(system: Any, decimals: tuple[int, int]) -> None:
    unit = {"inch": "in", "metric": "mm"}[system]
    steps = increments({}, system)
    assert (steps.of("fit", unit)[1], steps.of("length", unit)[1]) == decimals


@given(value=st.floats(1e-5, 10.0), step=st.sampled_from([0.0001, 0.0005, 0.001, 0.002, 0.005]))
def test_what_must_be_at_least_so_much_is_never_rounded_down(value: float, step: float) -> None:
    up, near = stepped(value, step, upward=True), stepped(value, step)
    assert up >= value - 1e-5 * step
    assert up - value < step
    assert abs(near - value) <= step / 2 * (1 + 1e-9)


def test_a_step_that_is_no_power_of_ten_keeps_its_decimals() -> None:
    assert Increments(0.0005 * 0.0254, 0.0025 * 0.0254).of("fit", "in") == (0.0005, 4)
    assert Increments(0.0005 * 0.0254, 0.0025 * 0.0254).of("length", "in") == (0.0025, 4)
