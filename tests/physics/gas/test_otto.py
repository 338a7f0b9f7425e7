"""Ideal cycles: invariants and refusals."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from borewright.physics.gas.fuel import FUELS, Fuel
from borewright.physics.gas.otto import (
    air_cycle,
    air_standard_efficiency,
    fuel_air_cycle,
    fuel_air_efficiency,
    standard_fuel_air_efficiency,
)

NoAnswer = Callable[[str, Callable[[], object]], None]

ratios = st.floats(4.0, 20.0)
phis = st.floats(0.5, 1.5)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.tuples(ratios, phis), min_size=2, max_size=5))
def test_element_of_array_is_scalar(cases: list[tuple[float, float]]) -> None:
    r, phi = np.array(cases).T
    together = fuel_air_efficiency(r, phi)
    alone = [float(fuel_air_efficiency(one, other)) for one, other in cases]
    assert together == pytest.approx(alone, rel=1e-9)


@settings(max_examples=20, deadline=None)
@given(ratios, phis)
def test_fuel_air_is_bounded_by_air_standard(r: float, phi: float) -> None:
    assert 0.0 < float(fuel_air_efficiency(r, phi)) < float(air_standard_efficiency(r))


@settings(max_examples=20, deadline=None)
@given(ratios, st.floats(100.0, 3000.0))
def test_air_cycle_is_bounded_by_air_standard(r: float, heat: float) -> None:
    assert 0.0 < float(air_cycle(r, heat * 1e3).efficiency) < float(air_standard_efficiency(r))


def test_efficiency_rises_with_compression_and_falls_with_enrichment() -> None:
    assert np.all(np.diff(fuel_air_efficiency(np.linspace(6.0, 16.0, 11))) > 0.0)
    assert np.all(np.diff(fuel_air_efficiency(10.0, np.linspace(0.6, 1.5, 10))) < 0.0)


def test_nitrous_oxide_adds_work_and_heat() -> None:
    cycle = fuel_air_cycle(10.0, 1.0, nitrous_to_air=[0.0, 0.2, 0.5])
    assert np.all(np.diff(cycle.mean_effective_pressure) > 0.0)
    assert np.all(np.diff(cycle.temperature_3) > 0.0)


@pytest.mark.parametrize("fuel", FUELS.values(), ids=FUELS.keys())
def test_every_fuel_burns(fuel: Fuel) -> None:
    assert 0.40 < float(fuel_air_efficiency(10.0, 1.0, fuel=fuel)) < 0.52


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"compression_ratio": 1.0}, "compression ratio"),
        ({"compression_ratio": float("nan")}, "compression ratio"),
        ({"compression_ratio": 10.0, "equivalence_ratio": 5.0}, "equivalence"),
        ({"compression_ratio": 10.0, "temperature": 5000.0}, "temperature"),
        ({"compression_ratio": 10.0, "pressure": -1.0}, "pressure"),
        ({"compression_ratio": 10.0, "nitrous_to_air": -0.1}, "nitrous"),
    ],
)
def test_refuses_what_cannot_be(arguments: dict[str, float], message: str, no_answer: NoAnswer) -> None:
    no_answer(message, lambda: fuel_air_efficiency(**arguments))


def test_air_standard_refuses(no_answer: NoAnswer) -> None:
    no_answer("compression ratio", lambda: air_standard_efficiency(0.5))
    no_answer("heat capacities", lambda: air_standard_efficiency(10.0, 1.0))
    no_answer("6000 K", lambda: air_cycle(10.0, 20e6))


def test_the_curve_is_the_exact_cycle() -> None:
    ratios = np.array([2.0, 2.5, 4.3, 7.1, 9.97, 10.4, 13.3, 18.0, 29.0, 40.0])
    assert standard_fuel_air_efficiency(ratios) == pytest.approx(fuel_air_efficiency(ratios), abs=1e-9)
    assert np.all(np.diff(standard_fuel_air_efficiency(np.linspace(2.0, 40.0, 400))) > 0.0)
