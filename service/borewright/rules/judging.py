"""How far a value lies outside its limits: the one comparison behind every check, every search and every row.

Sums and unit conversions of sizes that a shop writes in decimals end a rounding away from the limit they meet. A value equal to
its limit is inside, so each kind of quantity has a slack, far over what rounding does and far under what can be measured.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import BoolArray, FloatArray, floats

# A few lengths near 1 m, added up, carry rounding near 1e-16 m; a picometer swallows that.
LENGTH_SLACK = 1e-12
# Of everything else, relative to the limit.
RELATIVE_SLACK = 1e-9
# What is nothing of each kind [SI]: residues of sums that cancel lie below it, and nothing that is measured in an engine does.
NOTHING: Mapping[str, float] = {
    "length": LENGTH_SLACK,
    "area": 1e-14,
    "volume": 1e-16,
    "displacement": 1e-16,
    "pressure": 1e-6,
    "stress": 1e-6,
    "temperature": 1e-11,
    "temperature_difference": 1e-11,
    "power": 1e-8,
    "torque": 1e-9,
    "mass": 1e-13,
    "force": 1e-9,
    "speed": 1e-12,
    "acceleration": 1e-9,
    "rotation": 1e-11,
    "angle": 1e-12,
    "ratio": 1e-13,
    "percentage": 1e-13,
}


def slack(kind: str, limit: ArrayLike) -> FloatArray:
    """How far beyond a limit a value may lie and still be equal to it.

    Parameters
    ----------
    kind : str
        Kind of the quantity, as the unit table names it.
    limit : array [SI]

    Returns
    -------
    array [SI]

    Examples
    --------
    >>> float(slack("length", 0.5)), float(slack("ratio", 0.0))
    (1e-12, 1e-13)
    """
    size = np.abs(floats(limit))
    if kind == "length":
        return np.full_like(size, LENGTH_SLACK)
    return np.where(np.isfinite(size), RELATIVE_SLACK * size, 0.0) + NOTHING.get(kind, 0.0)


def outside(value: ArrayLike, low: ArrayLike | None, high: ArrayLike | None, kind: str = "length") -> FloatArray:
    """How far a value lies outside its limits: 0 inside and at the limit, NaN where the value or a limit is not known.

    Parameters
    ----------
    value : array [SI]
    low, high : array or None [SI]
        None, or infinite, where that side is open.
    kind : str

    Returns
    -------
    array [SI]

    Examples
    --------
    A gasket of 0.059 in and a piston 0.024 in above the deck keep a limit of 0.035 in:

    >>> inch = 0.0254
    >>> float(outside(0.059 * inch - 0.024 * inch, 0.035 * inch, None))
    0.0
    >>> outside([0.9e-3, 1.0e-3, float("nan")], 1.0e-3, None).round(6).tolist()
    [0.0001, 0.0, nan]
    """
    x = floats(value)
    missed: FloatArray | None = None
    for limit, far in ((low, None if low is None else floats(low) - x), (high, None if high is None else x - floats(high))):
        if limit is not None and far is not None:
            by = np.where(far <= (_slack_of_one(kind, limit) if type(limit) is float else slack(kind, limit)), 0.0, far)
            missed = by if missed is None else np.maximum(missed, by)
    return np.where(np.isnan(x), np.nan, 0.0) if missed is None else missed


def _slack_of_one(kind: str, limit: float) -> float:
    """As `slack`, of one limit and without arrays."""
    if kind == "length":
        return LENGTH_SLACK
    return (RELATIVE_SLACK * abs(limit) if math.isfinite(limit) else 0.0) + NOTHING.get(kind, 0.0)


def misses(value: float, limit: float, side: Literal["low", "high"], kind: str = "length") -> bool:
    """Whether one value lies beyond one limit, as `outside` finds it for many; not where it is not known.

    Parameters
    ----------
    value : float [SI]
    limit : float [SI]
    side : str
        Which of the limits it is.
    kind : str

    Returns
    -------
    bool

    Examples
    --------
    >>> misses(0.9e-3, 1.0e-3, "low"), misses(1.0e-3 + 1e-16, 1.0e-3, "high")
    (True, False)
    """
    return (limit - value if side == "low" else value - limit) > _slack_of_one(kind, limit)


def inside(value: ArrayLike, low: ArrayLike | None, high: ArrayLike | None, kind: str = "length") -> BoolArray:
    """Whether a value lies inside its limits or on one of them; not where it is not known.

    Parameters
    ----------
    value : array [SI]
    low, high : array or None [SI]
    kind : str

    Returns
    -------
    array of bool

    Examples
    --------
    >>> inside([1.0, 1.0 + 1e-15, 1.1, float("nan")], None, 1.0, "ratio").tolist()
    [True, True, False, False]
    """
    return np.asarray(outside(value, low, high, kind) == 0.0)


def without_residue(values: ArrayLike, kind: str) -> FloatArray:
    """Values with 0 for what a sum that cancels leaves behind.

    Parameters
    ----------
    values : array [SI]
    kind : str

    Returns
    -------
    array [SI]

    Examples
    --------
    >>> without_residue([0.3 - 0.1 - 0.2, 2e-9], "length").tolist()
    [0.0, 2e-09]
    """
    x = floats(values)
    nothing = np.abs(x) < NOTHING.get(kind, 0.0)
    return np.where(nothing, 0.0, x) if np.count_nonzero(nothing) else x
