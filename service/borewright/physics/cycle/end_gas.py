"""How the end gas of an engine is held to ignite by itself: Douaud and Eyzat's delay with what was calibrated about it.

The terms of pressure and temperature are theirs. The octane number, above 100 by the performance number, the mixture, the residual gas
and a common factor are not: they were brought to what engines were found to ask for (H. P. Russ, SAE 960497, 1996, abstract; requirement
of octane over compression as the gasoline FAQ, B. Hamilton, 1996, ch. 7.2, has it).
"""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.gas.knock import douaud_eyzat_delay, oxygen_delay_factor

DELAY_MULTIPLIER = 0.90
"""On the delay, ± 0.05. Calibrated: octane over compression asks for 7 % less, the rating tests and engines that live for 10 % more."""

OCTANE_POWER_CALIBRATED = 4.2
"""Of the octane number up to 100, ± 0.2. Calibrated; the slope of the performance number 2800/(128 − ON) at 91 is the same."""

PERFORMANCE_POWER = 1.7
"""Of the performance number above 100: at equal temperature the delay goes with pressure to the power −1.7 (Douaud and Eyzat, 1978), and
the performance number is the knock-limited power, so the pressure, over that of isooctane."""

PERFORMANCE_PER_OCTANE = 3.0
"""Performance numbers per octane number above 100, the definition of the scale there: ASTM D909 (from memory)."""

HIGHEST_OCTANE = 120.34
"""Octane number of isooctane with 6 mL of tetraethyl lead a US gallon, where the scale ends: ASTM D2699, D2700 (from memory)."""

MIXTURE_PEAK, MIXTURE_CURVATURE = 1.05, 4.2
"""Knock is worst 5 % rich (Russ, SAE 960497, 1996, abstract) and falls by about 2 octane numbers a unit of air-fuel ratio around it.
The curvature, ± 1.3, is calibrated to that."""


def octane_resistance(octane: ArrayLike) -> FloatArray:
    """Ignition delay of a fuel over that of isooctane: (ON/100)^4.2, above 100 (PN/100)^1.7 with PN = 100 + 3·(ON − 100).

    Parameters
    ----------
    octane : array [1]
        Octane number, above zero. Beyond 120.34 there is no such number: the line goes on, for a solver to stand on.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for an octane number at or below zero.

    References
    ----------
    Calibrated, see `OCTANE_POWER_CALIBRATED`; performance numbers of ASTM D909 (from memory).

    Examples
    --------
    >>> np.round(octane_resistance([90.0, 100.0, 110.0]), 4).tolist()
    [0.6424, 1.0, 1.5621]
    """
    on = floats(octane)
    on = defined(on, on > 0.0, "the octane number must be above zero")
    performance = 1.0 + PERFORMANCE_PER_OCTANE * np.maximum(on - 100.0, 0.0) / 100.0
    result: FloatArray = np.minimum(on / 100.0, 1.0) ** OCTANE_POWER_CALIBRATED * performance**PERFORMANCE_POWER
    return result


def octane_of_resistance(resistance: ArrayLike) -> FloatArray:
    """The octane number of a resistance, the inverse of `octane_resistance`.

    Parameters
    ----------
    resistance : array [1]
        Not negative.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a negative resistance.

    References
    ----------
    As `octane_resistance`.

    Examples
    --------
    >>> np.round(octane_of_resistance(octane_resistance([85.0, 100.0, 112.0])), 9).tolist()
    [85.0, 100.0, 112.0]
    """
    r = floats(resistance)
    r = defined(r, r >= 0.0, "the resistance must not be negative")
    below = 100.0 * np.minimum(r, 1.0) ** (1.0 / OCTANE_POWER_CALIBRATED)
    above = 100.0 / PERFORMANCE_PER_OCTANE * (np.maximum(r, 1.0) ** (1.0 / PERFORMANCE_POWER) - 1.0)
    return floats(below + above)


def mixture_delay_factor(equivalence_ratio: ArrayLike) -> FloatArray:
    """Ignition delay over that of the mixture that knocks most, exp(4.2·(φ − 1.05)²).

    Parameters
    ----------
    equivalence_ratio : array [1]

    Returns
    -------
    array [1]

    References
    ----------
    H. P. Russ, SAE 960497, 1996 (abstract); calibrated, see `MIXTURE_CURVATURE`.

    Examples
    --------
    >>> np.round(mixture_delay_factor([0.85, 1.05, 1.25]), 3).tolist()
    [1.183, 1.0, 1.183]
    """
    return floats(np.exp(MIXTURE_CURVATURE * (floats(equivalence_ratio) - MIXTURE_PEAK) ** 2))


def end_gas_delay(
    octane: ArrayLike, pressure: ArrayLike, temperature: ArrayLike, equivalence_ratio: ArrayLike, residual_fraction: ArrayLike
) -> FloatArray:
    """Ignition delay of the end gas, 0.90·τ(ON 100, p, T)·r(ON)·m(φ)·(1 − x_r)^−1.41, τ of Douaud and Eyzat.

    Parameters
    ----------
    octane : array [1]
    pressure : array [Pa]
    temperature : array [K]
    equivalence_ratio : array [1]
    residual_fraction : array [1]
        Of the charge, 0 up to, not including, 1.

    Returns
    -------
    array [s]

    Notes
    -----
    NaN where one of the formulas it is made of is.

    References
    ----------
    A. M. Douaud, P. Eyzat, SAE 780080, 1978; X. He et al., Combustion and Flame 142, 2005, for what thinner oxygen does (from memory);
    the rest as the constants of this module.

    Examples
    --------
    >>> round(float(end_gas_delay(95.0, 20 * 101325.0, 800.0, 1.05, 0.05)) * 1e3, 2)
    9.79
    """
    oxygen = oxygen_delay_factor(1.0 - floats(residual_fraction), 1.0)
    factor = DELAY_MULTIPLIER * octane_resistance(octane) * mixture_delay_factor(equivalence_ratio) * oxygen
    return floats(factor * douaud_eyzat_delay(100.0, pressure, temperature))
