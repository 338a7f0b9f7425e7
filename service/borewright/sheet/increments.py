"""The steps that the shop's tools are read in: what a figure on paper is rounded to."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from borewright.calculations.base.fields import Quantity, RequestPart
from borewright.quantities import KINDS, System, read_quantity

Reading = Literal["fit", "length"]
LENGTH = "length"
ROUNDING = 1e-6  # of a step: what a size that was computed may lie beside the step that it means
# common practice: bore gauges and micrometers read to a tenth of a thousandth or a micron, depth gauges to a thousandth or a hundredth
DEFAULTS: Mapping[System, Mapping[Reading, str]] = {
    "inch": {"fit": "0.0001 in", "length": "0.001 in"},
    "metric": {"fit": "0.001 mm", "length": "0.01 mm"},
}


class IncrementsPart(RequestPart):
    """The steps in which the shop's tools are read."""

    fit = Quantity("length", "0.0001 mm", "0.1 mm", "step of gaps, fits and bores; left out, 0.0001 in or 0.001 mm")
    length = Quantity("length", "0.0001 mm", "1 mm", "step of all other lengths; left out, 0.001 in or 0.01 mm")


@dataclass(frozen=True)
class Increments:
    """The steps of a sheet [m] in the units that it is written in."""

    fit: float
    length: float

    def of(self, reading: Reading, unit: str) -> tuple[float, int]:
        """A step in a unit of length, and the decimals that it is written with.

        >>> Increments(2.54e-6, 2.54e-5).of("fit", "in")
        (0.0001, 4)
        """
        step = (self.fit if reading == "fit" else self.length) / KINDS[LENGTH].units[unit].factor
        decimals = max(0, -math.floor(math.log10(step) + ROUNDING))
        while round(step, decimals) != round(step, decimals + 6) and decimals < 6:
            decimals += 1
        return round(step, decimals), decimals


def increments(given: Mapping[str, Any], system: System) -> Increments:
    """The steps that the order states, else those that are usual in its units.

    >>> increments({}, "metric")
    Increments(fit=1e-06, length=1e-05)
    """
    usual = {name: read_quantity(text, LENGTH).value for name, text in DEFAULTS[system].items()}
    return Increments(**{name: given[name].value if name in given else value for name, value in usual.items()})


def stepped(value: float, step: float, *, upward: bool = False) -> float:
    """A value as a tool reads it: the nearest step, or the next one up for what must be at least so much.

    >>> round(stepped(0.01813, 0.0005), 4), round(stepped(0.01813, 0.0005, upward=True), 4)
    (0.018, 0.0185)
    """
    steps = value / step
    return (math.ceil(steps - ROUNDING) if upward else round(steps)) * step
