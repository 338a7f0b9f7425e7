"""What the stroke does: rod ratio and piston speed, and what comes near the piston at the bottom."""

from __future__ import annotations

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.physics.fits.clearances import counterweight_clearance, skirt_exposure
from borewright.physics.mechanism.crank import rod_ratio
from borewright.physics.mechanism.piston_motion import mean_piston_speed
from borewright.rules.rule import Rule


def _apart(radially: FloatArray, gap: FloatArray | None, width: FloatArray | None) -> FloatArray:
    """Two bodies keep apart by the larger of their distances along two directions; the one along the crank need not be known."""
    if gap is None or width is None:
        return radially
    return np.where(np.isnan(radially), np.nan, np.fmax(radially, (gap - width) / 2.0))


def boss_clearance(
    stroke: FloatArray,
    rod_length: FloatArray,
    below_pin: FloatArray,
    radius: FloatArray,
    pin_offset: FloatArray | float = 0.0,
    gap: FloatArray | None = None,
    width: FloatArray | None = None,
) -> FloatArray:
    """Least distance of the pin bosses, lowest right under the pin, from the counterweights [m].

    gap, width : between the counterweights along the crank, and of the piston over its bosses: narrower bosses pass between

    >>> sizes = (np.array(0.0853), np.array(0.14235), np.array(0.022), np.array(0.079))
    >>> round(float(boss_clearance(*sizes)) * 1e3, 6)
    -1.3
    >>> round(float(boss_clearance(*sizes, gap=np.array(0.074), width=np.array(0.07))) * 1e3, 6)
    2.0
    """
    return _apart(counterweight_clearance(stroke, rod_length, below_pin, radius, 0.0, pin_offset), gap, width)


def skirt_clearance(
    stroke: FloatArray,
    rod_length: FloatArray,
    below_pin: FloatArray,
    radius: FloatArray,
    bore: FloatArray,
    width: FloatArray,
    pin_offset: FloatArray | float = 0.0,
    gap: FloatArray | None = None,
) -> FloatArray:
    """Least distance of the skirt's lower edge from the counterweights [m].

    The skirt spans as much of the crank's length as the bosses, so the point of its edge that lies nearest the crank is
    √(B² − W²)/2 off the bore's axis.

    >>> sizes = (np.array(0.0853), np.array(0.14235), np.array(0.03), np.array(0.079), np.array(0.1), np.array(0.06))
    >>> round(float(skirt_clearance(*sizes)) * 1e3, 6)
    1.362242
    """
    across = np.sqrt(np.maximum(bore**2 - width**2, 0.0)) / 2.0
    return _apart(counterweight_clearance(stroke, rod_length, below_pin, radius, across, pin_offset), gap, width)


_TURNING = {"stroke": "crank.stroke", "rod_length": "rod.length"}
_BESIDE = {"pin_offset": "pin_offset", "gap": "crank.counterweight_gap"}

ROD_RATIO = Rule(
    name="rod-ratio",
    formula=rod_ratio,
    needs={"rod_length": "rod.length", "stroke": "crank.stroke"},
    reason="a short rod presses the skirt on the wall, a long one leaves little room for the piston",
    row=("assembly", "rod_ratio"),
    columns="ratio_",
    soft=True,
)
MEAN_PISTON_SPEED = Rule(
    name="mean-piston-speed",
    formula=mean_piston_speed,
    needs={"stroke": "crank.stroke", "speed": "speed"},
    reason="beyond it rods, pins and rings live short: turn it slower, or choose parts made for it",
    row=("assembly", "speed_street"),
    columns="speed_",
    soft=True,
)
SKIRT_EXPOSED = Rule(
    name="skirt-exposed",
    formula=skirt_exposure,
    needs={
        "deck_height": "block.deck_height",
        "cylinder_length": "block.cylinder_length",
        **_TURNING,
        "skirt_below_pin": "piston.skirt_below_pin",
    },
    may_use={"pin_offset": "pin_offset"},
    reason="a skirt that leaves the cylinder rocks and wears at the edge: a shorter skirt, or a longer cylinder",
    row=("assembly", "skirt_exposed"),
    soft=True,
)
COUNTERWEIGHT_TO_BOSS = Rule(
    name="counterweight-to-boss",
    formula=boss_clearance,
    needs={**_TURNING, "below_pin": "piston.boss_below_pin", "radius": "crank.counterweight_radius"},
    may_use={**_BESIDE, "width": "piston.width_at_boss"},
    reason=(
        "a counterweight must not reach the bosses: a shorter pin and narrower bosses, a smaller counterweight, or a longer rod; "
        "at the bottom of the stroke they come nearest"
    ),
    row=("assembly", "counterweight_clearance"),
)
COUNTERWEIGHT_TO_SKIRT = Rule(
    name="counterweight-to-skirt",
    formula=skirt_clearance,
    needs={
        **_TURNING,
        "below_pin": "piston.skirt_below_pin",
        "radius": "crank.counterweight_radius",
        "bore": "bore",
        "width": "piston.width_at_boss",
    },
    may_use=_BESIDE,
    reason="a counterweight must not reach the skirt: a shorter or narrower skirt, a smaller counterweight, or a longer rod",
    row=("assembly", "counterweight_clearance"),
)
