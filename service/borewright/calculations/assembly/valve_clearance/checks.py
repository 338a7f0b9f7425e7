"""Checks of valve to piston clearance: against its limits, and whether enough lift was measured to know it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.assembly.valve_clearance.valves import LiftCurve
from borewright.calculations.base.outcome import Check
from borewright.calculations.common.own_limits import limited_check
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import table


def valve_checks(
    request: Mapping[str, Any], side: str, axial: FloatArray, edge: FloatArray | None, at: FloatArray, curve: LiftCurve, lift: FloatArray
) -> list[Check]:
    """Clearance along the axis and at the edge, and whether the lift was measured far and closely enough to know them.

    axial, edge : least clearances (states,) [m], edge None without the sizes across
    at, lift : crank angle [rad] and lift [m] where the axial one comes

    >>> curve = LiftCurve(np.radians([-10.0, 0.0, 10.0]), np.zeros((1, 1)), np.zeros((1, 1)))
    >>> made = valve_checks({}, "intake", np.array([2.5e-3]), None, np.zeros(1), curve, np.array([1e-3]))
    >>> [(check.name, check.verdict) for check in made]
    [('intake-valve-clearance', None), ('intake-lift-range', 'pass'), ('intake-lift-spacing', None)]
    """
    practice, limits = table("valve_clearance"), request.get("limits", {})
    reason = (
        "at speed rods stretch, valves lag and chains slacken: with less the piston meets the valve; deepen the relief or change the timing"
    )
    made = [limited_check(f"{side}-valve-clearance", "length", axial, limits.get(f"{side}_clearance"), practice.row(side), reason)]
    if edge is not None:
        reason = "the edge of the valve must clear the wall of its relief: widen the relief"
        made.append(limited_check(f"{side}-valve-edge", "length", edge, limits.get("radial_clearance"), practice.row("radial"), reason))
    return [*made, _range_check(side, at, curve, lift), _spacing_check(side, at, curve)]


def _range_check(side: str, at: FloatArray, curve: LiftCurve, lift: FloatArray) -> Check:
    """Whether lift was measured far enough: a least clearance at the end of the angles may go on falling beyond them.

    Not where the valve is shut there and stays so while the piston leaves: before the intake opens, after the exhaust shuts.
    """
    first, last = curve.known[0], curve.known[-1]
    shut_end = first if side == "intake" else last
    nominal = float(at[0])
    at_end = nominal in (float(first), float(last))
    covered = nominal == float(shut_end) and float(lift[0]) == 0.0 and (nominal <= 0.0 if side == "intake" else nominal >= 0.0)
    verdict, reason = ("pass", "the least clearance lies within the angles measured")
    if at_end and not covered:
        verdict, reason = "watch", "the least clearance lies at the end of the angles measured and may be less beyond: measure further"
    return Check(
        f"{side}-lift-range", "angle", at, first, last, reason, "derived", "geometry", verdict="watch" if verdict == "watch" else "pass"
    )


def _spacing_check(side: str, at: FloatArray, curve: LiftCurve) -> Check:
    """Whether lift was measured closely enough around the least clearance; between far angles its curve is a guess."""
    nominal, known = float(at[0]), curve.known
    around = known[max(np.searchsorted(known, nominal, side="left") - 1, 0) : np.searchsorted(known, nominal, side="right") + 1]
    row = table("valve_clearance").row("lift_spacing")
    reason = "between far angles the lift is a guess: measure closer around the least clearance"
    if around.size < 2:
        most = row.si("spacing")
        return Check(
            f"{side}-lift-spacing", "angle", None, None, most, reason, "common practice", row.source, soft=True, missing=("#/lift",)
        )
    most = row.si("spacing")
    return Check(f"{side}-lift-spacing", "angle", np.diff(around).max(), None, most, reason, "common practice", row.source, soft=True)
