"""Octane ratings and the octane number of a fuel in an engine."""

from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats


def _ratings(research: ArrayLike, motor: ArrayLike) -> tuple[FloatArray, FloatArray]:
    ron, mon = floats(research), floats(motor)
    ron = defined(ron, (ron > 0.0) & (mon > 0.0), "octane ratings must be above zero")
    return ron, mon


def anti_knock_index(research: ArrayLike, motor: ArrayLike) -> FloatArray:
    """Anti-knock index, (RON + MON)/2.

    Parameters
    ----------
    research, motor : array [1]
        Ratings by the research and the motor method, above zero.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a rating at or below zero.

    References
    ----------
    ASTM D4814, standard specification for automotive spark-ignition engine fuel.

    Examples
    --------
    >>> float(anti_knock_index(98.0, 88.0))
    93.0
    """
    ron, mon = _ratings(research, motor)
    return 0.5 * (ron + mon)


def octane_index(research: ArrayLike, motor: ArrayLike, weight: ArrayLike) -> FloatArray:
    """Octane number of the reference fuel that knocks as a fuel does in an engine, RON − K·(RON − MON).

    Parameters
    ----------
    research, motor : array [1]
        Ratings by the research and the motor method, above zero.
    weight : array [1]
        K: 0 where the engine treats its end gas as the research method does, 1 as the motor method, 0.5 halfway.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a rating at or below zero.

    References
    ----------
    G. T. Kalghatgi, Fuel anti-knock quality, SAE 2001-01-3584, 2001 (from memory).

    Examples
    --------
    >>> float(octane_index(98.0, 88.0, 0.5)), float(octane_index(98.0, 88.0, 0.0))
    (93.0, 98.0)
    """
    ron, mon = _ratings(research, motor)
    return ron - floats(weight) * (ron - mon)


def octane_number(rating: ArrayLike, motor_share: ArrayLike, sensitivity: ArrayLike, weight: ArrayLike) -> FloatArray:
    """Octane number in an engine from one rating and the fuel's sensitivity, rating + (m − K)·S.

    Parameters
    ----------
    rating : array [1]
        RON − m·S.
    motor_share : array [1]
        m of the scale the rating is on: 0 for RON, 1 for MON, 0.5 for the anti-knock index.
    sensitivity : array [1]
        S = RON − MON.
    weight : array [1]
        K, as in `octane_index`.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a rating at or below zero.

    References
    ----------
    `octane_index` with RON = rating + m·S and MON = RON − S.

    Examples
    --------
    >>> float(octane_number(93.0, 0.5, 10.0, 0.25))
    95.5
    """
    known = floats(rating)
    known = defined(known, known > 0.0, "an octane rating must be above zero")
    return known + (floats(motor_share) - floats(weight)) * floats(sensitivity)
