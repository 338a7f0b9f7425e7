"""How the piston is guided and what its height holds: skirt left in the bore, rock in its clearance, ring pack over the pin."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.answers import AnswerPart, Figure
from borewright.calculations.base.fields import Quantity, RequestPart
from borewright.calculations.base.outcome import Check, Outcome
from borewright.calculations.common.engine import rod_length, stroke
from borewright.calculations.common.linkage import rod_that_turns
from borewright.calculations.common.own_limits import limited_check
from borewright.calculations.common.rule_checks import field_of, not_known
from borewright.physics.arrays import FloatArray
from borewright.physics.fits.piston_in_bore import edge_rise, pin_to_ring_pack, ring_pack_height, share_in_bore, tilt
from borewright.practice.tables import table
from borewright.rules.motion import SKIRT_EXPOSED
from borewright.rules.rule import Facts

PACK = ("piston.top_land", "piston.grooves.top", "piston.second_land", "piston.grooves.second", "piston.third_land", "piston.grooves.oil")
ROCK = ("skirt_clearance", "piston.skirt_length", "bore")


class OriginalPart(RequestPart):
    """What came out of the same block, to compare the guidance of the piston with; what is left out was as it is now."""

    stroke = stroke()
    rod_length = rod_length()
    skirt_below_pin = Quantity("length", "0 mm", "500 mm", "pin center to the lower edge of the skirt")
    skirt_length = Quantity("length", "1 mm", "500 mm", "upper end of the skirt's running surface to its lower edge")


class RockAnswer(AnswerPart):
    """How the piston rocks in its clearance, with a stiff skirt: taper, barrel and give of the skirt make it less."""

    tilt = Figure("angle", "from the bore's axis, with all of the skirt in the bore")
    tilt_at_bdc = Figure("angle", "at bottom dead center, guided by what is left in the bore; null where not known", nullable=True)
    edge_rise = Figure("length", "of the crown's higher edge, on the side that is further from the pin: what a dial indicator reads there")
    crown_side = Figure("length", "of the crown's edge across the bore, as it tips about the pin")


class Guidance:
    """The guidance of a piston.

    facts : of the assembly [SI]
    """

    def __init__(self, request: Mapping[str, Any], facts: Facts, outcome: Outcome) -> None:
        self.request = request
        grooves = request["piston"].get("grooves", {})
        self.facts: dict[str, Any] = {
            **facts,
            "skirt_clearance": request.get("skirt_clearance"),
            **{f"piston.grooves.{name}": size for name, size in grooves.items()},
        }
        self.share = self._share(self.facts)
        self.original = self._original(outcome)
        self.rock = self._rock()
        self.pack = ring_pack_height(*(self.facts[name] for name in PACK)) if self._known(*PACK) else None
        self.room = None
        if self.pack is not None and self._known("piston.pin_diameter"):
            self.room = pin_to_ring_pack(self.facts["piston.compression_height"], self.facts["piston.pin_diameter"], self.pack)

    def values(self) -> dict[str, Any]:
        """The results."""
        return {
            "skirt_in_bore_at_bdc": self.share,
            "original_skirt_in_bore_at_bdc": self.original,
            "rock": self.rock,
            "ring_pack_height": self.pack,
            "pin_to_ring_pack": self.room,
        }

    def checks(self, squish: FloatArray | None) -> Iterator[Check]:
        """The checks of what was asked for: who gives no skirt length asks for no share of it."""
        practice = table("assembly").row("skirt_in_bore")
        if self._known("piston.skirt_length"):
            reason = "a piston guided by less of its skirt rocks and wears at the edge: a longer skirt or cylinder, a shorter stroke"
            own = self.request.get("limits", {}).get("skirt_in_bore_at_bdc")
            check = limited_check("skirt-in-bore", "ratio", self.share, own, practice, reason, columns="ratio_", soft=True)
            yield self._or_missing(check, SKIRT_EXPOSED.lacking(self.facts))
        if self._known("skirt_clearance"):
            reason = "tipped in its clearance, the crown's edge meets the head: less skirt clearance, or more squish"
            rise = None if self.rock is None else self.rock["edge_rise"]
            left = None if rise is None or squish is None else squish - rise
            check = Check("rocked-squish", "length", left, 0.0, None, reason, "derived", "geometry of a stiff skirt")
            lacking = [name for name in ROCK if not self._known(name)] + ([] if squish is not None else ["gasket.thickness"])
            yield self._or_missing(check, tuple(lacking))
        if "grooves" in self.request["piston"]:
            reason = (
                "below zero the pin's bore cuts the oil ring's groove, which then needs a support rail; beyond it they do not go in: "
                "a shorter ring pack, a smaller pin, a taller piston"
            )
            soft = self.room is not None and float(self.room.flat[0]) >= -float(np.asarray(self.facts["piston.grooves.oil"]).flat[0])
            check = Check("pin-to-ring-pack", "length", self.room, 0.0, None, reason, "derived", "geometry", soft=soft)
            yield self._or_missing(check, tuple(name for name in (*PACK, "piston.pin_diameter") if not self._known(name)))

    def _known(self, *names: str) -> bool:
        return all(self.facts.get(name) is not None for name in names)

    def _share(self, facts: Facts) -> FloatArray | None:
        length = facts.get("piston.skirt_length")
        if length is None or SKIRT_EXPOSED.lacking(facts):
            return None
        return share_in_bore(length, SKIRT_EXPOSED.found(facts))

    def _original(self, outcome: Outcome) -> FloatArray | None:
        """The share with the parts that came out."""
        given = self.request.get("original")
        if given is None:
            return None
        rod = given.get("rod_length", self.facts["rod.length"])
        rod = rod_that_turns(given["stroke"], rod, self.facts["pin_offset"], "#/original/rod_length", outcome)
        piston = {f"piston.{name}": given[name] for name in ("skirt_below_pin", "skirt_length") if name in given}
        return self._share({**self.facts, **piston, "crank.stroke": given["stroke"], "rod.length": rod})

    def _rock(self) -> dict[str, FloatArray | None] | None:
        if not self._known(*ROCK):
            return None
        clearance, length = self.facts["skirt_clearance"], self.facts["piston.skirt_length"]
        leaning = tilt(clearance, length)
        return {
            "tilt": leaning,
            "tilt_at_bdc": None if self.share is None else tilt(clearance, length * self.share),
            "edge_rise": edge_rise(leaning, self.facts["bore"], self.facts["pin_offset"]),
            "crown_side": leaning * self.facts["piston.compression_height"],
        }

    @staticmethod
    def _or_missing(check: Check, lacking: tuple[str, ...]) -> Check:
        if check.value is not None:
            return check
        missing = tuple(field_of(name) for name in lacking)
        return Check(check.name, check.kind, None, check.low, check.high, not_known(lacking), check.basis, check.source, missing=missing)
