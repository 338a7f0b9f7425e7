"""What the cylinder traps: compressor, intercooler, nitrous oxide, residual gas, and the mixture at intake closing."""

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.gas.fuel import AIR, NITROUS_OXIDE, Fuel, charge_mixture
from borewright.physics.gas.thermo import ATOMS, GAS_CONSTANT, INDEX, SPECIES, FrozenGas, enthalpy, frozen_gas, heat_capacity

COMPRESSION_EXPONENT = 0.4 / 1.4
"""(γ − 1)/γ of cold air for the compressor: M. J. Moran, H. N. Shapiro, ch. 9 (cold-air standard)."""

NITROUS_REFERENCE = 298.15
"""Temperature of the gas that `NITROUS_HEATS` count to [K]."""

NITROUS_BOILING_POINT = 184.67
"""Boiling point of nitrous oxide at 1 atm [K]: CoolProp's reference equation (from memory)."""

BOTTLE_TEMPERATURES = np.array([233.15, 253.15, 263.15, 273.15, 283.15, 288.15, 293.15, 298.15, 303.15, 306.15, 308.15])
NITROUS_HEATS = np.array([382.80e3, 344.62e3, 324.37e3, 303.00e3, 279.97e3, 267.53e3, 254.17e3, 239.37e3, 221.86e3, 208.29e3, 195.11e3])
"""Heat that saturated liquid nitrous oxide at these temperatures [K] takes to become gas of 298.15 K at 1 bar [J/kg]: E. W. Lemmon,
R. Span, J. Chem. Eng. Data 51, 2006, by CoolProp 7."""

RESIDUAL_TEMPERATURE = 1000.0
"""Burned gas left in the clearance volume as the intake opens [K]: from memory, J. B. Heywood, 1988, ch. 5 and 6."""

WATER_GAS_CONSTANT = 3.5
"""CO + H2O = CO2 + H2 frozen near 1740 K, K = [CO][H2O]/([CO2][H2]): J. B. Heywood, 1988, ch. 4.9 (from memory)."""

_AIR_MOLES = float(AIR.sum())
_AIR_GAS = frozen_gas(AIR)
_NITROUS_GAS = frozen_gas(NITROUS_OXIDE)


def compressor_outlet_temperature(temperature: ArrayLike, pressure_ratio: ArrayLike, efficiency: ArrayLike) -> FloatArray:
    """Air temperature after a compressor, T₂ = T₁·(1 + (Π^0.2857 − 1)/η).

    Parameters
    ----------
    temperature : array [K]
        At the inlet, above zero.
    pressure_ratio : array [1]
        1 or more.
    efficiency : array [1]
        Isentropic, above 0 up to 1.

    Returns
    -------
    array [K]

    Notes
    -----
    NaN for inputs outside these ranges.

    References
    ----------
    Definition of isentropic efficiency; M. J. Moran, H. N. Shapiro, Fundamentals of Engineering Thermodynamics, ch. 6.

    Examples
    --------
    >>> round(float(compressor_outlet_temperature(298.15, 1.5, 0.7)), 2)
    350.46
    """
    T, ratio, eta = floats(temperature), floats(pressure_ratio), floats(efficiency)
    T = defined(T, T > 0.0, "temperature must be above zero")
    ratio = defined(ratio, ratio >= 1.0, "a compressor does not lower the pressure")
    eta = defined(eta, (eta > 0.0) & (eta <= 1.0), "compressor efficiency must lie above 0 and up to 1")
    return T * (1.0 + (ratio**COMPRESSION_EXPONENT - 1.0) / eta)


def intercooler_outlet_temperature(temperature: ArrayLike, coolant_temperature: ArrayLike, effectiveness: ArrayLike) -> FloatArray:
    """Air temperature after an intercooler, T₂ = T₁ − ε·(T₁ − Tc).

    Parameters
    ----------
    temperature, coolant_temperature : array [K]
    effectiveness : array [1]
        0 for none, 1 for the best possible.

    Returns
    -------
    array [K]

    Notes
    -----
    NaN for an effectiveness outside 0 to 1.

    References
    ----------
    Definition of heat-exchanger effectiveness.

    Examples
    --------
    >>> float(intercooler_outlet_temperature(350.0, 300.0, 0.6))
    320.0
    """
    T, Tc, eps = floats(temperature), floats(coolant_temperature), floats(effectiveness)
    T = defined(T, (eps >= 0.0) & (eps <= 1.0), "intercooler effectiveness must lie within 0 to 1")
    return T - eps * (T - Tc)


@dataclass(frozen=True)
class Fill:
    """What passes the intake valve in one cycle: masses [kg] of air and nitrous oxide, temperature of the mixture [K]."""

    air: FloatArray
    nitrous: FloatArray
    temperature: FloatArray


def fill(
    pressure: ArrayLike,
    temperature: ArrayLike,
    swept_volume: ArrayLike,
    volumetric_efficiency: ArrayLike,
    nitrous: ArrayLike = 0.0,
    evaporated: ArrayLike = 1.0,
    bottle_temperature: ArrayLike = NITROUS_REFERENCE,
) -> Fill:
    """Air that fills a cylinder beside a given mass of nitrous oxide that evaporates in it.

    Volumetric efficiency counts the gas drawn in, air and nitrous oxide at the mixture's temperature, over the swept volume at
    manifold pressure; a mixture that the nitrous oxide cools is warmed more on its way in, so it falls as the root of the absolute
    temperature. The share of the nitrous oxide that evaporates before the valve takes its heat from the air:
    m_air·(h(T₀) − h(T)) = m·e·(q(T_bottle) + h_g(T) − h_g(298 K)), q of `NITROUS_HEATS`. The rest takes no room and evaporates on hot
    walls, which give the heat: counting its cold as well would flatter the knock margin.

    Parameters
    ----------
    pressure : array [Pa]
        In the manifold.
    temperature : array [K]
        Of the air before nitrous oxide joins it.
    swept_volume : array [m³]
    volumetric_efficiency : array [1]
    nitrous : array [kg]
        Per cycle and cylinder.
    evaporated : array [1]
        Share that evaporates before the valve, 0 to 1.
    bottle_temperature : array [K]
        Of the liquid in its bottle, 233.15 to 308.15.

    Returns
    -------
    Fill
        Air of zero or less where the nitrous oxide leaves no room.

    Notes
    -----
    NaN for pressure, temperature, volume or efficiency at or below zero, or negative nitrous oxide.

    References
    ----------
    First law and the ideal gas; heats as `NITROUS_HEATS`. The root of the temperature: SAE J1349, 1990, for air; M. P. Heldt, P. H. Smith
    as quoted by others.

    Examples
    --------
    >>> plain = fill(101325.0, 298.15, 500e-6, 0.9)
    >>> round(float(plain.air) * 1e3, 4)
    0.5306
    >>> float(fill(101325.0, 298.15, 500e-6, 0.9, 50e-6).temperature) < 298.15
    True
    """
    p, T0, V, eta = floats(pressure), floats(temperature), floats(swept_volume), floats(volumetric_efficiency)
    m, e, bottle = floats(nitrous), floats(evaporated), floats(bottle_temperature)
    p = defined(p, (p > 0.0) & (T0 > 0.0) & (V > 0.0) & (eta > 0.0), "pressure, temperature, volume and efficiency must be above zero")
    m = defined(m, (m >= 0.0) & (e >= 0.0) & (e <= 1.0), "nitrous oxide must not be negative, its evaporated share within 0 to 1")
    inside = (bottle >= BOTTLE_TEMPERATURES[0]) & (bottle <= BOTTLE_TEMPERATURES[-1])
    m = defined(m, inside, "the bottle's temperature must lie within −40 to 35 degC")
    p, T0, V, eta, m, e, bottle = np.broadcast_arrays(p, T0, V, eta, m, e, bottle)
    T = T0
    air = p * eta * V / (GAS_CONSTANT * T) / _AIR_MOLES
    if np.any(m > 0.0):
        heat, gas = np.interp(bottle, BOTTLE_TEMPERATURES, NITROUS_HEATS), m * e
        warmest = np.maximum(T0, NITROUS_BOILING_POINT)

        def air_at(T: FloatArray) -> FloatArray:
            return np.asarray((p * eta * np.sqrt(T / T0) * V / (GAS_CONSTANT * T) - gas * NITROUS_OXIDE.sum()) / _AIR_MOLES)

        def mixed(T: FloatArray) -> FloatArray:
            """What the air at a temperature and the gas come to; it hangs little on that temperature."""
            cp_air, cp_gas = heat_capacity(_AIR_GAS, 0.5 * (T + T0)), heat_capacity(_NITROUS_GAS, 0.5 * (T + NITROUS_REFERENCE))
            room = np.maximum(air_at(T), 1e-9)
            both = (room * cp_air * T0 + gas * (cp_gas * NITROUS_REFERENCE - heat)) / (room * cp_air + gas * cp_gas)
            return np.asarray(np.minimum(np.maximum(both, NITROUS_BOILING_POINT), warmest))

        for _ in range(3):  # Aitken's rule: each step comes about as much closer as four of `mixed`
            once = mixed(T)
            twice = mixed(once)
            bend = twice - 2.0 * once + T
            curved = np.abs(bend) > 1e-9
            T = twice - np.where(curved, (twice - once) ** 2 / np.where(curved, bend, 1.0), 0.0)
            T = np.minimum(np.maximum(T, NITROUS_BOILING_POINT), warmest)
        air = air_at(T)
    return Fill(air, m, T)


def spent_moles(elements: FloatArray) -> FloatArray:
    """Burned gas after it has cooled: complete where oxygen suffices, else frozen water-gas equilibrium.

    Parameters
    ----------
    elements : array [..., 5] [mol/kg]
        Atoms of C, H, O, N, Ar.

    Returns
    -------
    array [..., species] [mol/kg]

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, table 4.3.

    Examples
    --------
    >>> lean = spent_moles(np.array([1.0, 2.0, 4.0, 8.0, 0.0]))
    >>> [float(lean[INDEX[name]]) for name in ("CO2", "H2O", "O2", "N2", "CO")]
    [1.0, 1.0, 0.5, 4.0, 0.0]
    """
    carbon, hydrogen, oxygen, nitrogen, argon = np.moveaxis(elements, -1, 0)
    h = hydrogen / 2.0
    spare = oxygen - 2.0 * carbon - h
    short = np.maximum(-spare, 0.0)
    # co + h2 = short and co·h2o = K·co2·h2 give a quadratic in the carbon monoxide
    K = WATER_GAS_CONSTANT
    a, b, c = K - 1.0, -(K * (carbon + short) + h - short), K * carbon * short
    co = 2.0 * c / (-b + np.sqrt(np.maximum(b * b - 4.0 * a * c, 0.0)))
    result = np.zeros((*carbon.shape, len(SPECIES)))
    result[..., INDEX["CO"]], result[..., INDEX["CO2"]] = co, carbon - co
    result[..., INDEX["H2"]], result[..., INDEX["H2O"]] = short - co, h - short + co
    result[..., INDEX["O2"]], result[..., INDEX["N2"]], result[..., INDEX["Ar"]] = np.maximum(spare, 0.0) / 2.0, nitrogen / 2.0, argon
    return result


@dataclass(frozen=True)
class TrappedCharge:
    """The gas at intake closing: masses [kg], temperature [K], residual fraction [1], mixture as a gas, and atoms [mol/kg]."""

    mass: FloatArray
    fuel_mass: FloatArray
    air_mass: FloatArray
    nitrous_mass: FloatArray
    residual_fraction: FloatArray
    temperature: FloatArray
    gas: FrozenGas
    elements: FloatArray

    def take(self, rows: NDArray[np.intp]) -> "TrappedCharge":
        """Some of the rows."""
        arrays = {one.name: getattr(self, one.name)[rows] for one in fields(self) if one.name != "gas"}
        return replace(self, gas=self.gas.take(rows), **arrays)


def trapped_charge(
    filling: Fill,
    fuel: Fuel,
    equivalence_ratio: ArrayLike,
    residual_mass: ArrayLike,
    heating: ArrayLike = 0.0,
    residual_temperature: ArrayLike = RESIDUAL_TEMPERATURE,
) -> TrappedCharge:
    """Fresh charge, warmed on its way in, mixed with residual gas at constant pressure.

    Parameters
    ----------
    filling : Fill
        Air above zero.
    fuel : Fuel
        Taken as vapor.
    equivalence_ratio : array [1]
        Over the oxygen of air and nitrous oxide.
    residual_mass : array [kg]
    heating : array [K]
        Temperature rise of the fresh charge in port and cylinder.
    residual_temperature : array [K]

    Returns
    -------
    TrappedCharge

    Notes
    -----
    NaN for no air or a negative residual.

    References
    ----------
    First law at constant pressure; properties of NASA TM-4513, 1993.

    Examples
    --------
    >>> from borewright.physics.gas.fuel import ISOOCTANE
    >>> charge = trapped_charge(fill(101325.0, 298.15, 500e-6, 0.9), ISOOCTANE, 1.0, 20e-6, 20.0)
    >>> round(float(charge.temperature))
    344
    """
    air, mr = np.broadcast_arrays(filling.air, floats(residual_mass))
    air = defined(air, air > 0.0, "there must be air in the charge")
    mr = defined(mr, mr >= 0.0, "residual gas must not be negative")
    beta = filling.nitrous / air
    moles, fuel_fraction = charge_mixture(fuel, equivalence_ratio, beta)
    elements = moles @ ATOMS
    fresh_mass = (air + filling.nitrous) / (1.0 - fuel_fraction)
    mass = fresh_mass + mr
    xr = mr / mass
    residual = spent_moles(elements)
    fresh_gas, residual_gas = frozen_gas(moles), frozen_gas(residual)
    gas = frozen_gas(moles * (1.0 - xr)[..., None] + residual * xr[..., None])
    Tf, Tr = filling.temperature + floats(heating), floats(residual_temperature)
    h = (1.0 - xr) * enthalpy(fresh_gas, Tf) + xr * enthalpy(residual_gas, Tr)
    T = (1.0 - xr) * Tf + xr * Tr
    for _ in range(3):
        T = T + (h - enthalpy(gas, T)) / heat_capacity(gas, T)
    return TrappedCharge(mass, fuel_fraction * fresh_mass, air, filling.nitrous, xr, T, gas, elements)
