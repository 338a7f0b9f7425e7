"""What a state traps: residual gas as asked for or as the clearance holds, air by the ideal gas, fuel by its equivalence ratio."""

import numpy as np
import pytest

from borewright.physics.cycle.charge import TrappedCharge
from borewright.physics.cycle.grid import cycle_grid
from borewright.physics.cycle.state import CylinderState, state_columns
from borewright.physics.cycle.trapped_charge import cylinder_charge
from borewright.physics.gas.fuel import ISOOCTANE

ORDINARY = {"volumetric_efficiency": 0.9, "fuel": ISOOCTANE, "ambient_temperature": 300.0}
SWEPT = np.pi / 4.0 * 0.0843**2 * 0.0853


def charge_of(**changes: object) -> tuple[TrappedCharge, float, float]:
    columns = state_columns(CylinderState(0.0843, 0.0853, 0.14235, 10.0, 300.0, **changes))  # numbers, or a fuel, by name
    charge, manifold, work = cylinder_charge(columns, cycle_grid(columns, np.array([0.14])))
    return charge, float(manifold[0]), float(work[0])


@pytest.mark.parametrize("nitrous", [0.0, 0.001])
def test_a_residual_fraction_given_is_the_one_trapped(nitrous: float) -> None:
    charge, _, _ = charge_of(residual_fraction=0.07, nitrous_flow=nitrous, equivalence_ratio=1.15)
    assert float(charge.residual_fraction[0]) == pytest.approx(0.07, rel=1e-12)


def test_a_residual_not_given_fills_the_clearance_at_exhaust_pressure() -> None:
    charge, _, _ = charge_of(exhaust_pressure=1.3e5)
    residual = float(charge.mass[0] * charge.residual_fraction[0])
    assert residual == pytest.approx(1.3e5 * SWEPT / 9.0 / (290.0 * 1000.0), rel=1e-9)  # burned gas: 8.314/0.0287 J/(kg·K), at 1000 K


def test_air_and_fuel_of_a_stoichiometric_charge() -> None:
    """15.13 of air to one of isooctane: J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, App. D. Air's 287 J/(kg·K)."""
    charge, manifold, work = charge_of(equivalence_ratio=1.0, **ORDINARY)
    assert manifold == pytest.approx(300.0)
    assert work == 0.0
    assert float(charge.air_mass[0]) == pytest.approx(0.9 * 101325.0 * SWEPT / (287.0 * 300.0), rel=6e-3)
    assert float(charge.air_mass[0] / charge.fuel_mass[0]) == pytest.approx(15.13, rel=5e-3)
    rich, _, _ = charge_of(equivalence_ratio=1.2, **ORDINARY)
    assert float(rich.fuel_mass[0]) == pytest.approx(1.2 * float(charge.fuel_mass[0]), rel=1e-12)


def test_compressor_and_intercooler() -> None:
    """Cold air, γ = 1.4: 300 K to twice the pressure is 365.7 K without loss; the work is cp·ΔT of the air."""
    charge, hot, work = charge_of(boost=101325.0, ambient_temperature=300.0, compressor_efficiency=1.0, intercooler_effectiveness=0.0)
    assert hot == pytest.approx(365.7, abs=0.05)
    assert work == pytest.approx(float(charge.air_mass[0]) * 1005.0 * 65.7, rel=1e-3)
    _, cooled, _ = charge_of(boost=101325.0, ambient_temperature=300.0, compressor_efficiency=1.0, intercooler_effectiveness=0.5)
    assert cooled - 300.0 == pytest.approx(0.5 * (hot - 300.0), rel=1e-12)


def test_nitrous_oxide_a_second_is_shared_by_every_second_turn() -> None:
    """0.5 g/s at 3000 rpm, 25 cycles a second: 20 mg a cycle."""
    columns = state_columns(CylinderState(0.0843, 0.0853, 0.14235, 10.0, 3000.0 * np.pi / 30.0, nitrous_flow=0.5e-3))
    charge, _, _ = cylinder_charge(columns, cycle_grid(columns, np.array([0.14])))
    assert float(charge.nitrous_mass[0]) == pytest.approx(20e-6, rel=1e-12)
