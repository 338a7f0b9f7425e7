"""Nitrous oxide by the power it is sold as."""

from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.cycle.trapped_charge import NITROUS_DECOMPOSITION
from borewright.physics.gas.fuel import NITROUS_OXIDE, Fuel, lower_heating_value
from borewright.physics.gas.thermo import INDEX


def nitrous_flow(power: ArrayLike, fuel: Fuel, brake_efficiency: ArrayLike) -> FloatArray:
    """Flow of nitrous oxide that adds a power, ṁ = P/(η·(q_O₂ + q_dec)).

    q_O₂ is the heat of the fuel that the oxygen of a kilogram of nitrous oxide burns, q_dec the heat of its decomposition.

    Parameters
    ----------
    power : array [W]
        At the crank, not negative.
    fuel : Fuel
    brake_efficiency : array [1]
        Share of that heat which reaches the crank, above 0 up to 1.

    Returns
    -------
    array [kg/s]

    Notes
    -----
    NaN for a negative power or an efficiency outside its range.

    References
    ----------
    Energy balance; oxygen from the atoms of N2O, heats of NASA TM-4513, 1993.

    Examples
    --------
    >>> from borewright.physics.gas.fuel import GASOLINE
    >>> round(float(nitrous_flow(75e3, GASOLINE, 0.27)) * 1e3, 1)
    42.6
    """
    P, eta = floats(power), floats(brake_efficiency)
    P = defined(P, P >= 0.0, "power must not be negative")
    eta = defined(eta, (eta > 0.0) & (eta <= 1.0), "efficiency must lie above 0 and up to 1")
    oxygen_heat = 0.5 * NITROUS_OXIDE[INDEX["N2O"]] / fuel.oxygen_demand * lower_heating_value(fuel)
    return floats(P / (eta * (oxygen_heat + NITROUS_DECOMPOSITION)))
