"""The power that an engine's own moving masses take while it gains speed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.inertia import effective_inertia, spin_up_power
from borewright.practice.tables import table

NEEDED = ("stroke", "speed", "cylinders")


def spinning(before: Mapping[str, Any], after: Mapping[str, Any], pace: Mapping[str, Any] | None, outcome: Outcome) -> tuple[Any, str]:
    """Inertia at the crank before and after, the power it takes, and what lighter parts free; None with what is missing.

    before, after : the whole builds [SI]
    pace : how fast the engine gains speed
    """
    if pace is None:
        return None, "spin_up says how fast the engine gains speed"
    lacking = [name for name in ("moving", *NEEDED) if name not in before]
    if lacking:
        return None, f"the moving masses need {', '.join(lacking)}"
    rate = pace["rate"] if "rate" in pace else pace["acceleration"] * pace["overall_ratio"] / pace["tire_radius"]
    inertia = [_inertia(side, outcome) for side in (before, after)]
    power = [spin_up_power(each, side["speed"], rate) for each, side in zip(inertia, (before, after), strict=True)]
    values = {
        "rate": rate + 0.0 * inertia[0],
        "inertia_before": inertia[0],
        "inertia_after": inertia[1],
        "power_before": power[0],
        "power_after": power[1],
        "power_freed": power[0] - power[1],
        "torque_freed": (inertia[0] - inertia[1]) * rate,
    }
    return values, ""


def _inertia(side: Mapping[str, Any], outcome: Outcome) -> FloatArray:
    moving = side["moving"]
    zero = np.zeros(1)
    rod = side.get("rod_length", side.get("stack", {}).get("rod_length"))
    if rod is None:
        row = table("cycle").row("rod_length")
        rod = row.si("rod_ratio") * side["stroke"]
        told = Assumption("spin_up.rod_length", rod, "common practice", row.source, "length")
        if all(each.name != told.name for each in outcome.assumptions):
            outcome.assumptions.append(told)
    back, round_ = (side["cylinders"] * moving.get(name, zero) for name in ("reciprocating_mass", "rotating_mass"))
    steady = moving.get("crank_inertia", zero) + moving.get("flywheel_inertia", zero)
    return np.asarray(steady + effective_inertia(side["stroke"], rod, back, round_))
