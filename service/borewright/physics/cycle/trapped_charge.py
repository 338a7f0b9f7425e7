"""The charge of a cylinder state: from ambient through compressor, intercooler and nitrous oxide to intake closing."""

from dataclasses import replace

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.charge import (
    RESIDUAL_TEMPERATURE,
    TrappedCharge,
    compressor_outlet_temperature,
    fill,
    intercooler_outlet_temperature,
    trapped_charge,
)
from borewright.physics.cycle.grid import CycleGrid
from borewright.physics.cycle.state import StateColumns
from borewright.physics.gas.fuel import AIR, NITROUS_OXIDE
from borewright.physics.gas.thermo import INDEX, STANDARD_TEMPERATURE, enthalpy, frozen_gas, mixture

COLDEST_MANIFOLD, COLDEST_CHARGE = 210.0, 240.0
"""Lowest temperatures [K] of mixture before and in the cylinder: below, so much nitrous oxide would stay liquid and wash the walls."""

RESIDUAL_GAS_CONSTANT = 290.0
"""Of cooled burned gas [J/(kg·K)]: within 2 % for every fuel and mixture here, and it only sizes the residual mass."""

AIR_HEAT_CAPACITY = 1005.0
"""Of air through the compressor [J/(kg·K)]: M. J. Moran, H. N. Shapiro, table A-20 (from memory)."""

NITROUS_DECOMPOSITION = float(enthalpy(frozen_gas(NITROUS_OXIDE), STANDARD_TEMPERATURE)) - float(
    enthalpy(frozen_gas(mixture({"N2": 2.0, "O2": 1.0})), STANDARD_TEMPERATURE)
)
"""Heat that nitrous oxide gives off as it decomposes [J/kg]: NASA TM-4513, 1993."""


def cylinder_charge(columns: StateColumns, grid: CycleGrid) -> tuple[TrappedCharge, FloatArray, FloatArray]:
    """Trapped charge of each row.

    Parameters
    ----------
    columns : StateColumns
        Reasons are added in place where nitrous oxide leaves no room for air or would not evaporate.
    grid : CycleGrid

    Returns
    -------
    charge : TrappedCharge
    manifold_temperature : array [K]
        After compressor, intercooler and nitrous oxide.
    compressor_work : array [J]
        Per cycle and cylinder.

    References
    ----------
    As the functions of `charge`; residual mass is exhaust pressure times clearance volume over R·T (J. B. Heywood, 1988, ch. 6.4).

    Examples
    --------
    >>> from borewright.physics.cycle.grid import cycle_grid
    >>> from borewright.physics.cycle.state import CylinderState, state_columns
    >>> columns = state_columns(CylinderState(0.0843, 0.0853, 0.14235, 10.0, 300.0))
    >>> charge, _, _ = cylinder_charge(columns, cycle_grid(columns, np.array([0.14])))
    >>> round(float(charge.air_mass[0]) * 1e3, 3)
    0.505
    """
    c = columns
    pressure = c["ambient_pressure"] + c["boost"]
    hot = compressor_outlet_temperature(c["ambient_temperature"], pressure / c["ambient_pressure"], c["compressor_efficiency"])
    manifold = intercooler_outlet_temperature(hot, c["ambient_temperature"], c["intercooler_effectiveness"])
    nitrous = c["nitrous_flow"] * 4.0 * np.pi / c["speed"]
    given = c["residual_fraction"]
    breathing = c["volumetric_efficiency"] * np.sqrt(c["ambient_temperature"] / c["filling_temperature"])
    for _ in range(2):
        filling = fill(pressure, manifold, grid.swept, breathing, nitrous, c["nitrous_evaporated"], c["bottle_temperature"])
        drowned = (filling.air < nitrous) | (filling.temperature < COLDEST_MANIFOLD)
        air = np.where(drowned, 1e-3, filling.air)
        oxygen = air * AIR[INDEX["O2"]] + nitrous * NITROUS_OXIDE[INDEX["N2O"]] / 2.0
        fresh = air + nitrous + c["equivalence_ratio"] * oxygen / c.fuel.oxygen_demand
        left = c["exhaust_pressure"] * grid.clearance / (RESIDUAL_GAS_CONSTANT * RESIDUAL_TEMPERATURE)
        residual = np.where(np.isnan(given), left, np.nan_to_num(given) / (1.0 - np.nan_to_num(given)) * fresh)
        charge = trapped_charge(replace(filling, air=air), c.fuel, c["equivalence_ratio"], residual, c["charge_heating"])
        drowned |= charge.temperature < COLDEST_CHARGE
        if not np.any(drowned):
            break
        c.reason[drowned & (c.reason == "")] = "so much nitrous oxide would not evaporate or leaves too little room for air"
        nitrous = np.where(drowned, 0.0, nitrous)
    work = filling.air * AIR_HEAT_CAPACITY * (hot - c["ambient_temperature"])
    return charge, filling.temperature, work
