"""The drawings of a build sheet, as SVG: one for each section that has something to show."""

from collections.abc import Callable

from borewright.sheet.drawings import cycle, cylinders, milling, shares, stack, strength
from borewright.sheet.drawings.canvas import Drawing
from borewright.sheet.sections import Worked

__all__ = ["DRAWINGS", "Drawing", "drawings"]

DRAWINGS: tuple[Callable[[Worked], Drawing | None], ...] = (
    cylinders.bores,
    stack.draw,
    shares.draw,
    milling.draw,
    cylinders.rings,
    cylinders.skirts,
    cycle.draw,
    strength.draw,
)


def drawings(worked: Worked) -> list[Drawing]:
    """Every drawing that the sheet's sections allow."""
    return [drawing for drawing in (draw(worked) for draw in DRAWINGS) if drawing is not None]
