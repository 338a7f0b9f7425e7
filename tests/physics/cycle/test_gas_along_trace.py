"""The fast gas properties against the plain ones."""

import numpy as np
import pytest

from borewright.physics.cycle.gas_along_trace import burned_properties, unburned_properties
from borewright.physics.gas.equilibrium import equilibrium_moles
from borewright.physics.gas.fuel import ETHANOL, ISOOCTANE, Fuel, charge_mixture
from borewright.physics.gas.thermo import ATOMS, GAS_CONSTANT, frozen_gas, heat_capacity, internal_energy, standard_entropy

PHI = np.array([0.7, 0.95, 0.999, 1.0, 1.001, 1.05, 1.3])
T = np.tile(np.array([1100.0, 1500.0, 2000.0, 2600.0, 3200.0])[:, None], (1, PHI.size))


@pytest.mark.parametrize("nitrous", [0.0, 0.5])
@pytest.mark.parametrize("pressure", [3e5, 100e5])
@pytest.mark.parametrize("fuel", [ISOOCTANE, ETHANOL], ids=["isooctane", "ethanol"])
def test_burned_gas(fuel: Fuel, pressure: float, nitrous: float) -> None:
    elements = charge_mixture(fuel, PHI, nitrous)[0] @ ATOMS
    p, n, log_x = np.full(T.shape, pressure), np.full(T.shape, 35.0), None
    for _ in range(25):
        gas = burned_properties(T, p, n, log_x, elements)
        n, log_x = gas.moles, gas.log_x

    def plain(temperature: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        moles = equilibrium_moles(elements, temperature, n * GAS_CONSTANT * temperature / p)
        return moles.sum(axis=-1), internal_energy(frozen_gas(moles), temperature)

    moles, energy = plain(T)
    assert gas.moles == pytest.approx(moles, rel=1e-7)
    assert gas.energy == pytest.approx(energy, abs=1.0)
    step = 0.01
    (m2, u2), (m1, u1) = plain(T + step), plain(T - step)
    assert gas.energy_slope == pytest.approx((u2 - u1) / (2.0 * step), rel=1e-4)
    assert gas.moles_slope == pytest.approx((m2 - m1) / (2.0 * step), rel=1e-4, abs=1e-7)


def test_unburned_gas() -> None:
    moles, _ = charge_mixture(ISOOCTANE, [0.8, 1.2])
    gas = frozen_gas(moles)
    for temperatures in ([300.0, 600.0, 900.0], [500.0, 999.0, 1400.0]):
        now = np.tile(np.array(temperatures)[:, None], (1, 2))
        cp, s, u = unburned_properties(gas, now)
        assert cp == pytest.approx(heat_capacity(gas, now), rel=1e-12)
        assert s == pytest.approx(standard_entropy(gas, now), rel=1e-12)
        assert u == pytest.approx(internal_energy(gas, now), rel=1e-12)
