"""What the tolerance of the compression comes from, as bars."""

from __future__ import annotations

from borewright.sheet.drawings.canvas import BLUE, INK, Drawing, Margins, finish, panels, plain_axes
from borewright.sheet.sections import Worked
from borewright.sheet.showing import shown

MOST = 8
NAMES = 1.5  # inches


def draw(worked: Worked) -> Drawing | None:
    """The shares of each toleranced input in the variance of the compression ratio; None without tolerances."""
    section = worked.sheet["sections"].get("compression")
    shares = [] if section is None else [share for share in section["sensitivity"] if share["output"] == "compression_ratio"]
    if section is None or not shares:
        return None
    names = [share["input"].removeprefix("#/").removeprefix("stack/").replace("/", " ").replace("_", " ") for share in shares[:MOST]]
    parts = [share["contribution"] for share in shares[:MOST]]
    figure, (axes,) = panels(0.65 + 0.34 * len(names), Margins(left=NAMES))
    plain_axes(axes)
    axes.barh(range(len(names)), [100 * part for part in parts], height=0.6, facecolor=BLUE, edgecolor=INK, lw=0.8)
    for place, part in enumerate(parts):
        axes.text(100 * part + 1.5, place, f"{part:.0%}", va="center", fontsize=8.5, color=INK)
    axes.set_yticks(range(len(names)), names)
    axes.invert_yaxis()
    axes.set_xlim(0, 112)
    axes.set_xticks([0, 25, 50, 75, 100])
    axes.set_xlabel("share of the variance [%]", fontsize=9, color=INK)
    told = ", ".join(f"{name} {part:.0%}" for name, part in zip(names, parts, strict=True))
    more = f"; {len(shares) - MOST} smaller ones are not drawn" if len(shares) > MOST else ""
    return finish(
        figure,
        name="shares",
        section="compression",
        title="Where the tolerance of the compression comes from",
        text=f"Shares of the variance of {shown(section['compression_ratio'])}: {told}{more}.",
    )
