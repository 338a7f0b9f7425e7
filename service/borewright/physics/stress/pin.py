"""Stresses of a piston pin: bending as a beam, shear beside the rod, ovalization as a ring."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.stress.sections import curved_bar_stress, tube, tube_area, tube_section_modulus

# A ring pressed over its upper and its lower half by p₀·|cos θ| carries, from the harmonics of the load (each bends it by
# R²·pₙ/(n² − 1)), these moments in units of load per length times mean radius, and these hoop forces in units of load per length.
RING_TOP_MOMENT = (4.0 - np.pi) / np.pi**2
RING_SIDE_MOMENT = 0.5 - 4.0 / np.pi**2
RING_TOP_HOOP = 1.0 / np.pi
RING_SIDE_HOOP = 0.5
_HARMONIC = np.arange(1, 60)
RING_CLOSING = 16.0 / np.pi**2 * float(np.sum((-1.0) ** (_HARMONIC + 1) / (4.0 * _HARMONIC**2 - 1.0) ** 3))


def pin_bending_moment(force: ArrayLike, pin_length: ArrayLike, boss_span: ArrayLike, rod_width: ArrayLike) -> FloatArray:
    """Bending moment at the middle of a pin, F·(L + 2s − 1.5b)/12.

    The rod presses evenly over its width b; in each boss the pressure falls in a triangle from the face of the gap s to nothing at the
    pin's end, so that its middle stands a third of the boss from its inner edge: the pin bends and leans on the edges. Even pressure in
    the bosses would make it F·(L + s − b)/8, which with a rod that fills the gap is F·L/8.

    Parameters
    ----------
    force : array [N]
    pin_length, boss_span, rod_width : array [m]
        Span is the gap between the bosses' inner faces.

    Returns
    -------
    array [N·m]

    Notes
    -----
    NaN unless 0 < rod width <= boss span < pin length.

    References
    ----------
    N. Kolchin and V. Demidov, Design of Automotive Engines (Mir, 1984), piston pin, from memory: σ = P·(l + 2b − 1.5a)/(1.2(1 − α⁴)d³),
    1.2 for 3π/8; its pressures checked here by statics.

    Examples
    --------
    >>> round(float(pin_bending_moment(40e3, 0.060, 0.024, 0.022)), 3)
    250.0
    """
    F, L, s, b = floats(force), floats(pin_length), floats(boss_span), floats(rod_width)
    F = defined(F, (b > 0.0) & (b <= s) & (s < L), "a pin must have 0 < rod width <= boss span < pin length")
    return F * (L + 2.0 * s - 1.5 * b) / 12.0


def textbook_pin_bending_moment(force: ArrayLike, bore: ArrayLike) -> FloatArray:
    """Bending moment of a pin whose details are not known, F·D/8 with the bore D.

    Parameters
    ----------
    force : array [N]
    bore : array [m]

    Returns
    -------
    array [N·m]

    Notes
    -----
    NaN for a bore at or below zero.

    References
    ----------
    R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32.

    Examples
    --------
    >>> round(float(textbook_pin_bending_moment(39275.0, 0.100)), 4)
    490.9375
    """
    F, D = floats(force), floats(bore)
    F = defined(F, D > 0.0, "bore must be above zero")
    return F * D / 8.0


def pin_bending_stress(moment: ArrayLike, outer: ArrayLike, inner: ArrayLike) -> FloatArray:
    """Bending stress of a pin at its surface, M/Z.

    Parameters
    ----------
    moment : array [N·m]
    outer, inner : array [m]
        Diameters.

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN unless 0 <= inner < outer.

    Examples
    --------
    >>> round(float(pin_bending_stress(310.0, 0.022, 0.012)) / 1e6, 1)
    325.3
    """
    return floats(moment) / tube_section_modulus(outer, inner)


def pin_shear_stress(force: ArrayLike, outer: ArrayLike, inner: ArrayLike) -> FloatArray:
    """Largest shear stress of a pin beside the rod, at the neutral axis: F/(2·A)·4/3·(D² + D·d + d²)/(D² + d²).

    Two sections share the force; the last factors raise the mean to the peak, 4/3 for a solid pin, 2 for a thin tube.

    Parameters
    ----------
    force : array [N]
    outer, inner : array [m]
        Diameters.

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN unless 0 <= inner < outer.

    References
    ----------
    W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, shear in beams, hollow circular section (from memory).

    Examples
    --------
    >>> round(float(pin_shear_stress(40e3, 0.022, 0.012)) / 1e6, 1)
    141.8
    """
    D, d = tube(outer, inner)
    mean = floats(force) / (2.0 * tube_area(D, d))
    return mean * 4.0 / 3.0 * (D**2 + D * d + d**2) / (D**2 + d**2)


def _ring(outer: ArrayLike, inner: ArrayLike, pin_length: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, FloatArray]:
    """A pin as a ring: diameters outside and inside, length, mean radius, thickness [m]."""
    D, d = tube(outer, inner)
    L = floats(pin_length)
    D = defined(
        D, (d >= 0.2 * D) & (L > 0.0), "a pin that ovalizes must have a hole of a fifth of its diameter or more and a length above zero"
    )
    return D, d, L, (D + d) / 4.0, (D - d) / 2.0


def ovalization_share(outer: ArrayLike, inner: ArrayLike) -> FloatArray:
    """How much more a pin ovalizes than a ring pressed by |cos θ|, 15·(0.1 − (d/D − 0.4)³), no less than 1.

    The load of a real pin stands on a narrower arc the stiffer the pin is.

    Parameters
    ----------
    outer, inner : array [m]
        Diameters.

    Returns
    -------
    array [1]

    References
    ----------
    N. Kolchin and V. Demidov, Design of Automotive Engines (Mir, 1984), piston pin, from memory. Holes below 0.4 count as 0.4, and what
    the fit falls to beyond 0.72, less than the ring itself, is not used.

    Examples
    --------
    >>> [round(float(share), 3) for share in ovalization_share(0.022, [0.0088, 0.015, 0.020])]
    [1.5, 1.164, 1.0]
    """
    D, d = floats(outer), floats(inner)
    share: FloatArray = np.maximum(15.0 * (0.1 - np.maximum(d / D - 0.4, 0.0) ** 3), 1.0)
    return share


def pin_ovalization_stresses(
    force: ArrayLike, outer: ArrayLike, inner: ArrayLike, pin_length: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Stresses around a pin pressed oval, along its circumference.

    The pin is a ring over its whole length, pressed by the rod above and the bosses below with p₀·|cos θ|; moments of
    0.0870·w·R under the load and 0.0947·w·R at the sides, w = F/L, less the hoop compression w/π and w/2, all times
    `ovalization_share`. Bending of the thick ring is that of a curved bar. A force on two opposite lines instead would give 0.318·w·R:
    that is not how a fitted pin is held.

    Parameters
    ----------
    force : array [N]
    outer, inner : array [m]
        Diameters, the inner from a fifth of the outer; a pin with less of a hole does not ovalize as a ring.
    pin_length : array [m]

    Returns
    -------
    (array [Pa], array [Pa], array [Pa], array [Pa])
        Under the load inside and outside, at the sides inside and outside; tension above zero.

    Notes
    -----
    NaN unless outer/5 <= inner < outer and the length is above zero.

    References
    ----------
    S. P. Timoshenko, Strength of Materials, part II, circular rings and curved bars, for the method; the harmonics summed here. The
    coefficients and the share are those of N. Kolchin and V. Demidov, Design of Automotive Engines (Mir, 1984), from memory.

    Examples
    --------
    >>> stresses = pin_ovalization_stresses(40e3, 0.022, 0.012, 0.060)
    >>> [round(float(stress) / 1e6, 1) for stress in stresses]
    [152.3, -204.5, -330.0, 58.6]
    """
    D, d, L, R, h = _ring(outer, inner, pin_length)
    w = ovalization_share(D, d) * floats(force) / L
    top_inside, top_outside = curved_bar_stress(RING_TOP_MOMENT * w * R, d / 2.0, D / 2.0, 1.0)
    # at the sides the load bends the ring tighter
    side_inside, side_outside = curved_bar_stress(-RING_SIDE_MOMENT * w * R, d / 2.0, D / 2.0, 1.0)
    top_hoop, side_hoop = RING_TOP_HOOP * w / h, RING_SIDE_HOOP * w / h
    return top_inside - top_hoop, top_outside - top_hoop, side_inside - side_hoop, side_outside - side_hoop


def pin_ovalization_stress(force: ArrayLike, outer: ArrayLike, inner: ArrayLike, pin_length: ArrayLike) -> FloatArray:
    """Largest stress around a pin pressed oval, tension or compression, of the four `pin_ovalization_stresses`.

    Parameters
    ----------
    force : array [N]
    outer, inner, pin_length : array [m]

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN as `pin_ovalization_stresses`.

    Examples
    --------
    >>> round(float(pin_ovalization_stress(40e3, 0.022, 0.012, 0.060)) / 1e6, 1)
    330.0
    """
    largest: FloatArray = np.max(np.abs(np.stack(pin_ovalization_stresses(force, outer, inner, pin_length))), axis=0)
    return largest


def pin_ovalization(force: ArrayLike, outer: ArrayLike, inner: ArrayLike, pin_length: ArrayLike, elastic_modulus: ArrayLike) -> FloatArray:
    """How much a pin's diameter closes under the load, 0.0596·w·R³/(E·h³/12), as the thin ring of
    `pin_ovalization_stresses`, times `ovalization_share`.

    Parameters
    ----------
    force : array [N]
    outer, inner, pin_length : array [m]
    elastic_modulus : array [Pa]

    Returns
    -------
    array [m]

    Notes
    -----
    NaN unless outer/5 <= inner < outer and length and modulus are above zero.

    Examples
    --------
    >>> round(float(pin_ovalization(40e3, 0.022, 0.012, 0.060, 207e9)) * 1e6, 2)
    16.45
    """
    _, _, L, R, h = _ring(outer, inner, pin_length)
    E = floats(elastic_modulus)
    E = defined(E, E > 0.0, "elastic modulus must be above zero")
    return ovalization_share(outer, inner) * RING_CLOSING * floats(force) / L * R**3 / (E * h**3 / 12.0)
