"""Pressure in the cylinder and temperature of the end gas over the crank angle, with the margin to detonation."""

from __future__ import annotations

from borewright.sheet.drawings.canvas import BLUE, INK, VERMILION, Drawing, Margins, finish, panels, plain_axes
from borewright.sheet.drawings.scales import unit, value
from borewright.sheet.sections import Worked
from borewright.sheet.showing import number


def draw(worked: Worked) -> Drawing | None:
    """The trace of the detonation section; None where it carries none."""
    section = worked.sheet["sections"].get("detonation-margin")
    trace = [] if section is None else section.get("trace") or []
    if section is None or len(trace) < 2:
        return None
    crank = [value(point["crank"]) for point in trace]
    pressure = [value(point["pressure"]) for point in trace]
    heat = [(value(point["crank"]), value(point["end_gas_temperature"])) for point in trace if point.get("end_gas_temperature") is not None]
    figure, (axes,) = panels(margins=Margins(left=0.7, right=0.7, top=0.3))
    plain_axes(axes)
    axes.plot(crank, pressure, color=BLUE, lw=1.8)
    axes.set_xlabel("crank angle [°]", fontsize=9, color=INK)
    axes.set_ylabel(f"— pressure [{unit(trace[0]['pressure'])}]", fontsize=9, color=INK)
    axes.axvline(0.0, color=INK, lw=0.6, ls=":")
    told = ""
    if heat:
        other = axes.twinx()
        other.plot(*zip(*heat, strict=True), color=VERMILION, lw=1.8, ls="--")
        other.set_ylabel(f"- - end gas [{unit(trace[0]['end_gas_temperature'])}]", fontsize=9, color=INK)
        other.tick_params(colors=INK, width=0.7, length=3, labelsize=8.5)
        other.spines["top"].set_visible(False)
        hottest = max(heat, key=lambda point: point[1])
        told = f"; the end gas reaches {hottest[1]:.0f} {unit(trace[0]['end_gas_temperature'])} at {hottest[0]:.0f}°"
    peak = max(range(len(pressure)), key=lambda index: pressure[index])
    margin = section.get("octane_margin")
    words = _margin(margin)
    top = f"{shown_number(pressure[peak])} {unit(trace[0]['pressure'])}, {crank[peak]:.0f}° after top"
    if words:
        axes.set_title(words, fontsize=9, color=INK, loc="left")
    return finish(
        figure,
        name="cycle",
        section="detonation-margin",
        title="Cylinder pressure and end gas",
        text=f"Pressure peaks at {top}{told}. {words}".strip(),
    )


def shown_number(value: float) -> str:
    """A number of an axis, to the whole.

    >>> shown_number(6543.2)
    '6543'
    """
    return f"{value:.0f}"


def _margin(margin: object) -> str:
    """The octane margin, a figure or a band of figures, in words."""
    if not isinstance(margin, dict):
        return ""
    found = margin if "unit" in margin else margin.get("value")
    if not isinstance(found, dict):
        return ""
    low, high = margin.get("low"), margin.get("high")
    if isinstance(low, dict) and isinstance(high, dict):
        return f"detonation margin {number(found['value'], 1)} octane ({number(low['value'], 1)} to {number(high['value'], 1)})"
    return f"detonation margin {number(found['value'], 1)} octane"
