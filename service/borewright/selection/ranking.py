"""The best choices so far, and which combinations could still be better than the last of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.selection.demands import Preference, Target
from borewright.selection.short_blocks import Indices

# Compression ratios closer than a billionth are the same: far under anything measured, over what rounding leaves.
CLOSENESS_TICKS = 1e9


def closeness_ticks(ratio: FloatArray, target: Target) -> FloatArray:
    """Distance from the target in whole billionths of a ratio.

    Parameters
    ----------
    ratio : array [1]
    target : Target

    Returns
    -------
    array

    Examples
    --------
    >>> closeness_ticks(np.array([10.0, 10.25]), Target(10.0, 9.0, 11.0)).tolist()
    [0.0, 250000000.0]
    """
    return np.asarray(np.rint(np.abs(ratio - target.value) * CLOSENESS_TICKS))


def narrowed(target: Target, ticks: float) -> Target:
    """Target whose window leaves out what is further from its value than a closeness.

    Parameters
    ----------
    target : Target
    ticks : float
        Closeness [billionths]; one more is allowed for rounding.

    Returns
    -------
    Target

    Examples
    --------
    >>> narrowed(Target(10.0, 9.5, 10.5), 249999999.0)
    Target(value=10.0, low=9.75, high=10.25)
    """
    by = (ticks + 1.0) / CLOSENESS_TICKS
    return Target(target.value, max(target.low, target.value - by), min(target.high, target.value + by))


@dataclass(frozen=True, slots=True)
class Candidates:
    """Combinations under one plan each, as the keys they are ranked by.

    Examples
    --------
    >>> len(NOTHING)
    0
    """

    operations: FloatArray
    cost: FloatArray
    closeness: FloatArray
    index: Indices
    plan: Indices

    def __len__(self) -> int:
        return len(self.index)

    def at(self, positions: Indices) -> Candidates:
        """Candidates at chosen positions."""
        return Candidates(*(getattr(self, name)[positions] for name in self.__slots__))

    def before(self, other: Candidates) -> Candidates:
        """These followed by others."""
        return Candidates(*(np.concatenate([getattr(self, name), getattr(other, name)]) for name in self.__slots__))


NOTHING = Candidates(np.empty(0), np.empty(0), np.empty(0), np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64))


@dataclass(frozen=True, slots=True)
class Region:
    """Costs over one bound and up to another [ticks], and the closeness up to which a combination is still of interest.

    Examples
    --------
    >>> Region().closeness
    inf
    """

    cost_over: float = -np.inf
    cost_to: float = np.inf
    closeness: float = np.inf


class Ranking:
    """The `top` best combinations by the keys of `prefer`, then by place in the lists, each under its best plan.

    Examples
    --------
    >>> ranking = Ranking(("cost",), 1)
    >>> one, two = np.array([1.0]), np.array([2.0])
    >>> ranking.offer(Candidates(one, two, one, np.array([7]), np.array([0])))
    >>> ranking.offer(Candidates(one, one, one, np.array([8]), np.array([0])))
    >>> ranking.best.index.tolist()
    [8]
    """

    def __init__(self, prefer: Sequence[Preference], top: int) -> None:
        self.prefer = tuple(prefer)
        self.top = top
        self.best = NOTHING

    @property
    def full(self) -> bool:
        """Whether a combination has to beat another to get in."""
        return len(self.best) >= self.top

    def offer(self, candidates: Candidates) -> None:
        """Take in whatever ranks among the best."""
        if self.full:
            candidates = candidates.at(np.flatnonzero(self._could_enter(candidates)))
        if not len(candidates):
            return
        pool = self.best.before(candidates)
        pool = pool.at(np.lexsort((pool.plan, pool.index, *(getattr(pool, name) for name in reversed(self.prefer)))))
        _, first = np.unique(pool.index, return_index=True)
        self.best = pool.at(np.sort(first)[: self.top])

    def _could_enter(self, candidates: Candidates) -> FloatArray:
        """Which candidates do not rank behind the last of the best."""
        last = self.best.at(np.array([len(self.best) - 1]))
        within = candidates.index <= last.index
        for name in reversed(self.prefer):
            key, bound = getattr(candidates, name), getattr(last, name)
            within = (key < bound) | ((key == bound) & within)
        return np.asarray(within)

    def regions(self, operations: int, least_index: int) -> tuple[Region, ...]:
        """Where combinations of one number of operations, none earlier in the lists than `least_index`, could still enter.

        A combination enters if its keys rank before the last one's: as it, or better, in those that come first. What is left
        out is certain to rank behind; what is left in need not rank before.
        """
        if not self.full:
            return (Region(),)
        last_operations, cost, closeness = (float(getattr(self.best, name)[-1]) for name in ("operations", "cost", "closeness"))
        keys: list[Preference] = []
        better = 1.0 if least_index > int(self.best.index[-1]) else 0.0
        for name in self.prefer:
            if name != "operations":
                keys.append(name)
            elif operations != last_operations:
                better = 1.0 if operations > last_operations else 0.0
                break
        if not keys:
            return () if better else (Region(),)
        if keys == ["cost"]:
            return (Region(cost_to=cost - better),)
        if keys == ["closeness"]:
            return (Region(closeness=closeness - better),) if closeness >= better else ()
        if keys[0] == "cost":
            found = [Region(cost_to=cost - 1.0)]
            return (*found, Region(cost - 1.0, cost, closeness - better)) if closeness >= better else tuple(found)
        found = [Region(cost_to=cost - better, closeness=closeness)]
        return (Region(closeness=closeness - 1.0), *found) if closeness >= 1.0 else tuple(found)
