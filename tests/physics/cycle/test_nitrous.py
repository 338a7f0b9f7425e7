"""Flow of nitrous oxide for a power."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.nitrous import HALF_BURN, flow_for_gain, nitrous_flow
from borewright.physics.cycle.state import CylinderState
from borewright.physics.gas.fuel import ETHANOL, GASOLINE, ISOOCTANE

NoAnswer = Callable[[str, Callable[[], object]], None]

HORSEPOWER = 745.69987  # NIST SP 811
POUND_A_MINUTE = 0.45359237 / 60.0


def test_the_shop_s_rule() -> None:
    """Common practice, no published source: a hundred horsepower takes about six pounds of nitrous oxide a minute."""
    flow = float(nitrous_flow(100.0 * HORSEPOWER, GASOLINE, 0.27))
    assert flow / POUND_A_MINUTE == pytest.approx(6.0, rel=0.1)


def test_energy_balance() -> None:
    """Oxygen 0.36351 of the mass and 1.854 MJ/kg of decomposition; isooctane-like fuel gives about 12.7 MJ per kilogram of oxygen."""
    heat = 1e3 / float(nitrous_flow(1e3, GASOLINE, 1.0))
    assert heat == pytest.approx(0.36351 * 12.7e6 + 1.854e6, rel=0.02)


def test_heat_of_burning_isooctane_in_it_by_hess() -> None:
    """C8H18 + 25 N2O = 8 CO2 + 9 H2O + 25 N2 with the enthalpies of formation at 298.15 K [kJ/mol] of the NIST-JANAF tables, and for
    isooctane vapor of the NIST WebBook (from memory): CO2 −393.52, H2O −241.83, N2O 82.05, C8H18 −224.0."""
    heat = (8.0 * 393.52 + 9.0 * 241.83 + 25.0 * 82.05 - 224.0) / (25.0 * 44.013e-3) * 1e3
    assert 1e3 / float(nitrous_flow(1e3, ISOOCTANE, 1.0)) == pytest.approx(heat, rel=3e-3)


def test_follows_power_and_efficiency() -> None:
    flow = nitrous_flow([0.0, 50e3, 100e3], GASOLINE, 0.27)
    assert flow[0] == 0.0
    assert flow[2] == pytest.approx(2.0 * flow[1])
    assert float(nitrous_flow(50e3, GASOLINE, 0.135)) == pytest.approx(2.0 * float(flow[1]))
    assert 0.9 < float(nitrous_flow(50e3, ETHANOL, 0.27) / flow[1]) < 1.1  # fuels give much the same heat per oxygen
    assert np.all(np.isfinite(flow))


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("power", lambda: nitrous_flow(-1.0, GASOLINE, 0.3))
    no_answer("efficiency", lambda: nitrous_flow(1.0, GASOLINE, 0.0))


def test_a_flow_gains_its_power_however_far_it_lies_from_the_first_try() -> None:
    """By cycles of its own, from next to nothing to more than the air that is breathed, early and late."""
    gain = np.array([20.0, 2e3, 8e3, 20e3, 30e3, 2e3, 12e3])
    speed = np.array([500.0, 200.0, 400.0, 650.0, 420.0, 700.0, 300.0])
    late = np.radians([0.0, 0.5, 2.0, 4.0, 6.0, 0.0, 0.0])
    state = CylinderState(0.1, 0.09, 0.15, 10.0, speed)
    flow = flow_for_gain(state, gain, 1.2, late)
    known = np.isfinite(flow)
    assert known[:4].all()
    assert known.sum() >= 5
    rich = replace(state, equivalence_ratio=1.2)
    more = run_cycle(replace(rich, nitrous_flow=np.nan_to_num(flow)), HALF_BURN + late).brake_power
    assert (more - run_cycle(rich, np.full(gain.size, HALF_BURN)).brake_power)[known] == pytest.approx(gain[known], rel=5e-3)
