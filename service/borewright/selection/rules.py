"""The rules a combination must keep, each one small function on arrays that answers by how much it is missed.

A miss is 0 where the rule is kept and where a fact is not known (NaN); a rule that is a plain yes or no misses by 1.
`REASONS` is the fixed order: a combination is counted under the first rule it breaks.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.selection.demands import Span

REASONS: tuple[str, ...] = (
    "bore-not-available",
    "duty-not-allowed",
    "land-height-for-duty",
    "pin-length",
    "gasket-bore-too-small",
    "head-bore",
    "pin-retention",
    "pin-diameter-mismatch",
    "journal-mismatch",
    "counterweight",
    "deck-stack",
    "squish",
    "compression-out-of-reach",
    "price-limit",
)
YES_OR_NO = frozenset({"duty-not-allowed", "pin-retention"})

# Sums of a few lengths near 1 m carry rounding near 1e-16 m: a picometre swallows that and is far under any gauge.
LENGTH_SLACK = 1e-12
# Relative, on a volume and so on compression: over what the picometre above can move it, far under what can be poured.
VOLUME_SLACK = 1e-9


def _known(miss: ArrayLike) -> FloatArray:
    """Miss with an unknown fact, or a rule kept to within rounding, counted as 0."""
    values = np.asarray(miss, dtype=np.float64)
    return np.where(values > LENGTH_SLACK, values, 0.0)


def _outside(value: ArrayLike, low: ArrayLike, high: ArrayLike) -> FloatArray:
    """How far a value lies outside [low, high]; an unknown end is open."""
    x = np.asarray(value, dtype=np.float64)
    miss: FloatArray = np.fmax(np.fmax(np.asarray(low) - x, x - np.asarray(high)), 0.0)
    return miss


def bore_miss(piston_bore: ArrayLike, present_bore: float, smallest_bore: float, maximum_bore: float, boring: bool) -> FloatArray:
    """How far a piston's bore size is from one the block can be brought to.

    Parameters
    ----------
    piston_bore : array [m]
    present_bore, smallest_bore, maximum_bore : float [m]
        The block as it stands, its clean-up size, its largest size.
    boring : bool
        Whether the shop bores; without it only the present bore will do.

    Returns
    -------
    array [m]

    Examples
    --------
    >>> bore_miss([0.1005, 0.1020], 0.1, 0.1, 0.1015, True).round(6).tolist()
    [0.0, 0.0005]
    """
    bore = np.asarray(piston_bore, dtype=np.float64)
    miss = _outside(bore, smallest_bore, maximum_bore)
    return _known(miss if boring else np.fmax(miss, np.abs(bore - present_bore)))


def land_height_miss(top_land: ArrayLike, second_land: ArrayLike, top_minimum: float | None, second_minimum: float | None) -> FloatArray:
    """How much the ring lands lack for the duty.

    Common practice wants taller lands for boost and nitrous; the caller's limits say how tall.

    Parameters
    ----------
    top_land, second_land : array [m]
    top_minimum, second_minimum : float or None [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> land_height_miss([0.0070, 0.0050], [0.0042, 0.0042], 0.0070, 0.0042).round(6).tolist()
    [0.0, 0.002]
    """
    top = (0.0 if top_minimum is None else top_minimum) - np.asarray(top_land, dtype=np.float64)
    second = (0.0 if second_minimum is None else second_minimum) - np.asarray(second_land, dtype=np.float64)
    return _known(np.fmax(top, second))


def pin_length_miss(pin_length: ArrayLike, bore: ArrayLike, end_room: float) -> FloatArray:
    """How much too long a pin is for the bore with the room its retainers need at each end.

    Parameters
    ----------
    pin_length, bore : array [m]
    end_room : float [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> pin_length_miss([0.070, 0.099], 0.1, 0.002).round(6).tolist()
    [0.0, 0.003]
    """
    return _known(np.asarray(pin_length, dtype=np.float64) + 2.0 * end_room - np.asarray(bore))


def gasket_bore_miss(gasket_bore: ArrayLike, piston_bore: ArrayLike, overhang: float) -> FloatArray:
    """How much a gasket's bore is under the cylinder's with the overhang wanted on the diameter.

    Parameters
    ----------
    gasket_bore, piston_bore : array [m]
    overhang : float [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> gasket_bore_miss([0.103, 0.100], 0.101, 0.0).round(6).tolist()
    [0.0, 0.001]
    """
    return _known(np.asarray(piston_bore, dtype=np.float64) + overhang - np.asarray(gasket_bore))


def head_bore_miss(piston_bore: ArrayLike, minimum_bore: ArrayLike, maximum_bore: ArrayLike) -> FloatArray:
    """How far a bore is outside those a head is made for.

    Parameters
    ----------
    piston_bore, minimum_bore, maximum_bore : array [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> head_bore_miss([0.095, 0.100], 0.098, 0.106).round(6).tolist()
    [0.003, 0.0]
    """
    return _known(_outside(piston_bore, minimum_bore, maximum_bore))


def retention_miss(press_rod: ArrayLike, takes_press: ArrayLike, takes_floating: ArrayLike, honing: bool) -> FloatArray:
    """Whether rod and piston hold the pin in no common way: 1 where they do not, else 0.

    A press-fit small end becomes a floating one by honing; a floating (bushed) one never becomes a press fit.

    Parameters
    ----------
    press_rod, takes_press, takes_floating : array of bool
    honing : bool

    Returns
    -------
    array [1]

    Examples
    --------
    >>> retention_miss([True, False], [False, True], [True, False], True).tolist()
    [0.0, 1.0]
    """
    press = np.asarray(press_rod, dtype=np.bool_)
    together = np.where(press, takes_press, takes_floating)
    return np.where(together | (press & np.asarray(takes_floating) & honing), 0.0, 1.0)


def pin_fit(
    small_end_bore: ArrayLike,
    pin_diameter: ArrayLike,
    press_rod: ArrayLike,
    takes_press: ArrayLike,
    takes_floating: ArrayLike,
    floating_clearance: Span,
    press_interference: Span,
    hone_maximum: float | None,
) -> tuple[FloatArray, BoolArray, FloatArray]:
    """Fit of the pin in the small end: what is missed, whether a hone is needed, and how much it takes off the diameter.

    The small end stays as it is where the piston takes its retention and the fit is inside its span. Otherwise it is honed
    to float, to the middle of the clearance span or as near as the hone goes.

    Parameters
    ----------
    small_end_bore, pin_diameter : array [m]
    press_rod, takes_press, takes_floating : array of bool
    floating_clearance, press_interference : Span [m]
        Diametral.
    hone_maximum : float or None [m]
        None where the shop does not hone small ends.

    Returns
    -------
    tuple of array [m], array of bool, array [m]

    Examples
    --------
    >>> miss, hone, amount = pin_fit(0.02352, 0.02355, True, False, True, Span(1e-5, 3e-5), Span(1e-5, 5e-5), 1e-4)
    >>> float(miss), bool(hone), round(float(amount), 6)
    (0.0, True, 5e-05)
    """
    fit = np.asarray(small_end_bore, dtype=np.float64) - np.asarray(pin_diameter, dtype=np.float64)
    press = np.asarray(press_rod, dtype=np.bool_)
    press_miss = _outside(-fit, press_interference.low, press_interference.high)
    floating_miss = _outside(fit, floating_clearance.low, floating_clearance.high)
    stays = np.where(press, takes_press, takes_floating)
    as_it_is = np.where(stays, _known(np.where(press, press_miss, floating_miss)), np.inf)
    can_hone = np.asarray(takes_floating, dtype=np.bool_) & (hone_maximum is not None)
    furthest = 0.0 if hone_maximum is None else hone_maximum
    honed = np.where(
        can_hone, _known(np.fmax(_outside(fit + furthest, floating_clearance.low, np.inf), fit - floating_clearance.high)), np.inf
    )
    hone = (as_it_is > 0.0) & (honed < as_it_is)
    middle = 0.5 * (floating_clearance.low + floating_clearance.high)
    amount = np.where(hone, np.clip(middle - fit, 0.0, furthest), 0.0)
    return np.minimum(as_it_is, honed), hone, amount


def journal_miss(
    crank_diameter: ArrayLike,
    rod_diameter: ArrayLike,
    crank_width: ArrayLike,
    rod_width: ArrayLike,
    diameter_tolerance: float,
    width_tolerance: float,
) -> FloatArray:
    """How far a crank's rod journal is from the one a rod is made for, over the tolerances.

    Parameters
    ----------
    crank_diameter, rod_diameter, crank_width, rod_width : array [m]
    diameter_tolerance, width_tolerance : float [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> journal_miss([0.0533, 0.0508], 0.0533, float("nan"), 0.047, 5e-5, 5e-4).round(6).tolist()
    [0.0, 0.00245]
    """
    diameter = np.abs(np.asarray(crank_diameter, dtype=np.float64) - np.asarray(rod_diameter, dtype=np.float64)) - diameter_tolerance
    width = np.abs(np.asarray(crank_width, dtype=np.float64) - np.asarray(rod_width, dtype=np.float64)) - width_tolerance
    return _known(np.fmax(diameter, width))


def counterweight_miss(
    stroke: ArrayLike, rod_length: ArrayLike, boss_below_pin: ArrayLike, counterweight_radius: ArrayLike, clearance: float
) -> FloatArray:
    """How much the counterweight lacks to the piston at bottom dead centre.

    There the pin is rod length less half the stroke from the crank's centre, L − S/2; the piston reaches `boss_below_pin` under it.

    Parameters
    ----------
    stroke, rod_length, boss_below_pin, counterweight_radius : array [m]
    clearance : float [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> counterweight_miss([0.080, 0.100], 0.145, 0.018, 0.076, 0.0015).round(6).tolist()
    [0.0, 0.0005]
    """
    room = np.asarray(rod_length) - np.asarray(stroke) / 2.0 - np.asarray(boss_below_pin) - np.asarray(counterweight_radius)
    return _known(clearance - room)


def deck_clearance_as_built(deck_height: ArrayLike, stroke: ArrayLike, rod_length: ArrayLike, compression_height: ArrayLike) -> FloatArray:
    """Deck clearance before any cut, H − S/2 − L − h; positive with the piston below the deck.

    Parameters
    ----------
    deck_height, stroke, rod_length, compression_height : array [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> round(float(deck_clearance_as_built(0.2290, 0.0880, 0.1450, 0.0395)), 6)
    0.0005
    """
    return np.asarray(np.asarray(deck_height) - np.asarray(stroke) / 2.0 - np.asarray(rod_length) - np.asarray(compression_height))


def deck_stack_miss(deck_clearance: ArrayLike, limits: Span, cut_maximum: float) -> FloatArray:
    """How far the deck clearance stays outside its limits when the deck is cut as the shop can.

    A cut only lowers it: too little clearance cannot be helped, too much can by at most `cut_maximum`.

    Parameters
    ----------
    deck_clearance : array [m]
    limits : Span [m]
    cut_maximum : float [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> deck_stack_miss([0.0005, 0.0012, -0.0001], Span(0.0, 0.0006), 0.0004).round(6).tolist()
    [0.0, 0.0002, 0.0001]
    """
    d = np.asarray(deck_clearance, dtype=np.float64)
    return _known(np.maximum(limits.low - d, d - cut_maximum - limits.high))


def squish_miss(lowest: ArrayLike, highest: ArrayLike) -> FloatArray:
    """How far the deck clearances that suit deck and squish limits are from meeting; see `machining.clearance_range`.

    Parameters
    ----------
    lowest, highest : array [m]

    Returns
    -------
    array [m]

    Examples
    --------
    >>> squish_miss([0.0, 0.0004], 0.0003).round(6).tolist()
    [0.0, 0.0001]
    """
    return _known(np.asarray(lowest, dtype=np.float64) - np.asarray(highest, dtype=np.float64))


def compression_miss(lowest: ArrayLike, highest: ArrayLike, low: float, high: float) -> FloatArray:
    """How far the compression ratios a combination can reach stay outside the window [low, high].

    Parameters
    ----------
    lowest, highest : array [1]
    low, high : float [1]

    Returns
    -------
    array [1]

    Examples
    --------
    >>> compression_miss([9.0, 11.0], [9.4, 11.5], 9.8, 10.2).round(6).tolist()
    [0.4, 0.8]
    """
    return np.maximum(np.maximum(np.asarray(lowest) - high, low - np.asarray(highest)), 0.0)
