"""Chemical equilibrium of burned gas: CO2, CO, H2, H2O, O2, N2, NO, OH, H, O and argon at given temperature and volume.

With x = √p(O2) every other partial pressure follows in closed form from the atom balances of carbon, hydrogen and nitrogen
(the last two are quadratics), which leaves the oxygen balance: one equation in x whose left side only rises. So a whole array of
states is solved by a guarded Newton's rule on one number each, with no matrices. Pressures inside are in units of 1 bar.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, floats, require
from borewright.physics.thermo import (
    GAS_CONSTANT,
    HIGH,
    HIGHEST_TEMPERATURE,
    INDEX,
    LOW,
    LOWEST_TEMPERATURE,
    SPECIES,
    STANDARD_PRESSURE,
    SWITCH_TEMPERATURE,
    frozen_gas,
    internal_energy,
    standard_entropy,
)

PRODUCTS = ("CO2", "CO", "H2", "H2O", "O2", "N2", "NO", "OH", "H", "O", "Ar")
POSITION = np.array([INDEX[name] for name in PRODUCTS])

# Formation of each dissociating species from x² = p(O2), y² = p(H2), z² = p(N2) and CO, rows in the order of _k below.
_REACTIONS = np.zeros((6, len(SPECIES)))
for _row, _terms in enumerate(
    (
        {"CO2": 1.0, "CO": -1.0, "O2": -0.5},
        {"H2O": 1.0, "H2": -1.0, "O2": -0.5},
        {"H": 1.0, "H2": -0.5},
        {"OH": 1.0, "H2": -0.5, "O2": -0.5},
        {"NO": 1.0, "N2": -0.5, "O2": -0.5},
        {"O": 1.0, "O2": -0.5},
    )
):
    for _name, _number in _terms.items():
        _REACTIONS[_row, INDEX[_name]] = _number

# ln K = −ΔG°/RT = a1(ln T − 1) + a2 T/2 + a3 T²/6 + a4 T³/12 + a5 T⁴/20 − a6/T + a7 of the sum over the reaction.
_GIBBS_FACTORS = np.array([1.0, 0.5, 1.0 / 6.0, 1.0 / 12.0, 0.05, -1.0, 1.0])
REACTION_LOW = (_REACTIONS @ LOW * _GIBBS_FACTORS).T
REACTION_HIGH = (_REACTIONS @ HIGH * _GIBBS_FACTORS).T


def gibbs_basis(temperature: FloatArray) -> FloatArray:
    """Powers of temperature that the equilibrium constants are linear in.

    Parameters
    ----------
    temperature : array [K]

    Returns
    -------
    array [..., 7]

    Examples
    --------
    >>> gibbs_basis(np.array(1.0)).tolist()
    [-1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0]
    """
    T = temperature
    basis = np.empty((*T.shape, 7))
    basis[..., 0] = np.log(T) - 1.0
    basis[..., 1] = T
    for k in (2, 3, 4):
        basis[..., k] = basis[..., k - 1] * T
    basis[..., 5] = 1.0 / T
    basis[..., 6] = 1.0
    return basis


def equilibrium_constants(temperature: ArrayLike) -> FloatArray:
    """Equilibrium constants of CO2, H2O, H, OH, NO and O forming from CO, H2, N2 and O2, pressures in bar.

    Parameters
    ----------
    temperature : array [K]
        200 to 6000 K.

    Returns
    -------
    array [..., 6] [bar to the power of the change in moles]

    References
    ----------
    K = exp(−ΔG°/RT) with the Gibbs functions of NASA TM-4513, 1993.

    Examples
    --------
    >>> np.round(np.log10(equilibrium_constants(2000.0)), 2).tolist()
    [2.88, 3.54, -2.79, -0.25, -1.73, -3.17]
    """
    T = floats(temperature)
    basis = gibbs_basis(T)
    low = (T < SWITCH_TEMPERATURE)[..., None]
    result: FloatArray = np.exp(np.where(low, basis @ REACTION_LOW, basis @ REACTION_HIGH))
    return result


@dataclass(frozen=True)
class BurnedSplit:
    """Partial pressures [bar] at one guess of x, the oxygen taken up besides that of CO, and how that changes with ln x."""

    pressures: tuple[FloatArray, ...]
    oxygen: FloatArray
    slope: FloatArray


def split(x: FloatArray, k: tuple[FloatArray, ...], atoms: tuple[FloatArray, ...]) -> BurnedSplit:
    """Partial pressures that fulfil the balances of carbon, hydrogen and nitrogen at a given x = √p(O2).

    Parameters
    ----------
    x : array [bar^½]
    k : six arrays
        Equilibrium constants in the order of `equilibrium_constants`.
    atoms : three arrays [bar]
        Carbon, hydrogen, nitrogen: atoms per volume times R·T.

    Returns
    -------
    BurnedSplit
        In the order of `PRODUCTS` without argon.

    References
    ----------
    Law of mass action and atom balances.

    Examples
    --------
    >>> one = np.array(1.0)
    >>> half = split(one, (one,) * 6, (np.array(2.0),) * 3)
    >>> [round(float(p), 3) for p in half.pressures[:2]]
    [1.0, 1.0]
    """
    k1, k2, k3, k4, k5, k6 = k
    carbon, hydrogen, nitrogen = atoms
    s = 1.0 + k1 * x
    co = carbon / s
    co2 = carbon - co
    a, b = 1.0 + k2 * x, k3 + k4 * x
    y = 2.0 * hydrogen / (b + np.sqrt(b * b + 8.0 * a * hydrogen))
    h2 = y * y
    h2o = k2 * x * h2
    oh = k4 * x * y
    y_log = -(2.0 * h2o + oh) / np.maximum(4.0 * a * y + b, 1e-300)  # dy/d ln x
    c = k5 * x
    z = 2.0 * nitrogen / np.maximum(c + np.sqrt(c * c + 8.0 * nitrogen), 1e-300)
    no = c * z
    z_log = -no / np.maximum(4.0 * z + c, 1e-300)
    o2, o = x * x, k6 * x
    oxygen = co2 + h2o + oh + no + 2.0 * o2 + o
    slope = co2 / s + h2o + oh + (2.0 * k2 * y + k4) * x * y_log + no + c * z_log + 4.0 * o2 + o
    return BurnedSplit((co2, co, h2, h2o, o2, z * z, no, oh, k3 * y, o), oxygen, slope)


def _require_burnable(elements: FloatArray) -> None:
    require(np.all(elements >= 0.0, axis=-1), "amounts of atoms must not be negative")
    require(elements[..., 2] > elements[..., 0], "there must be more oxygen than carbon, or soot forms, which is not modelled")


def equilibrium_moles(elements: ArrayLike, temperature: ArrayLike, specific_volume: ArrayLike) -> FloatArray:
    """Composition in chemical equilibrium at given temperature and volume.

    Parameters
    ----------
    elements : array [..., 5] [mol/kg]
        Atoms of C, H, O, N, Ar.
    temperature : array [K]
        200 to 6000 K.
    specific_volume : array [m³/kg]

    Returns
    -------
    array [..., species] [mol/kg]

    Raises
    ------
    ValueError
        For a temperature outside the range, negative amounts, or no more oxygen than carbon (soot).

    References
    ----------
    Law of mass action with the Gibbs functions of NASA TM-4513, 1993.

    Examples
    --------
    >>> water = np.array([0.0, 2.0, 1.0, 0.0, 0.0]) / 0.018015
    >>> moles = equilibrium_moles(water, 2500.0, 1.0)
    >>> round(float(moles[INDEX["H2"]] / moles[INDEX["H2O"]]), 4)
    0.0204
    """
    b = floats(elements)
    T, v = floats(temperature), floats(specific_volume)
    _require_burnable(b)
    require((T >= LOWEST_TEMPERATURE) & (T <= HIGHEST_TEMPERATURE), "temperature must lie within 200 to 6000 K")
    require(v > 0.0, "volume must be above zero")
    T, v = np.broadcast_arrays(T, v)
    scale = GAS_CONSTANT * T / (v * STANDARD_PRESSURE)
    carbon, hydrogen, oxygen, nitrogen = (b[..., j] * scale for j in range(4))
    constants = equilibrium_constants(T)
    k = tuple(constants[..., j] for j in range(6))
    target = np.log(oxygen - carbon)
    high = 0.5 * np.log(0.5 * oxygen) + 0.0 * target  # all the oxygen as O2
    low = np.full_like(high, -330.0)
    w = np.maximum(high + 0.25 * np.log(np.clip(oxygen - 2.0 * carbon - 0.5 * hydrogen, 1e-8, None) / oxygen), low)
    for _ in range(200):
        now = split(np.exp(w), k, (carbon, hydrogen, nitrogen))
        error = np.log(now.oxygen) - target
        low, high = np.where(error < 0.0, w, low), np.where(error > 0.0, w, high)
        step = w - error * now.oxygen / now.slope
        # Newton's step where it stays in the bracket, else halve the bracket: near the right mixture the balance is a plateau
        new = np.where((step > low) & (step < high), step, 0.5 * (low + high))
        done = np.max(np.abs(new - w)) < 1e-13 * 330.0
        w = new
        if done:
            break
    pressures = split(np.exp(w), k, (carbon, hydrogen, nitrogen)).pressures
    result = np.zeros((*np.shape(w), len(SPECIES)))
    for name, p in zip(PRODUCTS, pressures, strict=False):
        result[..., INDEX[name]] = p / scale
    result[..., INDEX["Ar"]] = b[..., 4]
    return result


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
        if np.max(np.abs(step) / T) < 1e-11:
            break
    require(np.abs(value(T) - target) < 1e-7 * np.maximum(np.abs(target), 1e3), "no equilibrium between 200 and 6000 K")
    return T


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

    Raises
    ------
    ValueError
        As `equilibrium_moles`, and where no temperature fits.

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

    Raises
    ------
    ValueError
        As `equilibrium_moles`, and where no temperature fits.

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
