"""Fuels as blends of species whose properties are published."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats, require
from borewright.physics.gas.thermo import ATOMS, INDEX, SPECIES, STANDARD_TEMPERATURE, enthalpy, frozen_gas, mixture


@dataclass(frozen=True, eq=False)
class Fuel:
    """A fuel, itself and no other: `moles` of each species per kilogram of vapor [species] [mol/kg]."""

    name: str
    moles: FloatArray

    @cached_property
    def elements(self) -> FloatArray:
        """Atoms of C, H, O, N, Ar per kilogram [mol/kg]."""
        return self.moles @ ATOMS

    @cached_property
    def oxygen_demand(self) -> float:
        """Oxygen molecules that burn one kilogram completely [mol/kg]."""
        carbon, hydrogen, oxygen = self.elements[:3]
        return float(carbon + hydrogen / 4.0 - oxygen / 2.0)


def fuel_blend(name: str, moles: Mapping[str, float]) -> Fuel:
    """A fuel from relative moles of its species.

    Parameters
    ----------
    name : str
    moles : mapping of species to number [mol]

    Returns
    -------
    Fuel

    Raises
    ------
    ValueError
        For an unknown species or a blend that needs no oxygen.

    Examples
    --------
    >>> round(fuel_blend("isooctane", {"isooctane": 1.0}).oxygen_demand * 0.114232, 9)
    12.5
    """
    blend = Fuel(name, mixture(moles))
    require(blend.oxygen_demand > 0.0, "a fuel must need oxygen to burn")
    return blend


AIR = mixture({"O2": 1.0, "N2": 3.773})
"""Air for combustion, argon counted as nitrogen [mol/kg]: J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 3.3."""

DRY_AIR = mixture({"O2": 0.20946, "N2": 0.78084, "Ar": 0.00934, "CO2": 0.00036})
"""Dry air with its argon [mol/kg]: US Standard Atmosphere 1976, from memory."""

NITROUS_OXIDE = mixture({"N2O": 1.0})

ISOOCTANE = fuel_blend("isooctane", {"isooctane": 1.0})
GASOLINE = fuel_blend("gasoline", {"isooctane": 1.0, "toluene": 0.597})
"""Isooctane and toluene in the ratio that gives hydrogen to carbon 1.87, as J. B. Heywood, 1988, App. D, has for gasoline."""
TOLUENE = fuel_blend("toluene", {"toluene": 1.0})
ETHANOL = fuel_blend("ethanol", {"ethanol": 1.0})
METHANOL = fuel_blend("methanol", {"methanol": 1.0})
PROPANE = fuel_blend("propane", {"propane": 1.0})
METHANE = fuel_blend("methane", {"methane": 1.0})

FUELS = {fuel.name: fuel for fuel in (ISOOCTANE, GASOLINE, TOLUENE, ETHANOL, METHANOL, PROPANE, METHANE)}


@lru_cache(maxsize=64)
def lower_heating_value(fuel: Fuel) -> float:
    """Heat of complete combustion at 298.15 K and constant pressure, fuel and water as vapor.

    Parameters
    ----------
    fuel : Fuel

    Returns
    -------
    float [J/kg]

    References
    ----------
    Enthalpies of formation of NASA TM-4513, 1993.

    Examples
    --------
    >>> round(lower_heating_value(ISOOCTANE) / 1e6, 2)
    44.65
    """
    carbon, hydrogen, _, nitrogen, _ = fuel.elements
    products = np.zeros(len(SPECIES))
    products[INDEX["CO2"]], products[INDEX["H2O"]], products[INDEX["N2"]] = carbon, hydrogen / 2.0, nitrogen / 2.0
    oxygen = np.zeros(len(SPECIES))
    oxygen[INDEX["O2"]] = fuel.oxygen_demand
    T = STANDARD_TEMPERATURE
    return float(enthalpy(frozen_gas(fuel.moles + oxygen), T) - enthalpy(frozen_gas(products), T))


def stoichiometric_air_fuel_ratio(fuel: Fuel) -> float:
    """Mass of air that burns a unit mass of fuel completely.

    Parameters
    ----------
    fuel : Fuel

    Returns
    -------
    float [1]

    References
    ----------
    Atom balance with the air of `AIR`.

    Examples
    --------
    >>> round(stoichiometric_air_fuel_ratio(ISOOCTANE), 2)
    15.07
    """
    return fuel.oxygen_demand / float(AIR[INDEX["O2"]])


def charge_mixture(fuel: Fuel, equivalence_ratio: ArrayLike, nitrous_to_air: ArrayLike = 0.0) -> tuple[FloatArray, FloatArray]:
    """Unburned mixture of fuel vapor, air and nitrous oxide.

    The equivalence ratio counts all the oxygen, that of the nitrous oxide (0.36351 of its mass) as well as that of the air.

    Parameters
    ----------
    fuel : Fuel
    equivalence_ratio : array [1]
    nitrous_to_air : array [1]
        Mass of nitrous oxide over mass of air.

    Returns
    -------
    moles : array [..., species] [mol/kg]
    fuel_fraction : array [1]
        Mass of fuel over mass of mixture.

    Notes
    -----
    NaN for an equivalence ratio at or below zero or a negative share of nitrous oxide.

    References
    ----------
    Atom balance.

    Examples
    --------
    >>> moles, fuel_fraction = charge_mixture(ISOOCTANE, 1.0)
    >>> round(float(fuel_fraction), 5), round(float(moles.sum()), 2)
    (0.06224, 33.05)
    """
    phi, beta = np.broadcast_arrays(floats(equivalence_ratio), floats(nitrous_to_air))
    phi = defined(phi, (phi > 0.0) & np.isfinite(phi), "the equivalence ratio must be above zero")
    beta = defined(beta, (beta >= 0.0) & np.isfinite(beta), "the share of nitrous oxide must not be negative")
    oxygen = AIR[INDEX["O2"]] + beta * NITROUS_OXIDE[INDEX["N2O"]] / 2.0
    fuel_mass = phi * oxygen / fuel.oxygen_demand
    total = 1.0 + beta + fuel_mass
    moles = (AIR + beta[..., None] * NITROUS_OXIDE + fuel_mass[..., None] * fuel.moles) / total[..., None]
    return moles, fuel_mass / total
