"""Adiabatic combustion and expansion: the temperature comes back, and what cannot be is refused."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.physics.gas.equilibrium import equilibrium_moles
from borewright.physics.gas.equilibrium_adiabatic import burned_at_energy, burned_at_entropy, burned_entropy
from borewright.physics.gas.fuel import ISOOCTANE, charge_mixture
from borewright.physics.gas.thermo import ATOMS, frozen_gas, internal_energy

NoAnswer = Callable[[str, Callable[[], object]], None]

phis = st.floats(0.3, 2.0)
volumes = st.floats(0.005, 5.0)


def atoms(phi: float) -> np.ndarray:
    return np.asarray(charge_mixture(ISOOCTANE, phi)[0] @ ATOMS)


@settings(max_examples=20, deadline=None)
@given(phis, st.floats(1500.0, 3500.0), volumes)
def test_temperature_comes_back(phi: float, T: float, v: float) -> None:
    elements = atoms(phi)
    moles = equilibrium_moles(elements, T, v)
    by_energy, _ = burned_at_energy(elements, internal_energy(frozen_gas(moles), T), v)
    by_entropy, _ = burned_at_entropy(elements, burned_entropy(moles, T, v), v)
    assert float(by_energy) == pytest.approx(T, rel=1e-7)
    assert float(by_entropy) == pytest.approx(T, rel=1e-7)


def test_rows_are_independent() -> None:
    elements = np.array([atoms(phi) for phi in (0.8, 1.2)])
    together, _ = burned_at_energy(elements, [0.0, 1e5], [0.1, 0.2])
    alone, _ = burned_at_energy(elements[1], 1e5, 0.2)
    assert float(together[1]) == pytest.approx(float(alone), rel=1e-9)


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("no equilibrium", lambda: burned_at_energy(atoms(1.0), 1e9, 1.0))
