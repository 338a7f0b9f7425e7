"""Cautions that follow from what an engine is for."""

from __future__ import annotations

from collections.abc import Mapping

from borewright.physics.arrays import FloatArray


def duty_cautions(aspiration: str) -> list[str]:
    """The keys of the cautions on the way an engine gets its air.

    aspiration : "natural", "boost" or "nitrous"

    >>> duty_cautions("natural")
    []
    >>> duty_cautions("nitrous")
    ['nitrous']
    """
    return [aspiration] if aspiration in ("boost", "nitrous") else []


def forced_cautions(aspiration: str, shares: Mapping[str, FloatArray]) -> list[str]:
    """The keys of the cautions on the way an engine gets its air, and on the boost or nitrous oxide that it is given besides.

    shares : how far each goes, 0 where there is none

    >>> import numpy as np
    >>> len(forced_cautions("natural", {"boost": np.array([0.5]), "nitrous": np.array([0.0])}))
    1
    """
    forced = [name for name, share in shares.items() if share.any()]
    return [caution for name in dict.fromkeys([aspiration, *forced]) for caution in duty_cautions(name)]
