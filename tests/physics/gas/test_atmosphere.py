"""Invariants of the standard atmosphere."""

from collections.abc import Callable
from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.gas import atmosphere

NoAnswer = Callable[[str, Callable[[], object]], None]

altitudes = st.floats(min_value=-4999.0, max_value=19999.0)


@given(altitude=altitudes)
def test_density_altitude_undoes_density(altitude: float) -> None:
    assert atmosphere.density_altitude(atmosphere.standard_density(altitude)) == pytest.approx(altitude, abs=1e-6)


@given(altitude=altitudes)
def test_pressure_falls_as_the_air_above_weighs(altitude: float) -> None:
    """Hydrostatic balance, dp/dH = −ρ·g, holds on both sides of the tropopause."""
    h = 0.5 if abs(altitude - atmosphere.TROPOPAUSE) > 1.0 else 0.1
    low, high = atmosphere.standard_pressure(np.array([altitude - h, altitude + h]))
    weight = atmosphere.standard_density(altitude) * atmosphere.GRAVITY
    assert (low - high) / (2 * h) == pytest.approx(weight, rel=1e-5)


def test_layers_join_and_scalars_are_elements() -> None:
    around = np.array([0.0, 10999.999, 11000.0, 11000.001, 19000.0])
    for formula in (atmosphere.standard_temperature, atmosphere.standard_pressure, atmosphere.standard_density):
        column = formula(around)
        assert column[1] == pytest.approx(column[3], rel=1e-6)
        # a power may differ in its last bit between the processor's vector and scalar paths
        np.testing.assert_allclose(column, [formula(altitude) for altitude in around], rtol=1e-14)
    densities = np.array([1.3, 1.0, 0.2])
    np.testing.assert_allclose(atmosphere.density_altitude(densities), [atmosphere.density_altitude(rho) for rho in densities], rtol=1e-13)


@pytest.mark.parametrize("altitude", [-5001.0, 21000.0, np.nan])
def test_altitudes_beyond_the_tables_are_refused(altitude: float, no_answer: NoAnswer) -> None:
    for formula in (atmosphere.standard_temperature, atmosphere.standard_pressure, atmosphere.geopotential_altitude):
        no_answer("must be between", partial(formula, altitude))


@pytest.mark.parametrize("density", [0.0, -1.0, 0.05, 3.0, np.nan])
def test_densities_beyond_the_tables_are_refused(density: float, no_answer: NoAnswer) -> None:
    no_answer("must be", lambda: atmosphere.density_altitude(density))
