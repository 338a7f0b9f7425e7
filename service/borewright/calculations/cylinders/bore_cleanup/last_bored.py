"""The size each cylinder was last bored to: as stated, and where its least worn level says otherwise, that level.

Below the rings' travel a cylinder hardly wears. One whose least worn level lies far over the size named was bored before, and what it
measures over that size is no wear; one whose most worn level lies far under it was sleeved.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.fields import Label, Quantity, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Check, Measured, Outcome
from borewright.calculations.cylinders.bore_cleanup.readings import Wear, expanded, place_of
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.practice.tables import table


class BoredPart(RequestPart):
    """What one cylinder was last bored to."""

    cylinder = Label(1, 24, "number of the cylinder", required=True)
    bore = Quantity("length", "5 mm", "500 mm", "size it was last bored to, or the bore of its sleeve", required=True)


@dataclass(frozen=True)
class LastBored:
    """The sizes the cylinders were last bored to, in the order of their numbers.

    sizes : array (3, cylinders) [m], nominal, low and high
    pointers : where each of them stands in the request
    away : array (3, cylinders) [m], how far each cylinder's own levels lie over the size named for it, or under it
    before : which were bored or sleeved after the size named for them
    """

    sizes: FloatArray
    pointers: list[str]
    away: FloatArray
    before: BoolArray

    def check(self, cylinders: list[int]) -> Check:
        """The cylinder furthest from the size named for it; the reason names all that are far."""
        worst = int(np.abs(self.away[0]).argmax())
        row = table("cylinders").row("bored_before")
        far = row.si("away")
        return Check("bored-before", "length", self.away[:, worst], -far, far, self._reason(cylinders), row.basis, row.source, soft=True)

    def worst(self) -> Measured:
        """How far the furthest cylinder is from the size named for it, with its bounds."""
        value, low, high = self.away[:, int(np.abs(self.away[0]).argmax())]
        return Measured(float(value), float(low), float(high), float(expanded((high - low) / 2.0)))

    def _reason(self, cylinders: list[int]) -> str:
        if not self.before.any():
            return "the least worn level of each cylinder lies near the size named, so that what is over it is wear"
        taken = "its least worn level is taken for that size, and what is over it for wear"
        if self.before.all() and len(cylinders) > 1:
            return f"the whole engine was bored or sleeved before: name the size it was last bored to as nominal_bore; {taken}"
        named = ", ".join(str(number) for number, marked in zip(cylinders, self.before, strict=True) if marked)
        which = f"cylinders {named} were" if "," in named else f"cylinder {named} was"
        return f"{which} bored or sleeved before: name the size in bored; {taken}"


def stated_bores(request: Mapping[str, Any], outcome: Outcome) -> dict[int, tuple[str, FloatArray]]:
    """The sizes that the request names cylinder by cylinder, each with its place.

    >>> outcome = Outcome({})
    >>> request = {"bored": [{"cylinder": 2, "bore": np.full(3, 0.1)}, {"cylinder": 2, "bore": np.full(3, 0.1)}]}
    >>> list(stated_bores(request, outcome)), outcome.impossible[0].pointer
    ([2], '#/bored/1/cylinder')
    """
    found: dict[int, tuple[str, FloatArray]] = {}
    for index, entry in enumerate(request.get("bored", [])):
        outcome.refuse_where(
            entry["cylinder"] in found, f"#/bored/{index}/cylinder", "this cylinder is given twice: keep one", Code.GIVEN_TWICE
        )
        found[entry["cylinder"]] = (f"#/bored/{index}/bore", entry["bore"])
    return found


def last_bored(request: Mapping[str, Any], found: Wear, stated: Mapping[int, tuple[str, FloatArray]]) -> LastBored:
    """What each cylinder was last bored to.

    request : the arrays of a bore-cleanup request, each [nominal, low, high]
    """
    every = [stated.get(cylinder, ("#/nominal_bore", request["nominal_bore"])) for cylinder in found.cylinders]
    named = np.stack([size for _, size in every], axis=-1)
    crossed = named[[0, 2, 1]]  # furthest over goes with the smallest size named
    over, under = found.smallest - crossed, np.stack([found.largest.value, found.largest.low, found.largest.high]) - crossed
    away = np.where(over > 0.0, over, np.where(under < 0.0, under, 0.0))
    far = table("cylinders").row("bored_before").si("away")
    before = ~Check("bored-before", "length", away[0], -far, far, "", "common practice", "").inside()
    pointers = [
        place_of(request["readings"], cylinder, min)[0] if marked else where
        for cylinder, marked, (where, _) in zip(found.cylinders, before, every, strict=True)
    ]
    return LastBored(np.where(before, found.smallest, named), pointers, away, before)
