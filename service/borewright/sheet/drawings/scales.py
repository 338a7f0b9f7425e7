"""From SI to the units that a drawing's axes and dimensions are written in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.answers import figure
from borewright.physics.arrays import FloatArray
from borewright.quantities import KINDS, System
from borewright.sheet.showing import shown, sign


@dataclass(frozen=True)
class Scale:
    """The units of one drawing."""

    system: System

    def sign(self, kind: str) -> str:
        """The sign of a kind's unit.

        >>> Scale("inch").sign("displacement")
        'in³'
        """
        return sign(KINDS[kind].answer_unit(self.system))

    def values(self, si: npt.ArrayLike, kind: str = "length") -> FloatArray:
        """SI values in the drawing's unit.

        >>> Scale("inch").values([0.0254]).tolist()
        [1.0]
        """
        unit = KINDS[kind].units[KINDS[kind].answer_unit(self.system)]
        return (np.asarray(si, dtype=np.float64) - unit.offset) / unit.factor

    def shown(self, si: float, kind: str = "length") -> str:
        """One SI value as it is written in words.

        >>> Scale("metric").shown(0.00115)
        '1.15 mm'
        """
        return shown(figure(si, kind, self.system))


def value(found: Mapping[str, Any] | float) -> float:
    """The number of a quantity of the answer, or a number as it is.

    >>> value({"value": 0.018, "unit": "in"}), value(3)
    (0.018, 3.0)
    """
    return float(found["value"]) if isinstance(found, Mapping) else float(found)


def unit(found: Mapping[str, Any] | float) -> str:
    """The sign of a quantity's unit; empty for a bare number.

    >>> unit({"value": 0.018, "unit": "in3"}), unit(3)
    ('in³', '')
    """
    return sign(found["unit"]) if isinstance(found, Mapping) else ""
