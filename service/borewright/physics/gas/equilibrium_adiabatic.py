"""Burned gas in equilibrium at a given internal energy or entropy: adiabatic combustion and loss-free expansion."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.gas.equilibrium import equilibrium_moles
from borewright.physics.gas.thermo import (
    GAS_CONSTANT,
    HIGHEST_TEMPERATURE,
    LOWEST_TEMPERATURE,
    STANDARD_PRESSURE,
    frozen_gas,
    internal_energy,
    standard_entropy,
)


def burned_entropy(moles: FloatArray, temperature: ArrayLike, specific_volume: ArrayLike) -> FloatArray:
    """Entropy of a gas with that of mixing, s°(T) − R·Σ nᵢ ln(pᵢ/1 bar).

    Parameters
    ----------
    moles : array [..., species] [mol/kg]
    temperature : array [K]
    specific_volume : array [m³/kg]

    Returns
    -------
    array [J/(kg·K)]

    References
    ----------
    Ideal-gas mixture; entropies of NASA TM-4513, 1993.

    Examples
    --------
    >>> from borewright.physics.gas.thermo import INDEX, SPECIES
    >>> argon = np.zeros(len(SPECIES)); argon[INDEX["Ar"]] = 1.0 / 0.039948
    >>> v = argon.sum() * GAS_CONSTANT * 298.15 / 1e5
    >>> round(float(burned_entropy(argon, 298.15, v)) * 0.039948, 2)
    154.85
    """
    T, v = floats(temperature), floats(specific_volume)
    p = moles * (GAS_CONSTANT * T / (v * STANDARD_PRESSURE))[..., None]
    mixing: FloatArray = np.sum(moles * np.log(np.maximum(p, 1e-300)), axis=-1)
    result: FloatArray = standard_entropy(frozen_gas(moles), T) - GAS_CONSTANT * mixing
    return result


def _solve_temperature(elements: FloatArray, v: FloatArray, target: FloatArray, guess: FloatArray, *, energy: bool) -> FloatArray:
    """Temperature at which the equilibrium gas has the wanted internal energy or entropy: Newton's rule, slope by a small step."""

    def value(T: FloatArray) -> FloatArray:
        moles = equilibrium_moles(elements, T, v)
        return internal_energy(frozen_gas(moles), T) if energy else burned_entropy(moles, T, v)

    T = guess
    for _ in range(60):
        rise = 1e-4 * T
        now = value(T)
        step = (target - now) * rise / (value(T + rise) - now)
        T = np.clip(T + np.clip(step, -0.3 * T, 0.3 * T), LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE / 1.001)
        if not np.any(np.abs(step) / T >= 1e-11):  # what is no number keeps nobody waiting
            break
    return defined(T, np.abs(value(T) - target) < 1e-7 * np.maximum(np.abs(target), 1e3), "no equilibrium between 200 and 6000 K")


def burned_at_energy(elements: ArrayLike, internal_energy: ArrayLike, specific_volume: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Adiabatic combustion at constant volume: the equilibrium gas with the internal energy of the charge.

    Parameters
    ----------
    elements : array [..., 5] [mol/kg]
    internal_energy : array [J/kg]
        Formation included.
    specific_volume : array [m³/kg]

    Returns
    -------
    temperature : array [K]
    moles : array [..., species] [mol/kg]

    Notes
    -----
    NaN as `equilibrium_moles`, and where no temperature fits.

    References
    ----------
    First law; equilibrium as `equilibrium_moles`.

    Examples
    --------
    >>> mix = np.array([0.0, 4.0, 2.0, 0.0, 0.0]) / 0.03603
    >>> T, _ = burned_at_energy(mix, -103e3, 2.0)
    >>> 3400.0 < float(T) < 3600.0
    True
    """
    b, v = floats(elements), floats(specific_volume)
    u, v = np.broadcast_arrays(floats(internal_energy), v)
    T = _solve_temperature(b, v, u, np.full(v.shape, 2500.0), energy=True)
    return T, equilibrium_moles(b, T, v)


def burned_at_entropy(
    elements: ArrayLike, entropy: ArrayLike, specific_volume: ArrayLike, guess: ArrayLike = 2000.0
) -> tuple[FloatArray, FloatArray]:
    """Expansion without loss in chemical equilibrium: the equilibrium gas with the entropy it started with.

    Parameters
    ----------
    elements : array [..., 5] [mol/kg]
    entropy : array [J/(kg·K)]
    specific_volume : array [m³/kg]
    guess : array [K]
        Where to start looking.

    Returns
    -------
    temperature : array [K]
    moles : array [..., species] [mol/kg]

    Notes
    -----
    NaN as `equilibrium_moles`, and where no temperature fits.

    References
    ----------
    Second law; equilibrium as `equilibrium_moles`.

    Examples
    --------
    >>> mix = np.array([0.0, 4.0, 2.0, 0.0, 0.0]) / 0.03603
    >>> s = burned_entropy(equilibrium_moles(mix, 3000.0, 1.0), 3000.0, 1.0)
    >>> T, _ = burned_at_entropy(mix, s, 1.0)
    >>> round(float(T), 3)
    3000.0
    """
    b, v = floats(elements), floats(specific_volume)
    s, v, T0 = np.broadcast_arrays(floats(entropy), v, floats(guess))
    T = _solve_temperature(b, v, s, T0.astype(np.float64), energy=False)
    return T, equilibrium_moles(b, T, v)
