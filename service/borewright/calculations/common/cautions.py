"""Cautions that follow from what an engine is for."""

from __future__ import annotations

from collections.abc import Mapping

from borewright.physics.arrays import FloatArray

BOOST = (
    "Boost raises the heat and the load on pistons, rings and gaskets: fuel, timing and cooling must be right before it is used, "
    "and the engine's own knock decides."
)
NITROUS = (
    "Nitrous oxide is a stored oxidiser under pressure: a lean or early-timed engine breaks in seconds. "
    "Bottles, lines and purging follow local codes and are work for trained people."
)


def duty_cautions(aspiration: str) -> list[str]:
    """What is to be feared with the way an engine gets its air.

    aspiration : "natural", "boost" or "nitrous"

    >>> duty_cautions("natural")
    []
    >>> len(duty_cautions("nitrous"))
    1
    """
    return {"boost": [BOOST], "nitrous": [NITROUS]}.get(aspiration, [])


def forced_cautions(aspiration: str, shares: Mapping[str, FloatArray]) -> list[str]:
    """What is to be feared with the way an engine gets its air, and with the boost or nitrous oxide that it is given besides.

    shares : how far each goes, 0 where there is none

    >>> import numpy as np
    >>> len(forced_cautions("natural", {"boost": np.array([0.5]), "nitrous": np.array([0.0])}))
    1
    """
    forced = [name for name, share in shares.items() if share.any()]
    return [caution for name in dict.fromkeys([aspiration, *forced]) for caution in duty_cautions(name)]
