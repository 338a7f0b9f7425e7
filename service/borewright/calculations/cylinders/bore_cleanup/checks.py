"""What worn cylinders and the size chosen for them are held against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from borewright.calculations.base.fields import Part, Quantity, RequestPart
from borewright.calculations.base.outcome import Check, Measured
from borewright.calculations.cylinders.bore_cleanup.last_bored import LastBored
from borewright.calculations.cylinders.bore_cleanup.readings import Figures, Wear
from borewright.calculations.cylinders.bore_cleanup.sizes import SizeTable, Walls
from borewright.physics.arrays import FloatArray
from borewright.physics.fits.clearances import tolerance_width
from borewright.practice.tables import table

WIDTHS_KNOWN = (0.018, 0.180)  # m: where the widths of ISO 286-1 are calculated


class WearLimitPart(RequestPart):
    """How far a cylinder may be from round or straight."""

    high = Quantity("length", "0 mm", "5 mm", "largest allowed", required=True)


class CleanupLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    out_of_round = Part(WearLimitPart, "largest out-of-round that may stay")
    taper = Part(WearLimitPart, "largest taper that may stay")


def cleanup_checks(
    request: Mapping[str, Any], found: Wear, bored: LastBored, offered: SizeTable, walls: Walls | None, chosen: int, *, toleranced: bool
) -> list[Check]:
    """Every check of a clean-up, over the bounds of what is judged where anything had a tolerance.

    request : the arrays of a bore-cleanup request, each [nominal, low, high]
    chosen : place of the size that is judged

    >>> from borewright.calculations.base.registry import calculations
    >>> from borewright.calculations.base.single import answer
    >>> levels = [{"cylinder": 1, "depth": depth, "thrust": 100.05, "axial": 100} for depth in (10, 90)]
    >>> request = {"units": "metric", "nominal_bore": 100, "readings": levels, "sizes": [100.5]}
    >>> [check["name"] for check in answer(calculations()["bore-cleanup"], request)["checks"]]
    ['clean-up', 'bored-before', 'out-of-round', 'taper', 'bore-width', 'wall']
    """
    thinnest = None if walls is None else walls.measured(chosen, offered.sizes[chosen], toleranced=True)
    checks = [
        (_cleanup_check(offered, chosen), _worst(offered.needed)),
        (bored.check(found.cylinders), bored.worst()),
        *_wear_checks(found, request["nominal_bore"], request.get("limits", {})),
        (_wall_check(walls, chosen, request.get("minimum_wall")), thinnest),
    ]
    return [_bounded(*each) if toleranced else each[0] for each in checks]


def _bounded(check: Check, value: Measured | None) -> Check:
    """A check on [nominal, lowest, highest], judged over all three, shown with the bounds."""
    return check if check.value is None else replace(check, value=value, verdict=check.judge(lambda inside: inside))


def _worst(figures: Figures) -> Measured:
    return figures.measured(int(figures.value.argmax()), toleranced=True)


def _cleanup_check(offered: SizeTable, chosen: int) -> Check:
    needed = offered.needed
    worst = int(needed.value.argmax())
    reason = (
        "the finished size must reach past the deepest wear with the hone's stock; watch: only inside the gauge's tolerance, read again"
    )
    return Check(
        "clean-up",
        "length",
        needed.states(worst),
        None,
        offered.sizes[chosen],
        reason,
        "caller",
        "the readings and the sizes of the request",
        verdict=offered.verdict(chosen),
    )


def _wear_checks(found: Wear, nominal: FloatArray, limits: Mapping[str, Any]) -> list[tuple[Check, Measured | None]]:
    """The governing cylinder against what a worn and what a new one may have."""
    new = table("cylinders").row("new")
    checks: list[tuple[Check, Measured | None]] = [
        (_wear_check(name, figures.states(int(figures.value.argmax())), limits.get(column), column), _worst(figures))
        for name, column, figures in (("out-of-round", "out_of_round", found.out_of_round), ("taper", "taper", found.taper))
    ]
    known = WIDTHS_KNOWN[0] < nominal[0] <= WIDTHS_KNOWN[1]
    width = tolerance_width(nominal[0], int(new.word("grade"))) if known else None
    value = found.spread.states(int(found.spread.value.argmax())) if known else None
    reason = "largest less smallest diameter, against the width a new cylinder of this size is made to"
    width_check = Check("bore-width", "length", value, None, width, reason, "published", new.source, soft=True)
    checks.append((width_check, _worst(found.spread)))
    return checks


def _wear_check(name: str, states: FloatArray, own: Mapping[str, Any] | None, column: str) -> Check:
    reason = "past it the cylinder wants boring or honing before new rings go in; boring to a size that cleans up takes it out"
    row = table("cylinders").row("worn")
    if own is not None:
        return Check(name, "length", states, None, float(own["high"][0]), reason, "caller", "the request")
    return Check(name, "length", states, None, row.si(column), reason, "common practice", row.source, soft=True)


def _wall_check(walls: Walls | None, chosen: int, minimum: FloatArray | None) -> Check:
    row = table("cylinders").row("wall")
    value = None if walls is None else walls.thinnest(chosen)
    reason = "the thinnest wall at the smallest size that cleans up (or the largest on offer): thinner walls move and crack"
    if walls is None:
        reason = "not known: no wall was measured; sonic check the walls before boring"
    missing = ("#/walls",) if walls is None else ()
    if minimum is not None:
        return Check("wall", "length", value, float(minimum[0]), None, reason, "caller", "the request", missing=missing)
    return Check("wall", "length", value, row.si("wall"), None, reason, "common practice", row.source, soft=True, missing=missing)
