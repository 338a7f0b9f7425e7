"""Ideal spark-ignition cycles: air-standard, air with variable heats, and fuel-air with real properties and dissociation.

Each burns at constant volume at top dead center, loses no heat and exchanges no gas: an upper bound on a real engine.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.polynomial import Chebyshev
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.gas.atmosphere import STANDARD_ATMOSPHERE
from borewright.physics.gas.equilibrium_adiabatic import burned_at_energy, burned_at_entropy, burned_entropy
from borewright.physics.gas.fuel import DRY_AIR, ISOOCTANE, Fuel, charge_mixture, lower_heating_value
from borewright.physics.gas.thermo import ATOMS, GAS_CONSTANT, FrozenGas, frozen_gas, heat_capacity, internal_energy, isentropic_temperature


@dataclass(frozen=True)
class IdealCycle:
    """A constant-volume cycle: states after compression (2), combustion (3) and expansion (4), work and efficiency.

    Temperatures [K], pressures [Pa], work and heat [J/kg of charge], mean_effective_pressure [Pa], efficiency [1].
    """

    temperature_2: FloatArray
    pressure_2: FloatArray
    temperature_3: FloatArray
    pressure_3: FloatArray
    temperature_4: FloatArray
    pressure_4: FloatArray
    work: FloatArray
    heat: FloatArray
    efficiency: FloatArray
    mean_effective_pressure: FloatArray


def air_standard_efficiency(compression_ratio: ArrayLike, heat_capacity_ratio: ArrayLike = 1.4) -> FloatArray:
    """Efficiency of the air-standard Otto cycle, η = 1 − r^(1−γ).

    Parameters
    ----------
    compression_ratio : array [1]
        Above 1.
    heat_capacity_ratio : array [1]
        Above 1; 1.4 for cold air.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a compression ratio or a ratio of heat capacities at or below 1.

    References
    ----------
    M. J. Moran, H. N. Shapiro, Fundamentals of Engineering Thermodynamics, ch. 9.

    Examples
    --------
    >>> round(float(air_standard_efficiency(10.0)), 5)
    0.60189
    """
    r, gamma = floats(compression_ratio), floats(heat_capacity_ratio)
    r = defined(r, (r > 1.0) & np.isfinite(r), "the compression ratio must be above 1")
    gamma = defined(gamma, (gamma > 1.0) & np.isfinite(gamma), "the ratio of heat capacities must be above 1")
    return 1.0 - r ** (1.0 - gamma)


def _start(r: FloatArray, T1: FloatArray, p1: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    return (
        defined(r, (r > 1.0) & (r <= 40.0), "the compression ratio must lie above 1 and up to 40"),
        defined(T1, (T1 >= 200.0) & (T1 <= 800.0), "the temperature before compression must lie within 200 to 800 K"),
        defined(p1, (p1 > 0.0) & (p1 <= 1e7), "the pressure before compression must lie above zero and up to 10 MPa"),
    )


def _temperature_at_energy(gas: FrozenGas, u: FloatArray, guess: FloatArray) -> FloatArray:
    T = guess
    for _ in range(50):
        step = (u - internal_energy(gas, T)) / (heat_capacity(gas, T) - gas.gas_constant)
        T = np.clip(T + step, 200.0, 6000.0)
        if not np.any(np.abs(step) >= 1e-9):  # what is no number keeps nobody waiting
            break
    return T


def air_cycle(
    compression_ratio: ArrayLike, heat: ArrayLike, temperature: ArrayLike = 300.0, pressure: ArrayLike = STANDARD_ATMOSPHERE
) -> IdealCycle:
    """Otto cycle of dry air whose heats vary with temperature, heat added at constant volume.

    Parameters
    ----------
    compression_ratio : array [1]
        Above 1, to 40.
    heat : array [J/kg]
        Added at top dead center.
    temperature : array [K]
        Before compression.
    pressure : array [Pa]
        Before compression.

    Returns
    -------
    IdealCycle

    Notes
    -----
    NaN for inputs outside these ranges or heat that would take the air past 6000 K.

    References
    ----------
    Y. A. Cengel, M. A. Boles, Thermodynamics: An Engineering Approach, ch. 9; properties of NASA TM-4513, 1993.

    Examples
    --------
    >>> cycle = air_cycle(8.0, 800e3, 290.15, 100e3)
    >>> round(float(cycle.temperature_2), 1), round(float(cycle.efficiency), 3)
    (652.3, 0.523)
    """
    r, q, T1, p1 = np.broadcast_arrays(floats(compression_ratio), floats(heat), floats(temperature), floats(pressure))
    r, T1, p1 = _start(r, T1, p1)
    q = defined(q, q > 0.0, "heat must be above zero")
    air = frozen_gas(DRY_AIR)
    T2 = isentropic_temperature(air, T1, r)
    u3 = internal_energy(air, T2) + q
    u3 = defined(u3, u3 < internal_energy(air, 6000.0), "so much heat takes the air past 6000 K")
    T3 = _temperature_at_energy(air, u3, T2 + q / 900.0)
    T4 = isentropic_temperature(air, T3, 1.0 / r)
    work = q - (internal_energy(air, T4) - internal_energy(air, T1))
    swept = air.gas_constant * T1 / p1 * (1.0 - 1.0 / r)
    return IdealCycle(T2, p1 * r * T2 / T1, T3, p1 * r * T3 / T1, T4, p1 * T4 / T1, work, q, work / q, work / swept)


def fuel_air_cycle(
    compression_ratio: ArrayLike,
    equivalence_ratio: ArrayLike = 1.0,
    temperature: ArrayLike = 350.0,
    pressure: ArrayLike = STANDARD_ATMOSPHERE,
    fuel: Fuel = ISOOCTANE,
    nitrous_to_air: ArrayLike = 0.0,
) -> IdealCycle:
    """Fuel-air Otto cycle: fuel vapor, air and nitrous oxide compressed, burned to equilibrium, expanded in equilibrium.

    Compression is isentropic with a frozen composition, combustion adiabatic at constant volume with dissociation, expansion
    isentropic in shifting equilibrium back to the first volume. Work is u₁ − u₄, heat the lower heating value of the fuel vapor.

    Parameters
    ----------
    compression_ratio : array [1]
        Above 1, to 40.
    equivalence_ratio : array [1]
        Fuel over the fuel that all the oxygen, of air and nitrous oxide, would burn. 0.2 to 2.
    temperature : array [K]
        Before compression.
    pressure : array [Pa]
        Before compression.
    fuel : Fuel
    nitrous_to_air : array [1]
        Mass of nitrous oxide over mass of air, 0 to 10.

    Returns
    -------
    IdealCycle

    Notes
    -----
    NaN for inputs outside these ranges or a mixture so rich that soot would form.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 5.5; properties of NASA TM-4513, 1993.

    Examples
    --------
    >>> round(float(fuel_air_cycle(10.0).temperature_3), -1)
    2920.0
    """
    r, phi, T1, p1, beta = np.broadcast_arrays(
        floats(compression_ratio), floats(equivalence_ratio), floats(temperature), floats(pressure), floats(nitrous_to_air)
    )
    r, T1, p1 = _start(r, T1, p1)
    phi = defined(phi, (phi >= 0.2) & (phi <= 2.0), "the equivalence ratio must lie within 0.2 to 2")
    beta = defined(beta, (beta >= 0.0) & (beta <= 10.0), "nitrous oxide over air must lie within 0 to 10")
    moles, fuel_fraction = charge_mixture(fuel, phi, beta)
    charge, elements = frozen_gas(moles), moles @ ATOMS
    v1 = charge.gas_constant * T1 / p1
    T2 = isentropic_temperature(charge, T1, r)
    T3, burned = burned_at_energy(elements, internal_energy(charge, T2), v1 / r)
    s3 = burned_entropy(burned, T3, v1 / r)
    T4, spent = burned_at_entropy(elements, s3, v1, 0.65 * T3)
    work = internal_energy(charge, T1) - internal_energy(frozen_gas(spent), T4)
    heat = fuel_fraction * lower_heating_value(fuel)
    p3 = burned.sum(axis=-1) * GAS_CONSTANT * T3 * r / v1
    p4 = spent.sum(axis=-1) * GAS_CONSTANT * T4 / v1
    mep = work / (v1 * (1.0 - 1.0 / r))
    return IdealCycle(T2, p1 * r * T2 / T1, T3, p3, T4, p4, work, heat, work / heat, mep)


def fuel_air_efficiency(
    compression_ratio: ArrayLike,
    equivalence_ratio: ArrayLike = 1.0,
    temperature: ArrayLike = 350.0,
    pressure: ArrayLike = STANDARD_ATMOSPHERE,
    fuel: Fuel = ISOOCTANE,
    nitrous_to_air: ArrayLike = 0.0,
) -> FloatArray:
    """Efficiency of the fuel-air Otto cycle, work over the lower heating value of the fuel vapor; see `fuel_air_cycle`.

    Parameters
    ----------
    compression_ratio : array [1]
        Above 1, to 40.
    equivalence_ratio : array [1]
        0.2 to 2.
    temperature : array [K]
        Before compression.
    pressure : array [Pa]
        Before compression.
    fuel : Fuel
    nitrous_to_air : array [1]
        Mass of nitrous oxide over mass of air.

    Returns
    -------
    array [1]

    Raises
    ------
    ValueError
        As `fuel_air_cycle`.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 5.5.

    Examples
    --------
    >>> np.round(fuel_air_efficiency([8.0, 10.0, 12.0]), 3).tolist()
    [0.424, 0.459, 0.486]
    """
    return fuel_air_cycle(compression_ratio, equivalence_ratio, temperature, pressure, fuel, nitrous_to_air).efficiency


CURVE_RATIOS = (2.0, 40.0)
"""Compression ratios over which the curve of the standard fuel-air cycle is drawn [1]."""

_CURVE_DEGREE = 24


@cache
def _fuel_air_curve() -> Chebyshev:
    ends = [float(np.log(ratio)) for ratio in CURVE_RATIOS]
    return Chebyshev.interpolate(lambda x: fuel_air_efficiency(np.exp(x)), _CURVE_DEGREE, domain=ends)


def standard_fuel_air_efficiency(compression_ratio: ArrayLike) -> FloatArray:
    """Efficiency of the fuel-air Otto cycle of isooctane, φ 1, 350 K and 1 atm, from a polynomial through its exact values.

    Within 1e-9 of `fuel_air_efficiency`, for questions that ask for nothing but the ratio: the equilibria are solved once.

    Parameters
    ----------
    compression_ratio : array [1]
        2 to 40.

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a ratio outside 2 to 40.

    References
    ----------
    As `fuel_air_efficiency`; Chebyshev's polynomial over the logarithm of the ratio.

    Examples
    --------
    >>> np.round(standard_fuel_air_efficiency([8.0, 10.0, 12.0]), 3).tolist()
    [0.424, 0.459, 0.486]
    """
    ratio = floats(compression_ratio)
    ratio = defined(ratio, (ratio >= CURVE_RATIOS[0]) & (ratio <= CURVE_RATIOS[1]), "the compression ratio must lie within 2 to 40")
    return floats(_fuel_air_curve()(np.log(ratio)))
