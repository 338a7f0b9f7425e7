"""Which combinations of the levers on compression reach a target, and in which order they are offered.

The search looks at the nominal state alone: a gasket and a crown leave a clearance volume, the target wants another, and milling, the
deck or the chamber has to make up the difference. All combinations are one array of shape (gaskets, crowns).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.common.geometry import Geometry, gasket_volume
from borewright.calculations.common.levers import changed_build, milled_volume, milling_depth, milling_limit
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.mechanism.volumes import circle_area, clearance_for_ratio
from borewright.practice.tables import table

WIDEST_RATIO = 100.0
ROUNDING = 9  # decimals of metres and of ratio below which two plans are equally good
LEAST_CUT = 10.0**-ROUNDING  # m: less is the last digit of a sum, not a cut
HAIR = 1e-12  # m: far above the last digit of a length, far below anything that is measured


@dataclass(frozen=True)
class TargetRatio:
    """The ratio wanted and the window around it, taken in full by a tolerance."""

    value: float
    low: float
    high: float

    def holds(self, ratio: npt.ArrayLike) -> BoolArray:
        """Which ratios lie in the window; the last digits of a sum don't decide."""
        found = np.asarray(ratio, dtype=np.float64)
        return np.asarray((found >= self.low * (1 - 1e-10)) & (found <= self.high * (1 + 1e-10)))


@dataclass(frozen=True)
class Candidate:
    """One combination: what is fitted (None where it stays), what is taken off [m] and what is added to the chamber [m³]."""

    gasket: int | None
    crown: int | None
    head_mill: float
    deck_cut: float
    chamber_change: float
    operations: int
    metal: float
    ratio: float

    def build(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """The request after the work."""
        levers = request["levers"]
        return changed_build(
            request,
            head_mill=self.head_mill,
            deck_cut=self.deck_cut,
            gasket=None if self.gasket is None else levers["gaskets"][self.gasket],
            crown=None if self.crown is None else levers["crowns"][self.crown],
            chamber_change=self.chamber_change,
        )


@dataclass(frozen=True)
class Work:
    """One way of machining for every gasket and crown, arrays of shape (gaskets, crowns)."""

    head_mill: FloatArray
    deck_cut: FloatArray
    chamber_change: FloatArray
    offered: BoolArray


class Bench:
    """The nominal state of a build and its levers, laid out for the search.

    request : the arrays of a compression-target request with levers that were checked
    found : the geometry of the build as it stands
    """

    def __init__(self, request: Mapping[str, Any], found: Geometry, target: TargetRatio) -> None:
        self.found, self.target = found, target
        self.levers: Mapping[str, Any] = request["levers"]
        self.mill = _nominal(self.levers.get("head_mill", {}))
        self.chamber = request["chamber_volume"][:1]
        self.swept = float(found.swept[0])
        self.area = float(circle_area(found.bore)[0])
        self.wanted = float(clearance_for_ratio(self.swept, target.value))
        gaskets = [request["gasket"], *self.levers.get("gaskets", [])]
        volumes = np.array([gasket_volume(gasket)[0] for gasket in gaskets])
        crowns = np.array([float(found.parts["crown"][0]), *(_net(crown) for crown in self.levers.get("crowns", []))])
        bare = float(found.clearance[0]) - volumes[0] - crowns[0]
        self.clearance = bare + volumes[:, None] + crowns[None, :]
        self.excess = self.clearance - self.wanted
        self.squish = np.array([_least(gasket, found.deck_clearance[0], 0) for gasket in gaskets])[:, None]
        self.worst_squish = np.array([_least(gasket, found.deck_clearance.min(), None) for gasket in gaskets])[:, None]
        overhang = [index > 0 and "bore" in gasket and gasket["bore"][0] < found.bore[0] for index, gasket in enumerate(gaskets)]
        self.clears_bore = ~np.array(overhang)[:, None]
        # a listed part just like the fitted one makes the same build under another name: offered once, as it stands
        same_gasket = (volumes == volumes[0]) & (self.squish[:, 0] == self.squish[0, 0]) & (np.arange(len(volumes)) > 0)
        same_crown = (crowns == crowns[0]) & (np.arange(len(crowns)) > 0)
        self.differs = ~(same_gasket[:, None] | same_crown[None, :])
        limits = self.levers.get("limits", {}).get("squish", {})
        self.hard = (_first(limits.get("low"), 0.0), _first(limits.get("high"), np.inf))
        row = table("compression").row("squish")
        self.soft = self.hard if limits else (row.si("low"), row.si("high"))

    def milled(self, depth: FloatArray) -> FloatArray:
        """Volume gone at milling depths [m³]."""
        return milled_volume(self.mill, self.chamber, depth)

    def mill_for(self, excess: FloatArray) -> FloatArray:
        """Milling depth that takes an excess away, as far as it goes [m]; zero where there is none."""
        if not self.mill:
            return np.zeros_like(excess)
        limit = milling_limit(self.mill, self.chamber)[0]
        most = float(milled_volume(self.mill, self.chamber, limit)[0])
        return np.minimum(milling_depth(self.mill, self.chamber, np.clip(excess, 0.0, most)), limit)

    def deck_room(self) -> FloatArray:
        """How far the deck may be cut [m], shape (gaskets, 1): to its own limit, the caller's squish, and never to a squish below zero."""
        if "deck_cut" not in self.levers:
            return np.zeros_like(self.squish)
        most = float(self.levers["deck_cut"]["max"][0])
        # the worst squish stays a hair above zero, so that the last digit of a sum can't put the piston into the head
        room = np.minimum(self.squish - self.hard[0], self.worst_squish - HAIR)
        return np.clip(np.where(np.isnan(room), most, room), 0.0, most)

    def inside(self, squish: FloatArray, limits: tuple[float, float]) -> BoolArray:
        """Which squishes keep limits; one that is not known breaks none."""
        slack = LEAST_CUT
        return np.isnan(squish) | ((squish >= limits[0] - slack) & (squish <= limits[1] + slack))

    def ratio(self, work: Work) -> FloatArray:
        """Compression ratio after the work; NaN where nothing sensible is left."""
        gone = self.area * work.deck_cut - work.chamber_change
        if self.mill:
            gone = gone + self.milled(work.head_mill)
        left = self.clearance - gone
        sensible = left * (WIDEST_RATIO - 1.0) > self.swept
        return np.where(sensible, 1.0 + self.swept / np.where(sensible, left, 1.0), np.nan)

    def can_be(self, work: Work) -> BoolArray:
        """Which combinations may be offered: squish in its hard limits, above zero in the worst case, a gasket that clears the bore."""
        kept = self.inside(self.squish - work.deck_cut, self.hard)
        above = np.isnan(self.worst_squish) | (self.worst_squish - work.deck_cut >= -HAIR)
        return np.asarray(work.offered & kept & above & self.clears_bore & self.differs & np.isfinite(self.ratio(work)))

    def works(self) -> list[Work]:
        """Every way of machining: none, mill, deck, both, chamber.

        A way is offered only where fewer operations do not do: machining where a bolt-on combination hits the window buys nothing, and
        both heads and decks are cut only where neither alone hits the window with a good squish.
        """
        zero = np.zeros_like(self.excess)
        none = Work(zero, zero, zero, np.ones(zero.shape, dtype=np.bool_))
        bolted = self._hits(none)
        mill_depth = self.mill_for(self.excess)
        mill = Work(mill_depth, zero, zero, (mill_depth > LEAST_CUT) & ~bolted)
        room = self.deck_room()
        deck_depth = np.clip(self.excess / self.area, np.minimum(self._least_cut(self.hard), room), room)
        deck = Work(zero, deck_depth, zero, (deck_depth > LEAST_CUT) & ~bolted)
        good = bolted | (self._hits(mill) & self._good(mill)) | (self._hits(deck) & self._good(deck))
        tight, wide = self._both(self.soft), self._both(self.hard)
        better = self._hits(tight)
        both_mill = np.where(better, tight.head_mill, wide.head_mill)
        both_deck = np.where(better, tight.deck_cut, wide.deck_cut)
        possible = np.where(better, tight.offered, wide.offered)
        both = Work(both_mill, both_deck, zero, possible & (both_mill > LEAST_CUT) & (both_deck > LEAST_CUT) & ~good)
        change = zero
        if "chamber_volume" in self.levers:
            chamber = float(self.chamber[0])
            low, high = (float(self.levers["chamber_volume"][end][0]) for end in ("min", "max"))
            change = np.clip(chamber - self.excess, low, max(low, high)) - chamber
        chosen = Work(zero, zero, change, (np.abs(change) > LEAST_CUT * self.area) & ~bolted)
        return [none, mill, deck, both, chosen]

    def _hits(self, work: Work) -> BoolArray:
        return self.can_be(work) & self.target.holds(self.ratio(work))

    def _good(self, work: Work) -> BoolArray:
        return self.inside(self.squish - work.deck_cut, self.soft)

    def _both(self, limits: tuple[float, float]) -> Work:
        """Heads and decks together within limits of squish: the better of deck first and heads first, the least metal of two equals."""
        room = self.deck_room()
        least = self._least_cut(limits)
        most = np.where(np.isnan(self.squish), room, np.minimum(room, self.squish - limits[0]))
        possible = least <= most + LEAST_CUT
        least, most = np.where(possible, np.minimum(least, most), 0.0), np.where(possible, most, 0.0)
        ways = []
        for first in (self.excess / self.area, (self.excess - self._mill_volume(self.excess)) / self.area):
            deck = np.clip(first, least, most)
            mill = self.mill_for(self.excess - self.area * deck)
            ways.append(Work(mill, deck, np.zeros_like(self.excess), possible & (mill >= 0)))
        deck_first, mill_first = ways
        miss = [np.nan_to_num(np.abs(self.ratio(way) - self.target.value), nan=np.inf).round(ROUNDING) for way in ways]
        metal = [(way.head_mill + way.deck_cut).round(ROUNDING) for way in ways]
        swap = (miss[1] < miss[0]) | ((miss[1] == miss[0]) & (metal[1] < metal[0]))
        return Work(
            np.where(swap, mill_first.head_mill, deck_first.head_mill),
            np.where(swap, mill_first.deck_cut, deck_first.deck_cut),
            deck_first.chamber_change,
            deck_first.offered,
        )

    def _least_cut(self, limits: tuple[float, float]) -> FloatArray:
        """Deck cut below which the squish is too wide [m], shape (gaskets, 1)."""
        return np.nan_to_num(np.clip(self.squish - limits[1], 0.0, None), nan=0.0)

    def _mill_volume(self, excess: FloatArray) -> FloatArray:
        return self.milled(self.mill_for(excess)) if self.mill else np.zeros_like(excess)


def candidates(bench: Bench) -> tuple[list[Candidate], list[Candidate]]:
    """Those that hit the window, best first, and all that may be offered, nearest to the target first."""
    works = bench.works()
    ratio = np.stack([bench.ratio(work) for work in works])
    mill, deck, change = (np.stack([getattr(work, name) for work in works]) for name in ("head_mill", "deck_cut", "chamber_change"))
    allowed = np.stack([bench.can_be(work) for work in works])
    operations = np.array([0, 1, 1, 2, 1])[:, None, None] * np.ones_like(ratio)
    # opening a chamber takes metal too: counted as the depth it would be over the bore
    metal = mill + deck + np.maximum(change, 0.0) / bench.area
    miss = np.abs(ratio - bench.target.value)
    _, gasket, crown = np.indices(ratio.shape)
    ties = (crown, gasket, (gasket > 0).astype(np.int64) + (crown > 0))
    order = {
        "plan": np.lexsort([key.ravel() for key in (*ties, miss.round(ROUNDING), metal.round(ROUNDING), operations)]),
        "near": np.lexsort([key.ravel() for key in (*ties, metal.round(ROUNDING), operations, miss.round(ROUNDING))]),
    }

    def pick(name: str, mask: BoolArray) -> list[Candidate]:
        flat = mask.ravel()
        found = []
        for index in order[name][flat[order[name]]].tolist():
            place = np.unravel_index(index, ratio.shape)
            fitted, topped = int(place[1]), int(place[2])
            found.append(
                Candidate(
                    gasket=fitted - 1 if fitted else None,
                    crown=topped - 1 if topped else None,
                    head_mill=float(mill[place]),
                    deck_cut=float(deck[place]),
                    chamber_change=float(change[place]),
                    operations=int(operations[place]),
                    metal=float(metal[place]),
                    ratio=float(ratio[place]),
                )
            )
        return found

    return pick("plan", allowed & bench.target.holds(ratio)), pick("near", allowed)


def _nominal(tree: Any) -> Any:
    if isinstance(tree, Mapping):
        return {name: _nominal(inner) for name, inner in tree.items()}
    return [_nominal(inner) for inner in tree] if isinstance(tree, list) else tree[:1]


def _net(crown: Mapping[str, Any]) -> float:
    return float(crown["recess"][0] - crown["dome"][0])


def _first(value: Sequence[float] | FloatArray | None, otherwise: float) -> float:
    return otherwise if value is None else float(value[0])


def _least(gasket: Mapping[str, Any], deck: float, state: int | None) -> float:
    """Squish over a gasket: in one state, or the least of all; deck and gasket share no tolerance. NaN without a thickness."""
    if "thickness" not in gasket:
        return float("nan")
    thickness = gasket["thickness"]
    return float(deck + (thickness.min() if state is None else thickness[state]))
