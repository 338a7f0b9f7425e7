"""Heat from the gas to the cylinder walls: Woschni's correlation."""

from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.gas.atmosphere import STANDARD_ATMOSPHERE

WOSCHNI_FACTOR = 3.26
"""Of the heat transfer coefficient [W/(m²·K)] with p in kPa: Woschni 1967, Heywood eq. 12.18."""

COMPRESSION_SPEED_FACTOR = 2.28
"""C1 between closing and opening of the valves: Woschni 1967, Heywood eq. 12.19, without swirl."""

COMBUSTION_SPEED_FACTOR = 3.24e-3
"""C2 during combustion and expansion [m/(s·K)]; zero before. Woschni 1967, Heywood eq. 12.19."""


def woschni_speed(
    mean_piston_speed: ArrayLike,
    combustion_factor: ArrayLike = 0.0,
    volume_ratio: ArrayLike = 1.0,
    reference_temperature: ArrayLike = 300.0,
    reference_pressure: ArrayLike = STANDARD_ATMOSPHERE,
    pressure_rise: ArrayLike = 0.0,
) -> FloatArray:
    """Gas speed that carries the heat, w = 2.28·Sp + C2·(Vd/Vr)·(Tr/pr)·(p − pm).

    Parameters
    ----------
    mean_piston_speed : array [m/s]
    combustion_factor : array [m/(s·K)]
        C2: 3.24e-3 while and after burning, else 0.
    volume_ratio : array [1]
        Swept volume over the volume of the reference state.
    reference_temperature : array [K]
    reference_pressure : array [Pa]
        Above zero.
    pressure_rise : array [Pa]
        Pressure over that of the motored engine at the same crank angle.

    Returns
    -------
    array [m/s]

    Notes
    -----
    NaN for a reference pressure at or below zero.

    References
    ----------
    G. Woschni, SAE 670931, 1967; J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 12.18-12.19.

    Examples
    --------
    >>> round(float(woschni_speed(8.6, 3.24e-3, 1.0, 350.0, 120e3, 2e6)), 3)
    38.508
    """
    pr = floats(reference_pressure)
    pr = defined(pr, pr > 0.0, "the reference pressure must be above zero")
    rise = floats(volume_ratio) * floats(reference_temperature) / pr * floats(pressure_rise)
    return COMPRESSION_SPEED_FACTOR * floats(mean_piston_speed) + floats(combustion_factor) * rise


def woschni_coefficient(bore: ArrayLike, pressure: ArrayLike, temperature: ArrayLike, gas_speed: ArrayLike) -> FloatArray:
    """Heat transfer coefficient, h = 3.26·B^−0.2·p^0.8·T^−0.55·w^0.8 with p in kPa.

    Parameters
    ----------
    bore : array [m]
    pressure : array [Pa]
    temperature : array [K]
        Mean of the gas.
    gas_speed : array [m/s]
        Of `woschni_speed`.

    Returns
    -------
    array [W/(m²·K)]

    Notes
    -----
    NaN for anything at or below zero.

    References
    ----------
    G. Woschni, SAE 670931, 1967; J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 12.18.

    Examples
    --------
    >>> round(float(woschni_coefficient(0.0843, 1e6, 700.0, 19.608)), 2)
    395.54
    """
    B, p, T, w = floats(bore), floats(pressure), floats(temperature), floats(gas_speed)
    p = defined(p, (B > 0.0) & (p > 0.0) & (T > 0.0) & (w > 0.0), "bore, pressure, temperature and gas speed must be above zero")
    return WOSCHNI_FACTOR * B**-0.2 * (p * 1e-3) ** 0.8 * T**-0.55 * w**0.8
