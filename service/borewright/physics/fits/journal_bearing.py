"""Journal bearings: oil clearance cold and hot, and the oil film that carries a steady load."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats, limited
from borewright.physics.fits.thermal import free_expansion

ECCENTRICITY = np.array([0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.94, 0.96, 0.97, 0.98, 0.99, 0.995])
WIDTH = np.array([0.15, 0.2, 0.25, 0.35, 0.5, 0.7, 1.0, 1.5])
"""Width over diameter of the columns of `SOMMERFELD` [1]."""
SOMMERFELD = np.array(
    [
        [90.34, 51.152, 33.01, 17.206, 8.7981, 4.8277, 2.7015, 1.5506],
        [44.398, 25.141, 16.226, 8.4593, 4.3269, 2.3751, 1.3301, 0.76589],
        [20.705, 11.733, 7.5794, 3.9595, 2.0321, 1.1206, 0.63205, 0.36859],
        [12.245, 6.9498, 4.4975, 2.3597, 1.22, 0.67971, 0.389, 0.23175],
        [7.6952, 4.3781, 2.8416, 1.5013, 0.78557, 0.44497, 0.26062, 0.15997],
        [4.8124, 2.7481, 1.7916, 0.95641, 0.50938, 0.29556, 0.1788, 0.11421],
        [2.8605, 1.6427, 1.0781, 0.58447, 0.31935, 0.19165, 0.12104, 0.081203],
        [1.5284, 0.88581, 0.58753, 0.3262, 0.18509, 0.11645, 0.077854, 0.055414],
        [0.66083, 0.38954, 0.26333, 0.15227, 0.091734, 0.061816, 0.044573, 0.034135],
        [0.37216, 0.22277, 0.1531, 0.09155, 0.057718, 0.040783, 0.030849, 0.024668],
        [0.16957, 0.10426, 0.073669, 0.046433, 0.031248, 0.023494, 0.018827, 0.015823],
        [0.065342, 0.04194, 0.030885, 0.020918, 0.015237, 0.01225, 0.010392, 0.0091502],
        [0.031613, 0.021137, 0.016143, 0.011583, 0.0089289, 0.0074972, 0.0065829, 0.0059563],
        [0.019231, 0.013274, 0.010412, 0.0077712, 0.0062082, 0.0053489, 0.0047903, 0.0044015],
        [0.0098106, 0.0070989, 0.0057791, 0.0045404, 0.0037884, 0.0033637, 0.0030812, 0.0028808],
        [0.0033567, 0.0026315, 0.0022685, 0.0019162, 0.0016923, 0.0015604, 0.0014697, 0.0014039],
        [0.0012639, 0.001062, 0.00095758, 0.00085243, 0.00078273, 0.00074027, 0.00071042, 0.00068844],
    ]
)
"""Sommerfeld number S = (r/c)²·μN/P of a full journal bearing, a row for each eccentricity ratio, a column for each width [1].

Reynolds' equation for an isoviscous oil and a finite width, solved by finite differences with the pressure never below ambient
(Swift-Stieber); a test solves it anew, and holds it against the table of A. A. Raimondi and J. Boyd, Trans. ASLE 1 (1958) 159-209.
"""

_LOG_WIDTH, _LOG_SOMMERFELD, _LOG_FILM = np.log(WIDTH), np.log(SOMMERFELD), np.log(1.0 - ECCENTRICITY)


def oil_clearance(housing: ArrayLike, shell: ArrayLike, journal: ArrayLike) -> FloatArray:
    """Vertical oil clearance of a shell bearing, cold, C = H − 2t − J.

    Parameters
    ----------
    housing, journal : array [m]
        Diameters; the housing's with its bolts tight.
    shell : array [m]
        Thickness of the wall at the crown of the shell.

    Returns
    -------
    array [m]
        On the diameter; below zero where the journal does not go in.

    Notes
    -----
    NaN for a diameter or thickness that is not above zero.

    Examples
    --------
    >>> round(float(oil_clearance(0.0565, 0.00147, 0.05351)) * 1e6, 3)
    50.0
    """
    H, t, J = floats(housing), floats(shell), floats(journal)
    H = defined(H, (H > 0.0) & (t > 0.0) & (J > 0.0), "housing, shell and journal must be above zero")
    return H - 2.0 * t - J


def hot_oil_clearance(
    housing: ArrayLike,
    shell: ArrayLike,
    journal: ArrayLike,
    housing_growth: ArrayLike,
    journal_growth: ArrayLike,
    shell_growth: ArrayLike,
) -> FloatArray:
    """Oil clearance at running temperature, C = H(1 + g_h) − 2t(1 + g_s) − J(1 + g_j), g = α·ΔT of each.

    A housing of aluminum grows away from a journal of steel, and the clearance opens; one of iron hardly does.

    Parameters
    ----------
    housing, shell, journal : array [m]
        Cold, as in `oil_clearance`.
    housing_growth, journal_growth, shell_growth : array [1]
        Expansion times rise of temperature.

    Returns
    -------
    array [m]

    Examples
    --------
    >>> cold = oil_clearance(0.0565, 0.00147, 0.05351)
    >>> hot = hot_oil_clearance(0.0565, 0.00147, 0.05351, 21.5e-6 * 80.0, 12.3e-6 * 90.0, 12.0e-6 * 85.0)
    >>> round(float(hot - cold) * 1e6, 2)
    34.95
    """
    H, t, J = (
        free_expansion(size, growth, 1.0) for size, growth in ((housing, housing_growth), (shell, shell_growth), (journal, journal_growth))
    )
    return oil_clearance(housing, shell, journal) + H - 2.0 * t - J


def sommerfeld_number(
    diameter: ArrayLike, clearance: ArrayLike, viscosity: ArrayLike, speed: ArrayLike, unit_load: ArrayLike
) -> FloatArray:
    """Sommerfeld number of a journal bearing, S = (D/C)²·μ·N/P.

    Parameters
    ----------
    diameter, clearance : array [m]
        Both on the diameter.
    viscosity : array [Pa·s]
    speed : array [rad/s]
        N is it in turns a second.
    unit_load : array [Pa]
        Load over the projected area, P = F/(D·L).

    Returns
    -------
    array [1]

    Notes
    -----
    NaN where one of them is not above zero.

    References
    ----------
    A. A. Raimondi and J. Boyd, A solution for the finite journal bearing and its application to analysis and design, Trans. ASLE 1 (1958).

    Examples
    --------
    >>> round(float(sommerfeld_number(0.05, 50e-6, 0.01, 2 * np.pi * 50.0, 5e6)), 6)
    0.1
    """
    D, C, mu, w, P = (floats(each) for each in (diameter, clearance, viscosity, speed, unit_load))
    above = (D > 0.0) & (C > 0.0) & (mu > 0.0) & (w > 0.0) & (P > 0.0)
    D = defined(D, above, "diameter, clearance, viscosity, speed and load must be above zero")
    return (D / C) ** 2 * mu * w / (2.0 * np.pi * P)


def film_ratio(sommerfeld: ArrayLike, width_ratio: ArrayLike) -> FloatArray:
    """Least film over radial clearance, h/c = 1 − ε, of a full journal bearing under a steady load.

    Between the knots of `SOMMERFELD` both logarithms are taken as straight.

    Parameters
    ----------
    sommerfeld : array [1]
    width_ratio : array [1]
        Width over diameter.

    Returns
    -------
    array [1]
        Never below 0.005, the end of the table: the film is thinner there; at most 0.95.

    Notes
    -----
    NaN for a Sommerfeld number not above zero, or a width outside 0.15 to 1.5 diameters.

    References
    ----------
    As `SOMMERFELD`.

    Examples
    --------
    >>> film_ratio([0.0313, 0.319, 4.31], 0.5).round(2).tolist()
    [0.1, 0.4, 0.9]
    """
    S, L = np.broadcast_arrays(floats(sommerfeld), floats(width_ratio))
    L = defined(L, (WIDTH[0] <= L) & (WIDTH[-1] >= L), "a bearing's width must lie between 0.15 and 1.5 of its diameter")
    S = defined(S, S > 0.0, "the Sommerfeld number must be above zero")
    known = np.isfinite(L) & np.isfinite(S)
    if not known.all():
        S, L = np.where(known, S, 1.0), np.where(known, L, 1.0)
    number = np.log(S)
    place = np.minimum(np.maximum(np.searchsorted(WIDTH, L, side="right") - 1, 0), WIDTH.size - 2)
    part = (np.log(L) - _LOG_WIDTH[place]) / (_LOG_WIDTH[place + 1] - _LOG_WIDTH[place])
    # of these widths, falling with the eccentricity
    knots = _LOG_SOMMERFELD[:, place] * (1.0 - part) + _LOG_SOMMERFELD[:, place + 1] * part
    row = np.clip((knots > number).sum(axis=0) - 1, 0, ECCENTRICITY.size - 2)[np.newaxis]
    above, below = (np.take_along_axis(knots, row + step, axis=0)[0] for step in (0, 1))
    share = limited((above - number) / (above - below), 0.0, 1.0)
    ratio = np.exp(_LOG_FILM[row[0]] * (1.0 - share) + _LOG_FILM[row[0] + 1] * share)
    return floats(np.where(known, ratio, np.nan))


def least_film(
    diameter: ArrayLike, width: ArrayLike, clearance: ArrayLike, viscosity: ArrayLike, speed: ArrayLike, load: ArrayLike
) -> FloatArray:
    """Thinnest oil film of a journal bearing under a steady load, h = (C/2)·(h/c).

    A load that comes and goes squeezes the film less than one that stays, so under the highest load of a cycle this is the low side.

    Parameters
    ----------
    diameter, width, clearance : array [m]
        Diameter and clearance on the diameter.
    viscosity : array [Pa·s]
    speed : array [rad/s]
    load : array [N]

    Returns
    -------
    array [m]

    Notes
    -----
    NaN as `sommerfeld_number` and `film_ratio`.

    References
    ----------
    As `sommerfeld_number`.

    Examples
    --------
    >>> round(float(least_film(0.0535, 0.0214, 50e-6, 0.008, 314.0, 15e3)) * 1e6, 2)
    2.28
    """
    D, B, C, F = (floats(each) for each in (diameter, width, clearance, load))
    return C / 2.0 * film_ratio(sommerfeld_number(D, C, viscosity, speed, F / (D * B)), B / D)


def viscosity_between(
    temperature: ArrayLike, cooler: ArrayLike, at_cooler: ArrayLike, hotter: ArrayLike, at_hotter: ArrayLike
) -> FloatArray:
    """Viscosity of an oil at a temperature from two others, ln μ straight in 1/T (Andrade).

    Parameters
    ----------
    temperature, cooler, hotter : array [K]
    at_cooler, at_hotter : array [Pa·s]

    Returns
    -------
    array [Pa·s]

    Notes
    -----
    NaN for a temperature or viscosity not above zero.

    References
    ----------
    E. N. da C. Andrade, The viscosity of liquids, Nature 125 (1930) 309-310, from memory.

    Examples
    --------
    >>> round(float(viscosity_between(373.15, 373.15, 8.7e-3, 423.15, 2.9e-3)) * 1e3, 3)
    8.7
    """
    T, Tc, mc, Th, mh = (floats(each) for each in (temperature, cooler, at_cooler, hotter, at_hotter))
    T = defined(T, (T > 0.0) & (Tc > 0.0) & (Th > 0.0) & (mc > 0.0) & (mh > 0.0), "temperatures and viscosities must be above zero")
    share = (1.0 / T - 1.0 / Tc) / (1.0 / Th - 1.0 / Tc)
    return floats(np.exp(np.log(mc) * (1.0 - share) + np.log(mh) * share))
