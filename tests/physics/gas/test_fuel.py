"""Fuels and mixtures: atom balances and refusals."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.gas.fuel import (
    AIR,
    FUELS,
    GASOLINE,
    ISOOCTANE,
    charge_mixture,
    fuel_blend,
    lower_heating_value,
    stoichiometric_air_fuel_ratio,
)
from borewright.physics.gas.thermo import ATOMS, MOLAR_MASS

NoAnswer = Callable[[str, Callable[[], object]], None]


@given(st.sampled_from(list(FUELS)), st.floats(0.3, 2.0), st.floats(0.0, 3.0))
def test_equivalence_ratio_is_oxygen_wanted_over_oxygen_there(name: str, phi: float, nitrous: float) -> None:
    fuel = FUELS[name]
    moles, fuel_fraction = charge_mixture(fuel, phi, nitrous)
    assert float(moles @ MOLAR_MASS) == pytest.approx(1.0)
    carbon, hydrogen, oxygen, _, _ = moles @ ATOMS
    own = float(fuel_fraction) * float(fuel.elements[2])
    assert float(2.0 * carbon + hydrogen / 2.0 - own) / float(oxygen - own) == pytest.approx(phi, rel=1e-9)


def test_published_fuel_figures() -> None:
    # J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, App. D (from memory): isooctane 15.13 with argon in the air,
    # methanol 6.47, ethanol 9.00, methane 17.23; gasoline about 14.6 and hydrogen to carbon 1.87
    ratio = {name: stoichiometric_air_fuel_ratio(fuel) for name, fuel in FUELS.items()}
    assert ratio["isooctane"] == pytest.approx(15.13, rel=6e-3)
    assert ratio["methanol"] == pytest.approx(6.47, rel=6e-3)
    assert ratio["ethanol"] == pytest.approx(9.00, rel=6e-3)
    assert ratio["methane"] == pytest.approx(17.23, rel=6e-3)
    assert ratio["gasoline"] == pytest.approx(14.6, rel=6e-3)
    assert float(GASOLINE.elements[1] / GASOLINE.elements[0]) == pytest.approx(1.87, abs=2e-3)


def test_heating_values() -> None:
    # Heywood, App. D (from memory): methanol 20.0, ethanol 26.9 MJ/kg as liquids, 1.17 and 0.84 MJ/kg less than as vapors;
    # methane 50.0, propane 46.4 MJ/kg as gases
    value = {name: lower_heating_value(fuel) / 1e6 for name, fuel in FUELS.items()}
    assert value["methanol"] == pytest.approx(20.0 + 1.10, rel=1e-2)
    assert value["ethanol"] == pytest.approx(26.9 + 0.84, rel=1e-2)
    assert value["methane"] == pytest.approx(50.0, rel=5e-3)
    assert value["propane"] == pytest.approx(46.4, rel=5e-3)


def test_arrays() -> None:
    moles, fraction = charge_mixture(ISOOCTANE, np.array([0.8, 1.2]))
    assert moles.shape == (2, AIR.size)
    assert float(fraction[1]) == pytest.approx(float(charge_mixture(ISOOCTANE, 1.2)[1]))


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("equivalence", lambda: charge_mixture(ISOOCTANE, 0.0))
    no_answer("nitrous", lambda: charge_mixture(ISOOCTANE, 1.0, -1.0))
    with pytest.raises(ValueError, match="oxygen"):
        fuel_blend("water", {"H2O": 1.0})
