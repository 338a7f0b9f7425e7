"""How parts fit one another: the stack at the deck, pin fits, standard tolerance widths, and what comes near at bottom dead center."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats, require
from borewright.physics.mechanism.crank import bottom_angle, pin_height, top_angle

# ISO 286-1: steps of nominal size [mm] between which one width holds, and the factor of each grade (from memory;
# IT5-IT9 of the 50-80 and 80-120 mm steps are checked against the standard's table). Below 18 mm and above 180 mm the
# printed table departs by a micrometer from the formula here and there, so this function stops there.
_SIZE_STEPS = np.array([18.0, 30.0, 50.0, 80.0, 120.0, 180.0])
_GRADE_FACTORS = {5: 7.0, 6: 10.0, 7: 16.0, 8: 25.0, 9: 40.0}


def deck_clearance(
    deck_height: ArrayLike, stroke: ArrayLike, rod_length: ArrayLike, compression_height: ArrayLike, pin_offset: ArrayLike = 0.0
) -> FloatArray:
    """How far the piston stays below the deck at its highest, H − √((L+r)² − e²) − h.

    Parameters
    ----------
    deck_height : array [m]
        Crank axis to deck, H.
    stroke, rod_length : array [m]
    compression_height : array [m]
        Pin axis to the crown's flat, h.
    pin_offset : array [m]

    Returns
    -------
    array [m]
        Below zero where the piston stands above the deck.

    Notes
    -----
    NaN for a height at or below zero or a linkage that cannot turn.

    Examples
    --------
    >>> round(float(deck_clearance(0.2185, 0.0853, 0.14235, 0.033)) * 1e3, 6)
    0.5
    """
    H, h = floats(deck_height), floats(compression_height)
    H = defined(H, (H > 0.0) & (h > 0.0), "deck height and compression height must be above zero")
    return H - h - pin_height(top_angle(stroke, rod_length, pin_offset), stroke, rod_length, pin_offset)


def diametral_clearance(hole: ArrayLike, shaft: ArrayLike) -> FloatArray:
    """Clearance of a shaft in a hole, D − d, an interference below zero: a pin in its piston or in the rod's small end.

    Parameters
    ----------
    hole, shaft : array [m]
        Diameters.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a diameter at or below zero.

    Examples
    --------
    >>> round(float(diametral_clearance(0.021985, 0.022)) * 1e6, 3)
    -15.0
    """
    D, d = floats(hole), floats(shaft)
    D = defined(D, (D > 0.0) & (d > 0.0), "diameters must be above zero")
    return D - d


def hole_change(hole: ArrayLike, shaft: ArrayLike, wanted_clearance: ArrayLike) -> FloatArray:
    """How much a hole's diameter must grow for a wanted clearance, d + c − D; below zero where the hole is too big already.

    Parameters
    ----------
    hole, shaft : array [m]
        Diameters, D and d.
    wanted_clearance : array [m]
        On the diameter, c; an interference below zero.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a diameter at or below zero.

    Examples
    --------
    Honing a press-fit small end so that the pin floats:

    >>> round(float(hole_change(0.021985, 0.022, 0.000012)) * 1e6, 3)
    27.0
    """
    return floats(wanted_clearance) - diametral_clearance(hole, shaft)


def pin_end_room(bore: ArrayLike, pin_diameter: ArrayLike, pin_length: ArrayLike, retainer: ArrayLike) -> FloatArray:
    """Room between each end of the pin, retainer included, and the cylinder's wall, √(B² − d²)/2 − l/2 − t.

    The wall is round: the rim of the pin comes nearest to it where it is widest across the bore, half its diameter off the middle.

    Parameters
    ----------
    bore, pin_diameter, pin_length, retainer : array [m]
        B, d, l and t; a pin as thick as the bore has no chord to lie in, and its room is −l/2 − t.

    Returns
    -------
    array [m]
        Below zero where the pin bites the wall.

    Examples
    --------
    >>> round(float(pin_end_room(0.1, 0.06, 0.07, 0.002)) * 1e3, 9)
    3.0
    """
    B, d = floats(bore), floats(pin_diameter)
    return np.sqrt(np.maximum(B**2 - d**2, 0.0)) / 2.0 - floats(pin_length) / 2.0 - floats(retainer)


def pin_boss_room(width: ArrayLike, pin_length: ArrayLike, retainer: ArrayLike) -> FloatArray:
    """Room between each end of the pin, retainer included, and the outer face of its boss, (W − l)/2 − t.

    Parameters
    ----------
    width, pin_length, retainer : array [m]
        W, l and t.

    Returns
    -------
    array [m]
        Below zero where the pin stands out of the bosses.

    Examples
    --------
    >>> round(float(pin_boss_room(0.07, 0.06, 0.002)) * 1e3, 9)
    3.0
    """
    return (floats(width) - floats(pin_length)) / 2.0 - floats(retainer)


def standard_tolerance_factor(size: ArrayLike) -> FloatArray:
    """Standard tolerance factor of ISO 286-1, i = 0.45·∛D + 0.001·D (i in µm, D in mm).

    Parameters
    ----------
    size : array [m]
        Geometric mean of the size step, up to 500 mm.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a size outside 0 to 500 mm.

    References
    ----------
    ISO 286-1, Geometrical product specifications: ISO code system for tolerances on linear sizes, part 1.

    Examples
    --------
    >>> round(float(standard_tolerance_factor(0.0632456)) * 1e6, 4)
    1.8561
    """
    D = floats(size) * 1e3
    D = defined(D, (D > 0.0) & (D <= 500.0), "the standard tolerance factor must be asked for a size above 0 and up to 500 mm")
    return (0.45 * np.cbrt(D) + 0.001 * D) * 1e-6


def tolerance_width(size: ArrayLike, grade: int) -> FloatArray:
    """Width of a standard tolerance grade IT5 to IT9 for a nominal size over 18 and up to 180 mm.

    The grade's multiple of the factor i at the geometric mean of the size step, rounded as the standard rounds: to 1 µm up
    to 100 µm, to 5 µm above.

    Parameters
    ----------
    size : array [m]
    grade : int [1]

    Returns
    -------
    array [m]

    Raises
    ------
    ValueError
        For a grade outside the range.

    Notes
    -----
    NaN for a size outside the range.

    References
    ----------
    ISO 286-1, Geometrical product specifications: ISO code system for tolerances on linear sizes, part 1.

    Examples
    --------
    >>> round(float(tolerance_width(0.1, 7)) * 1e6, 6)
    35.0
    """
    # a nanometer of slack, so that 50 mm reckoned from inches or meters still falls in the step it ends
    millimeters = np.round(floats(size) * 1e3, 6)
    inside = (millimeters > _SIZE_STEPS[0]) & (millimeters <= _SIZE_STEPS[-1])
    require(grade in _GRADE_FACTORS, "the tolerance grade must be one of IT5 to IT9")
    step = np.clip(np.searchsorted(_SIZE_STEPS, millimeters, side="left"), 1, len(_SIZE_STEPS) - 1)
    mean = np.sqrt(_SIZE_STEPS[step - 1] * _SIZE_STEPS[step])
    mean = defined(mean, inside, "tolerance widths must be asked for sizes over 18 and up to 180 mm")
    micrometers = _GRADE_FACTORS[grade] * standard_tolerance_factor(mean * 1e-3) * 1e6
    return np.where(micrometers <= 100.0, np.round(micrometers), 5.0 * np.round(micrometers / 5.0)) * 1e-6


def counterweight_clearance(
    stroke: ArrayLike,
    rod_length: ArrayLike,
    lowest_below_pin: ArrayLike,
    counterweight_radius: ArrayLike,
    half_width: ArrayLike = 0.0,
    pin_offset: ArrayLike = 0.0,
) -> FloatArray:
    """Least distance in a turn between the piston's low points and the circle the counterweights sweep.

    The points (±w, y) ride up and down with the piston; the least distance is √(w² + y*²) − R with y* the height nearest the
    crank axis they reach, at bottom dead center unless they dip below the axis.

    Parameters
    ----------
    stroke, rod_length : array [m]
    lowest_below_pin : array [m]
        From the pin axis down to the piston's lowest point over the counterweights.
    counterweight_radius : array [m]
        R.
    half_width : array [m]
        Distance of the low points from the bore's axis, across the crank, w; zero for a boss that is lowest right under the pin.
    pin_offset : array [m]

    Returns
    -------
    array [m]
        Below zero where they would meet.

    Notes
    -----
    NaN for a size below zero or a linkage that cannot turn.

    Examples
    --------
    >>> round(float(counterweight_clearance(0.0853, 0.14235, 0.022, 0.075)) * 1e3, 6)
    2.7
    """
    h, R, w = floats(lowest_below_pin), floats(counterweight_radius), floats(half_width)
    R = defined(R, (h >= 0.0) & (R > 0.0) & (w >= 0.0), "the counterweight radius must be above zero and the other sizes not below zero")
    lowest = pin_height(bottom_angle(stroke, rod_length, pin_offset), stroke, rod_length, pin_offset) - h
    highest = pin_height(top_angle(stroke, rod_length, pin_offset), stroke, rod_length, pin_offset) - h
    nearest: FloatArray = np.hypot(w, np.clip(0.0, lowest, highest))
    return nearest - R


def skirt_exposure(
    deck_height: ArrayLike,
    cylinder_length: ArrayLike,
    stroke: ArrayLike,
    rod_length: ArrayLike,
    skirt_below_pin: ArrayLike,
    pin_offset: ArrayLike = 0.0,
) -> FloatArray:
    """How far the skirt's lower edge leaves the cylinder at bottom dead center, H − √((L−r)² − e²) + h − Z.

    Parameters
    ----------
    deck_height : array [m]
        Crank axis to deck, H.
    cylinder_length : array [m]
        Deck to the cylinder's lower end, Z.
    stroke, rod_length : array [m]
    skirt_below_pin : array [m]
        Pin axis to the skirt's lower edge, h.
    pin_offset : array [m]

    Returns
    -------
    array [m]
        Below zero where the skirt stays inside.

    Notes
    -----
    NaN for a size below zero or a linkage that cannot turn.

    Examples
    --------
    >>> round(float(skirt_exposure(0.2185, 0.135, 0.0853, 0.14235, 0.028)) * 1e3, 6)
    11.8
    """
    H, Z, h = floats(deck_height), floats(cylinder_length), floats(skirt_below_pin)
    H = defined(H, (H > 0.0) & (Z > 0.0) & (h >= 0.0), "deck height and cylinder length must be above zero, the skirt not above the pin")
    return H - pin_height(bottom_angle(stroke, rod_length, pin_offset), stroke, rod_length, pin_offset) + h - Z
