"""One combination of parts: what it comes to over its own tolerances."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.outcome import Measured
from borewright.calculations.base.problems import pointer
from borewright.calculations.part_selection.catalog import LISTS, crevice_volume, gasket_volume_as_fitted
from borewright.calculations.part_selection.spread import Spread
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.mechanism.crank import rod_ratio
from borewright.rules.judging import outside
from borewright.rules.rule import Limit
from borewright.selection.demands import SearchProblem
from borewright.selection.machining import FinishedBuild, assembled
from borewright.selection.outcome import Combination

Entry = Mapping[str, Any]
Fact = tuple[str, str]  # part, field

HIGHEST_RATIO = 100.0  # as in compression: beyond, nothing that runs
CREVICE: tuple[Fact, ...] = (("piston", "top_land"), ("piston", "top_land_diameter"))
STACK: tuple[Fact, ...] = (
    ("piston", "bore"),
    ("crank", "stroke"),
    ("rod", "length"),
    ("piston", "compression_height"),
    ("block", "deck_height"),
    ("piston", "dome"),
    ("piston", "recess"),
    ("gasket", "bore"),
    ("gasket", "area"),
    ("gasket", "thickness"),
    ("gasket", "volume"),
    ("head", "chamber_volume"),
)


@dataclass(frozen=True)
class Fitted:
    """A combination with the cuts it gets, and what it is held to.

    request : the tree with each quantity as [nominal, all low, all high] [SI]
    held : each limit by its name
    window : limits of the compression ratio; None where there is no target
    """

    request: Entry
    problem: SearchProblem
    held: Mapping[str, Limit | None]
    choice: Combination
    window: Limit | None

    @cached_property
    def entries(self) -> dict[str, Entry]:
        """The parts as they stand in the request, and the block."""
        parts = {name.removesuffix("s"): self.request[name][place] for name, place in zip(LISTS, self.choice.places, strict=True)}
        return {"block": self.request["block"], **parts}

    def pointer_to(self, fact: Fact) -> str:
        """Where a fact of the combination stands in the request."""
        part, field = fact
        if part == "block":
            return pointer(part, field)
        return pointer(f"{part}s", self.choice.places[LISTS.index(f"{part}s")], field)

    def amount(self, operation: str) -> float:
        """What an operation takes off [m]; nothing where it is not done, or not known."""
        return next((work.amount or 0.0 for work in self.choice.work if work.operation == operation), 0.0)

    @property
    def honed(self) -> bool:
        """Whether the small ends are honed, so that the pin floats."""
        return any(work.operation == "small_end_hone" for work in self.choice.work)

    @cached_property
    def spread(self) -> Spread:
        """The inputs of the compression ratio over their tolerances."""
        facts = [fact for fact in STACK if self.has(fact)]
        if all(self.has(fact) for fact in CREVICE):
            facts.extend(CREVICE)
        if self.amount("head_mill") > 0.0:
            facts.extend(fact for fact in (("head", "chamber_area"), ("head", "volume_per_depth")) if self.has(fact))
        return Spread.of({".".join(fact): self.of(fact) for fact in facts})

    def has(self, fact: Fact) -> bool:
        """Whether the lists give a fact."""
        return fact[1] in self.entries.get(fact[0], {})

    def of(self, fact: Fact) -> FloatArray:
        """A fact as [nominal, all low, all high] [SI]."""
        return np.asarray(self.entries[fact[0]][fact[1]])

    def finished(self, fact: Fact) -> FloatArray:
        """A fact as it is after the machining: a small end may be honed."""
        return self.of(fact) + (self.amount("small_end_hone") if fact == ("rod", "small_end_bore") else 0.0)

    @cached_property
    def assembly(self) -> FinishedBuild:
        """What the parts come to at every point of their tolerances."""
        columns, none = self.spread.columns, np.zeros(1)
        bore = columns["piston.bore"]
        crown = columns.get("piston.recess", none) - columns.get("piston.dome", none)
        if "piston.top_land_diameter" in columns:
            crown = crown + crevice_volume(bore, columns["piston.top_land"], columns["piston.top_land_diameter"])
        gasket = {name.removeprefix("gasket."): values for name, values in columns.items() if name.startswith("gasket.")}
        return assembled(
            bore=bore,
            stroke=columns["crank.stroke"],
            rod_length=columns["rod.length"],
            compression_height=columns["piston.compression_height"],
            deck_height=columns["block.deck_height"],
            crown_volume=crown,
            gasket_volume=gasket_volume_as_fitted(gasket),
            gasket_thickness=gasket.get("thickness", np.full(1, np.nan)),
            chamber_volume=columns["head.chamber_volume"],
            mill_rate=columns.get("head.volume_per_depth", columns.get("head.chamber_area", none)),
            deck_cut=self.amount("deck_cut"),
            head_mill=self.amount("head_mill"),
        )

    @cached_property
    def assembly_real(self) -> BoolArray:
        """Where the assembly can exist: room above the piston, and no piston in the head."""
        built = self.assembly
        inside = np.isnan(built.squish) | (outside(built.squish, 0.0, None) <= 0.0)
        return np.asarray(inside & (built.clearance_volume > 0.0) & (built.compression_ratio <= HIGHEST_RATIO))

    @property
    def real(self) -> bool:
        """Whether the combination can exist, at its nominal sizes."""
        return bool(self.assembly_real[0])

    @property
    def why_not(self) -> str:
        """Why it can't exist."""
        squish = float(self.assembly.squish[0])
        if squish < 0.0:
            return "this can't be built: the piston would stand inside the head"
        if float(self.assembly.clearance_volume[0]) <= 0.0:
            return "this can't be built: nothing is left above the piston"
        return "this can't be: hardly anything is left above the piston"

    def results(self) -> dict[str, Any]:
        """What the combination comes to, over its own tolerances; what can't exist has no figures."""
        built, columns = self.assembly, self.spread.columns

        def measured(values: npt.ArrayLike) -> Measured:
            return self.spread.measured(values)

        def existing(values: FloatArray) -> Measured | None:
            """None at the nominal sizes of what can't exist; without bounds where a corner of the tolerances can't."""
            return measured(np.where(self.assembly_real, values, np.nan)) if self.real else None

        rate = columns.get("head.volume_per_depth", columns.get("head.chamber_area", np.zeros(1)))
        found: dict[str, Any] = {
            "compression_ratio": existing(built.compression_ratio),
            "displacement": measured(built.swept_volume * self.problem.block.cylinders),
            "swept_volume": measured(built.swept_volume),
            "clearance_volume": existing(built.clearance_volume),
            "deck_clearance": existing(built.deck_clearance),
            "squish": None if self.choice.squish is None else existing(built.squish),
            "bore": measured(columns["piston.bore"]),
            "chamber_volume": measured(columns["head.chamber_volume"] - rate * self.amount("head_mill")),
            "rod_ratio": measured(rod_ratio(columns["rod.length"], columns["crank.stroke"])),
        }
        if self.window is not None:
            found["off_target"] = existing(built.compression_ratio - self.problem.target.value)
        return found

    def variances(self) -> dict[str, float]:
        """What each toleranced input adds to the variance of the compression ratio, by its place in the request."""
        if not self.assembly_real.all():
            return {}
        shares = self.spread.variances(self.assembly.compression_ratio)
        return {self.pointer_to((name.partition(".")[0], name.partition(".")[2])): share for name, share in shares.items()}
