"""The solver of the pressure trace: zones that add up, and a start that leaves no trace."""

import numpy as np
import pytest

from borewright.physics.cycle.grid import cycle_grid
from borewright.physics.cycle.state import CylinderState, state_columns
from borewright.physics.cycle.trace import solve_trace
from borewright.physics.cycle.trapped_charge import cylinder_charge
from borewright.physics.gas.fuel import lower_heating_value
from borewright.physics.gas.thermo import GAS_CONSTANT


def test_zones_fill_the_cylinder() -> None:
    columns = state_columns(CylinderState(0.0843, 0.0853, 0.14235, [9.0, 12.0], 400.0, equivalence_ratio=[0.9, 1.2]))
    grid = cycle_grid(columns, np.array([0.15, 0.3]))
    charge, _, _ = cylinder_charge(columns, grid)
    heat = charge.fuel_mass * lower_heating_value(columns.fuel)
    trace = solve_trace(columns, grid, charge, heat)
    assert trace.converged.all()
    late = slice(grid.start + 3, None)
    m, x = charge.mass, grid.burned[late]
    unburned = m * (1.0 - x) * charge.gas.gas_constant * trace.unburned_temperature[late]
    room = trace.pressure[late] * grid.volume[late] - unburned
    moles = room / (m * x * GAS_CONSTANT * trace.burned_temperature[late])
    assert moles.min() > 33.0
    assert moles.max() < 38.0


def test_where_it_starts_does_not_matter() -> None:
    columns = state_columns(CylinderState(0.0843, 0.0853, 0.14235, 10.0, 400.0))
    grid = cycle_grid(columns, np.array([0.15]))
    charge, _, _ = cylinder_charge(columns, grid)
    heat = charge.fuel_mass * lower_heating_value(columns.fuel)
    plain = solve_trace(columns, grid, charge, heat)
    wrong = plain.held * np.linspace(0.95, 1.05, plain.held.shape[0])[:, None]
    again = solve_trace(columns, grid, charge, heat, wrong)
    assert again.converged.all()
    assert again.pressure == pytest.approx(plain.pressure, rel=1e-4)
