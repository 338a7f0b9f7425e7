"""The trapped charge: energy, atoms, gas law and refusals."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.cycle.charge import (
    BOTTLE_TEMPERATURES,
    NITROUS_HEATS,
    NITROUS_REFERENCE,
    WATER_GAS_CONSTANT,
    compressor_outlet_temperature,
    fill,
    intercooler_outlet_temperature,
    spent_moles,
    trapped_charge,
)
from borewright.physics.gas.fuel import AIR, ISOOCTANE, NITROUS_OXIDE, charge_mixture
from borewright.physics.gas.thermo import ATOMS, GAS_CONSTANT, INDEX, enthalpy, frozen_gas

NoAnswer = Callable[[str, Callable[[], object]], None]


def test_compressor() -> None:
    # isentropic at efficiency 1: T2/T1 = ratio^(0.4/1.4); half the efficiency doubles the rise
    ideal = float(compressor_outlet_temperature(300.0, 2.0, 1.0))
    assert ideal == pytest.approx(300.0 * 2.0 ** (2.0 / 7.0))
    assert float(compressor_outlet_temperature(300.0, 2.0, 0.5)) - 300.0 == pytest.approx(2.0 * (ideal - 300.0))
    assert intercooler_outlet_temperature(400.0, 300.0, [0.0, 0.5, 1.0]) == pytest.approx([400.0, 350.0, 300.0])


def test_air_fills_by_the_gas_law() -> None:
    air = fill(150e3, 320.0, 600e-6, 0.9).air
    molar_mass = 1.0 / float(AIR.sum())
    assert float(air) == pytest.approx(150e3 * 0.9 * 600e-6 * molar_mass / (GAS_CONSTANT * 320.0))


@given(st.floats(0.0, 1e-4), st.floats(0.0, 1.0), st.sampled_from(list(range(BOTTLE_TEMPERATURES.size))))
def test_nitrous_oxide_takes_its_heat_from_the_air(nitrous: float, evaporated: float, bottle: int) -> None:
    filling = fill(101325.0, 300.0, 600e-6, 0.9, nitrous, evaporated, BOTTLE_TEMPERATURES[bottle])
    air_gas, gas = frozen_gas(AIR), frozen_gas(NITROUS_OXIDE)
    T = filling.temperature
    given_up = float(filling.air * (enthalpy(air_gas, 300.0) - enthalpy(air_gas, T)))
    vapor = float(enthalpy(gas, T) - enthalpy(gas, NITROUS_REFERENCE))
    assert given_up == pytest.approx(nitrous * evaporated * (NITROUS_HEATS[bottle] + vapor), rel=1e-3, abs=1e-6)
    volume = float(filling.air * AIR.sum() + nitrous * evaporated * NITROUS_OXIDE.sum()) * GAS_CONSTANT * float(T) / 101325.0
    assert volume == pytest.approx(0.9 * 600e-6 * np.sqrt(float(T) / 300.0), rel=1e-3)


def test_a_cold_bottle_cools_more() -> None:
    cooled = 300.0 - fill(101325.0, 300.0, 600e-6, 0.9, 5e-5, 0.3, np.linspace(240.0, 308.0, 9)).temperature
    assert np.all(np.diff(cooled) < 0.0)
    assert np.all(cooled > 0.0)


def test_what_evaporates_on_the_walls_neither_cools_nor_fills() -> None:
    dry, wet = fill(101325.0, 300.0, 600e-6, 0.9), fill(101325.0, 300.0, 600e-6, 0.9, 4e-5, 0.0)
    assert float(wet.air) == pytest.approx(float(dry.air))
    assert float(wet.temperature) == pytest.approx(300.0)


@pytest.mark.parametrize("phi", [0.7, 1.0, 1.3])
def test_spent_gas(phi: float) -> None:
    elements = charge_mixture(ISOOCTANE, phi)[0] @ ATOMS
    moles = spent_moles(elements)
    assert moles @ ATOMS == pytest.approx(elements, abs=1e-9)
    assert moles.min() >= -1e-12
    if phi > 1.0:
        co, h2o, co2, h2 = (float(moles[INDEX[name]]) for name in ("CO", "H2O", "CO2", "H2"))
        assert co * h2o / (co2 * h2) == pytest.approx(WATER_GAS_CONSTANT)


def test_residual_mixes_at_constant_enthalpy() -> None:
    filling = fill(101325.0, 300.0, 500e-6, 0.9)
    pure, mixed = (trapped_charge(filling, ISOOCTANE, 1.0, mass, 20.0, 1000.0) for mass in (0.0, 40e-6))
    assert float(pure.temperature) == pytest.approx(320.0, abs=1e-6)
    assert float(mixed.residual_fraction) == pytest.approx(40e-6 / float(mixed.mass))
    spent = frozen_gas(spent_moles(pure.elements))
    total = float(pure.mass * enthalpy(pure.gas, 320.0) + 40e-6 * enthalpy(spent, 1000.0))
    assert float(mixed.mass * enthalpy(mixed.gas, mixed.temperature)) == pytest.approx(total, rel=1e-9)
    assert mixed.elements == pytest.approx(pure.elements)


def test_rows() -> None:
    filling = fill([1e5, 2e5], 300.0, 500e-6, 0.9, [0.0, 1e-5])
    charge = trapped_charge(filling, ISOOCTANE, [1.0, 1.2], [1e-5, 2e-5])
    alone = trapped_charge(fill(2e5, 300.0, 500e-6, 0.9, 1e-5), ISOOCTANE, 1.2, 2e-5)
    assert float(charge.temperature[1]) == pytest.approx(float(alone.temperature))
    assert float(charge.mass[1]) == pytest.approx(float(alone.mass))


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("lower the pressure", lambda: compressor_outlet_temperature(300.0, 0.9, 0.7))
    no_answer("efficiency", lambda: compressor_outlet_temperature(300.0, 1.5, 0.0))
    no_answer("effectiveness", lambda: intercooler_outlet_temperature(400.0, 300.0, 1.5))
    no_answer("above zero", lambda: fill(0.0, 300.0, 500e-6, 0.9))
    no_answer("negative", lambda: fill(1e5, 300.0, 500e-6, 0.9, -1.0))
    no_answer("bottle", lambda: fill(1e5, 300.0, 500e-6, 0.9, 1e-5, 0.2, 320.0))
    no_answer("residual", lambda: trapped_charge(fill(1e5, 300.0, 500e-6, 0.9), ISOOCTANE, 1.0, np.array(-1e-6)))
