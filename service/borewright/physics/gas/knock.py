"""Autoignition of the end gas: the Douaud-Eyzat delay and the Livengood-Wu integral."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import BoolArray, FloatArray, defined, floats, require
from borewright.physics.gas.atmosphere import STANDARD_ATMOSPHERE

DELAY_FACTOR, OCTANE_POWER, PRESSURE_POWER, ACTIVATION = 17.68e-3, 3.402, -1.7, 3800.0
"""Douaud and Eyzat's constants [s], [1], [1], [K]: SAE 780080, 1978."""

OXYGEN_POWER = -1.41
"""Power of the oxygen fraction in the ignition delay of isooctane: He et al., Combustion and Flame 142, 2005 (from memory)."""


def oxygen_delay_factor(oxygen_fraction: ArrayLike, reference: ArrayLike) -> FloatArray:
    """What more oxygen does to an ignition delay, (x/x_ref)^−1.41.

    Parameters
    ----------
    oxygen_fraction : array [1]
        Mole fraction of oxygen in the oxidizer.
    reference : array [1]
        That of the air the delay was measured with.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a fraction outside 0 to 1.

    References
    ----------
    X. He et al., An experimental and modeling study of iso-octane ignition delay times under homogeneous charge compression ignition
    conditions, Combustion and Flame 142, 2005, pp. 266-275 (from memory).

    Examples
    --------
    >>> float(oxygen_delay_factor(0.21, 0.21))
    1.0
    """
    x, ref = floats(oxygen_fraction), floats(reference)
    x = defined(x, (x > 0.0) & (x <= 1.0) & (ref > 0.0) & (ref <= 1.0), "oxygen fractions must lie above 0 and up to 1")
    return (x / ref) ** OXYGEN_POWER


def douaud_eyzat_delay(octane: ArrayLike, pressure: ArrayLike, temperature: ArrayLike) -> FloatArray:
    """Ignition delay of the end gas, τ = 17.68 ms·(ON/100)^3.402·p^−1.7·exp(3800/T), p in atm, T in K.

    Parameters
    ----------
    octane : array [1]
        Octane number, 0 to 160. The authors' fuels were reference fuels and blends near 80 to 100.
    pressure : array [Pa]
    temperature : array [K]

    Returns
    -------
    array [s]

    Notes
    -----
    NaN for an octane number outside its range, pressure or temperature at or below zero.

    References
    ----------
    A. M. Douaud, P. Eyzat, SAE 780080, 1978; J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 9.68 (from memory).

    Examples
    --------
    >>> round(float(douaud_eyzat_delay(95.0, 20 * 101325.0, 800.0)) * 1e3, 3)
    10.54
    """
    on, p, T = floats(octane), floats(pressure), floats(temperature)
    on = defined(on, (on > 0.0) & (on <= 160.0), "the octane number must lie above 0 and up to 160")
    p = defined(p, (p > 0.0) & (T > 0.0), "pressure and temperature must be above zero")
    return DELAY_FACTOR * (on / 100.0) ** OCTANE_POWER * (p / STANDARD_ATMOSPHERE) ** PRESSURE_POWER * np.exp(ACTIVATION / T)


def livengood_wu_integral(time: ArrayLike, delay: ArrayLike) -> FloatArray:
    """Running knock integral ∫dt/τ along the last axis, by the trapezoidal rule; where it reaches 1 the end gas ignites.

    Parameters
    ----------
    time : array [..., steps] [s]
    delay : array [..., steps] [s]

    Returns
    -------
    array [..., steps] [1]

    Notes
    -----
    NaN for a delay at or below zero or time that runs backward.

    References
    ----------
    J. C. Livengood, P. C. Wu, Fifth Symposium (International) on Combustion, 1955, pp. 347-356.

    Examples
    --------
    >>> livengood_wu_integral([0.0, 1.0, 2.0], [2.0, 2.0, 2.0]).tolist()
    [0.0, 0.5, 1.0]
    """
    t, tau = np.broadcast_arrays(floats(time), floats(delay))
    tau = defined(tau, tau > 0.0, "the delay must be above zero")
    steps = np.diff(t, axis=-1)
    steps = defined(steps, steps >= 0.0, "time must not run backward")
    rate = 1.0 / tau
    total = np.zeros(t.shape)
    np.cumsum(0.5 * (rate[..., 1:] + rate[..., :-1]) * steps, axis=-1, out=total[..., 1:])
    return total


def knock_onset(time: ArrayLike, integral: ArrayLike) -> tuple[FloatArray, BoolArray]:
    """First time at which the running knock integral reaches 1, linear between the steps.

    Parameters
    ----------
    time, integral : array [..., steps] [s], [1]
        The integral only rises.

    Returns
    -------
    onset : array [s]
        The last time where it never does.
    reached : array of bool

    Raises
    ------
    ValueError
        For fewer than two steps.

    References
    ----------
    J. C. Livengood, P. C. Wu, 1955.

    Examples
    --------
    >>> onset, reached = knock_onset([0.0, 1.0, 2.0], [0.0, 0.5, 1.5])
    >>> float(onset), bool(reached)
    (1.5, True)
    """
    t, total = np.broadcast_arrays(floats(time), floats(integral))
    require(t.shape[-1] >= 2, "an onset needs at least two steps")
    reached = total[..., -1] >= 1.0
    after = np.clip(np.argmax(total >= 1.0, axis=-1), 1, None)[..., None]
    at = np.take_along_axis
    t0, t1 = at(t, after - 1, -1)[..., 0], at(t, after, -1)[..., 0]
    i0, i1 = at(total, after - 1, -1)[..., 0], at(total, after, -1)[..., 0]
    share = (1.0 - i0) / np.where(i1 > i0, i1 - i0, 1.0)
    return np.where(reached, t0 + share * (t1 - t0), t[..., -1]), reached
