"""Nitrous oxide by the power it is sold as."""

from dataclasses import fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.cycle.cycle import solve_columns
from borewright.physics.cycle.state import RANGES, CylinderState, state_columns
from borewright.physics.cycle.trapped_charge import NITROUS_DECOMPOSITION
from borewright.physics.gas.fuel import NITROUS_OXIDE, Fuel, lower_heating_value
from borewright.physics.gas.thermo import INDEX

HALF_BURN = float(np.radians(9.0))
"""Angle of half burning [rad] at which the gain is calculated: MBT timing, where power is flat in the timing."""

FIRST_SHARE = 0.4
"""Most nitrous oxide over air in the first try: the gain goes nearly evenly with the flow, so a smaller try tells the slope as well."""

HEAT_SHARE = 0.38
"""Share of its heat that reaches the crank, to start from: calibrated to the cycle, it leaves no trace in the result."""

TRIES = (1.0, 1.12, 1.3)
"""Flows tried over that of `HEAT_SHARE`: they reach to either side of nearly every flow that is wanted."""

AIR_GAS_CONSTANT = 287.0


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


def flow_for_gain(state: CylinderState, gain: ArrayLike, mixture: ArrayLike, retard: ArrayLike) -> FloatArray:
    """Flow of nitrous oxide with which the cycle gains a power at the crank: it burns all of what it gets.

    Less than what a kit delivers, of which a third never does its work, so it sizes no jet.

    Parameters
    ----------
    state : CylinderState
        One cylinder, [N]; its own nitrous oxide is left out.
    gain : array [W]
        Of one cylinder, not negative.
    mixture : array [1]
        Equivalence ratio with and without it, all oxygen counted.
    retard : array [rad]
        From MBT timing, taken with it.

    Returns
    -------
    array [N] [kg/s]
        Of one cylinder.

    Raises
    ------
    ValueError
        For columns of different lengths.

    Notes
    -----
    NaN for a negative gain, and where the flow would leave no room for air or the cycle has no solution.

    References
    ----------
    The cylinder cycle: power goes with the flow within 2 %, so that a parabola through three flows tells the one that is wanted.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from borewright.physics.cycle.cycle import run_cycle
    >>> state = CylinderState(0.1, 0.09, 0.15, 10.0, 500.0)
    >>> flow = flow_for_gain(state, 10e3, 1.2, 0.0)
    >>> less, more = (run_cycle(replace(state, equivalence_ratio=1.2, nitrous_flow=one), HALF_BURN).brake_power for one in (0.0, flow))
    >>> round(float((more - less)[0]) / 10e3, 2)
    1.0
    """
    names = [one.name for one in fields(state) if one.name != "fuel"]
    wanted = np.atleast_1d(floats(gain))
    wanted = defined(wanted, wanted >= 0.0, "the gain must not be negative")
    given = [np.atleast_1d(floats(value)) for value in (*(getattr(state, name) for name in names), wanted, mixture, retard)]
    *spread, wanted, phi, late = np.broadcast_arrays(*given)
    columns = dict(zip(names, spread, strict=True)) | {"equivalence_ratio": phi}

    def powers(rows: NDArray[np.intp], *flows: FloatArray) -> FloatArray:
        stacked = {name: np.tile(column[rows], len(flows)) for name, column in columns.items()} | {"nitrous_flow": np.concatenate(flows)}
        timing = HALF_BURN + np.concatenate([np.where(flow > 0.0, late[rows], 0.0) for flow in flows])
        found = solve_columns(state_columns(CylinderState(**stacked, fuel=state.fuel)), timing)
        return np.where(found.solved, found.brake_power, np.nan).reshape(len(flows), rows.size)

    density = (columns["ambient_pressure"] + columns["boost"]) / (AIR_GAS_CONSTANT * columns["ambient_temperature"])
    swept = 0.25 * np.pi * columns["bore"] ** 2 * columns["stroke"]
    breathed = columns["volumetric_efficiency"] * density * swept * columns["speed"] / (4.0 * np.pi)
    first = np.minimum(nitrous_flow(wanted, state.fuel, HEAT_SHARE), FIRST_SHARE * breathed)
    tries = [share * first for share in TRIES]
    bare, *tried = powers(np.arange(wanted.size), np.zeros(wanted.size), *tries)
    gains = [power - bare for power in tried]
    near = (wanted > 0.85 * gains[0]) & (wanted < 1.3 * gains[-1]) & (gains[0] > 0.0) & (gains[1] > gains[0]) & (gains[2] > gains[1])
    flow = np.where(near, _through(wanted, [np.where(near, gain, k) for k, gain in enumerate(gains)], tries), 0.0)
    rest = np.flatnonzero((wanted > 0.0) & ~near)
    if rest.size:  # farther off than the tries reach: once more from there
        highest = RANGES["nitrous_flow"][1]
        rise = np.where(gains[0] > 0.0, gains[0], np.nan)[rest]
        second = first[rest] * wanted[rest] / rise
        gained = powers(rest, np.nan_to_num(np.minimum(second, highest)))[0] - bare[rest]
        corrected = second * wanted[rest] / np.where(gained > 0.0, gained, np.nan)
        flow[rest] = np.where(second <= highest, corrected, np.nan)
    mantissa, exponent = np.frexp(flow)  # the last digits of a double hang on how many rows are solved beside it
    return np.ldexp(np.rint(mantissa * 2.0**38) / 2.0**38, exponent)


def _through(x: FloatArray, xs: list[FloatArray], ys: list[FloatArray]) -> FloatArray:
    """The parabola through three points."""
    x0, x1, x2 = xs
    weights = (
        (x - x1) * (x - x2) / ((x0 - x1) * (x0 - x2)),
        (x - x0) * (x - x2) / ((x1 - x0) * (x1 - x2)),
        (x - x0) * (x - x1) / ((x2 - x0) * (x2 - x1)),
    )
    return np.asarray(sum(weight * y for weight, y in zip(weights, ys, strict=True)))
