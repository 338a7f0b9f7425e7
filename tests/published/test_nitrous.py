"""Nitrous oxide: what its liquid takes to become gas, and what the trade expects of it."""

import importlib

import numpy as np
import pytest

from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.charge import BOTTLE_TEMPERATURES, NITROUS_BOILING_POINT, NITROUS_HEATS, NITROUS_REFERENCE
from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.nitrous import HALF_BURN, flow_for_gain
from borewright.physics.cycle.state import CylinderState
from borewright.physics.cycle.timing import find_timing

HORSEPOWER, POUND_A_MINUTE = 745.69987158, 0.45359237 / 60.0
SOLD = np.array([50.0, 100.0, 150.0, 200.0, 250.0, 300.0])
EIGHT = {
    "bore": 0.1016,
    "stroke": 0.0884,
    "rod_length": 0.152,
    "compression_ratio": 10.0,
    "cylinders": 8.0,
    "octane": 160.0,
    "volumetric_efficiency": 0.85,
}


def test_heat_of_the_liquid() -> None:
    """E. W. Lemmon, R. Span, J. Chem. Eng. Data 51, 2006, by CoolProp, run here."""
    properties = importlib.import_module("CoolProp.CoolProp").PropsSI
    gas = properties("H", "T", NITROUS_REFERENCE, "P", 1e5, "NitrousOxide")
    liquid = [properties("H", "T", T, "Q", 0, "NitrousOxide") for T in BOTTLE_TEMPERATURES]
    assert np.array([gas - each for each in liquid]) == pytest.approx(NITROUS_HEATS, rel=1e-4)
    assert properties("T", "P", 101325.0, "Q", 0, "NitrousOxide") == pytest.approx(NITROUS_BOILING_POINT, abs=0.05)


def flows(speed: float) -> FloatArray:
    """Of one cylinder of the eight [kg/s], for the powers sold."""
    state = CylinderState(**EIGHT, speed=speed * np.pi / 30.0)
    return flow_for_gain(state, SOLD * HORSEPOWER / 8.0, 1.2, np.radians(1.0) * SOLD / 50.0)


@pytest.mark.parametrize("speed", [3500, 4500, 5500, 6500])
def test_octane_rises_as_the_retard_of_practice(speed: int) -> None:
    """Common practice: 1 to 2.5 degrees of retard for each 50 hp (an enthusiasts' magazine, November 2003; from memory), at an octane
    number a degree (Russ, SAE 960497, 1996, abstract): 2 to 5 octane numbers for a hundred horsepower, 6 with the scatter of both."""
    flow = np.concatenate([[0.0], flows(speed)])
    best = find_timing(CylinderState(**EIGHT, speed=speed * np.pi / 30.0, nitrous_flow=flow)).best
    rise = (best.octane_required[1:] - best.octane_required[0]) / (SOLD / 100.0)
    assert np.all(np.diff(best.octane_required) > 0.0)
    assert np.all((rise > 2.0) & (rise < 6.0))


@pytest.mark.parametrize("speed", [2500, 4000, 5500, 7000])
def test_the_power_sold_arrives_at_the_crank(speed: int) -> None:
    """Common practice: a kit adds what it is sold as, give or take a tenth."""
    flow = np.concatenate([[0.0], flows(speed)])
    best = find_timing(CylinderState(**EIGHT, speed=speed * np.pi / 30.0, nitrous_flow=flow)).best
    gain = 8.0 * (best.brake_power[1:] - best.brake_power[0]) / (SOLD * HORSEPOWER)
    assert np.all((gain > 0.95) & (gain < 1.1))


def test_the_cycle_needs_less_than_a_kit_delivers() -> None:
    """Common practice, no published source: a kit delivers 5 to 6 lb a minute for a hundred horsepower. The cycle burns all of it, so its
    flow is below and sizes no jet."""
    per_hundred = 8.0 * flows(5500)[1] / POUND_A_MINUTE
    assert 3.5 < per_hundred < 5.0


def test_a_solved_flow_gains_its_power() -> None:
    state = CylinderState(**EIGHT, speed=500.0)
    flow = flow_for_gain(state, [0.0, 10e3, 25e3], 1.2, 0.0)
    power = run_cycle(CylinderState(**EIGHT, speed=500.0, equivalence_ratio=1.2, nitrous_flow=flow), HALF_BURN).brake_power
    assert flow[0] == 0.0
    assert power[1:] - power[0] == pytest.approx([10e3, 25e3], rel=5e-3)
    assert np.isnan(flow_for_gain(state, 400e3, 1.2, 0.0)[0])
