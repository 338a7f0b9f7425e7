"""The closed cycle against Cantera run live, published rules and common practice.

Cantera: D. G. Goodwin et al., Cantera: an object-oriented software toolkit for chemical kinetics, thermodynamics, and transport
processes, with its own copy of NASA TM-4513.
"""

import importlib.util
from pathlib import Path
from types import ModuleType

import cantera
import numpy as np
import pytest

from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.state import CylinderState
from borewright.physics.cycle.timing import find_timing
from borewright.physics.gas.equilibrium import PRODUCTS
from borewright.physics.gas.fuel import AIR, ISOOCTANE, charge_mixture, lower_heating_value
from borewright.physics.gas.otto import fuel_air_efficiency
from borewright.physics.gas.thermo import SPECIES


@pytest.fixture(scope="module")
def stepped() -> ModuleType:
    """The same cycle marched in crank angle with Cantera, kept with the benchmark."""
    path = Path(__file__).parents[1] / "bench" / "bench_cycle.py"
    spec = importlib.util.spec_from_file_location("bench_cycle", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def ideal(ratio: float, phi: float) -> CylinderState:
    """A cylinder that burns at once, loses nothing and keeps no residual: valves at bottom dead center, charge at 350 K and 1 atm."""
    moles, _ = charge_mixture(ISOOCTANE, phi)
    oxygen = SPECIES.index("O2")
    air_share = float(moles[oxygen] / AIR[oxygen] * AIR.sum() / moles.sum())  # of the moles, so of the volume
    return CylinderState(
        bore=0.086,
        stroke=0.086,
        rod_length=0.1435,
        compression_ratio=ratio,
        speed=300.0,
        intake_closing=0.0,
        exhaust_opening=0.0,
        equivalence_ratio=phi,
        volumetric_efficiency=air_share * ratio / (ratio - 1.0),
        ambient_temperature=350.0,
        residual_fraction=0.0,
        charge_heating=0.0,
        burn_duration=1e-4,
        combustion_efficiency=1.0,
        heat_transfer_factor=0.0,
        fuel=ISOOCTANE,
    )


def cantera_efficiency(ratio: float, phi: float) -> float:
    known = {species.name: species for species in cantera.Species.list_from_file("nasa_gas.yaml")}
    gas = cantera.Solution(thermo="ideal-gas", species=[known[name] for name in ("C8H18,isooctane", *PRODUCTS)])
    gas.set_equivalence_ratio(phi, "C8H18,isooctane", "O2:1, N2:3.773")
    gas.TP = 350.0, 101325.0
    u1, v1, fuel_fraction = gas.u, gas.v, gas.Y[0]
    gas.SV = gas.s, v1 / ratio
    gas.equilibrate("UV", rtol=1e-10)
    s3 = gas.s
    gas.SV = s3, v1
    for _ in range(50):
        gas.equilibrate("SV", rtol=1e-10)
        if abs(gas.s - s3) < 1e-5:
            break
    return float((u1 - gas.u) / (fuel_fraction * lower_heating_value(ISOOCTANE)))


@pytest.mark.parametrize("phi", [0.8, 0.9, 1.0, 1.1, 1.2])
@pytest.mark.parametrize("ratio", [8.0, 10.0, 12.0, 14.0])
def test_instant_burn_is_the_fuel_air_cycle(ratio: float, phi: float) -> None:
    result = run_cycle(ideal(ratio, phi), 0.0)
    assert bool(result.solved[0])
    assert float(result.trapped_temperature[0]) == pytest.approx(350.0, abs=1e-6)
    assert float(result.trapped_pressure[0]) == pytest.approx(101325.0, rel=1e-9)
    efficiency = float(result.closed_work[0] / result.fuel_energy[0])
    assert efficiency == pytest.approx(cantera_efficiency(ratio, phi), rel=2e-3)
    assert efficiency == pytest.approx(float(fuel_air_efficiency(ratio, phi)), rel=2e-3)


@pytest.mark.parametrize("factor", [0.0, 1.5])
@pytest.mark.parametrize(("ratio", "phi", "boost", "half_burn"), [(9.5, 1.15, 0.5e5, 0.2), (11.5, 1.0, 0.0, 0.12)])
def test_agrees_with_cantera_stepped_through(
    stepped: ModuleType, ratio: float, phi: float, boost: float, half_burn: float, factor: float
) -> None:
    state = CylinderState(
        0.1016,
        0.0884,
        0.1524,
        ratio,
        314.16,
        boost=boost,
        equivalence_ratio=phi,
        residual_fraction=0.0,
        heat_transfer_factor=factor,
        fuel=ISOOCTANE,
    )
    _, V, p = stepped.cantera_cycle(state, half_burn)
    result = run_cycle(state, half_burn)
    assert float(result.closed_work[0]) == pytest.approx(float(np.trapezoid(p, V)), rel=1e-3)
    assert float(result.peak_pressure[0]) == pytest.approx(float(p.max()), rel=2e-3)


def test_mbt_timing() -> None:
    # J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 9.2 (from memory): at MBT timing half the charge has burned
    # about 10° and pressure peaks about 16° after top dead center
    speeds = np.array([2000.0, 2500.0, 3000.0]) * 2.0 * np.pi / 60.0
    best = find_timing(CylinderState(0.1016, 0.0884, 0.1524, 9.0, speeds)).best
    assert np.degrees(best.half_burn) == pytest.approx(10.0, abs=4.0)
    assert np.degrees(best.peak_pressure_angle) == pytest.approx(16.0, abs=3.0)


# Common practice, no published source: premium pump fuel carries mid-nines with about half a bar of boost, or natural builds up to
# about 11.5:1. Both lie near their margin, not far off it. Premium taken as an octane number of 95, between its road and motor ratings.
PREMIUM = 95.0
SPEEDS = np.array([3000.0, 4000.0, 5000.0]) * 2.0 * np.pi / 60.0


def practice_build(ratio: float, boost: float) -> CylinderState:
    return CylinderState(0.1016, 0.0884, 0.1524, ratio, SPEEDS, boost=boost, intercooler_effectiveness=0.6, octane=PREMIUM)


def test_natural_build_on_premium_is_near_its_margin() -> None:
    timed = find_timing(practice_build(11.5, 0.0))
    assert timed.solved.all()
    assert np.abs(timed.octane_required - PREMIUM).max() < 9.0
    assert np.degrees(timed.retard).max() < 4.0
    assert timed.cost.max() < 0.01


def test_boosted_mid_nines_on_premium_are_near_their_margin() -> None:
    timed = find_timing(practice_build(9.5, 0.5e5))
    assert timed.solved.all()
    assert np.abs(timed.octane_required - PREMIUM).max() < 12.0
    assert np.degrees(timed.retard).max() < 8.0
    assert timed.cost.max() < 0.03


def test_what_practice_calls_safe_and_what_it_does_not() -> None:
    safe = find_timing(practice_build(8.5, 0.0))
    assert safe.octane_required.max() < PREMIUM - 8.0
    assert not safe.knock_limited.any()
    foolish = find_timing(practice_build(11.5, 1.0e5))
    assert foolish.octane_required.min() > PREMIUM + 12.0
    assert foolish.knock_limited.all()
