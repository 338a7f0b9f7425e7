"""Chemical equilibrium: atoms kept, mass action held, inverses, refusals."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.physics.gas.equilibrium import equilibrium_constants, equilibrium_moles
from borewright.physics.gas.fuel import DRY_AIR, ISOOCTANE, charge_mixture
from borewright.physics.gas.thermo import ATOMS, GAS_CONSTANT, INDEX

NoAnswer = Callable[[str, Callable[[], object]], None]

phis = st.floats(0.3, 2.0)
temperatures = st.floats(900.0, 4000.0)
volumes = st.floats(0.005, 5.0)


def atoms(phi: float) -> np.ndarray:
    return np.asarray(charge_mixture(ISOOCTANE, phi)[0] @ ATOMS)


@settings(max_examples=60, deadline=None)
@given(phis, temperatures, volumes)
def test_atoms_are_kept_and_mass_action_holds(phi: float, T: float, v: float) -> None:
    elements = atoms(phi)
    moles = equilibrium_moles(elements, T, v)
    assert moles @ ATOMS == pytest.approx(elements, rel=1e-8, abs=1e-12)
    assert moles.min() >= 0.0
    p = {name: float(moles[INDEX[name]]) * GAS_CONSTANT * T / v / 1e5 for name in INDEX}
    k = equilibrium_constants(T)
    assert p["CO2"] == pytest.approx(float(k[0]) * p["CO"] * p["O2"] ** 0.5, rel=1e-6)
    assert p["H2O"] == pytest.approx(float(k[1]) * p["H2"] * p["O2"] ** 0.5, rel=1e-6)
    assert p["NO"] == pytest.approx(float(k[4]) * (p["N2"] * p["O2"]) ** 0.5, rel=1e-6)


def test_argon_stays_what_it_is() -> None:
    elements = DRY_AIR @ ATOMS
    assert float(equilibrium_moles(elements, 2500.0, 1.0)[INDEX["Ar"]]) == pytest.approx(float(elements[4]))


def test_rows_are_independent() -> None:
    elements = np.array([atoms(phi) for phi in (0.7, 1.0, 1.3)])
    together = equilibrium_moles(elements, [1500.0, 2500.0, 3000.0], 0.1)
    for row, T in enumerate((1500.0, 2500.0, 3000.0)):
        assert together[row] == pytest.approx(equilibrium_moles(elements[row], T, 0.1), rel=1e-7, abs=1e-12)


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("soot", lambda: equilibrium_moles([10.0, 20.0, 5.0, 0.0, 0.0], 2000.0, 1.0))
    no_answer("200 to 6000", lambda: equilibrium_moles(atoms(1.0), 10.0, 1.0))
    no_answer("volume", lambda: equilibrium_moles(atoms(1.0), 2000.0, 0.0))
    no_answer("negative", lambda: equilibrium_moles([-1.0, 20.0, 5.0, 0.0, 0.0], 2000.0, 1.0))
