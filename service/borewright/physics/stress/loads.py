"""Forces the cylinder's gas and the moving masses put on piston, pin and rod. Positive toward the crank."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.gas.atmosphere import STANDARD_ATMOSPHERE
from borewright.physics.mechanism.crank import linkage
from borewright.physics.mechanism.piston_motion import piston_acceleration
from borewright.physics.mechanism.volumes import circle_area


def gas_force(pressure: ArrayLike, bore: ArrayLike, crankcase_pressure: ArrayLike = STANDARD_ATMOSPHERE) -> FloatArray:
    """Force of the gas on the piston, (p − p_k)·π/4·B².

    Parameters
    ----------
    pressure, crankcase_pressure : array [Pa]
        Absolute. A gauge pressure goes with a crankcase pressure of zero.
    bore : array [m]

    Returns
    -------
    array [N]

    Notes
    -----
    NaN for a bore below zero or a pressure that is not finite.

    References
    ----------
    R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32.

    Examples
    --------
    >>> round(float(gas_force(3.15e6, 0.100, 0.0)))
    24740
    """
    p, p_k = floats(pressure), floats(crankcase_pressure)
    p = defined(p, np.isfinite(p) & np.isfinite(p_k), "pressures must be finite")
    return (p - p_k) * circle_area(bore)


def inertia_force(
    mass: ArrayLike, angle: ArrayLike, stroke: ArrayLike, rod_length: ArrayLike, speed: ArrayLike, pin_offset: ArrayLike = 0.0
) -> FloatArray:
    """Inertia force of a mass that moves with the piston, −m·a, with the exact acceleration.

    Parameters
    ----------
    mass : array [kg]
    angle : array [rad]
    stroke, rod_length : array [m]
    speed : array [rad/s]
    pin_offset : array [m]

    Returns
    -------
    array [N]
        Below zero near top dead center, where the mass pulls away from the crank.

    Notes
    -----
    NaN for a mass below zero or a linkage that cannot turn.

    Examples
    --------
    >>> round(float(inertia_force(2.25, 0.0, 0.190, 0.380, 1800 * np.pi / 30)))
    -9493
    """
    m = floats(mass)
    m = defined(m, (m >= 0.0) & np.isfinite(m), "mass must be finite and not below zero")
    return -m * piston_acceleration(angle, stroke, rod_length, speed, pin_offset)


def rod_angle(angle: ArrayLike, stroke: ArrayLike, rod_length: ArrayLike, pin_offset: ArrayLike = 0.0) -> FloatArray:
    """Lean of the rod from the bore, asin((r·sin θ + e)/L).

    Parameters
    ----------
    angle : array [rad]
    stroke, rod_length, pin_offset : array [m]

    Returns
    -------
    array [rad]

    Notes
    -----
    NaN for a stroke at or below zero or a rod too short to turn.

    Examples
    --------
    >>> round(float(np.degrees(rod_angle(np.pi / 2, 0.0853, 0.14235))), 3)
    17.434
    """
    r, L, e = linkage(stroke, rod_length, pin_offset)
    lean: FloatArray = np.arcsin((r * np.sin(floats(angle)) + e) / L)
    return lean


def rod_force(force: ArrayLike, lean: ArrayLike) -> FloatArray:
    """Force along the rod for a force along the bore, F/cos φ; compression above zero.

    Parameters
    ----------
    force : array [N]
    lean : array [rad]
        Of the rod from the bore.

    Returns
    -------
    array [N]

    Notes
    -----
    NaN for a rod lying across the bore.

    Examples
    --------
    >>> round(float(rod_force(1000.0, np.radians(17.438))), 1)
    1048.2
    """
    phi = floats(lean)
    phi = defined(phi, np.abs(phi) < np.pi / 2.0, "the rod must lean less than a right angle")
    along: FloatArray = floats(force) / np.cos(phi)
    return along
