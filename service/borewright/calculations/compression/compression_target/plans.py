"""Which combinations of the levers on compression reach a target, and in which order they are offered.

The search looks at the nominal state alone: a gasket and a crown leave a clearance volume, the target wants another, and milling, the
deck or the chamber has to make up the difference. All combinations are one array of shape (gaskets, crowns).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.common.duty import squish_row
from borewright.calculations.common.geometry import Geometry, gasket_volume
from borewright.calculations.common.levers import changed_build, crown_cut_area, milled_volume, milling_depth, milling_limit, profile_points
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.mechanism.volumes import circle_area, clearance_for_ratio
from borewright.rules.judging import inside, outside
from borewright.rules.rule import Limit
from borewright.rules.stack import BORE_TO_GASKET, SQUISH, TOUCHING

WIDEST_RATIO = 100.0
ROUNDING = 9  # decimals of meters and of ratio below which two plans are equally good
CHANGES = ("head_mill", "deck_cut", "chamber_change", "crown_cut")
OPERATIONS = (0, 1, 1, 2, 1, 1, 2)
"""Machining operations of each way, in the order of `Bench.works`."""
LEAST_CUT = 10.0**-ROUNDING  # m: less is the last digit of a sum, not a cut


@dataclass(frozen=True)
class TargetRatio:
    """The ratio wanted and the window around it, taken in full by a tolerance."""

    value: float
    low: float
    high: float

    def holds(self, ratio: npt.ArrayLike) -> BoolArray:
        """Which ratios lie in the window, as its check judges them."""
        return inside(ratio, self.low, self.high, "ratio")


@dataclass(frozen=True)
class Candidate:
    """One combination: what is fitted (None where it stays), what is taken off [m] and what is added to the chamber [m³]."""

    gasket: int | None
    crown: int | None
    head_mill: float
    deck_cut: float
    chamber_change: float
    crown_cut: float
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
            crown_cut=self.crown_cut,
        )


@dataclass(frozen=True)
class Work:
    """One way of machining for every gasket and crown, arrays of shape (gaskets, crowns)."""

    head_mill: FloatArray
    deck_cut: FloatArray
    chamber_change: FloatArray
    crown_cut: FloatArray
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
        cut = _nominal(self.levers.get("crown_cut", {}))
        self.cut_area = float(crown_cut_area(cut)[0]) if cut else 0.0
        self.cut_room = float(cut["max"][0]) if cut else 0.0
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
        overhang = [index > 0 and _hangs_in(gasket, found.bore[0]) for index, gasket in enumerate(gaskets)]
        self.clears_bore = ~np.array(overhang)[:, None]
        # a listed part just like the fitted one makes the same build under another name: offered once, as it stands
        same_gasket = (volumes == volumes[0]) & (self.squish[:, 0] == self.squish[0, 0]) & (np.arange(len(volumes)) > 0)
        same_crown = (crowns == crowns[0]) & (np.arange(len(crowns)) > 0)
        self.differs = ~(same_gasket[:, None] | same_crown[None, :])
        own = {side: float(limit[0]) for side, limit in self.levers.get("limits", {}).get("squish", {}).items()}
        # practice's lower limit binds as the caller's own do; its upper one is only watched
        self.soft = _ends(SQUISH.raised(SQUISH.limit(own, squish_row(request.get("duty"))) or Limit(None, None)))
        self.hard = self.soft if own else (self.soft[0], np.inf)

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
        room = np.minimum(self.squish - self.hard[0], self.worst_squish - TOUCHING)
        return np.clip(np.where(np.isnan(room), most, room), 0.0, most)

    def keeps(self, squish: FloatArray, limits: tuple[float, float]) -> BoolArray:
        """Which squishes keep limits; one that is not known breaks none."""
        return np.isnan(squish) | inside(squish, *limits)

    def ratio(self, work: Work) -> FloatArray:
        """Compression ratio after the work; NaN where nothing sensible is left."""
        gone = self.area * work.deck_cut - work.chamber_change - self.cut_area * work.crown_cut
        if self.mill:
            gone = gone + self.milled(work.head_mill)
        left = self.clearance - gone
        sensible = left * (WIDEST_RATIO - 1.0) > self.swept
        return np.where(sensible, 1.0 + self.swept / np.where(sensible, left, 1.0), np.nan)

    def can_be(self, work: Work) -> BoolArray:
        """Which combinations may be offered: those that can be built, with a squish in its hard limits."""
        return np.asarray(self.can_be_built(work) & self.keeps(self.squish - work.deck_cut, self.hard))

    def can_be_built(self, work: Work) -> BoolArray:
        """Which combinations can be built at all: the piston outside the head in the worst case, a gasket that clears the bore."""
        above = np.isnan(self.worst_squish) | inside(self.worst_squish - work.deck_cut, 0.0, None)
        return np.asarray(work.offered & above & self.clears_bore & self.differs & np.isfinite(self.ratio(work)))

    def works(self) -> list[Work]:
        """Every way of machining: none, mill, deck, both, chamber, crown, deck and crown.

        A way is offered only where fewer operations do not do: cutting where a bolt-on combination hits the window with a good squish
        buys nothing, and both heads and decks are cut only where neither alone does as well.
        """
        zero = np.zeros_like(self.excess)
        none = Work(zero, zero, zero, zero, np.ones(zero.shape, dtype=np.bool_))
        bolted = self._hits(none)
        mill_depth = self.mill_for(self.excess)
        mill = Work(mill_depth, zero, zero, zero, (mill_depth > LEAST_CUT) & ~bolted)
        deck = self._better(self._deck(self.soft), self._deck(self.hard), bolted)
        good = self._does_well(none) | self._does_well(mill) | self._does_well(deck)
        both = self._better(self._both(self.soft), self._both(self.hard), bolted)
        both = replace(both, offered=both.offered & (both.head_mill > LEAST_CUT) & (both.deck_cut > LEAST_CUT) & ~good)
        change = zero
        if "chamber_volume" in self.levers:
            chamber = float(self.chamber[0])
            low, high = (float(self.levers["chamber_volume"][end][0]) for end in ("min", "max"))
            change = np.clip(chamber - self.excess, low, max(low, high)) - chamber
        chosen = Work(zero, zero, change, zero, (np.abs(change) > LEAST_CUT * self.area) & ~bolted)
        crown = self._crown(zero, ~bolted)
        # a squish that is too wide: the deck is cut for it, and the crown takes back what the ratio gained too much
        least = np.minimum(self._least_cut(self.soft), self.deck_room()) + zero
        alone = good | self._does_well(chosen) | self._does_well(crown)
        lowered = self._crown(least, ~alone & (least > LEAST_CUT))
        return [none, mill, deck, both, chosen, crown, lowered]

    def _crown(self, deck: FloatArray, offered: BoolArray) -> Work:
        """Crowns cut for what is too little after a cut of the deck; only those that are in it, for their thickness is known."""
        short = self.area * deck - self.excess
        depth = np.clip(short / self.cut_area, 0.0, self.cut_room) if self.cut_area > 0.0 else np.zeros_like(deck)
        own = np.arange(depth.shape[1])[None, :] == 0
        return Work(np.zeros_like(deck), deck, np.zeros_like(deck), depth, offered & own & (depth > LEAST_CUT))

    def _hits(self, work: Work) -> BoolArray:
        return self.can_be(work) & self.target.holds(self.ratio(work))

    def _does_well(self, work: Work) -> BoolArray:
        return np.asarray(self._hits(work) & self.keeps(self.squish - work.deck_cut, self.soft))

    def _better(self, tight: Work, wide: Work, bolted: BoolArray) -> Work:
        """The work that keeps the good squish where it hits the window; else the other, where no bolt-on combination hits it already."""
        better = self._does_well(tight)
        return Work(
            np.where(better, tight.head_mill, wide.head_mill),
            np.where(better, tight.deck_cut, wide.deck_cut),
            tight.chamber_change,
            tight.crown_cut,
            np.where(better, True, wide.offered & ~bolted),
        )

    def _deck(self, limits: tuple[float, float]) -> Work:
        """The deck alone, with a squish within limits as far as it goes."""
        zero, room = np.zeros_like(self.excess), self.deck_room()
        depth = np.clip(self.excess / self.area, np.minimum(self._least_cut(limits), room), room)
        return Work(zero, depth, zero, zero, depth > LEAST_CUT)

    def _both(self, limits: tuple[float, float]) -> Work:
        """Heads and decks together within limits of squish, with the least metal that comes nearest.

        Either goes first, or the heads go to a pour of their profile: what a depth takes changes there and nowhere else, so that the
        least metal lies at one of these.
        """
        room = self.deck_room()
        least = self._least_cut(limits)
        most = np.where(np.isnan(self.squish), room, np.minimum(room, self.squish - limits[0]))
        possible = least <= most + LEAST_CUT
        least, most = np.where(possible, np.minimum(least, most), 0.0), np.where(possible, most, 0.0)
        best, rank = None, (np.full_like(self.excess, np.inf), np.full_like(self.excess, np.inf))
        for milled in (0.0, self._mill_volume(self.excess), *self._poured()):
            deck = np.clip((self.excess - milled) / self.area, least, most)
            mill = self.mill_for(self.excess - self.area * deck)
            way = Work(mill, deck, np.zeros_like(self.excess), np.zeros_like(self.excess), possible & (mill >= 0))
            miss = np.nan_to_num(np.abs(self.ratio(way) - self.target.value), nan=np.inf).round(ROUNDING)
            metal = (way.head_mill + way.deck_cut).round(ROUNDING)
            if best is None:
                best, rank = way, (miss, metal)
                continue
            swap = (miss < rank[0]) | ((miss == rank[0]) & (metal < rank[1]))
            best = Work(
                np.where(swap, way.head_mill, best.head_mill),
                np.where(swap, way.deck_cut, best.deck_cut),
                best.chamber_change,
                best.crown_cut,
                np.where(swap, way.offered, best.offered),
            )
            rank = np.where(swap, miss, rank[0]), np.where(swap, metal, rank[1])
        return best if best is not None else Work(least, least, least, least, possible)

    def _poured(self) -> list[float]:
        """Volumes gone at the pours of a milling profile [m³]; none where the walls are straight."""
        if "profile" not in self.mill:
            return []
        limit = milling_limit(self.mill, self.chamber)[0]
        depths = profile_points(self.mill, self.chamber)[0][0]
        return [float(milled_volume(self.mill, self.chamber, depth)[0]) for depth in depths if 0.0 < depth < limit]

    def _least_cut(self, limits: tuple[float, float]) -> FloatArray:
        """Deck cut below which the squish is too wide [m], shape (gaskets, 1)."""
        return np.nan_to_num(np.clip(self.squish - limits[1], 0.0, None), nan=0.0)

    def _mill_volume(self, excess: FloatArray) -> FloatArray:
        return self.milled(self.mill_for(excess)) if self.mill else np.zeros_like(excess)


def candidates(bench: Bench) -> tuple[list[Candidate], list[Candidate]]:
    """Those that keep every limit and hit the window, in their order; and all that can be built, nearest to that first."""
    works = bench.works()
    ratio = np.stack([bench.ratio(work) for work in works])
    mill, deck, change, crown_cut = (np.stack([getattr(work, name) for work in works]) for name in CHANGES)
    allowed = np.stack([bench.can_be(work) for work in works])
    built = np.stack([bench.can_be_built(work) for work in works])
    tight = np.stack([outside(bench.squish - work.deck_cut, *bench.hard) for work in works])
    operations = np.array(OPERATIONS)[:, None, None] * np.ones_like(ratio)
    # opening a chamber or cutting a crown takes metal too: counted as the depth it would be over the bore
    metal = mill + deck + (np.maximum(change, 0.0) + bench.cut_area * crown_cut) / bench.area
    miss = np.abs(ratio - bench.target.value)
    _, gasket, crown = np.indices(ratio.shape)
    ties = (crown, gasket, (gasket > 0).astype(np.int64) + (crown > 0))
    order = {
        "plan": np.lexsort([key.ravel() for key in (*ties, miss.round(ROUNDING), metal.round(ROUNDING), operations)]),
        "near": np.lexsort(
            [key.ravel() for key in (*ties, metal.round(ROUNDING), operations, miss.round(ROUNDING), np.nan_to_num(tight).round(ROUNDING))]
        ),
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
                    crown_cut=float(crown_cut[place]),
                    operations=int(operations[place]),
                    metal=float(metal[place]),
                    ratio=float(ratio[place]),
                )
            )
        return found

    return pick("plan", allowed & bench.target.holds(ratio)), pick("near", built)


def _nominal(tree: Any) -> Any:
    if isinstance(tree, Mapping):
        return {name: _nominal(inner) for name, inner in tree.items()}
    if isinstance(tree, list):
        return [_nominal(inner) for inner in tree]
    return tree[:1] if isinstance(tree, np.ndarray) else tree  # a price is a plain number


def _net(crown: Mapping[str, Any]) -> float:
    return float(crown["recess"][0] - crown["dome"][0])


def _ends(limit: Limit) -> tuple[float, float]:
    low, high = (open_end if end is None else float(np.asarray(end)) for end, open_end in ((limit.low, -np.inf), (limit.high, np.inf)))
    return low, high


def _hangs_in(gasket: Mapping[str, Any], bore: float) -> bool:
    limit = BORE_TO_GASKET.limit()
    facts = {"bore": bore, **{f"gasket.{name}": gasket[name][0] for name in ("bore", "area") if name in gasket}}
    return limit is not None and bool(BORE_TO_GASKET.miss(facts, limit) > 0.0)


def _least(gasket: Mapping[str, Any], deck: float, state: int | None) -> float:
    """Squish over a gasket: in one state, or the least of all; deck and gasket share no tolerance. NaN without a thickness."""
    if "thickness" not in gasket:
        return float("nan")
    thickness = gasket["thickness"]
    return float(deck + (thickness.min() if state is None else thickness[state]))
