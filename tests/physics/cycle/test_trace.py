"""The solver of the pressure trace: zones that add up, and a start that leaves no trace."""

import numpy as np
import pytest

from borewright.physics.cycle.cycle import solve_columns
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


def spread(count: int) -> CylinderState:
    """Engines of every kind, natural, boosted and with nitrous oxide."""
    draw = np.random.default_rng(4)
    return CylinderState(
        draw.uniform(0.07, 0.11, count),
        draw.uniform(0.07, 0.1, count),
        draw.uniform(0.14, 0.18, count),
        draw.uniform(8.0, 12.5, count),
        draw.uniform(150.0, 800.0, count),
        boost=draw.uniform(0.0, 1.2e5, count) * draw.integers(0, 2, count),
        equivalence_ratio=draw.uniform(0.85, 1.3, count),
        nitrous_flow=draw.choice([0.0, 0.0, 0.002], count),
    )


def test_a_solved_neighbor_saves_passes_and_changes_nothing() -> None:
    columns = state_columns(spread(60))
    near = cycle_grid(columns, np.full(60, 0.25))
    charge, _, _ = cylinder_charge(columns, near)
    heat = charge.fuel_mass * lower_heating_value(columns.fuel)
    neighbor = solve_trace(columns, near, charge, heat)
    grid = cycle_grid(columns, np.full(60, 0.30))
    cold, warm = (solve_trace(columns, grid, charge, heat, guess) for guess in (None, neighbor.held))
    assert cold.converged.all()
    assert warm.converged.all()
    assert cold.passes.mean() < 3.2
    assert warm.passes.mean() < 2.2
    assert warm.pressure == pytest.approx(cold.pressure, rel=3e-5)
    assert warm.unburned_temperature == pytest.approx(cold.unburned_temperature, abs=0.3)
    assert warm.work == pytest.approx(cold.work, rel=3e-5)


def test_rows_that_want_more_passes_are_what_they_are_alone() -> None:
    state = spread(40)
    half_burn = np.linspace(0.0, 0.7, 40)
    together = solve_columns(state_columns(state), half_burn)
    assert together.solved.all()
    for row in range(40):
        alone = solve_columns(state_columns(state).take(np.array([row])), half_burn[[row]])
        for name in ("indicated_work", "peak_pressure", "knock_integral", "exhaust_temperature", "heat_loss"):
            assert getattr(together, name)[row] == pytest.approx(getattr(alone, name)[0], rel=1e-9)
