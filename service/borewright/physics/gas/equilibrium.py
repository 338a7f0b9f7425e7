"""Chemical equilibrium of burned gas: CO2, CO, H2, H2O, O2, N2, NO, OH, H, O and argon at given temperature and volume.

With x = √p(O2) every other partial pressure follows in closed form from the atom balances of carbon, hydrogen and nitrogen
(the last two are quadratics), which leaves the oxygen balance: one equation in x whose left side only rises. So a whole array of
states is solved by a guarded Newton's rule on one number each, with no matrices. Pressures inside are in units of 1 bar.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.gas.thermo import (
    GAS_CONSTANT,
    HIGH,
    HIGHEST_TEMPERATURE,
    INDEX,
    LOW,
    LOWEST_TEMPERATURE,
    SPECIES,
    STANDARD_PRESSURE,
    SWITCH_TEMPERATURE,
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
    """Partial pressures that fulfill the balances of carbon, hydrogen and nitrogen at a given x = √p(O2).

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


def _burnable(elements: FloatArray) -> FloatArray:
    real = np.all(elements >= 0.0, axis=-1, keepdims=True)
    b = defined(elements, real, "amounts of atoms must not be negative")
    return defined(b, b[..., 2:3] > b[..., :1], "there must be more oxygen than carbon, or soot forms, which is not modeled")


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

    Notes
    -----
    NaN for a temperature outside the range, negative amounts, or no more oxygen than carbon (soot).

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
    b = _burnable(floats(elements))
    T, v = floats(temperature), floats(specific_volume)
    T = defined(T, (T >= LOWEST_TEMPERATURE) & (T <= HIGHEST_TEMPERATURE), "temperature must lie within 200 to 6000 K")
    v = defined(v, v > 0.0, "volume must be above zero")
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
        moving = np.abs(new - w) >= 1e-13 * 330.0  # false where there is no number: it keeps nobody waiting
        w = new
        if not moving.any():
            break
    pressures = split(np.exp(w), k, (carbon, hydrogen, nitrogen)).pressures
    result = np.zeros((*np.shape(w), len(SPECIES)))
    for name, p in zip(PRODUCTS, pressures, strict=False):
        result[..., INDEX[name]] = p / scale
    result[..., INDEX["Ar"]] = b[..., 4]
    return result
