"""What a larger cylinder breathes through the heads it had."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from borewright.calculations.base.outcome import Check
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import table


@dataclass(frozen=True)
class Breathing:
    """How a cylinder's filling changes with its size on the same heads, nominal and at the ends of what it may be.

    growth : displacement after over before [1]
    share : how much of a larger displacement the heads hold back, 0 to 1
    """

    growth: FloatArray
    share: FloatArray
    low: FloatArray
    high: FloatArray

    def factor(self, share: FloatArray) -> FloatArray:
        """Of the volumetric efficiency: growth to the power of less the share."""
        return np.asarray(self.growth**-share)


def held_by_heads(
    before: tuple[FloatArray, FloatArray], after: tuple[FloatArray, FloatArray], speed: FloatArray, service: str
) -> Breathing:
    """How much of a change of displacement the heads hold back at a speed.

    before, after : bore and stroke [m]; speed [rad/s]

    At the speed of peak torque a larger cylinder fills as well as before. Where power is at its peak it no longer rises with speed:
    by definition filling there falls as the flow rises, and with friction's share that is to the power of about -0.75. Between the
    two it is taken in a straight line over piston speed; beyond, where engines are hardly run, it stays.

    >>> sizes = (np.array([0.1]), np.array([0.08])), (np.array([0.1]), np.array([0.088]))
    >>> slow, fast = (held_by_heads(*sizes, np.array([speed]), "street") for speed in (300.0, 600.0))
    >>> float(slow.share[0]), bool(0.5 < fast.share[0] <= 1.0), float(fast.growth[0].round(9))
    (0.0, True, 1.1)
    """
    row = table("power").row("breathing")
    torque, peak = (row.si(f"{name}_{service}") for name in ("torque", "peak"))
    growth = (after[0] ** 2 * after[1]) / (before[0] ** 2 * before[1])
    along = (before[1] * speed / np.pi - torque) / (peak - torque)
    share = row.si("share") * np.clip(along, 0.0, 1.0)
    width = row.si("half_width")
    return Breathing(growth, share, np.clip(share - width, 0.0, 1.0), np.clip(share + width, 0.0, 1.0))


def breathing_check(found: Breathing) -> Check:
    """Whether the heads limit what a larger displacement gains."""
    row = table("power").row("breathing")
    reason = (
        "share of the larger displacement that the same heads hold back at this speed: breathing limits it, and torque lower down gains "
        "more than power; with other heads or cam state volumetric_efficiency after the change"
    )
    held = np.where(found.growth > 1.0, found.share, 0.0)
    return Check("breathing", "percentage", held, None, row.si("most_held"), reason, "common practice", row.source, soft=True)
