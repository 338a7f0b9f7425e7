"""Gas properties along a whole pressure trace at once, written for speed: the same equations as `thermo` and `equilibrium`."""

from dataclasses import dataclass

import numpy as np

from borewright.physics.arrays import FloatArray, limited
from borewright.physics.gas.equilibrium import POSITION, REACTION_HIGH
from borewright.physics.gas.thermo import GAS_CONSTANT, HIGH, STANDARD_PRESSURE, SWITCH_TEMPERATURE, FrozenGas

# internal energy over R of each product from 1, T, …, T⁵ over 1000 K, and a last row that counts the moles
_ENERGY = np.vstack(
    [
        HIGH[POSITION[:10], 5],
        HIGH[POSITION[:10], 0] - 1.0,
        HIGH[POSITION[:10], 1] / 2.0,
        HIGH[POSITION[:10], 2] / 3.0,
        HIGH[POSITION[:10], 3] / 4.0,
        HIGH[POSITION[:10], 4] / 5.0,
        np.ones(10),
    ]
)

# T·d ln K/dT from 1, T, T², T³, T⁴, 1/T, 1
_REACTIONS = np.ascontiguousarray(REACTION_HIGH.T)
_REACTION_SLOPES = REACTION_HIGH.T * np.array([1.0, 1.0, 2.0, 3.0, 4.0, -1.0, 0.0])

PRODUCT_LENGTH = 3000
"""Columns of a product of matrices at a time."""

FIRST_OXYGEN_STEPS, OXYGEN_STEPS = 3, 1
"""Steps of Newton's rule that bring the oxygen near its balance before the properties are taken: from a guess, and from the last pass.
One more is taken with them. Without them the balance lags behind the temperatures and the trace wants another pass."""


def unburned_properties(gas: FrozenGas, T: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Heat capacity, standard entropy and internal energy of a gas of fixed composition.

    Parameters
    ----------
    gas : FrozenGas
        Of each row [N].
    T : array [S, N] [K]

    Returns
    -------
    heat_capacity, entropy : array [S, N] [J/(kg·K)]
    internal_energy : array [S, N] [J/kg]

    References
    ----------
    As `thermo.heat_capacity`, `thermo.standard_entropy` and `thermo.internal_energy`.

    Examples
    --------
    >>> from borewright.physics.gas.fuel import AIR
    >>> from borewright.physics.gas.thermo import frozen_gas
    >>> cp, s, u = unburned_properties(frozen_gas(AIR[None]), np.array([[300.0]]))
    >>> round(float(cp[0, 0]), 1)
    1011.5
    """
    found = _unburned(gas.gas_constant, gas.low, T)
    hot = np.flatnonzero(T.max(axis=1) >= SWITCH_TEMPERATURE)
    if hot.size:
        late = slice(hot[0], hot[-1] + 1)
        warm = _unburned(gas.gas_constant, gas.high, T[late])
        cool = T[late] < SWITCH_TEMPERATURE
        for values, there in zip(found, warm, strict=True):
            values[late] = np.where(cool, values[late], there)
    return found


def _unburned(gas_constant: FloatArray, polynomial: FloatArray, T: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The same by one range's polynomial."""
    a1, a2, a3, a4, a5, a6, a7 = polynomial.T
    t2, t3, t4 = a2 * T, a3 * T, a4 * T
    t3 *= T
    T2 = T * T
    t4 *= T2
    t5 = a5 * (T2 * T2)
    cp = a1 + t2 + t3 + t4 + t5
    s = a7 + a1 * np.log(T) + t2 + t3 / 2.0 + t4 / 3.0 + t5 / 4.0
    u = a6 + T * (a1 - gas_constant + t2 / 2.0 + t3 / 3.0 + t4 / 4.0 + t5 / 5.0)
    return cp, s, u


def oxygen_guess(T: FloatArray, atoms: tuple[FloatArray, ...]) -> FloatArray:
    """First guess of ln √p(O2): what is left over where lean, what dissociation or the want of oxygen gives where not.

    Parameters
    ----------
    T : array [K]
    atoms : four arrays [bar]
        C, H, O, N.

    Returns
    -------
    array [1]

    Examples
    --------
    >>> atoms = tuple(np.array(value) for value in (1.0, 2.0, 5.0, 10.0))
    >>> round(float(oxygen_guess(np.array(1500.0), atoms)), 6)
    0.0
    """
    carbon, hydrogen, oxygen, _ = atoms
    K = np.exp(np.clip(31500.0 / T - 9.0, 0.0, 60.0))  # between the constants of carbon dioxide and of water
    burned = carbon + hydrogen / 2.0
    spare = oxygen - carbon - burned
    balanced = np.cbrt(burned / (2.0 * K))
    lean = np.sqrt(np.maximum(spare, 0.0) / 2.0)
    rich = burned / (K * np.maximum(-spare, 1e-12))
    result: FloatArray = np.log(np.where(spare > 0.0, np.maximum(lean, balanced), np.minimum(rich, balanced)))
    return result


@dataclass(frozen=True)
class BurnedGas:
    """Burned gas on a trace: moles per kilogram, internal energy, their slopes with temperature, and ln √p(O2) with its slope."""

    moles: FloatArray
    energy: FloatArray
    moles_slope: FloatArray
    energy_slope: FloatArray
    log_x: FloatArray
    log_x_slope: FloatArray


def _oxygen_off(
    log_x: FloatArray, k: FloatArray, carbon: FloatArray, hydrogen: FloatArray, oxygen: FloatArray, nitrogen: FloatArray
) -> FloatArray:
    """How far ln √p(O2) is off by Newton's rule: as `equilibrium.split`, with the oxygen's balance alone."""
    x = np.exp(log_x)
    k2x, k4x, k5x = k[1] * x, k[3] * x, k[4] * x
    share = 1.0 / (1.0 + k[0] * x)
    co2 = carbon - carbon * share
    a, b = 1.0 + k2x, k[2] + k4x
    y = 2.0 * hydrogen / (b + np.sqrt(b * b + 8.0 * a * hydrogen))
    z = 2.0 * nitrogen / (k5x + np.sqrt(k5x * k5x + 8.0 * nitrogen))
    h2o, oh, no, o2, o = k2x * y * y, k4x * y, k5x * z, x * x, k[5] * x
    linear = h2o + oh + o + 4.0 * o2
    taken = linear + co2 + no - 2.0 * o2
    by_h = (2.0 * k2x * y + k4x) * (2.0 * h2o + oh) / (4.0 * a * y + b)
    slope = linear + co2 * share - by_h + no * (1.0 - k5x / (4.0 * z + k5x))
    return limited(np.log(taken / (oxygen - carbon)) * taken / slope, -1.5, 1.5)


def _times(matrix: FloatArray, rows: FloatArray) -> FloatArray:
    """A small matrix with long rows, in such lengths that the library for it starts no threads, which cost more than they bring here."""
    flat = rows.reshape(rows.shape[0], -1)
    whole = np.empty((matrix.shape[0], flat.shape[1]))
    for first in range(0, flat.shape[1], PRODUCT_LENGTH):
        part = slice(first, first + PRODUCT_LENGTH)
        np.matmul(matrix, flat[:, part], out=whole[:, part])
    return whole.reshape(matrix.shape[0], *rows.shape[1:])


def burned_properties(T: FloatArray, p: FloatArray, moles: FloatArray, log_x: FloatArray | None, elements: FloatArray) -> BurnedGas:
    """One pass of the equilibrium at given temperature and pressure, from the last pass's moles and oxygen.

    Passes repeated with their own results end in the state of `equilibrium.equilibrium_moles`, which a test compares. Over 1000 K.
    Slopes are those of the shifting equilibrium at given atoms per volume.

    Parameters
    ----------
    T, p : array [S, N] [K], [Pa]
    moles : array [S, N] [mol/kg]
        Guess of the sum of moles per kilogram.
    log_x : array [S, N] [1] or None
        Guess of ln √p(O2), pressure in bar.
    elements : array [N, 5] [mol/kg]
        Atoms of C, H, O, N, Ar; argon must be none.

    Returns
    -------
    BurnedGas

    References
    ----------
    As `equilibrium.equilibrium_moles`; the slopes are its implicit derivatives.

    Examples
    --------
    >>> from borewright.physics.gas.fuel import ISOOCTANE, charge_mixture
    >>> from borewright.physics.gas.thermo import ATOMS
    >>> elements = (charge_mixture(ISOOCTANE, 1.0)[0] @ ATOMS)[None]
    >>> T, p = np.array([[2500.0]]), np.array([[30e5]])
    >>> n, x = np.array([[35.0]]), None
    >>> for _ in range(8):
    ...     gas = burned_properties(T, p, n, x, elements)
    ...     n, x = gas.moles, gas.log_x
    >>> round(float(n[0, 0]), 2)
    35.23
    """
    scale = p / (STANDARD_PRESSURE * moles)
    carbon, hydrogen, oxygen, nitrogen = (scale * elements[:, j] for j in range(4))
    basis = np.empty((7, *T.shape))
    np.log(T, out=basis[0])
    basis[0] -= 1.0
    basis[1] = T
    for j in (2, 3, 4):
        np.multiply(basis[j - 1], T, out=basis[j])
    np.divide(1.0, T, out=basis[5])
    basis[6] = 1.0
    k = _times(_REACTIONS, basis)
    np.exp(k, out=k)
    # T·d ln K/dT = ΔH/RT: the basis' own slopes times T are 1, T, 2T², 3T³, 4T⁴, −1/T, 0
    basis[0] = 1.0
    heat = _times(_REACTION_SLOPES, basis)
    steps = OXYGEN_STEPS
    if log_x is None:
        log_x, steps = oxygen_guess(T, (carbon, hydrogen, oxygen, nitrogen)), FIRST_OXYGEN_STEPS
    for _ in range(steps):
        log_x = log_x - _oxygen_off(log_x, k, carbon, hydrogen, oxygen, nitrogen)

    x = np.exp(log_x)
    k1x, k2x, k4x, k5x = k[0] * x, k[1] * x, k[3] * x, k[4] * x
    share = 1.0 / (1.0 + k1x)
    gas, change = np.empty((10, *T.shape)), np.empty((10, *T.shape))
    gas[1] = carbon * share
    gas[0] = carbon - gas[1]
    a, b = 1.0 + k2x, k[2] + k4x
    y = 2.0 * hydrogen / (b + np.sqrt(b * b + 8.0 * a * hydrogen))
    z = 2.0 * nitrogen / (k5x + np.sqrt(k5x * k5x + 8.0 * nitrogen))
    np.multiply(y, y, out=gas[2])
    np.multiply(k2x, gas[2], out=gas[3])
    np.multiply(x, x, out=gas[4])
    np.multiply(z, z, out=gas[5])
    np.multiply(k5x, z, out=gas[6])
    np.multiply(k4x, y, out=gas[7])
    np.multiply(k[2], y, out=gas[8])
    np.multiply(k[5], x, out=gas[9])
    taken = gas[0] + gas[3] + gas[6] + gas[7] + 2.0 * gas[4] + gas[9]

    # per unit of d ln T at steady x, then the change of x that keeps the oxygen balanced
    dw1 = gas[0] * share
    by_h = 1.0 / (4.0 * a * y + b)
    by_n = gas[6] * (1.0 - k5x / (4.0 * z + k5x))
    k2y = 2.0 * k2x * y
    pull = 2.0 * gas[3] + gas[7]
    slope = dw1 + gas[3] + gas[7] - (k2y + k4x) * pull * by_h + by_n + 4.0 * gas[4] + gas[9]
    cool = (2.0 * gas[3] * heat[1] + gas[8] * heat[2] + gas[7] * heat[3]) * by_h
    drive = dw1 * heat[0] + gas[3] * heat[1] + gas[7] * heat[3] - (k2y + k4x) * cool + by_n * heat[4] + gas[9] * heat[5]
    turn = -drive / slope
    dy = -(cool + pull * by_h * turn)
    np.multiply(dw1, heat[0] + turn, out=change[0])
    np.negative(change[0], out=change[1])
    np.multiply(2.0 * y, dy, out=change[2])
    change[3] = gas[3] * (heat[1] + turn) + k2y * dy
    np.multiply(2.0 * gas[4], turn, out=change[4])
    change[6] = by_n * (heat[4] + turn)
    np.multiply(-0.5, change[6], out=change[5])
    change[7] = gas[7] * (heat[3] + turn) + k4x * dy
    change[8] = gas[8] * heat[2] + k[2] * dy
    change[9] = gas[9] * (heat[5] + turn)

    def polynomial(c: FloatArray) -> FloatArray:
        total: FloatArray = c[0] + T * (c[1] + T * (c[2] + T * (c[3] + T * (c[4] + T * c[5]))))
        return total

    sums, moved = _times(_ENERGY, gas), _times(_ENERGY, change)
    factor = GAS_CONSTANT / scale
    frozen = sums[1] + T * (2.0 * sums[2] + T * (3.0 * sums[3] + T * (4.0 * sums[4] + T * 5.0 * sums[5])))
    correction = limited(np.log(taken / (oxygen - carbon)) * taken / slope, -1.5, 1.5)
    return BurnedGas(
        moles=sums[6] / scale,
        energy=factor * polynomial(sums),
        moles_slope=moved[6] / (scale * T),
        energy_slope=factor * (frozen + polynomial(moved) / T),
        log_x=log_x - correction,
        log_x_slope=turn / T,
    )
