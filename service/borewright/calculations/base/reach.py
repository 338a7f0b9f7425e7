"""How far each toleranced input moves a check, and what knowing it exactly is likely to do to the check's verdict."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from borewright.calculations.base.outcome import Check, Measured, Verdict
from borewright.physics.arrays import FloatArray, floats
from borewright.quantities import Summaries
from borewright.rules.judging import slack

MOST_TOGETHER = 4  # half-widths whose sum is calculated exactly; the sum of more is taken as normal
LEAST_SHARE = 0.01  # of a tolerance: closer nothing is measured
NEGLIGIBLE = 0.01  # of the largest half-width: what it shifts does not show in a chance


@dataclass(frozen=True)
class Reach:
    """One check: how its value lies between its limits, and what moves it.

    value : where it is, from the middle of its limits, or from the one that it has [SI]
    low, high : the limits from there, infinite where a side is open [SI]
    hard_low, hard_high : whether it fails beyond them
    verdict : as it was judged
    effects : by the pointer of each toleranced input, the half-width of what it does to the value [SI]
    missing : pointers to what would make an unknown value known
    """

    value: float
    low: float
    high: float
    hard_low: bool
    hard_high: bool
    verdict: Verdict
    effects: Mapping[str, float]
    missing: tuple[str, ...] = ()

    def chance(self, known: Iterable[str]) -> float:
        """How likely the verdict is another one once some inputs are known exactly.

        Each tolerance is taken as a rectangle (JCGM 100:2008, 4.3.7), effects add up, and what is not known keeps its worst case.

        >>> squish = Reach(0.5, 0.0, math.inf, True, False, "watch", {"#/gasket/thickness": 1.0, "#/deck_clearance": 0.5})
        >>> squish.chance([]), squish.chance(["#/gasket/thickness"]), squish.chance(["#/deck_clearance", "#/gasket/thickness"])
        (0.0, 0.75, 1.0)
        >>> Reach(math.nan, -1.0, 1.0, True, True, "unknown", {}, ("#/piston/pin_length",)).chance(["#/piston/pin_length"])
        1.0
        """
        found = set(known)
        if self.verdict == "unknown":
            return 1.0 if self.missing and found.issuperset(self.missing) else 0.0
        moved = [width for pointer, width in self.effects.items() if pointer in found and width > 0.0]
        if self.verdict == "pass" or not moved:
            return 0.0
        left = sum(width for pointer, width in self.effects.items() if pointer not in found)
        beyond_low, beyond_high = below(self.low - self.value, moved), 1.0 - below(self.high - self.value, moved)
        if self.verdict == "fail":
            return 1.0 - (beyond_low if self.hard_low else 0.0) - (beyond_high if self.hard_high else 0.0)
        passes = max(below(self.high - left - self.value, moved) - below(self.low + left - self.value, moved), 0.0)
        return passes + (beyond_low if self.hard_low else 0.0) + (beyond_high if self.hard_high else 0.0)

    def share_allowed(self, known: Iterable[str]) -> float | None:
        """The share of their tolerances at which some inputs let the value pass where it is; None where no share does.

        >>> Reach(0.5, 0.0, math.inf, True, False, "watch", {"a": 1.0, "b": 0.25}).share_allowed(["a"])
        0.25
        """
        found = set(known)
        moved = sum(width for pointer, width in self.effects.items() if pointer in found)
        left = sum(width for pointer, width in self.effects.items() if pointer not in found)
        margin = min(self.value - self.low, self.high - self.value) - left
        return min(margin / moved, 1.0) if moved > 0.0 and margin > LEAST_SHARE * moved else None


def below(limit: float, half_widths: Sequence[float]) -> float:
    """The chance that a sum of independent values, each anywhere in ± its half-width, lies below a limit.

    F(x) = Σ_ε (−1)^|ε|·(x + Σw − 2·Σ εᵢ·wᵢ)₊ⁿ / (n!·Π 2wᵢ), over every ε in {0, 1}ⁿ; normal where there are more than four.

    A. L. Bradley and R. K. Gupta, On the distribution of the sum of n non-identically distributed uniform random variables,
    Ann. Inst. Statist. Math. 54 (2002) 689-700.

    >>> below(0.5, [1.0]), below(0.0, [1.0, 2.0]), round(below(-1.0, [1.0, 1.0]), 12)
    (0.75, 0.5, 0.125)
    """
    widths = [width for width in half_widths if width > NEGLIGIBLE * max(half_widths)]
    total, count = sum(widths), len(widths)
    if abs(limit) >= total:
        return 1.0 if limit > 0.0 else 0.0
    if count > MOST_TOGETHER:
        return math.erfc(-limit / math.sqrt(2.0 * sum(width**2 for width in widths) / 3.0)) / 2.0
    reached = 0.0
    for ends in itertools.product((0, 1), repeat=count):
        corner = limit + total - 2.0 * sum(width for end, width in zip(ends, widths, strict=True) if end)
        reached += (-1.0) ** sum(ends) * max(corner, 0.0) ** count
    return min(max(reached / (math.factorial(count) * math.prod(2.0 * width for width in widths)), 0.0), 1.0)


def reach(check: Check, verdict: Verdict, found: Summaries | None, inputs: Sequence[str], shares: Mapping[str, float]) -> Reach:
    """A check with what each toleranced input does to it.

    verdict : as the answer has it
    found : what the tolerances make of the results; None where the calculation sets its bounds by itself
    inputs : pointers of the toleranced inputs, in the order of `found`
    shares : where the calculation sets its bounds by itself, the share of each input in the variance of its headline

    >>> check = Check("squish", "length", Measured(1.0e-3, 0.8e-3, 1.2e-3), 0.9e-3, None, "", "common practice", "")
    >>> found = reach(check, "watch", None, [], {"#/gasket/thickness": 1.0})
    >>> round(found.value, 9), found.effects
    (0.0001, {'#/gasket/thickness': 0.0002})
    """
    value, middle = check.states(), _middle(check)
    away = floats(value - middle)
    low, high = (math.inf if limit is None else abs(float((floats(limit) - middle).flat[0])) for limit in (check.low, check.high))
    spare = float(slack(check.kind, middle).flat[0])  # equal to a limit is inside
    effects: dict[str, float] = {}
    if isinstance(check.value, Measured):
        if check.value.low is not None and check.value.high is not None:
            roots = {pointer: math.sqrt(share) for pointer, share in shares.items() if share > 0.0}
            half = (check.value.high - check.value.low) / 2.0
            effects = {pointer: round(half * root / sum(roots.values()), 15) for pointer, root in roots.items()}
    elif found is not None and away.size == found.plan.size:
        effects = dict(zip(inputs, np.sqrt(3.0 * np.nan_to_num(found.variances(away))).tolist(), strict=True))
    hard_low, hard_high = check.soft not in (True, "low"), check.soft not in (True, "high")
    return Reach(float(away.flat[0]), -low - spare, high + spare, hard_low, hard_high, verdict, effects, check.missing)


def _middle(check: Check) -> FloatArray:
    """Half way between the limits, or the one that there is; 0 where there is none."""
    limits = [floats(limit) for limit in (check.low, check.high) if limit is not None and np.isfinite(floats(limit)).all()]
    return floats(sum(limits) / len(limits)) if limits else np.zeros(1)
