"""The nitrous oxide of an engine whose power is known, for a cycle whose engine makes another power."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from borewright.calculations.combustion.power_gain.cycle_power import Side, cycle_powers
from borewright.physics.arrays import FloatArray


def with_share(side: Side, share: FloatArray | None) -> Side:
    """An engine with its nitrous oxide taken in a proportion; as it is where that is None.

    >>> from borewright.calculations.common.burned_fuel import Octane
    >>> from borewright.physics.cycle.state import CylinderState
    >>> state = CylinderState(0.1, 0.09, 0.15, 10.0, 400.0, octane=95.0, nitrous_flow=np.array([0.005]))
    >>> with_share(Side(state, Octane(np.array([95.0]), {})), np.array([0.5])).state.nitrous_flow.tolist()
    [0.0025]
    """
    if share is None:
        return side
    return replace(side, state=replace(side.state, nitrous_flow=np.asarray(side.state.nitrous_flow) * share))


def share_of_nitrous(before: Side, after: Side, power: FloatArray) -> FloatArray | None:
    """How much of the nitrous oxide the cycle's engine gets, so that it meets as much air as in the engine asked about.

    The cycle's gain is counted on the baseline power, which the cycle's engine does not quite make: it breathes less air or more.
    So the flow goes with its power, f = P(f)/P_base. Power grows nearly evenly with the flow, so with the flow before the change on
    and off f = P(0)/(P_base − P(1) + P(0)). NaN where that flow would make all of the baseline power by itself.

    power : baseline power of one cylinder [W]

    Returns None where no state has nitrous oxide.

    >>> from borewright.calculations.common.burned_fuel import Octane
    >>> from borewright.physics.cycle.state import CylinderState
    >>> plain, shot = (CylinderState(0.1, 0.09, 0.15, 10.0, 400.0, octane=95.0, nitrous_flow=np.array([flow])) for flow in (0.0, 0.005))
    >>> engines = [Side(state, Octane(np.array([95.0]), {})) for state in (plain, shot)]
    >>> shares = [share_of_nitrous(*engines, np.array([power])) for power in (20e3, 40e3)]
    >>> bool(np.allclose(shares[0], 2.0 * shares[1])), share_of_nitrous(engines[0], engines[0], np.array([20e3])) is None
    (True, True)
    """
    there = [bool(np.any(np.asarray(side.state.nitrous_flow) > 0.0)) for side in (before, after)]
    if not any(there):
        return None
    if not there[0]:
        (plain,) = cycle_powers(before)
        bare, added = plain.allowed, np.zeros(1)
    else:
        plain, whole = cycle_powers(with_share(before, np.zeros(1)), before)
        bare, added = plain.allowed, whole.allowed - plain.allowed
    room = power - added
    return np.where(room > 0.0, bare / np.where(room > 0.0, room, 1.0), np.nan)
