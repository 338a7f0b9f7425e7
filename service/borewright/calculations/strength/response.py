"""What costs much, over toleranced inputs: calculated at few of their states and quadratic between these.

Tolerances are small beside their values, so that what follows from them bends evenly: the nominal state, both ends of each input and the
ends of each pair together tell the rest.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.physics.arrays import FloatArray

Steps = tuple[str, ...]

NEAR = 0.1
"""Share of a tolerance within which a state only tells how steep a result is."""


@dataclass(frozen=True)
class Response:
    """A request at few states, and how much each of its own states [N] has of them.

    request : with its toleranced inputs as the states to calculate have them [M]
    shares : [N, M], each row adds up to 1
    """

    request: dict[str, Any]
    shares: FloatArray

    def spread(self, values: FloatArray) -> FloatArray:
        """Values of the states that were calculated [M, …], at all states [N, …]."""
        return np.asarray(np.tensordot(self.shares, values, axes=1))


def response(request: Mapping[str, Any], names: Collection[str]) -> Response | None:
    """The states at which to calculate something; None where it hangs on no toleranced input, or these are no fewer states.

    request : arrays of a request, the nominal state first
    names : of the fields that it hangs on

    >>> found = response({"bore": np.array([2.0, 1.0, 1.5, 2.5, 3.0]), "mass": np.arange(5.0)}, {"bore"})
    >>> found.request["bore"].tolist(), found.request["mass"].tolist()
    ([2.0, 1.0, 3.0], [0.0])
    >>> found.spread(found.request["bore"] ** 2).tolist()
    [4.0, 1.0, 2.25, 6.25, 9.0]
    """
    leaves = dict(_toleranced({name: value for name, value in request.items() if name in names}))
    if not leaves:
        return None
    own = np.stack(list(leaves.values()))
    nominal = own[:, :1]
    off = own - nominal
    ends = [_ends(row) for row in off]
    singles = [(which, end) for which, both in enumerate(ends) for end in both]
    pairs = list(combinations([which for which, both in enumerate(ends) if both], 2))
    if 1 + len(singles) + len(pairs) >= own.shape[1]:
        return None
    states = np.repeat(nominal, 1 + len(singles) + len(pairs), axis=1)
    shares = np.zeros((own.shape[1], states.shape[1]))
    place: dict[int, int] = {}  # of the last of each input's
    for column, (which, end) in enumerate(singles, start=1):
        states[which, column] += end
        (other,) = (each for each in ends[which] if each != end)
        shares[:, column] += off[which] / end * (off[which] - other) / (end - other)
        place[which] = column
    for column, (one, two) in enumerate(pairs, start=1 + len(singles)):
        weight = off[one] / ends[one][-1] * (off[two] / ends[two][-1])
        for which in (one, two):
            states[which, column] += ends[which][-1]
            shares[:, place[which]] -= weight
        shares[:, column] += weight
    shares[:, 0] = 1.0 - shares[:, 1:].sum(axis=1)
    return Response(_placed(request, dict(zip(leaves, states, strict=True))), shares)


def _ends(off: FloatArray) -> list[float]:
    """Where an input is calculated besides its nominal value: at both ends of its tolerance, or halfway to the only one and there."""
    found = [end for end in (float(off.min()), float(off.max())) if end != 0.0]
    return [0.5 * found[0], *found] if len(found) == 1 else found


def far_states(request: Mapping[str, Any]) -> npt.NDArray[np.intp]:
    """The nominal state and those that lie well off it: what is worst or best over the tolerances is one of them.

    request : arrays of a request, the nominal state first

    >>> far_states({"bore": np.array([2.0, 1.99, 2.01, 1.0, 3.0]), "mass": np.ones(1)}).tolist()
    [0, 3, 4]
    """
    leaves = [column for _, column in _toleranced(request)]
    if not leaves:
        return np.zeros(1, dtype=np.intp)
    own = np.stack(leaves)
    off = np.abs(own - own[:, :1])
    far = np.any(off > NEAR * off.max(axis=1, keepdims=True), axis=0)
    far[0] = True
    return np.flatnonzero(far)


def _toleranced(tree: Mapping[str, Any], steps: Steps = ()) -> Iterator[tuple[Steps, FloatArray]]:
    for name, value in tree.items():
        if isinstance(value, Mapping):
            yield from _toleranced(value, (*steps, name))
        elif isinstance(value, np.ndarray) and value.size > 1:
            yield (*steps, name), value


def _placed(tree: Mapping[str, Any], states: Mapping[Steps, FloatArray], steps: Steps = ()) -> dict[str, Any]:
    """The tree with other states of some of its inputs, of the others the nominal one."""

    def at(name: str, value: Any) -> Any:
        if isinstance(value, Mapping):
            return _placed(value, states, (*steps, name))
        if isinstance(value, np.ndarray):
            return states.get((*steps, name), value[:1])
        return value

    return {name: at(name, value) for name, value in tree.items()}
