"""How a pin sits in its hole: the fit found, the fit wanted, and what to hone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.answers import AnswerPart, Figure
from borewright.calculations.base.outcome import Basis
from borewright.physics.arrays import FloatArray
from borewright.physics.fits.clearances import diametral_clearance, hole_change, tolerance_width
from borewright.practice.tables import Row

SMALLEST_STANDARD, LARGEST_STANDARD = 18.0e-3, 180.0e-3  # m: between these the widths of ISO 286-1 are calculated
PIN_GRADE, HOLE_GRADE = 5, 6


class PinFitAnswer(AnswerPart):
    """How a pin fits its hole; below zero is interference."""

    value = Figure("length", "hole less pin, on the diameter; null where one of them is not given", nullable=True)
    wanted = Figure("length", "middle of the range wanted; null where it is not known how the pin is to be held", nullable=True)
    wanted_low = Figure("length", "tightest fit wanted", nullable=True)
    wanted_high = Figure("length", "loosest fit wanted", nullable=True)
    change = Figure(
        "length", "hone the hole larger by this much for the middle of the range; below zero the hole is too large", nullable=True
    )
    hone_to = Figure("length", "diameter of the hole that gives the middle of the range", nullable=True)
    spread = Figure(
        "length",
        f"how much the fit varies from pair to pair with pins made to IT{PIN_GRADE} and holes to IT{HOLE_GRADE} of ISO 286-1; "
        "null outside 18 to 180 mm",
        nullable=True,
    )


@dataclass(frozen=True)
class FitRange:
    """The range of a fit that is wanted [m], and where it comes from."""

    low: FloatArray
    high: FloatArray
    basis: Basis
    source: str

    @property
    def middle(self) -> FloatArray:
        """Middle of the range [m]."""
        return np.asarray((self.low + self.high) / 2)


def fit_range(own: Mapping[str, Any] | None, row: Row | None) -> FitRange | None:
    """The range the caller wants, or practice's; None where there is neither.

    >>> from borewright.practice.tables import table
    >>> found = fit_range(None, table("assembly").row("pin_rod_press"))
    >>> round(float(found.middle[0]) / 0.0254, 6)
    -0.0011
    """
    if own is not None:
        return FitRange(own["low"], own["high"], "caller", "the request")
    return None if row is None else FitRange(np.array([row.si("low")]), np.array([row.si("high")]), "common practice", row.source)


def pin_fit(hole: FloatArray | None, pin: FloatArray | None, wanted: FitRange | None) -> dict[str, Any]:
    """The fit of a pin in its hole, as far as it is known.

    hole, pin : array [m], None where not given

    >>> from borewright.practice.tables import table
    >>> wanted = fit_range(None, table("assembly").row("pin_rod_floating"))
    >>> found = pin_fit(np.array([0.9499 * 0.0254]), np.array([0.951 * 0.0254]), wanted)
    >>> [round(float(found[name][0]) / 0.0254, 6) for name in ("value", "change", "hone_to")]
    [-0.0011, 0.002, 0.9519]
    """
    found: dict[str, Any] = dict.fromkeys(("value", "wanted", "wanted_low", "wanted_high", "change", "hone_to", "spread"))
    if hole is not None and pin is not None:
        found["value"] = diametral_clearance(hole, pin)
    if wanted is not None:
        found |= {"wanted": wanted.middle, "wanted_low": wanted.low, "wanted_high": wanted.high}
        if pin is not None:
            found["hone_to"] = pin + wanted.middle
            if hole is not None:
                found["change"] = hole_change(hole, pin, wanted.middle)
    if pin is not None:
        found["spread"] = standard_spread(pin)
    return found


def standard_spread(pin: FloatArray) -> FloatArray:
    """How much the fit varies with standard tolerances on pin and hole [m], NaN outside 18 to 180 mm.

    >>> [round(float(width) * 1e6, 3) for width in standard_spread(np.array([0.022, 0.010]))]
    [22.0, nan]
    """
    standard = (pin > SMALLEST_STANDARD + 1e-9) & (pin <= LARGEST_STANDARD)
    size = np.where(standard, pin, 0.1)
    return np.where(standard, tolerance_width(size, PIN_GRADE) + tolerance_width(size, HOLE_GRADE), np.nan)
