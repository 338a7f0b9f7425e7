"""Gas properties: ideal-gas mixtures whose species follow the NASA seven-coefficient polynomials.

A mixture is an array of moles of each species per kilogram, last axis in the order of `SPECIES`. A gas whose composition does
not change has one polynomial of its own, so `frozen_gas` adds the species up once and the property functions then cost the same
for any number of species.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike, NDArray

from borewright.physics.arrays import FloatArray, defined, floats, require

GAS_CONSTANT = 8.31446261815324
"""Molar gas constant [J/(mol·K)]: CODATA 2018, exact."""

STANDARD_PRESSURE = 1.0e5
"""Pressure [Pa] of the tabulated entropies: NASA TM-4513."""

STANDARD_TEMPERATURE = 298.15
"""Temperature [K] of enthalpies of formation and heating values: NASA TM-4513."""

SWITCH_TEMPERATURE = 1000.0
"""Temperature [K] at which the low range of the polynomials ends and the high one begins: NASA TM-4513."""

LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = 200.0, 6000.0
"""Validity [K] of the polynomials: NASA TM-4513."""

ELEMENTS = ("C", "H", "O", "N", "Ar")
_ATOMIC_MASS = np.array([12.011, 1.008, 15.999, 14.007, 39.948]) * 1e-3  # [kg/mol] IUPAC conventional atomic weights


def _table() -> tuple[tuple[str, ...], FloatArray, FloatArray, FloatArray]:
    text = (files("borewright.physics.gas") / "data" / "nasa_tm4513.csv").read_text("utf-8")
    rows = [line.split(",") for line in text.splitlines() if not line.startswith("#")][1:]
    numbers = np.array([[float(cell) for cell in row[1:]] for row in rows])
    return tuple(row[0] for row in rows), numbers[:, :5], numbers[:, 5:12], numbers[:, 12:19]


SPECIES, ATOMS, LOW, HIGH = _table()
"""Names; atoms per molecule [species, element]; coefficients [species, 7] under and over `SWITCH_TEMPERATURE`."""

INDEX = {name: position for position, name in enumerate(SPECIES)}
MOLAR_MASS = ATOMS @ _ATOMIC_MASS
"""Molar mass of each species [kg/mol]."""


@dataclass(frozen=True)
class FrozenGas:
    """A gas of fixed composition: gas constant [J/(kg·K)] and its own polynomial, `low` and `high` [..., 7], in J/(kg·K)."""

    gas_constant: FloatArray
    low: FloatArray
    high: FloatArray

    def take(self, rows: NDArray[np.intp]) -> "FrozenGas":
        """Some of the gases."""
        return FrozenGas(self.gas_constant[rows], self.low[rows], self.high[rows])


def mixture(moles: Mapping[str, ArrayLike]) -> FloatArray:
    """Moles per kilogram of a mixture given by relative moles of named species.

    Parameters
    ----------
    moles : mapping of species to array [mol]
        Any common scale. A species left out is absent.

    Returns
    -------
    array [..., species] [mol/kg]

    Raises
    ------
    ValueError
        For an unknown species or a mixture that weighs nothing.

    Examples
    --------
    >>> air = mixture({"O2": 0.2095, "N2": 0.7808, "Ar": 0.0097})
    >>> round(1e3 / float(air.sum()), 3)
    28.964
    """
    unknown = set(moles) - set(SPECIES)
    require(not unknown, f"unknown species: {', '.join(sorted(unknown))}")
    columns = np.broadcast_arrays(*[floats(moles.get(name, 0.0)) for name in SPECIES])
    amounts = np.stack(columns, axis=-1)
    mass = amounts @ MOLAR_MASS
    mass = defined(mass, mass > 0.0, "a mixture must weigh something")
    return amounts / mass[..., None]


def frozen_gas(moles: FloatArray) -> FrozenGas:
    """The gas of a fixed composition.

    Parameters
    ----------
    moles : array [..., species] [mol/kg]

    Returns
    -------
    FrozenGas

    Examples
    --------
    >>> round(float(frozen_gas(mixture({"N2": 1.0})).gas_constant), 1)
    296.8
    """
    n = floats(moles) * GAS_CONSTANT
    return FrozenGas(n.sum(axis=-1), n @ LOW, n @ HIGH)


def _coefficients(gas: FrozenGas, T: FloatArray) -> list[FloatArray]:
    low = T < SWITCH_TEMPERATURE
    if low.all() or not low.any():  # one range for all, which is the usual case and needs no choosing
        ranged = gas.low if low.all() else gas.high
        return [ranged[..., k] for k in range(7)]
    return [np.where(low, gas.low[..., k], gas.high[..., k]) for k in range(7)]


def heat_capacity(gas: FrozenGas, temperature: ArrayLike) -> FloatArray:
    """Heat capacity at constant pressure, cp = a1 + a2·T + a3·T² + a4·T³ + a5·T⁴.

    Parameters
    ----------
    gas : FrozenGas
    temperature : array [K]
        200 to 6000 K.

    Returns
    -------
    array [J/(kg·K)]

    References
    ----------
    B. J. McBride, S. Gordon, M. A. Reno, NASA TM-4513, 1993.

    Examples
    --------
    >>> round(float(heat_capacity(frozen_gas(mixture({"N2": 1.0})), 300.0)), 1)
    1039.7
    """
    T = floats(temperature)
    a1, a2, a3, a4, a5, _, _ = _coefficients(gas, T)
    return a1 + T * (a2 + T * (a3 + T * (a4 + T * a5)))


def enthalpy(gas: FrozenGas, temperature: ArrayLike) -> FloatArray:
    """Enthalpy, formation from the elements at 298.15 K included: the integral of `heat_capacity` plus a6.

    Parameters
    ----------
    gas : FrozenGas
    temperature : array [K]
        200 to 6000 K.

    Returns
    -------
    array [J/kg]

    References
    ----------
    B. J. McBride, S. Gordon, M. A. Reno, NASA TM-4513, 1993.

    Examples
    --------
    >>> round(float(enthalpy(frozen_gas(mixture({"CO2": 1.0})), 298.15)) * 44.009e-6, 2)
    -393.51
    """
    T = floats(temperature)
    a1, a2, a3, a4, a5, a6, _ = _coefficients(gas, T)
    return a6 + T * (a1 + T * (a2 / 2.0 + T * (a3 / 3.0 + T * (a4 / 4.0 + T * a5 / 5.0))))


def internal_energy(gas: FrozenGas, temperature: ArrayLike) -> FloatArray:
    """Internal energy u = h − R·T, formation included.

    Parameters
    ----------
    gas : FrozenGas
    temperature : array [K]

    Returns
    -------
    array [J/kg]

    References
    ----------
    As `enthalpy`; ideal gas.

    Examples
    --------
    >>> round(float(internal_energy(frozen_gas(mixture({"N2": 1.0})), 298.15)) / 1e3, 2)
    -88.49
    """
    return enthalpy(gas, temperature) - gas.gas_constant * floats(temperature)


def standard_entropy(gas: FrozenGas, temperature: ArrayLike) -> FloatArray:
    """Entropy of the unmixed species at 1 bar: a1·ln T + a2·T + a3·T²/2 + a4·T³/3 + a5·T⁴/4 + a7.

    The entropy of mixing of a frozen gas never changes and is left out.

    Parameters
    ----------
    gas : FrozenGas
    temperature : array [K]

    Returns
    -------
    array [J/(kg·K)]

    References
    ----------
    B. J. McBride, S. Gordon, M. A. Reno, NASA TM-4513, 1993.

    Examples
    --------
    >>> round(float(standard_entropy(frozen_gas(mixture({"Ar": 1.0})), 298.15)) * 39.948e-3, 2)
    154.85
    """
    T = floats(temperature)
    a1, a2, a3, a4, a5, _, a7 = _coefficients(gas, T)
    return a7 + a1 * np.log(T) + T * (a2 + T * (a3 / 2.0 + T * (a4 / 3.0 + T * a5 / 4.0)))


def heat_capacity_ratio(gas: FrozenGas, temperature: ArrayLike) -> FloatArray:
    """Ratio of heat capacities, γ = cp/(cp − R).

    Parameters
    ----------
    gas : FrozenGas
    temperature : array [K]

    Returns
    -------
    array [1]

    References
    ----------
    As `heat_capacity`; ideal gas.

    Examples
    --------
    >>> round(float(heat_capacity_ratio(frozen_gas(mixture({"O2": 1.0, "N2": 3.773})), 300.0)), 4)
    1.3985
    """
    cp = heat_capacity(gas, temperature)
    return cp / (cp - gas.gas_constant)


def isentropic_temperature(gas: FrozenGas, temperature: ArrayLike, volume_ratio: ArrayLike) -> FloatArray:
    """Temperature after compression without loss from a volume to that volume divided by the ratio.

    Solves s°(T₂) − R·ln T₂ = s°(T₁) − R·ln T₁ + R·ln(ratio) by Newton's rule on ln T, whose slope is cv.

    Parameters
    ----------
    gas : FrozenGas
    temperature : array [K]
        At the start.
    volume_ratio : array [1]
        Volume at the start over volume at the end; under 1 it is an expansion.

    Returns
    -------
    array [K]

    References
    ----------
    Second law for an ideal gas of variable heats; M. J. Moran, H. N. Shapiro, Fundamentals of Engineering Thermodynamics, ch. 6.

    Examples
    --------
    >>> argon = frozen_gas(mixture({"Ar": 1.0}))
    >>> round(float(isentropic_temperature(argon, 300.0, 8.0)), 6)
    1200.0
    """
    R = gas.gas_constant
    T1 = floats(temperature)
    target = standard_entropy(gas, T1) + R * np.log(floats(volume_ratio) / T1)
    T = T1 * floats(volume_ratio) ** (heat_capacity_ratio(gas, T1) - 1.0)
    for _ in range(30):
        step = (target - standard_entropy(gas, T) + R * np.log(T)) / (heat_capacity(gas, T) - R)
        T = T * np.exp(np.clip(step, -0.5, 0.5))
        if not np.any(np.abs(step) >= 1e-13):  # what is no number keeps nobody waiting
            break
    return T
