"""How a piston is guided: what of its skirt is in the bore, how far it tips in its clearance, and what its height holds."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats


def share_in_bore(skirt_length: ArrayLike, exposure: ArrayLike) -> FloatArray:
    """Share of the skirt that is still in the cylinder, 1 − x/L, between none and all.

    Parameters
    ----------
    skirt_length : array [m]
        From the upper end of the skirt's running surface to its lower edge, L.
    exposure : array [m]
        How far the lower edge leaves the cylinder, x; below zero where it stays inside.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a skirt without length.

    Examples
    --------
    >>> share_in_bore(0.050, [0.0125, -0.010]).tolist()
    [0.75, 1.0]
    """
    length = floats(skirt_length)
    length = defined(length, length > 0.0, "the skirt must have a length")
    return np.clip(1.0 - floats(exposure) / length, 0.0, 1.0)


def tilt(clearance: ArrayLike, guided_length: ArrayLike) -> FloatArray:
    """How far a piston tips from its axis, until its skirt touches at one end on the one side and at the other end on the other.

    A stiff skirt of length L and diameter d in a bore d + c leans by θ where L·sin θ + d·cos θ = d + c; as θ is small, θ = c/L.

    Parameters
    ----------
    clearance : array [m]
        Between skirt and bore, on the diameter, c.
    guided_length : array [m]
        Of the skirt that is in the bore, L.

    Returns
    -------
    array [rad]

    Notes
    -----
    NaN for a clearance below zero, or a skirt that is out of the bore. Left out: the skirt's taper, barrel and give, which lessen it.

    Examples
    --------
    >>> round(float(tilt(0.0001, 0.050)), 9)
    0.002
    """
    gap, length = floats(clearance), floats(guided_length)
    gap = defined(gap, gap >= 0.0, "the clearance must not be below zero")
    length = defined(length, length > 0.0, "some of the skirt must be in the bore")
    return gap / length


def edge_rise(angle: ArrayLike, bore: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """How far the higher edge of a crown rises as the piston tips about its pin, θ·(D/2 + |e|).

    Parameters
    ----------
    angle : array [rad]
        Of the tilt, θ.
    bore : array [m]
        D; the crown is smaller by its land's clearance, which is left out.
    pin_offset : array [m]
        Of the pin from the piston's middle, e: the edge on the far side is the further from it.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a bore at or below zero.

    Examples
    --------
    >>> round(float(edge_rise(0.002, 0.100, 0.001)) * 1e3, 9)
    0.102
    """
    D = floats(bore)
    D = defined(D, D > 0.0, "bore must be above zero")
    return floats(angle) * (D / 2.0 + np.abs(floats(pin_offset)))


def ring_pack_height(
    top_land: ArrayLike,
    top_groove: ArrayLike,
    second_land: ArrayLike,
    second_groove: ArrayLike,
    third_land: ArrayLike,
    oil_groove: ArrayLike,
) -> FloatArray:
    """Crown's edge to the lower side of the oil ring's groove: three lands and three grooves.

    Parameters
    ----------
    top_land, top_groove, second_land, second_groove, third_land, oil_groove : array [m]
        Heights, from the crown down.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN for a height below zero.

    Examples
    --------
    >>> round(float(ring_pack_height(0.006, 0.0012, 0.004, 0.0015, 0.002, 0.003)) * 1e3, 9)
    17.7
    """
    heights = [floats(each) for each in (top_land, top_groove, second_land, second_groove, third_land, oil_groove)]
    least = np.minimum.reduce(np.broadcast_arrays(*heights))
    total: FloatArray = sum(heights, np.zeros(()))
    return defined(total, (least >= 0.0) | np.isnan(least), "heights must not be below zero")


def pin_to_ring_pack(compression_height: ArrayLike, pin_diameter: ArrayLike, pack_height: ArrayLike) -> FloatArray:
    """Room between the ring pack and the top of the pin, h − d/2 − p.

    Parameters
    ----------
    compression_height : array [m]
        Pin center to the flat of the crown, h.
    pin_diameter : array [m]
    pack_height : array [m]
        As `ring_pack_height`, p.

    Returns
    -------
    array [m]
        Below zero where the pin's bore cuts into the oil ring's groove.

    Notes
    -----
    NaN for a size at or below zero.

    Examples
    --------
    >>> round(float(pin_to_ring_pack(0.030, 0.022, 0.0177)) * 1e3, 9)
    1.3
    """
    h, d = floats(compression_height), floats(pin_diameter)
    h = defined(h, (h > 0.0) & (d > 0.0), "compression height and pin diameter must be above zero")
    return h - d / 2.0 - floats(pack_height)
