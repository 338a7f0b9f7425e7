"""The ratio asked for, static or counted from intake closing, with its window; the search works in static ratios."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Basis, Check, Outcome
from borewright.calculations.common.defaults import SPOKEN, SPOKEN_TO
from borewright.calculations.common.geometry import Geometry, dynamic_ratio
from borewright.calculations.compression.compression_target.plans import TargetRatio
from borewright.physics.arrays import FloatArray


@dataclass(frozen=True)
class Asked:
    """The ratio asked for.

    value, low, high : as asked [1]
    left : of the swept volume, what is left above the piston at intake closing, in every state; one where the static ratio is asked for
    stated : whether the caller gave the window
    dynamic : whether the ratio from intake closing is asked for
    """

    value: float
    low: float
    high: float
    left: FloatArray
    stated: bool
    dynamic: bool

    def of(self, ratio: FloatArray) -> FloatArray:
        """What is compared with it, from a static ratio: with k the share left, (V_c + k·V_s)/V_c = 1 + k·(r − 1)."""
        return 1.0 + self.left * (ratio - 1.0)

    def static(self) -> TargetRatio:
        """The same window in static ratios, in the nominal state."""
        value, low, high = (1.0 + (each - 1.0) / float(self.left[0]) for each in (self.value, self.low, self.high))
        return TargetRatio(value, low, high)

    def check(self, ratio: FloatArray | None) -> Check:
        """Judge a static ratio against the window."""
        name = "the dynamic ratio" if self.dynamic else "the ratio"
        reason = f"{name} asked for and its window; over the tolerances of the parts it must stay inside"
        source = "the request" if self.stated else SPOKEN
        basis: Basis = "caller" if self.stated else "common practice"
        return Check("compression-target", "ratio", None if ratio is None else self.of(ratio), self.low, self.high, reason, basis, source)


def asked(request: Mapping[str, Any], found: Geometry, outcome: Outcome) -> Asked | None:
    """The target of a request; None where a dynamic one lacks the rod's length or intake closing, which is refused."""
    dynamic = "target_dynamic" in request
    left = np.ones(1)
    if dynamic:
        closing = request.get("intake_closing")
        counted = None if closing is None else dynamic_ratio(found, closing)
        if counted is None:
            where = "#/intake_closing" if closing is None else "#/rod_length"
            outcome.refuse_where(True, where, "a dynamic ratio counts from intake closing: state this", Code.MISSING)
            return None
        left = (counted - 1.0) / (found.ratio - 1.0)
    name = "target_dynamic" if dynamic else "target"
    wanted = request[name]
    value, low, high = float(wanted[0]), float(wanted.min()), float(wanted.max())
    stated = high > low
    if not stated:
        outcome.assumptions.append(Assumption(f"{name} tolerance", np.full(1, SPOKEN_TO), "common practice", SPOKEN, "ratio"))
        low, high = value - SPOKEN_TO, value + SPOKEN_TO
    return Asked(value, low, high, left, stated, dynamic)
