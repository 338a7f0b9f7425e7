"""Valve to piston clearance around gas-exchange top dead center.

Heights are measured along the bore; lift and the clearance along the valve's axis. The relief's floor is taken parallel to the
valve's face, for which a distance along the bore closes by its cosine; over a flat crown that errs to the safe side.
"""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats, require
from borewright.physics.mechanism.interpolation import monotone_cubic


def _cosine(valve_angle: ArrayLike) -> FloatArray:
    alpha = floats(valve_angle)
    alpha = defined(alpha, np.abs(alpha) < np.pi / 2.0, "a valve must lean less than a right angle from the bore")
    return np.cos(alpha)


def axial_clearance(
    piston_depth: ArrayLike,
    gasket_thickness: ArrayLike,
    lift: ArrayLike,
    relief_depth: ArrayLike,
    valve_drop: ArrayLike,
    valve_angle: ArrayLike,
) -> FloatArray:
    """Clearance between valve and piston along the valve's axis, (x + g + u + v)·cos α − l.

    Parameters
    ----------
    piston_depth : array [m]
        Crown below the deck at each crank angle, x; below zero where it stands above.
    gasket_thickness : array [m]
        Compressed, g.
    lift : array [m]
        At each crank angle, along the valve's axis, l.
    relief_depth : array [m]
        Crown's flat to the relief's floor under the valve, along the bore, u; below zero where the floor lies above the flat, in a dome.
    valve_drop : array [m]
        Head face to the closed valve's face, along the bore, v; below zero where the valve hangs out of the head.
    valve_angle : array [rad]
        Valve axis to bore axis, α.

    Returns
    -------
    array [m]
        Below zero where they would meet.

    Notes
    -----
    NaN for a lift or gasket below zero, or a valve lying across the bore.

    Examples
    --------
    >>> round(float(axial_clearance(0.0025, 0.001, 0.004, 0.003, 0.001, np.radians(15.0))) * 1e3, 4)
    3.2444
    """
    g, l_v, u = floats(gasket_thickness), floats(lift), floats(relief_depth)
    g = defined(g, (g >= 0.0) & (l_v >= 0.0), "lift and gasket thickness must not be below zero")
    clearance: FloatArray = (floats(piston_depth) + g + u + floats(valve_drop)) * _cosine(valve_angle) - l_v
    return clearance


def lift_between(angle: ArrayLike, known_angle: ArrayLike, known_lift: ArrayLike) -> FloatArray:
    """Lift between measured crank angles by monotone cubic interpolation, which never swings past the measured values.

    Parameters
    ----------
    angle : array [rad]
        Within the measured range.
    known_angle : array (samples,) [rad]
        Rising.
    known_lift : array (samples, ...) [m]

    Returns
    -------
    array [m]

    Raises
    ------
    ValueError
        For fewer than two samples or angles that do not rise.

    Notes
    -----
    NaN for an angle outside them or a lift that is not finite or below zero.

    References
    ----------
    F. N. Fritsch and R. E. Carlson, Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17, 1980.

    Examples
    --------
    >>> float(lift_between(0.05, [0.0, 0.1, 0.2], [0.0, 0.001, 0.002])) * 1e3
    0.5
    """
    theta, theta_k, l_k = floats(angle), floats(known_angle), floats(known_lift)
    require(
        theta_k.ndim == 1 and theta_k.size >= 2 and l_k.ndim >= 1 and l_k.shape[0] == theta_k.size, "lift must have two samples or more"
    )
    require(np.diff(theta_k) > 0.0, "the angles of the lift must rise")
    theta = defined(theta, (theta >= theta_k[0]) & (theta <= theta_k[-1]), "the angle must lie within those the lift is known at")
    real = np.all(np.isfinite(l_k) & (l_k >= 0.0), axis=0)
    lift = monotone_cubic(theta, theta_k, np.where(real, l_k, 0.0))
    return defined(lift, real, "lift must be finite and not below zero")


def radial_clearance(relief_diameter: ArrayLike, valve_diameter: ArrayLike, center_offset: ArrayLike = 0.0) -> FloatArray:
    """Clearance of the valve's edge inside its relief, (D − d)/2 − c.

    Parameters
    ----------
    relief_diameter, valve_diameter : array [m]
        D and d.
    center_offset : array [m]
        Between the relief's axis and the valve's, c.

    Returns
    -------
    array [m]
        Below zero where the edge would strike the relief's wall.

    Notes
    -----
    NaN for a diameter at or below zero or an offset below zero.

    Examples
    --------
    >>> round(float(radial_clearance(0.049, 0.045, 0.0005)) * 1e3, 6)
    1.5
    """
    D, d, c = floats(relief_diameter), floats(valve_diameter), floats(center_offset)
    D = defined(D, (D > 0.0) & (d > 0.0) & (c >= 0.0), "diameters must be above zero and the offset not below zero")
    return (D - d) / 2.0 - c
