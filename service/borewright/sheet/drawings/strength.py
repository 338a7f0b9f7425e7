"""Factors of safety as bars, the weakest named."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from borewright.sheet.drawings.canvas import INK, SKY, VERMILION, Drawing, Margins, finish, panels, plain_axes
from borewright.sheet.drawings.scales import value
from borewright.sheet.sections import Worked

MOST = 14
NAMES = 1.5  # inches
FACTOR = "factor_of_safety"


def draw(worked: Worked) -> Drawing | None:
    """A bar for each part whose factor of safety is known; None without the section."""
    section = worked.sheet["sections"].get("strength")
    found = [] if section is None else sorted(factors(section), key=lambda part: part[1])[:MOST]
    if not found:
        return None
    widest = max(factor for _, factor in found)
    figure, (axes,) = panels(0.65 + 0.32 * len(found), Margins(left=NAMES))
    plain_axes(axes)
    for place, (_, factor) in enumerate(found):
        weakest = place == 0
        axes.barh(
            place, factor, height=0.62, facecolor=VERMILION if weakest else SKY, edgecolor=INK, lw=0.8, hatch="////" if weakest else None
        )
        axes.text(factor + 0.02 * widest, place, f"{factor:.2f}" + (" weakest" if weakest else ""), va="center", fontsize=8.5, color=INK)
    axes.axvline(1.0, color=INK, lw=1.2)
    axes.set_yticks(range(len(found)), [name for name, _ in found])
    axes.invert_yaxis()
    axes.set_xlim(0, widest * 1.25)
    axes.set_xlabel("factor of safety; at 1 load and strength are equal", fontsize=9, color=INK)
    told = ", ".join(f"{name} {factor:.2f}" for name, factor in found)
    return finish(
        figure,
        name="strength",
        section="strength",
        title=f"Factors of safety: the weakest is {found[0][0]}",
        text=f"Bars, weakest first: {told}.",
    )


def factors(tree: Any, name: str = "") -> Iterator[tuple[str, float]]:
    """Every factor of safety of an answer with the name of its part.

    >>> list(factors({"parts": [{"name": "pin", "factor_of_safety": {"value": 2.0, "unit": "1"}}], "checks": []}))
    [('pin', 2.0)]
    """
    if isinstance(tree, Mapping):
        own = tree.get("part") or tree.get("name") or name
        if tree.get(FACTOR) is not None:
            yield str(own).replace("_", " ").replace("-", " "), value(tree[FACTOR])
        for key, inner in tree.items():
            if key not in ("checks", FACTOR):
                yield from factors(inner, f"{own} {key}".strip() if FACTOR in tree else str(key))
    elif isinstance(tree, list):
        for entry in tree:
            yield from factors(entry, name)
