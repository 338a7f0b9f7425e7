"""Figures of examples, written with as many digits as every processor agrees on.

Sines, exponentials and sums differ between processors, and between the ways in which libraries use one, from the eleventh digit on.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

DIGITS = 6
NOISE = 1e-9  # of a figure; what may differ is far smaller
NOTHING = 1e-12  # what is smaller than this in its unit is the noise of a zero


def settled(made: Any, kept: Any = None) -> Any:
    """An answer with its figures to a few significant digits.

    kept : the same answer as it was written before, if it was; a figure that differs from it by noise alone stays as it is there,
        even where the noise carries it over the edge between two last digits

    >>> settled({"gap": 0.45930000000012, "rows": [1, 2.00000049999]})
    {'gap': 0.4593, 'rows': [1, 2.0]}
    >>> settled(2.0000005, 2.0), settled(2.0000005, 2.00001)
    (2.0, 2.0)
    """
    if isinstance(made, Mapping):
        return {name: settled(inner, kept.get(name) if isinstance(kept, Mapping) else None) for name, inner in made.items()}
    if isinstance(made, list):
        before = kept if isinstance(kept, list) and len(kept) == len(made) else [None] * len(made)
        return [settled(inner, held) for inner, held in zip(made, before, strict=True)]
    if not isinstance(made, float):
        return made
    rounded = _rounded(made)
    if isinstance(kept, float) and kept == _rounded(kept) and kept in (_rounded(made * (1 - NOISE)), _rounded(made * (1 + NOISE))):
        return kept
    return rounded


def _rounded(value: float) -> float:
    """A figure to a few digits; a tie, of which inch sizes in millimeters have many, always goes the same way."""
    if not math.isfinite(value) or abs(value) < NOTHING:
        return 0.0 if math.isfinite(value) else value
    return float(f"{value * (1 + NOISE / 10):.{DIGITS}g}")
