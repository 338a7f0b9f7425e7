"""What a plan costs: the prices and times of the shop for each piece of work, and the prices of the parts fitted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.compression.compression_target.plans import Candidate
from borewright.physics.arrays import FloatArray
from borewright.quantities import KINDS

WORK = {"head_mill": "head_mill", "deck_cut": "deck_cut", "chamber_change": "chamber_volume", "crown_cut": "crown_cut"}
"""What a candidate has changed, and the lever that says what it costs."""
PARTS = {"gasket": "gaskets", "crown": "crowns"}
HOUR = KINDS["time"].units["h"].factor
FREE = "left out: work without a price, and a part in hand, cost nothing"


class Costing:
    """The prices and times of the levers of a request; nothing is priced where none are given."""

    def __init__(self, levers: Mapping[str, Any], outcome: Outcome) -> None:
        self.levers = levers
        self.rate = float(levers.get("labor_rate", 0.0))
        self.timed = any("hours" in entry for _, entry in self._entries())
        self.priced = any("price" in entry for _, entry in self._entries()) or (self.timed and "labor_rate" in levers)
        if self.priced:
            free = [name for name, entry in self._entries() if not {"price", "hours"} & set(entry)]
            outcome.assumptions.extend(Assumption(f"levers.{name}.price", 0, "common practice", FREE) for name in free)
        if self.timed and "labor_rate" not in levers:
            outcome.cautions.append("hours-without-rate")

    def _entries(self) -> Iterator[tuple[str, Mapping[str, Any]]]:
        for lever in WORK.values():
            if lever in self.levers:
                yield lever, self.levers[lever]
        for lists in PARTS.values():
            for index, entry in enumerate(self.levers.get(lists, [])):
                yield f"{lists}.{index}", entry

    def _done(self, candidate: Candidate) -> Iterator[Mapping[str, Any]]:
        for change, lever in WORK.items():
            if getattr(candidate, change):
                yield self.levers[lever]
        for part, lists in PARTS.items():
            place = getattr(candidate, part)
            if place is not None:
                yield self.levers[lists][place]

    def hours(self, candidate: Candidate) -> float:
        """Time of the work [s]."""
        return sum(float(np.asarray(entry.get("hours", 0.0)).flat[0]) for entry in self._done(candidate))

    def cost(self, candidate: Candidate) -> float:
        """Parts, work and time together, in the caller's currency."""
        return sum(float(entry.get("price", 0.0)) for entry in self._done(candidate)) + self.rate * self.hours(candidate) / HOUR

    def answer(self, candidate: Candidate) -> dict[str, float | FloatArray | None]:
        """Cost and time as an answer has them; null where nothing is priced or timed."""
        return {
            "cost": self.cost(candidate) if self.priced else None,
            "hours": np.full(1, self.hours(candidate)) if self.timed else None,
        }

    def ranked(self, found: list[Candidate]) -> list[Candidate]:
        """The cheapest first; of equal cost in the order they come in."""
        return sorted(found, key=self.cost)
