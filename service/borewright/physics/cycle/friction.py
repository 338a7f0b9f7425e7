"""Friction mean effective pressure by published correlations."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.gas.atmosphere import STANDARD_ATMOSPHERE

MAIN_JOURNAL, ROD_JOURNAL, BEARING_LENGTH, VALVE_LIFT = 0.65, 0.55, 0.35, 0.12
"""Journal diameters over the bore, bearing length over journal diameter, valve lift over the bore: common practice, from memory. With
them a four and an eight come within 2 % of the correlation calculated with drawings' sizes."""

VALVES = 2.0
"""A cylinder's, by pushrod and flat follower: four by two overhead camshafts rub about 5 % less."""

_ACCESSORY_VERTEX = 5.22e-3 / (2.0 * 1.79e-7)  # [rev/min] beyond it the correlation's parabola would fall


def barnes_moss_friction(speed: ArrayLike) -> FloatArray:
    """Motoring friction, fmep[bar] = 0.97 + 0.15·(N/1000) + 0.05·(N/1000)², N in rev/min; wide-open pumping included.

    Fitted to four-cylinder spark-ignition engines of 0.85 to 2 L of the 1970s. Gas load does not enter.

    Parameters
    ----------
    speed : array [rad/s]
        Of the crank, not negative.

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for a negative speed.

    References
    ----------
    M. Barnes-Moss, A designer's viewpoint, Passenger Car Engines, IMechE C343, 1975; as J. B. Heywood, Internal Combustion Engine
    Fundamentals, 1988, ch. 13 gives it (coefficients as quoted by others, and from memory).

    Examples
    --------
    >>> round(float(barnes_moss_friction(523.598775598)) / 1e5, 3)
    2.97
    """
    omega = floats(speed)
    omega = defined(omega, omega >= 0.0, "speed must not be negative")
    n = omega * (60.0 / (2.0 * np.pi)) / 1000.0
    return 1e5 * (0.97 + 0.15 * n + 0.05 * n**2)


def main_bearings(cylinders: ArrayLike) -> FloatArray:
    """Main bearings of a crank: one more than its cylinders up to four, which stand in line, half of them and one beyond, in a V.

    Parameters
    ----------
    cylinders : array [1]

    Returns
    -------
    array [1]

    References
    ----------
    Common practice.

    Examples
    --------
    >>> main_bearings([4.0, 8.0]).tolist()
    [5.0, 5.0]
    """
    count = floats(cylinders)
    return np.where(count <= 4.0, count + 1.0, count / 2.0 + 1.0)


def patton_nitschke_heywood_friction(
    bore: ArrayLike, stroke: ArrayLike, speed: ArrayLike, compression_ratio: ArrayLike, intake_pressure: ArrayLike, cylinders: ArrayLike
) -> FloatArray:
    """Rubbing and accessory friction of a spark-ignition engine, gas load on the rings included, pumping left out.

    With lengths in mm, N in rev/min, Sp in m/s, V = B²·S·n_c, in kPa: crankshaft 1.22e5·D/V + 3.03e-4·N·D³·L·n_b/V
    + 1.35e-10·D²·N²·n_b/n_c; pistons and rods 294·Sp/B + 4.06e4·(1 + 500/N)/B² + 3.03e-4·N·d³·l·n_c/V; rings under gas
    6.89·(p_i/p_a)·(0.088·r + 0.182·r^(1.33 − 0.0238·Sp)); valve gear 244·N·n_b/V + 4.12 + 400·(1 + 500/N)·n_v/(S·n_c)
    + 0.5·l_v^1.5·N^0.5·n_v/(B·S·n_c) + 32.1·(1 + 500/N)·l_v·n_v/(S·n_c); accessories 6.23 + 5.22e-3·N − 1.79e-7·N².
    Journals and valves have usual proportions; beyond the vertex of the accessories' parabola, 14,580 rev/min, they stay as there.

    Parameters
    ----------
    bore, stroke : array [m]
    speed : array [rad/s]
        Of the crank.
    compression_ratio : array [1]
    intake_pressure : array [Pa]
        In the manifold, absolute.
    cylinders : array [1]

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for a size, speed, ratio, pressure or count at or below zero.

    References
    ----------
    K. J. Patton, R. G. Nitschke, J. B. Heywood, Development and evaluation of a friction model for spark-ignition engines, SAE 890836,
    1989, as restated by D. Sandoval, J. B. Heywood, SAE 2003-01-0725 (coefficients from memory).

    Examples
    --------
    >>> round(float(patton_nitschke_heywood_friction(0.0843, 0.0853, 418.879, 10.5, 101325.0, 4.0)) / 1e5, 2)
    1.39
    """
    B, S, omega = floats(bore) * 1e3, floats(stroke) * 1e3, floats(speed)
    rc, pi, nc = floats(compression_ratio), floats(intake_pressure), floats(cylinders)
    omega = defined(omega, (B > 0.0) & (S > 0.0) & (omega > 0.0), "bore, stroke and speed must be above zero")
    pi = defined(pi, (rc > 0.0) & (pi > 0.0) & (nc > 0.0), "compression ratio, pressure and number of cylinders must be above zero")
    N = omega * (60.0 / (2.0 * np.pi))
    Sp, V, nb, nv = 2e-3 * S * N / 60.0, B**2 * S * nc, main_bearings(nc), VALVES * nc
    D, d, lift = MAIN_JOURNAL * B, ROD_JOURNAL * B, VALVE_LIFT * B
    mixed = 1.0 + 500.0 / N
    crankshaft = 1.22e5 * D / V + 3.03e-4 * N * BEARING_LENGTH * D**4 * nb / V + 1.35e-10 * D**2 * N**2 * nb / nc
    reciprocating = 294.0 * Sp / B + 4.06e4 * mixed / B**2 + 3.03e-4 * N * BEARING_LENGTH * d**4 * nc / V
    gas = 6.89 * pi / STANDARD_ATMOSPHERE * (0.088 * rc + 0.182 * rc ** (1.33 - 0.0238 * Sp))
    follower, oscillating, boundary = 400.0 * mixed * nv, 0.5 * lift**1.5 * np.sqrt(N) * nv / B, 32.1 * mixed * lift * nv
    valves = 244.0 * N * nb / V + 4.12 + (follower + oscillating + boundary) / (S * nc)
    turning = np.minimum(N, _ACCESSORY_VERTEX)
    accessories = 6.23 + 5.22e-3 * turning - 1.79e-7 * turning**2
    return 1e3 * (crankshaft + reciprocating + gas + valves + accessories)
