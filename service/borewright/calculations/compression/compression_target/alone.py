"""What each lever on compression would have to be if nothing else changed, and how far it gets."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.answers import AnswerPart, Figure, Rows, Section, Truth, Word
from borewright.calculations.base.outcome import Outcome
from borewright.calculations.common.geometry import Geometry, gasket_volume, geometry
from borewright.calculations.common.levers import changed_build, milling_depth, milling_limit
from borewright.calculations.compression.compression_target.head_drop import Intake, drop_effects, head_drop
from borewright.calculations.compression.compression_target.plans import WIDEST_RATIO, Bench, Work
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.volumes import circle_area
from borewright.rules.judging import LENGTH_SLACK

# the largest that the request takes of each
THICKEST, LARGEST_GASKET, LARGEST_DOME, LARGEST_RECESS, DEEPEST_CUT = 12e-3, 1000e-6, 500e-6, 1000e-6, 30e-3
Stops = tuple[tuple[bool, str], ...]


class LeverSideEffect(AnswerPart):
    """Something else that changes with a lever."""

    name = Word("what changes")
    value = Figure("length", "by how much, or what it becomes; null where it is not known or has no figure", nullable=True)
    text = Word("what it means")


class LeverAnswer(AnswerPart):
    """One lever alone."""

    feasible = Truth("whether this lever alone reaches the target")
    reached = Figure("ratio", "compression ratio it reaches: the target, or as near as it gets")
    reason = Word("why no amount of it does; null where one does", nullable=True)
    side_effects = Rows(Section(LeverSideEffect, "one effect"), "what else changes with it, as far as it goes")


class CutAnswer(LeverAnswer):
    """Milling or decking alone."""

    amount = Figure("length", "what it alone would have to be, also past its limit; null where no cut does", nullable=True)
    limit = Figure("length", "how far it may go on this build")
    limited_by = Word("what sets the limit", options=("max", "squish", "chamber"))


class GasketsAnswer(LeverAnswer):
    """The gasket alone."""

    amount = Figure(
        "length", "thickness that would hit the target with the opening of the present gasket; null where none does", nullable=True
    )
    volume = Figure("volume", "volume inside the opening that would hit the target; null where none does", nullable=True)
    best = Word("the gasket on offer that comes nearest; null where none fits", nullable=True)


class CrownsAnswer(LeverAnswer):
    """The piston crown alone."""

    amount = Figure("volume", "recess less dome that would hit the target; null where no crown holds it", nullable=True)
    best = Word("the crown on offer that comes nearest; null where none fits", nullable=True)


class ChamberAnswer(LeverAnswer):
    """The chamber volume alone."""

    amount = Figure("volume", "chamber volume that would hit the target; null where none does", nullable=True)
    limit = Figure("volume", "the end of the range on the target's side")


class LeversAloneAnswer(AnswerPart):
    """Each lever of the request by itself."""

    head_mill = Section(CutAnswer, "milling the heads", nullable=True)
    deck_cut = Section(CutAnswer, "cutting the decks", nullable=True)
    gaskets = Section(GasketsAnswer, "another gasket", nullable=True)
    crowns = Section(CrownsAnswer, "another crown", nullable=True)
    chamber_volume = Section(ChamberAnswer, "another chamber volume", nullable=True)
    crown_cut = Section(CutAnswer, "cutting the crowns", nullable=True)


class Alone:
    """One lever after the other on the bench.

    request : the arrays of a compression-target request with levers that were checked
    """

    def __init__(self, request: Mapping[str, Any], found: Geometry, bench: Bench, joint: Intake | None) -> None:
        self.request, self.found, self.bench, self.joint = request, found, bench, joint
        self.excess = float(bench.excess[0, 0])

    def answers(self) -> dict[str, Any]:
        """The answer of every lever that the request has."""
        ways = {
            "head_mill": self.head_mill,
            "deck_cut": self.deck_cut,
            "gaskets": self.gaskets,
            "crowns": self.crowns,
            "chamber_volume": self.chamber_volume,
            "crown_cut": self.crown_cut,
        }
        return {name: way() for name, way in ways.items() if name in self.request["levers"]}

    def head_mill(self) -> dict[str, Any]:
        """Milling: the chamber shrinks, squish stays."""
        mill, chamber = self.request["levers"]["head_mill"], self.request["chamber_volume"]
        limit, limited_by = milling_limit(mill, chamber)
        used = float(self.bench.mill_for(np.array(self.excess)))
        needed = float(milling_depth(mill, chamber, np.array(self.excess)))
        gone = self.excess > float(chamber[0])
        stops = (
            (self.excess < 0.0, "milling only raises the ratio, and the target lies below it"),
            (gone, "the chamber would be milled away before the target is reached"),
            (not np.isfinite(needed), "the profile ends before the target: pour the chamber deeper"),
        )
        answer = self._cut(used, needed, changed_build(self.request, head_mill=used), stops)
        return {**answer, "limit": np.full(1, limit), "limited_by": limited_by}

    def deck_cut(self) -> dict[str, Any]:
        """Decking: the piston comes nearer the head, and squish with it."""
        most = float(self.request["levers"]["deck_cut"]["max"][0])
        limit = float(self.bench.deck_room()[0, 0])
        used = float(np.clip(self.excess / self.bench.area, 0.0, limit))
        needed = self.excess / self.bench.area
        met = self.found.squish is not None and needed > float(self.found.squish[0]) + LENGTH_SLACK
        stops = (
            (needed < 0.0, "cutting the decks only raises the ratio, and the target lies below it"),
            (met, "the piston would stand inside the head before the target is reached"),
        )
        answer = self._cut(used, needed, changed_build(self.request, deck_cut=used), stops)
        squish = answer.pop("found").squish
        answer["side_effects"].insert(0, {"name": "squish", "value": squish, "text": "squish after the cut"})
        return {**answer, "limit": np.full(1, limit), "limited_by": "max" if limit >= most else "squish"}

    def crown_cut(self) -> dict[str, Any]:
        """Cutting the crowns: the room above them grows, squish stays."""
        limit = self.bench.cut_room
        needed = -self.excess / self.bench.cut_area
        used = float(np.clip(needed, 0.0, limit))
        stops = (
            (needed < 0.0, "cutting the crowns only lowers the ratio, and the target lies above it"),
            (needed > DEEPEST_CUT, "the target lies deeper than any crown is thick"),
        )
        answer = self._cut(used, needed, changed_build(self.request, crown_cut=used), stops)
        effects = [
            {"name": "crown-thickness", "value": np.full(1, -used), "text": "change of the crown's thickness: check its strength"},
            {"name": "balance", "value": None, "text": "a piston of another mass wants the crank balanced again"},
        ]
        return {**answer, "side_effects": effects, "limit": np.full(1, limit), "limited_by": "max"}

    def _cut(self, used: float, needed: float, build: Mapping[str, Any], stops: Stops) -> dict[str, Any]:
        found = geometry(build, Outcome({}))
        feasible = bool(self.bench.target.holds(found.ratio[0]))
        amount = used if feasible else needed
        return {
            "found": found,
            "feasible": feasible,
            "reached": _ratio(found),
            **_possible(amount, () if feasible else stops),
            "side_effects": drop_effects(np.full(1, used), self.joint),
        }

    def gaskets(self) -> dict[str, Any]:
        """Another gasket: thickness and opening together."""
        present = self.request["gasket"]
        volume = float(gasket_volume(present)[0]) - self.excess
        area = present["area"] if "area" in present else circle_area(present["bore"]) if "bore" in present else None
        best = self._nearest(self._offers()[1:, 0])
        fitted = present if best is None else self.request["levers"]["gaskets"][best]
        effects = []
        if best is not None:
            drop = head_drop(present, fitted, 0.0)
            effects = drop_effects(drop, self.joint)
        taken = self._fitted("gaskets", best, effects)
        thickness = volume / float(area[0]) if area is not None else np.nan
        touching = thickness + float(self.found.deck_clearance[0]) < -LENGTH_SLACK
        none = (
            (volume <= 0, "even without a gasket the ratio lies below the target"),
            (volume > LARGEST_GASKET, "no gasket holds so much"),
        )
        stops = (
            *none,
            (area is None, "the thickness can't be told from a gasket's volume: state its bore or area"),
            (touching, "the piston would stand inside the head with a gasket so thin"),
            (thickness > THICKEST, "no gasket is so thick"),
        )
        told = _possible(thickness, stops)
        if taken["feasible"]:
            told["reason"] = None
        return {**taken, **told, "volume": _possible(volume, none)["amount"]}

    def crowns(self) -> dict[str, Any]:
        """Another crown on the same compression height."""
        best = self._nearest(self._offers()[0, 1:])
        effects = [
            {"name": "valve-relief", "value": None, "text": "check the room for the valves over the new crown"},
            {"name": "balance", "value": None, "text": "a piston of another mass wants the crank balanced again"},
        ]
        taken = self._fitted("crowns", best, effects if best is not None else [])
        amount = float(self.found.parts["crown"][0]) - self.excess
        told = _possible(amount, ((not -LARGEST_DOME <= amount <= LARGEST_RECESS, "no piston has such a crown"),))
        return {**taken, **told}

    def _offers(self) -> FloatArray:
        """Ratio of every gasket and crown without machining, NaN where a combination can't be offered."""
        zero = np.zeros_like(self.bench.excess)
        none = Work(zero, zero, zero, zero, np.ones(zero.shape, dtype=np.bool_))
        return np.where(self.bench.can_be(none), self.bench.ratio(none), np.nan)

    def _nearest(self, ratio: FloatArray) -> int | None:
        miss = np.abs(ratio - self.bench.target.value)
        return int(np.nanargmin(miss)) if np.isfinite(miss).any() else None

    def _fitted(self, lever: str, best: int | None, effects: list[dict[str, Any]]) -> dict[str, Any]:
        found, name = self.found, None
        if best is not None:
            option = self.request["levers"][lever][best]
            gasket, crown = (option, None) if lever == "gaskets" else (None, option)
            found, name = geometry(changed_build(self.request, gasket=gasket, crown=crown), Outcome({})), option["name"]
            if lever == "gaskets":
                effects = [{"name": "squish", "value": found.squish, "text": "squish over the new gasket"}, *effects]
        feasible = best is not None and bool(self.bench.target.holds(found.ratio[0]))
        return {"feasible": feasible, "reached": _ratio(found), "best": name, "side_effects": effects}

    def chamber_volume(self) -> dict[str, Any]:
        """Another chamber: other heads, or chambers opened up."""
        present = self.request["chamber_volume"]
        span = self.request["levers"]["chamber_volume"]
        low, high = float(span["min"][0]), float(span["max"][0])
        needed = float(present[0]) - self.excess
        used = min(max(needed, low), max(low, high))
        found = geometry(changed_build(self.request, chamber_change=used - float(present[0])), Outcome({}))
        if not np.isfinite(_ratio(found)[0]):  # the whole range is too small for this build: it stays as it is
            found = self.found
        feasible = bool(self.bench.target.holds(found.ratio[0]))
        amount = used if feasible else needed
        effects = []
        if used > float(present[0]):
            effects.append({"name": "chamber-wall", "value": None, "text": "opening a chamber thins its walls: check them before grinding"})
        return {
            "feasible": feasible,
            "reached": _ratio(found),
            **_possible(amount, ((amount <= 0, "even without a chamber the ratio would lie below the target"),)),
            "limit": np.full(1, low if needed < float(present[0]) else high),
            "side_effects": effects,
        }


def _possible(amount: float, stops: Stops) -> dict[str, Any]:
    """An amount; None where one of the stops holds, with what is said of it.

    >>> _possible(0.002, ((True, "no gasket is so thick"),)), _possible(0.002, ((False, "no gasket is so thick"),))
    ({'amount': None, 'reason': 'no gasket is so thick'}, {'amount': array([0.002]), 'reason': None})
    """
    reason = next((told for holds, told in stops if holds), None)
    return {"amount": np.full(1, amount) if reason is None else None, "reason": reason}


def _ratio(found: Geometry) -> FloatArray:
    """The ratio where a volume is left; NaN at a corner of the tolerances where none is, so that no bounds are shown."""
    return np.where(found.clearance * (WIDEST_RATIO - 1.0) > found.swept, found.ratio, np.nan)
