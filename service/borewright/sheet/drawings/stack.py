"""The stack at top dead center, to scale: the whole top of the cylinder, and its edge enlarged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle

from borewright.calculations.base.outcome import Outcome
from borewright.calculations.common.geometry import Geometry, geometry
from borewright.physics.mechanism.volumes import circle_area
from borewright.sheet.drawings.canvas import BLUE, INK, ORANGE, Drawing, Margins, finish, panels
from borewright.sheet.drawings.scales import Scale
from borewright.sheet.sections import Worked

METAL, IRON, ALLOY = "#d9d9d9", "#e9e9e9", "#c7dbe8"
WALL = 0.16  # of the bore: how much of the block and the head is drawn
DISH = 0.70  # of the bore: how wide a recess or a dome is drawn
CAP_POINTS = 60
FLAT = 1e-6  # of its radius: a lower cap can not be told from a plane


@dataclass(frozen=True)
class Stack:
    """Sizes of the stack in the units of the drawing."""

    bore: float
    gasket: float
    opening: float
    deck: float
    chamber: float
    crown: float
    gap: float
    gasket_known: bool


def draw(worked: Worked) -> Drawing | None:
    """The stack of the compression section; None without one."""
    if "compression" not in worked.sheet["sections"]:
        return None
    request, scale = worked.nominal("compression"), Scale(worked.system)
    found = geometry(request, Outcome({}))
    stack = _sizes(found, request, scale)
    figure, (whole, edge) = panels(4.5, Margins(left=0.06, right=0.06, top=0.06, bottom=0.06, between=0.34), shares=(1.0, 1.0))
    _whole(whole, stack, scale, found)
    _edge(edge, stack, scale, found)
    return finish(
        figure,
        name="stack",
        section="compression",
        title="The stack at top dead center, to scale",
        text=_words(stack, scale, found),
    )


def _sizes(found: Geometry, request: dict[str, object], scale: Scale) -> Stack:
    bore = float(found.bore[0])
    gasket = request["gasket"]
    known = found.gasket_thickness is not None
    thickness = float(found.gasket_thickness[0]) if found.gasket_thickness is not None else float(found.parts["gasket"][0]) / _area(bore)
    opening = float(gasket["bore"][0]) if isinstance(gasket, dict) and "bore" in gasket else bore
    land = request.get("top_land")
    gap = (bore - float(land["diameter"][0])) / 2 if isinstance(land, dict) else 0.0

    def length(si: float) -> float:
        return float(scale.values(si))

    return Stack(
        bore=length(bore),
        gasket=length(thickness),
        opening=length(max(opening, bore)),
        deck=length(float(found.deck_clearance[0])),
        chamber=length(_cap_height(float(found.parts["chamber"][0]), max(opening, bore) / 2)),
        crown=length(np.sign(found.parts["crown"][0]) * _cap_height(abs(float(found.parts["crown"][0])), DISH * bore / 2)),
        gap=length(gap),
        gasket_known=known,
    )


def _area(bore: float) -> float:
    return float(circle_area(bore))


def _cap_height(volume: float, radius: float) -> float:
    """Height h of a spherical cap of a volume over a base radius a: the real root of h³ + 3a²h − 6V/π = 0, from V = πh(3a² + h²)/6."""
    return float(2 * radius * np.sinh(np.arcsinh(3 * volume / (np.pi * radius**3)) / 3))


def _cap(radius: float, height: float, base: float) -> tuple[np.ndarray, np.ndarray]:
    """The outline of a cap over (or, below zero, under) a base line."""
    x = np.linspace(-radius, radius, CAP_POINTS)
    if abs(height) < FLAT * radius:
        return x, np.full_like(x, base)
    h = abs(height)
    R = (radius**2 + h**2) / (2 * h)
    return x, base + np.sign(height) * (np.sqrt(np.maximum(R**2 - x**2, 0.0)) - (R - h))


def _whole(axes: Axes, stack: Stack, scale: Scale, found: Geometry) -> None:
    half, wall = stack.bore / 2, WALL * stack.bore
    top, bottom = stack.gasket + max(stack.chamber, 0.0) + 0.10 * stack.bore, -0.30 * stack.bore
    for side in (-1, 1):
        axes.add_patch(Rectangle((side * half, bottom), side * wall, -bottom, fc=IRON, ec=INK, lw=0.8, hatch="///"))
        axes.add_patch(
            Rectangle((side * stack.opening / 2, 0), side * (half + wall - stack.opening / 2), stack.gasket, fc=INK, ec=INK, lw=0.4)
        )
    x, y = _cap(stack.opening / 2, stack.chamber, stack.gasket)
    outer = half + wall
    head = [(-outer, stack.gasket), (-outer, top), (outer, top), (outer, stack.gasket), *zip(x[::-1], y[::-1], strict=True)]
    axes.add_patch(Polygon(head, fc=METAL, ec=INK, lw=0.8, hatch="\\\\\\"))
    crown_x, crown_y = _cap(DISH * half, -stack.crown, -stack.deck)
    inner = half - stack.gap
    piston = [(-inner, bottom), (-inner, -stack.deck), *zip(crown_x, crown_y, strict=True), (inner, -stack.deck), (inner, bottom)]
    axes.add_patch(Polygon(piston, fc=ALLOY, ec=INK, lw=0.8))
    style: dict[str, Any] = {"ha": "center", "va": "center", "color": INK, "fontsize": 8.5}
    axes.text(0, stack.gasket + stack.chamber * 0.42, f"chamber {scale.shown(float(found.parts['chamber'][0]), 'volume')}", **style)
    net = float(found.parts["crown"][0])
    word = "recess" if net > 0 else "dome"
    axes.text(0, -0.2 * stack.bore, "piston" + (f", {word} {scale.shown(abs(net), 'volume')}" if net else ", flat crown"), **style)
    line = bottom * 0.94
    axes.annotate("", (-half, line), (half, line), arrowprops={"arrowstyle": "<->", "color": INK, "lw": 0.8, "shrinkA": 0, "shrinkB": 0})
    axes.text(0, line, f"bore {scale.shown(float(found.bore[0]))}", bbox={"fc": ALLOY, "ec": "none", "pad": 1}, **style)
    axes.set_xlim(-outer * 1.01, outer * 1.01)
    axes.set_ylim(bottom, top)
    axes.set_aspect("equal", anchor="N")
    axes.axis("off")


def _edge(axes: Axes, stack: Stack, scale: Scale, found: Geometry) -> None:
    """The left edge enlarged, the same scale across and up."""
    squish = stack.deck + stack.gasket
    tall = max(squish, stack.gasket, abs(stack.deck), 1e-3 * stack.bore)
    low, high = min(-stack.deck, 0.0) - 0.8 * tall, stack.gasket + 0.7 * tall
    wide = (high - low) * 2.1
    left, right = -0.42 * wide, 0.58 * wide
    ledge = -(stack.opening - stack.bore) / 2
    axes.add_patch(Rectangle((left, low), -left, -low, fc=IRON, ec=INK, lw=0.8, hatch="///"))
    axes.add_patch(Rectangle((stack.gap, low), right - stack.gap, -stack.deck - low, fc=ALLOY, ec=INK, lw=0.8))
    axes.add_patch(Rectangle((left, stack.gasket), right - left, high - stack.gasket, fc=METAL, ec=INK, lw=0.8, hatch="\\\\\\"))
    if ledge > left:
        axes.add_patch(Rectangle((left, 0), ledge - left, stack.gasket, fc="#5a5a5a", ec=INK, lw=0.8))
    plate = {"fc": "white", "ec": "none", "pad": 1.2}
    name: dict[str, Any] = {"ha": "left", "va": "center", "fontsize": 8.5, "color": INK, "bbox": plate}
    axes.text(left * 0.95, (low + 0) / 2, "block", **name)
    axes.text(left * 0.95, high - 0.2 * tall, "head", **name)
    axes.text(right * 0.38, (low - stack.deck) / 2 - 0.05 * tall, "piston", ha="center", va="center", fontsize=8.5, color=INK)
    gasket = f"gasket {scale.shown(float(found.parts['gasket'][0]), 'volume')}"
    if stack.gasket_known and found.gasket_thickness is not None:
        gasket = f"gasket {scale.shown(float(found.gasket_thickness[0]))}"
    _dimension(axes, left * 0.62, 0.0, stack.gasket, gasket, BLUE, (low, high))
    _dimension(axes, right * 0.38, -stack.deck, 0.0, f"deck {scale.shown(float(found.deck_clearance[0]))}", ORANGE, (low, high))
    axes.plot([0, right], [0, 0], color=INK, lw=0.8, ls=(0, (5, 3)))
    if found.squish is not None:
        _dimension(axes, right * 0.8, -stack.deck, stack.gasket, f"squish {scale.shown(float(found.squish[0]))}", INK, (low, high))
    axes.set_xlim(left, right)
    axes.set_ylim(low, high)
    axes.set_aspect("equal")
    axes.set_xticks([])
    axes.set_yticks([])
    times = (2 * (0.5 + WALL) * stack.bore) / wide
    axes.set_title(f"edge of the bore, {times:.0f} times the drawing above", fontsize=8.5, color=INK, loc="left")


def _dimension(axes: Axes, x: float, low: float, high: float, words: str, color: str, view: tuple[float, float]) -> None:
    """A dimension with its words above the upper or below the lower end, whichever has room."""
    axes.plot([x, x], [low, high], color=color, lw=2.2, solid_capstyle="butt")
    reach = 0.015 * (view[1] - view[0])
    for end in (low, high):
        axes.plot([x - 2.5 * reach, x + 2.5 * reach], [end, end], color=color, lw=1.2)
    axes.text(
        x,
        max(low, high) + 4 * reach,
        words,
        ha="center",
        va="bottom",
        fontsize=8.5,
        color=INK,
        bbox={"fc": "white", "ec": "none", "pad": 1.5},
    )


def _words(stack: Stack, scale: Scale, found: Geometry) -> str:
    deck = float(found.deck_clearance[0])
    place = f"{scale.shown(abs(deck))} {'below' if deck >= 0 else 'above'} the deck"
    squish = "squish not known, as the gasket is given by its volume"
    if found.squish is not None and found.gasket_thickness is not None:
        squish = f"gasket {scale.shown(float(found.gasket_thickness[0]))} thick, squish {scale.shown(float(found.squish[0]))}"
    net = float(found.parts["crown"][0])
    crown = "flat crown" if net == 0 else f"crown with {scale.shown(abs(net), 'volume')} of {'recess' if net > 0 else 'dome'}"
    return (
        f"Section through the top of one cylinder. Bore {scale.shown(float(found.bore[0]))}; piston {place}; {squish}; {crown}; "
        f"chamber {scale.shown(float(found.parts['chamber'][0]), 'volume')}. Chamber and crown are drawn as plain caps of their volume."
    )
