"""How much the deck and the head are cut to bring one combination's compression to its target, in closed form.

Policy, for every combination by itself:

- A deck clearance d is allowed when d meets the deck limits, d + gasket thickness meets the squish limits, and d is what was
  built less a cut the shop makes. That leaves one range [lowest, highest]; where it does not hold the clearance as built, the
  deck *must* be cut.
- Four plans are looked at: no cut, deck cut, head mill, both. A plan counts only if the compression it ends at is in the window.
- A lever that is used is used to reach `target.value`, or as near as its own limit lets it. A deck that must be cut is cut by
  at least the least amount that meets the limits.
- Both levers are used only where neither alone reaches the target. Then the one that takes more volume per depth is used
  first, so the depth taken in all is the least.
- Among the plans the search keeps the one its `prefer` order ranks best (the order of `PLANS` breaks a tie), so with the default
  order a combination is machined as little as it can be, and only then cheapest, and only then closest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.fits.clearances import deck_clearance
from borewright.physics.mechanism.volumes import circle_area
from borewright.physics.mechanism.volumes import swept_volume as cylinder_swept_volume
from borewright.rules.judging import LENGTH_SLACK, RELATIVE_SLACK
from borewright.selection.demands import Span, Target
from borewright.selection.outcome import Operation

PLANS: tuple[tuple[Operation, ...], ...] = ((), ("deck_cut",), ("head_mill",), ("deck_cut", "head_mill"))


def deck_ends(built: ArrayLike, limits: Span, cut_maximum: float) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest deck clearance that the deck's limits and the cut allow, whatever the gasket; lowest > highest where none.

    max(d − x, low) and min(d, high), with d as built and x the most that is cut.

    Parameters
    ----------
    built : array [m]
    limits : Span [m]
    cut_maximum : float [m]

    Returns
    -------
    tuple of array [m]

    Examples
    --------
    >>> low, high = deck_ends(0.0006, Span(0.0, 0.0005), 0.0004)
    >>> round(float(low), 6), float(high)
    (0.0002, 0.0005)
    """
    return np.maximum(np.asarray(built) - cut_maximum, limits.low), np.minimum(built, limits.high)


def clearance_range(
    lowest: ArrayLike, highest: ArrayLike, squish_lowest: ArrayLike, squish_highest: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Deck clearances that suit both the deck (with what can be cut) and the squish; empty where lowest > highest.

    Parameters
    ----------
    lowest, highest : array [m]
        As `deck_ends`.
    squish_lowest, squish_highest : array [m]
        Squish limits less the gasket's thickness.

    Returns
    -------
    tuple of array [m]

    Examples
    --------
    >>> low, high = clearance_range(0.0, 0.0005, -0.0001, 0.0002)
    >>> float(low), float(high)
    (0.0, 0.0002)
    """
    return np.maximum(lowest, squish_lowest), np.minimum(highest, squish_highest)


def clearance_window(swept: ArrayLike, target: Target) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Clearance volumes at the window's two ends and the target, V = V_s/(r − 1), the ends widened by rounding.

    Parameters
    ----------
    swept : array [m3]
    target : Target

    Returns
    -------
    tuple of array [m3]
        Smallest (highest compression), wanted, largest.

    Examples
    --------
    >>> [round(float(v) * 1e6, 3) for v in clearance_window(720e-6, Target(10.0, 9.0, 11.0))]
    [72.0, 80.0, 90.0]
    """
    volume = np.asarray(swept, dtype=np.float64)
    smallest = volume * ((1.0 - RELATIVE_SLACK) / (target.high - 1.0))
    largest = volume * ((1.0 + RELATIVE_SLACK) / (target.low - 1.0))
    return smallest, volume / (target.value - 1.0), largest


@dataclass(frozen=True, slots=True)
class Machined:
    """The four plans of each combination, first axis in the order of `PLANS`.

    `feasible` says whether the plan exists and ends in the window; the other arrays are [m] and [m3].

    Examples
    --------
    >>> Machined(np.array([[True]]), np.zeros((1, 1)), np.zeros((1, 1)), np.full((1, 1), 80e-6)).feasible.any()
    np.True_
    """

    feasible: BoolArray
    deck_clearance: FloatArray
    head_mill: FloatArray
    clearance_volume: FloatArray


def machined(
    *,
    area: ArrayLike,
    swept: ArrayLike,
    fixed: ArrayLike,
    built: ArrayLike,
    lowest: ArrayLike,
    highest: ArrayLike,
    mill_rate: ArrayLike,
    mill_maximum: ArrayLike,
    target: Target,
) -> Machined:
    """Work out the four plans for combinations whose deck clearance range is not empty.

    The clearance volume is V(d, m) = fixed + A·d − k·m for deck clearance d and mill depth m.

    Parameters
    ----------
    area : array [m2]
        Bore area A.
    swept, fixed : array [m3]
        Swept volume; chamber, gasket and crown volumes together.
    built, lowest, highest : array [m]
        Deck clearance with no cut, and its allowed range.
    mill_rate : array [m3/m]
        k; 0 for a head that cannot be milled.
    mill_maximum : array [m]
    target : Target

    Returns
    -------
    Machined

    Examples
    --------
    >>> plans = machined(area=0.008, swept=720e-6, fixed=80e-6, built=0.0005, lowest=0.0001, highest=0.0005,
    ...                  mill_rate=0.0055, mill_maximum=0.001, target=Target(10.0, 9.8, 10.2))
    >>> plans.feasible.tolist()
    [False, True, True, False]
    >>> round(float(plans.head_mill[2]) * 1e3, 6)
    0.727273
    """
    A, V_s, V_f, built_, low, high, k, m_max = np.broadcast_arrays(
        *(np.asarray(x, dtype=np.float64) for x in (area, swept, fixed, built, lowest, highest, mill_rate, mill_maximum))
    )
    smallest, wanted, largest = clearance_window(V_s, target)
    must_cut = high < built_ - LENGTH_SLACK
    high = np.where(must_cut, high, built_)
    low = np.minimum(low, high)
    can_cut = low < built_
    can_mill = k * m_max > 0.0
    rate = np.where(can_mill, k, 1.0)
    depth = np.where(can_mill, m_max, 0.0)

    as_built = V_f + A * built_
    fully_cut = V_f + A * low
    fully_milled = as_built - rate * depth
    none = np.zeros_like(A)
    cut = np.clip((wanted - V_f) / A, low, high)
    mill = np.clip((as_built - wanted) / rate, 0.0, depth)
    deck_first = rate <= A
    both_mill = np.clip((np.where(deck_first, fully_cut, V_f + A * high) - wanted) / rate, 0.0, depth)
    both_cut = np.where(deck_first, low, np.clip((wanted - V_f + rate * both_mill) / A, low, high))

    clearance = np.stack([built_, cut, built_, both_cut])
    head_mill = np.stack([none, none, mill, both_mill])
    volume = V_f + A * clearance - rate * head_mill
    exists = np.stack(
        [
            ~must_cut,
            can_cut & (must_cut | (as_built > wanted)),
            can_mill & ~must_cut & (as_built > wanted),
            can_cut & can_mill & (fully_cut > wanted) & (must_cut | (fully_milled > wanted)),
        ]
    )
    feasible = exists & (volume >= smallest) & (volume <= largest)
    return Machined(feasible, clearance, head_mill, volume)


def ratio_reached(swept: ArrayLike, clearance: ArrayLike) -> FloatArray:
    """Compression ratio r_c = 1 + V_s/V_c, infinite where nothing is left of the clearance.

    Parameters
    ----------
    swept, clearance : array [m3]

    Returns
    -------
    array [1]

    Examples
    --------
    >>> ratio_reached(720e-6, [80e-6, -1e-6]).tolist()
    [10.0, inf]
    """
    volume = np.asarray(clearance, dtype=np.float64)
    left = volume > 0.0
    return np.where(left, 1.0 + np.asarray(swept) / np.where(left, volume, 1.0), np.inf)


@dataclass(frozen=True, slots=True)
class FinishedBuild:
    """What a combination comes to: lengths [m], volumes [m3], compression ratio [1]; any shape.

    Examples
    --------
    >>> float(FinishedBuild(*(np.array(x) for x in (0.0005, 0.0015, 720e-6, 80e-6, 10.0))).compression_ratio)
    10.0
    """

    deck_clearance: FloatArray
    squish: FloatArray
    swept_volume: FloatArray
    clearance_volume: FloatArray
    compression_ratio: FloatArray


def assembled(
    *,
    bore: ArrayLike,
    stroke: ArrayLike,
    rod_length: ArrayLike,
    compression_height: ArrayLike,
    deck_height: ArrayLike,
    crown_volume: ArrayLike,
    gasket_volume: ArrayLike,
    gasket_thickness: ArrayLike,
    chamber_volume: ArrayLike,
    mill_rate: ArrayLike = 0.0,
    deck_cut: ArrayLike = 0.0,
    head_mill: ArrayLike = 0.0,
) -> FinishedBuild:
    """Evaluate finished builds on arrays, so the corners of a tolerance are one call: r_c = 1 + V_s/V_c.

    V_c = V_chamber − k·m + V_gasket + V_crown + A·d, with d = H − x − S/2 − L − h.

    Parameters
    ----------
    bore, stroke, rod_length, compression_height, deck_height : array [m]
    crown_volume, gasket_volume, chamber_volume : array [m3]
    gasket_thickness : array [m]
        NaN where it is not known, and the squish with it.
    mill_rate : array [m3/m]
    deck_cut, head_mill : array [m]

    Returns
    -------
    FinishedBuild
        A clearance volume of zero or less, which no engine has, answers a ratio of infinity.

    Examples
    --------
    >>> build = assembled(bore=0.1016, stroke=0.0884, rod_length=0.1448, compression_height=0.0391, deck_height=0.2292,
    ...                   crown_volume=5e-6, gasket_volume=9e-6, gasket_thickness=0.001, chamber_volume=[64e-6, 62e-6])
    >>> build.compression_ratio.round(3).tolist()
    [9.246, 9.44]
    """
    area = circle_area(bore)
    swept = cylinder_swept_volume(bore, stroke)
    d = deck_clearance(np.asarray(deck_height) - np.asarray(deck_cut), stroke, rod_length, compression_height)
    milled = np.asarray(chamber_volume) - np.asarray(mill_rate) * np.asarray(head_mill)
    clearance = milled + np.asarray(gasket_volume) + np.asarray(crown_volume) + area * d
    swept, clearance, d = np.broadcast_arrays(swept, clearance, d)
    return FinishedBuild(d, d + np.asarray(gasket_thickness), swept, clearance, ratio_reached(swept, clearance))
