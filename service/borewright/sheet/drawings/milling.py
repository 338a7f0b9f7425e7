"""Compression against how far the heads are milled: the target's window shaded, a line for each gasket."""

from __future__ import annotations

import string
from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Outcome
from borewright.calculations.common.geometry import geometry
from borewright.calculations.common.levers import milled_volume, milling_limit
from borewright.physics.arrays import FloatArray
from borewright.sheet.drawings.canvas import FAINT, INK, LINES, SKY, Drawing, Margins, finish, numbered, panels, plain_axes
from borewright.sheet.drawings.scales import Scale, value
from borewright.sheet.sections import Worked

POINTS = 61
MOST_LINES = len(LINES)
PLACES = (0.93, 0.82, 0.71, 0.60, 0.49, 0.38)  # along each line, so that letters of near lines stand apart
LETTER = {"fc": "white", "ec": INK, "lw": 0.5, "pad": 1.4}


def draw(worked: Worked) -> Drawing | None:
    """Recompute the compression over milling depths through the same geometry; None where no head may be milled."""
    section = worked.sheet["sections"].get("compression-target")
    if section is None:
        return None
    request = worked.nominal("compression-target")
    mill = request["levers"].get("head_mill")
    deepest = 0.0 if mill is None else milling_limit(mill, request["chamber_volume"])[0]
    if deepest <= 0:
        return None
    depth = np.linspace(0.0, deepest, POINTS)
    scale = Scale(worked.system)
    window = next(check for check in section["checks"] if check["name"] == "compression-target")["limits"]
    low, high = value(window["low"]), value(window["high"])
    gaskets = [("as it stands", request["gasket"]), *((gasket["name"], gasket) for gasket in request["levers"].get("gaskets", []))]
    figure, (axes,) = panels(3.2, Margins(right=0.2))
    plain_axes(axes)
    axes.axhspan(low, high, facecolor=SKY, alpha=0.35, edgecolor=INK, hatch="//", lw=0.0)
    axes.text(float(scale.values(deepest)) * 0.02, high, "target window", fontsize=8, va="bottom", color=INK)
    curves = _curves(request, gaskets, depth)
    ends = [low, high, *(float(end(ratio)) for _, ratio in curves for end in (np.nanmin, np.nanmax))]
    spread = max(ends) - min(ends)
    key, told = [], []
    for letter, (names, ratio), place, (color, style) in zip(string.ascii_uppercase, curves, PLACES, LINES, strict=False):
        axes.plot(scale.values(depth), ratio, color=color, ls=style, lw=1.8)
        at = int(np.flatnonzero(np.isfinite(ratio))[-1] * place)
        where = (float(scale.values(depth[at])), float(ratio[at]))
        axes.annotate(letter, where, ha="center", va="center", fontsize=8.5, weight="bold", color=INK, bbox=LETTER, zorder=4)
        key.append((letter, names))
        told.append(f"{letter} from {ratio[0]:.2f} to {ratio[-1]:.2f}")
    most = request["levers"]["head_mill"]["max"][0]
    axes.set_xlabel(f"milled off the heads [{scale.sign('length')}]", fontsize=9, color=INK)
    axes.set_ylabel("compression ratio", fontsize=9, color=INK)
    axes.grid(axis="y", color=FAINT, lw=0.3, alpha=0.6)
    axes.margins(x=0.0)
    numbered(axes.xaxis, 3 if worked.system == "inch" else 2)
    numbered(axes.yaxis, 1 if spread > 0.5 else 2)
    if len(curves) > MOST_LINES:
        key.append(("", f"{len(curves) - MOST_LINES} more are not drawn"))
    return finish(
        figure,
        name="milling",
        section="compression-target",
        title="Compression against milling",
        text=(
            f"Lines of compression ratio from no milling to {scale.shown(min(float(most), deepest))}, with the present crown and deck: "
            f"{'; '.join(told)}. The target's window, {low:.2f} to {high:.2f}, is shaded."
        ),
        key=tuple(key),
    )


def _curves(request: Mapping[str, Any], gaskets: list[tuple[str, Mapping[str, Any]]], depth: FloatArray) -> list[tuple[str, FloatArray]]:
    """The curve of each gasket with its names; gaskets with one curve share it."""
    curves: list[tuple[str, FloatArray]] = []
    for name, gasket in gaskets:
        ratio = ratio_over_depth(request, gasket, depth)
        if np.isnan(ratio).all():
            continue
        same = next((place for place, (_, other) in enumerate(curves) if np.allclose(ratio, other, equal_nan=True)), None)
        if same is None:
            curves.append((f"gasket {name}", ratio))
        else:
            curves[same] = (f"{curves[same][0]} = {name}", ratio)
    return curves


def ratio_over_depth(request: Mapping[str, Any], gasket: Mapping[str, Any], depth: FloatArray) -> FloatArray:
    """Compression ratio after milling to each depth, NaN where the build can't exist.

    request : the nominal arrays of a compression-target request [SI]
    depth : array [m]
    """
    chamber = request["chamber_volume"] - milled_volume(request["levers"]["head_mill"], request["chamber_volume"], depth)
    outcome = Outcome({})
    with np.errstate(all="ignore"):
        ratio = geometry({**request, "gasket": gasket, "chamber_volume": chamber}, outcome).ratio
    impossible = np.zeros(depth.shape, dtype=np.bool_)
    for found in outcome.impossible:
        impossible |= found.states
    return np.where(impossible, np.nan, ratio)
