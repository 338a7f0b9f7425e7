"""Standard tolerance widths against the table of ISO 286-1."""

import pytest

from borewright.physics.fits import clearances as fits


@pytest.mark.parametrize(
    ("low", "high", "widths"),
    [
        (50, 80, (13, 19, 30, 46, 74)),  # ISO 286-1, table of standard tolerance grades
        (80, 120, (15, 22, 35, 54, 87)),  # ISO 286-1, table of standard tolerance grades
        (18, 30, (9, 13, 21, 33, 52)),  # the same table, from memory
        (30, 50, (11, 16, 25, 39, 62)),  # the same table, from memory
        (120, 180, (18, 25, 40, 63, 100)),  # the same table, from memory
    ],
)
def test_grades_5_to_9(low: int, high: int, widths: tuple[int, ...]) -> None:
    for grade, width in zip((5, 6, 7, 8, 9), widths, strict=True):
        for size in (low + 0.001, (low + high) / 2, high):
            assert fits.tolerance_width(size * 1e-3, grade) == pytest.approx(width * 1e-6, rel=1e-9)
