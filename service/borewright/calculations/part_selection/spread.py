"""The tolerances of a few inputs laid out by themselves, for a result that only they decide.

A list of parts can carry thousands of tolerances, and a corner for each of their combinations is out of reach; what one choice
comes to depends on a dozen of them, and one fit on two.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.outcome import Measured
from borewright.physics.arrays import FloatArray
from borewright.quantities import TolerancePlan


@dataclass(frozen=True)
class Spread:
    """Inputs [SI] at every point of their own tolerance plan; those without a tolerance stay single values.

    names : the inputs that carry a tolerance, in the order of the plan
    """

    plan: TolerancePlan
    names: tuple[str, ...]
    columns: Mapping[str, FloatArray]

    @classmethod
    def of(cls, inputs: Mapping[str, FloatArray]) -> Spread:
        """Lay out inputs that come as [nominal, low, high], or as [nominal] alone.

        >>> spread = Spread.of({"hole": np.array([3.0, 2.9, 3.1]), "pin": np.array([2.0])})
        >>> measured = spread.measured(spread.columns["hole"] - spread.columns["pin"])
        >>> measured.value, round(measured.low, 9), round(measured.high, 9)
        (1.0, 0.9, 1.1)
        """
        names = tuple(name for name, given in inputs.items() if given.size > 1 and given[1] < given[2])
        nominals, lows, highs = ([float(inputs[name][state]) for name in names] for state in range(3))
        below = [nominal - low for nominal, low in zip(nominals, lows, strict=True)]
        plan = TolerancePlan(nominals, below, [high - nominal for nominal, high in zip(nominals, highs, strict=True)])
        columns = {name: plan.column(names.index(name)) if name in names else given[:1] for name, given in inputs.items()}
        return cls(plan, names, columns)

    def measured(self, values: npt.ArrayLike) -> Measured:
        """A result with its bounds and its expanded uncertainty; without them where a corner comes to no number.

        values : array [SI], one value a point of the plan, or one for all
        """
        states = np.atleast_1d(np.asarray(values, dtype=np.float64))
        if not self.plan.count or not np.isfinite(states).all():
            return Measured(float(states[0]))
        found = self.plan.summarize(states)
        return Measured(found.value, found.low, found.high, found.uncertainty)

    def variances(self, values: npt.ArrayLike) -> dict[str, float]:
        """What each toleranced input adds to the variance of a result; empty where there is nothing to share out.

        values : array [SI]

        >>> spread = Spread.of({"hole": np.array([3.0, 2.9, 3.1])})
        >>> spread.variances(np.full(spread.plan.size, 1.0))
        {}
        """
        if not self.plan.count or not np.isfinite(np.asarray(values, dtype=np.float64)).all():
            return {}
        shares = self.plan.summarize(values).variances
        return dict(zip(self.names, shares.tolist(), strict=True)) if shares.sum() > 0 else {}
