"""Invariants of moist air and the power correction factors."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.gas import air

NoAnswer = Callable[[str, Callable[[], object]], None]

temperatures = st.floats(min_value=250.0, max_value=330.0)
pressures = st.floats(min_value=60e3, max_value=110e3)
humidities = st.floats(min_value=0.0, max_value=1.0)
FACTORS = [air.sae_j1349_factor, air.iso_1585_factor, air.din_70020_factor]


@given(pressure=pressures, temperature=temperatures, humidity=humidities)
def test_moisture_takes_pressure_and_density(pressure: float, temperature: float, humidity: float) -> None:
    dry = air.dry_pressure(pressure, temperature, humidity)
    assert dry + air.vapor_pressure(temperature, humidity) == pytest.approx(pressure, rel=1e-14)
    assert air.moist_air_density(pressure, temperature, humidity) <= air.moist_air_density(pressure, temperature, 0.0)


@given(temperature=temperatures, step=st.floats(min_value=0.1, max_value=10.0))
def test_warm_air_holds_more_water(temperature: float, step: float) -> None:
    assert air.saturation_vapor_pressure(temperature + step) > air.saturation_vapor_pressure(temperature)


@pytest.mark.parametrize("factor", FACTORS)
@given(pressure=pressures, temperature=temperatures)
def test_thin_and_hot_air_are_made_up_for(factor: Callable[..., float], pressure: float, temperature: float) -> None:
    assert factor(pressure * 0.99, temperature) > factor(pressure, temperature)
    assert factor(pressure, temperature + 1.0) > factor(pressure, temperature)


def test_factors_are_one_at_their_reference_state() -> None:
    assert air.sae_j1349_factor(99e3, 298.15) == pytest.approx(1.0, rel=1e-14)
    assert air.iso_1585_factor(99e3, 298.15) == pytest.approx(1.0, rel=1e-14)
    assert air.din_70020_factor(101.3e3, 293.15) == pytest.approx(1.0, rel=1e-14)


def test_scalars_are_elements_of_arrays() -> None:
    pressure, temperature = np.array([95e3, 101e3]), np.array([[280.0], [300.0], [310.0]])
    for formula in [*FACTORS, lambda p, T: air.moist_air_density(p, T, 0.4), lambda p, T: air.dry_pressure(p, T, 0.4)]:
        table = formula(pressure, temperature)
        assert table.shape == (3, 2)
        assert table[2, 1] == pytest.approx(formula(101e3, 310.0), rel=1e-14)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (air.saturation_vapor_pressure, (230.0,)),
        (air.saturation_vapor_pressure, (np.nan,)),
        (air.vapor_pressure, (300.0, 1.01)),
        (air.vapor_pressure, (300.0, -0.01)),
        (air.dry_pressure, (3000.0, 300.0, 1.0)),
        (air.dry_pressure, (np.inf, 300.0, 0.5)),
        (air.sae_j1349_factor, (0.0, 300.0)),
        (air.iso_1585_factor, (99e3, 400.0)),
        (air.din_70020_factor, (np.nan, 300.0)),
    ],
)
def test_impossible_air_is_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))
