"""Gas properties: calculus between them, continuity, arrays and refusals."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.gas.thermo import (
    INDEX,
    MOLAR_MASS,
    SPECIES,
    SWITCH_TEMPERATURE,
    enthalpy,
    frozen_gas,
    heat_capacity,
    heat_capacity_ratio,
    internal_energy,
    isentropic_temperature,
    mixture,
    standard_entropy,
)

NoAnswer = Callable[[str, Callable[[], object]], None]

temperatures = st.floats(250.0, 4000.0).filter(lambda T: abs(T - SWITCH_TEMPERATURE) > 1.0)
AIR = frozen_gas(mixture({"O2": 1.0, "N2": 3.773}))


@given(st.sampled_from(SPECIES), temperatures)
def test_enthalpy_and_entropy_are_integrals_of_the_heat_capacity(name: str, T: float) -> None:
    gas, step = frozen_gas(mixture({name: 1.0})), 0.05
    slope = float(enthalpy(gas, T + step) - enthalpy(gas, T - step)) / (2.0 * step)
    rise = float(standard_entropy(gas, T + step) - standard_entropy(gas, T - step)) / (2.0 * step)
    assert slope == pytest.approx(float(heat_capacity(gas, T)), rel=1e-5)
    assert rise == pytest.approx(float(heat_capacity(gas, T)) / T, rel=1e-5)


@pytest.mark.parametrize("name", SPECIES)
def test_the_two_ranges_meet(name: str) -> None:
    gas = frozen_gas(mixture({name: 1.0}))
    for function in (heat_capacity, enthalpy, standard_entropy):
        below, above = (float(function(gas, SWITCH_TEMPERATURE + shift)) for shift in (-1e-6, 1e-6))
        assert below == pytest.approx(above, rel=2e-4, abs=200.0 if function is enthalpy else 0.0)


@given(st.floats(250.0, 900.0), st.floats(0.2, 20.0))
def test_compression_there_and_back(T: float, ratio: float) -> None:
    hot = isentropic_temperature(AIR, T, ratio)
    assert float(isentropic_temperature(AIR, hot, 1.0 / ratio)) == pytest.approx(T, rel=1e-9)


def test_gases_meet_columns_of_temperatures() -> None:
    gases = frozen_gas(mixture({"O2": [1.0, 1.0], "N2": [3.773, 0.0]}))
    T = np.array([[300.0, 1500.0], [400.0, 900.0]])
    together = internal_energy(gases, T.T).T
    assert internal_energy(gases.take(np.array([1])), T[1, :1]) == pytest.approx(together[1, :1])
    for row, name in enumerate(({"O2": 1.0, "N2": 3.773}, {"O2": 1.0})):
        assert together[row] == pytest.approx(internal_energy(frozen_gas(mixture(name)), T[row]))
    assert float(heat_capacity_ratio(AIR, 300.0)) == pytest.approx(1.3985, abs=2e-4)  # Cantera, air at 300 K


@pytest.mark.parametrize(
    ("name", "grams"),
    [("N2", 28.014), ("O2", 31.998), ("Ar", 39.948), ("CO2", 44.0095), ("H2O", 18.0153), ("N2O", 44.0128), ("isooctane", 114.2285)],
)
def test_molar_masses(name: str, grams: float) -> None:
    """Molecular weights as the NIST WebBook prints them (from memory)."""
    assert MOLAR_MASS[INDEX[name]] == pytest.approx(grams * 1e-3, rel=5e-5)


def test_a_mixture_weighs_a_kilogram(no_answer: NoAnswer) -> None:
    assert float(mixture({"CO2": 2.0, "isooctane": 0.3}) @ MOLAR_MASS) == pytest.approx(1.0)
    with pytest.raises(ValueError, match="unknown species: X"):
        mixture({"X": 1.0})
    no_answer("weigh", lambda: mixture({"N2": 0.0}))
