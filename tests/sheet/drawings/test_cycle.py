"""The pressure trace: drawn where the section carries one."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from borewright.sheet.drawings import cycle
from borewright.sheet.sections import Worked


def with_section(found: Worked, section: dict[str, Any]) -> Worked:
    return replace(found, sheet={**found.sheet, "sections": {"detonation-margin": section}})


def point(crank: float, pressure: float, heat: float | None) -> dict[str, Any]:
    found: dict[str, Any] = {"crank": {"value": crank, "unit": "deg"}, "pressure": {"value": pressure, "unit": "kPa"}}
    return found if heat is None else {**found, "end_gas_temperature": {"value": heat, "unit": "degC"}}


def test_peaks_are_said(working: Callable[..., Worked]) -> None:
    trace = [point(-10, 2000, 400), point(5, 6100, 690), point(12, 7300, 655), point(40, 3000, None)]
    margin = {name: {"value": value, "unit": "1"} for name, value in (("low", -2.0), ("value", 1.5), ("high", 4.0))}
    drawing = cycle.draw(with_section(working({}), {"trace": trace, "octane_margin": margin}))
    assert drawing is not None
    assert "Pressure peaks at 7300 kPa, 12° after top; the end gas reaches 690 °C at 5°." in drawing.text
    assert "detonation margin 1.5 octane (−2.0 to 4.0)" in drawing.svg


def test_a_trace_of_pressure_alone_is_drawn(working: Callable[..., Worked]) -> None:
    drawing = cycle.draw(with_section(working({}), {"trace": [point(0, 2000, None), point(5, 6100, None)]}))
    assert drawing is not None
    assert "end gas [" not in drawing.svg


def test_nothing_without_a_trace(working: Callable[..., Worked]) -> None:
    assert cycle.draw(with_section(working({}), {})) is None
    assert cycle.draw(working({})) is None
