"""The closed cycle: energy, steps, trends, rows, and states that cannot be."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline

from borewright.physics.cycle.cycle import BLOCK, drawn, run_cycle, solve_columns
from borewright.physics.cycle.grid import cycle_grid
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState, state_columns
from borewright.physics.cycle.trapped_charge import cylinder_charge
from borewright.physics.gas.equilibrium import equilibrium_moles
from borewright.physics.gas.fuel import FUELS, GASOLINE, Fuel, lower_heating_value
from borewright.physics.gas.knock import douaud_eyzat_delay, livengood_wu_integral
from borewright.physics.gas.thermo import GAS_CONSTANT, frozen_gas, internal_energy

RPM = 2.0 * np.pi / 60.0
AT = np.radians(9.0)


def engine(**changes: object) -> CylinderState:
    values: dict[str, object] = {"bore": 0.1016, "stroke": 0.0884, "rod_length": 0.1524, "compression_ratio": 10.0, "speed": 3000.0 * RPM}
    return CylinderState(**(values | changes))  # the values are arrays or a fuel, by name


states = st.fixed_dictionaries(
    {
        "compression_ratio": st.floats(7.0, 14.0),
        "speed": st.floats(1200.0 * RPM, 7500.0 * RPM),
        "boost": st.floats(0.0, 1.2e5),
        "equivalence_ratio": st.floats(0.8, 1.3),
        "nitrous_flow": st.sampled_from([0.0, 0.0005, 0.0015]),
        "octane": st.floats(85.0, 110.0),
    }
)


def one_row(result: CycleResult, name: str) -> float:
    return float(getattr(result, name)[0])


@settings(max_examples=25, deadline=None)
@given(states, st.floats(0.0, 0.5))
def test_energy_balance(state: dict[str, float], half_burn: float) -> None:
    result = run_cycle(engine(**state), half_burn)
    assert result.solved.all()
    supplied = result.fuel_energy + result.nitrous_energy
    assert result.closed_work + result.heat_loss + result.exhaust_energy == pytest.approx(supplied, rel=1e-4)


@pytest.mark.parametrize("fuel", FUELS.values(), ids=FUELS.keys())
def test_energy_balance_from_outside(fuel: Fuel) -> None:
    """Work by a spline through the trace, internal energies by the plain property functions: nothing of the solver."""
    state = engine(fuel=fuel, combustion_efficiency=1.0, heat_transfer_factor=0.0)
    result = run_cycle(state, AT)
    volume, angle, pressure = result.volume[0], result.angle[0], result.pressure[0]
    keep = np.concatenate([[True], np.diff(angle) > 1e-9])
    V, p = CubicSpline(angle[keep], volume[keep]), CubicSpline(angle[keep], pressure[keep])
    fine = np.linspace(angle[0], angle[-1], 40001)
    work = np.trapezoid(p(fine) * V(fine, 1), fine)
    columns = state_columns(state)
    charge, _, _ = cylinder_charge(columns, cycle_grid(columns, np.array([AT])))
    mass, T = one_row(result, "trapped_mass"), result.burned_temperature[0, -1]
    moles = equilibrium_moles(charge.elements[0], T, volume[-1] / mass)
    start = float(internal_energy(charge.gas, charge.temperature)[0])
    end = float(internal_energy(frozen_gas(moles), T))
    heat = one_row(result, "fuel_mass") * lower_heating_value(fuel)
    assert work + mass * (end - start) == pytest.approx(0.0, abs=1e-3 * heat)
    assert pressure[-1] == pytest.approx(moles.sum() * mass * GAS_CONSTANT * T / volume[-1], rel=1e-4)


@settings(max_examples=15, deadline=None)
@given(states, st.floats(0.05, 0.7))
def test_more_nodes_change_next_to_nothing(state: dict[str, float], half_burn: float) -> None:
    coarse, fine = run_cycle(engine(**state), half_burn), run_cycle(engine(**state), half_burn, refine=2.0)
    assert one_row(coarse, "indicated_work") == pytest.approx(one_row(fine, "indicated_work"), rel=2e-4)
    assert one_row(coarse, "peak_pressure") == pytest.approx(one_row(fine, "peak_pressure"), rel=5e-4)
    assert one_row(coarse, "octane_required") == pytest.approx(one_row(fine, "octane_required"), abs=0.03)


def test_drawn_traces_meet_the_nodes() -> None:
    nodes = solve_columns(state_columns(engine(compression_ratio=[9.0, 12.0])), np.array([AT, 0.5]))
    shown = drawn(nodes)
    for name in ("pressure", "volume", "unburned_temperature", "burned_fraction"):
        for row in range(2):
            curve = CubicSpline(shown.angle[row], getattr(shown, name)[row])
            values = getattr(nodes, name)[row]
            assert curve(nodes.angle[row]) == pytest.approx(values, rel=2e-3, abs=2e-3 * values.max())
    assert np.all(shown.end_gas_temperature[:, -1] == 0.0)
    assert np.all((shown.burned_temperature > 0.0) == (shown.angle > shown.spark[:, None] + 1e-9))


def octane(**changes: object) -> list[float]:
    result = run_cycle(engine(**changes), AT)
    assert result.solved.all()
    return [float(value) for value in result.octane_required]


def rises(values: list[float]) -> bool:
    return bool(np.all(np.diff(values) > 0.0))


def test_octane_rises_with_compression() -> None:
    assert rises(octane(compression_ratio=np.linspace(8.0, 13.0, 6)))


def test_octane_rises_with_boost() -> None:
    assert rises(octane(boost=np.linspace(0.0, 1e5, 6)))
    assert rises(octane(boost=np.linspace(0.0, 1e5, 6), intercooler_effectiveness=0.7))


def test_octane_rises_with_charge_temperature() -> None:
    assert rises(octane(ambient_temperature=np.linspace(270.0, 320.0, 6)))
    assert rises(octane(charge_heating=np.linspace(0.0, 60.0, 6)))


def test_octane_falls_with_speed() -> None:
    assert rises(octane(speed=np.linspace(7000.0, 1500.0, 6) * RPM))


def test_octane_falls_with_retard() -> None:
    result = run_cycle(engine(), np.radians(np.linspace(35.0, 0.0, 8)))
    assert rises([float(value) for value in result.octane_required])


def test_octane_falls_with_charge_cooling() -> None:
    assert rises(octane(boost=0.6e5, intercooler_effectiveness=np.linspace(0.9, 0.0, 6)))


def test_octane_falls_with_altitude() -> None:
    assert rises(octane(ambient_pressure=np.linspace(70e3, 101e3, 6)))


def test_octane_required_is_the_octane_that_brings_the_integral_to_one() -> None:
    need = octane(compression_ratio=[9.0, 11.0], octane=[87.0, 100.0])
    again = run_cycle(engine(compression_ratio=[9.0, 11.0], octane=need), AT)
    assert again.knock_integral == pytest.approx([1.0, 1.0], rel=1e-9)


def test_work_rises_with_compression_boost_and_nitrous_oxide() -> None:
    for changes in ({"compression_ratio": [8.0, 10.0, 12.0]}, {"boost": [0.0, 4e4, 8e4]}, {"nitrous_flow": [0.0, 0.001, 0.003]}):
        assert rises([float(value) for value in run_cycle(engine(**changes), AT).indicated_work])


def test_nitrous_oxide_brings_its_energy_and_its_cold() -> None:
    result = run_cycle(engine(nitrous_flow=[0.0, 0.003]), AT)
    assert float(result.nitrous_mass[1]) == pytest.approx(0.003 * 4.0 * np.pi / (3000.0 * RPM))
    assert float(result.nitrous_energy[1] / result.nitrous_mass[1]) == pytest.approx(1.854e6, rel=6e-3)  # CoolProp's table
    assert result.manifold_temperature[1] < result.manifold_temperature[0]
    assert result.fuel_mass[1] > result.fuel_mass[0]


def test_a_driven_compressor_takes_power_from_the_crank() -> None:
    result = run_cycle(engine(boost=5e4, compressor_drive=[0.0, 1.0]), AT)
    swept = np.pi / 4.0 * 0.1016**2 * 0.0884
    assert float(result.bmep[0] - result.bmep[1]) == pytest.approx(float(result.compressor_work[0]) / swept)


def test_indicated_work_is_the_area_of_the_whole_loop() -> None:
    """Closed strokes and, round the bottom, straight lines to the gas exchange's pressures: the area, by Gauss' formula for polygons."""
    result = run_cycle(engine(boost=5e4, exhaust_pressure=1.2e5), AT)
    V, p = result.volume[0], result.pressure[0]
    bottom = np.pi / 4.0 * 0.1016**2 * 0.0884 * (1.0 + 1.0 / 9.0)
    x, y = np.append(V, [bottom, bottom]), np.append(p, [1.2e5, 101325.0 + 5e4])
    area = 0.5 * float(np.sum(y * np.roll(x, -1) - x * np.roll(y, -1)))
    straight = 0.5 * float(np.sum((p[1:] + p[:-1]) * np.diff(V)))
    assert one_row(result, "indicated_work") - one_row(result, "closed_work") == pytest.approx(area - straight, rel=1e-9)
    assert one_row(result, "closed_work") == pytest.approx(straight, rel=2e-3)  # the loop's own steps are straight in p·V over ln V


def test_power_is_the_brake_work_of_every_second_turn() -> None:
    """J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eqs. 2.14 and 2.19a: 25 cycles a second at 3000 rpm, four-stroke."""
    result = run_cycle(engine(), AT)
    swept = np.pi / 4.0 * 0.1016**2 * 0.0884
    assert one_row(result, "brake_power") == pytest.approx(25.0 * one_row(result, "bmep") * swept, rel=1e-12)
    assert one_row(result, "brake_power") == pytest.approx(25.0 * one_row(result, "brake_efficiency") * one_row(result, "fuel_energy"))


def test_exhaust_is_the_burned_gas_mixed_with_what_did_not_burn() -> None:
    result = run_cycle(engine(combustion_efficiency=[0.9, 1.0]), AT)
    burned, unburned = result.burned_temperature[:, -1], result.unburned_temperature[:, -1]
    share = (burned - result.exhaust_temperature) / (burned - unburned)
    assert share == pytest.approx([0.1, 0.0], abs=1e-9)


def test_peak_pressure_does_not_hang_on_the_steps() -> None:
    coarse, fine = (run_cycle(engine(), AT, refine) for refine in (1.0, 8.0))
    assert one_row(coarse, "peak_pressure") == pytest.approx(float(fine.pressure.max()), rel=5e-5)
    highest = float(fine.angle[0, int(np.argmax(fine.pressure[0]))])
    assert one_row(coarse, "peak_pressure_angle") == pytest.approx(highest, abs=np.radians(0.1))


def test_knock_integral_counts_the_oxygen_of_nitrous_oxide_as_free() -> None:
    """Integrated anew from the answered trace, at a mixture of 1.1; N2O = N2 + ½ O2; −1.41 of He et al., 2005 (from memory)."""
    for flow in (0.0, 0.003):
        result = run_cycle(engine(nitrous_flow=flow), AT)
        lit = result.angle[0] > result.spark[0]
        stop = int(np.argmax(result.burned_fraction[0] >= 0.9 * result.burned_fraction[0, -1])) + 1
        seconds = (result.angle[0, :stop] - result.angle[0, 0]) / (3000.0 * RPM)
        delay = douaud_eyzat_delay(100.0, result.pressure[0, :stop], result.end_gas_temperature[0, :stop])
        delay = delay * 0.9 * 0.95**4.2 * np.exp(4.2 * 0.05**2) * (1.0 - result.residual_fraction[0]) ** -1.41  # as end_gas says
        running = livengood_wu_integral(seconds, delay)
        plain = np.interp(0.9 * result.burned_fraction[0, -1], result.burned_fraction[0, :stop][lit[:stop]], running[lit[:stop]])
        air, nitrous = one_row(result, "air_mass") / 28.965, one_row(result, "nitrous_mass") / 44.013
        richer = (0.2095 * air + 0.5 * nitrous) / (air + 1.5 * nitrous) / 0.2095
        assert one_row(result, "knock_integral") == pytest.approx(float(plain) * richer**1.41, rel=1e-3)


def test_unlit_charge_is_compressed_as_an_ideal_gas() -> None:
    result = run_cycle(engine(heat_transfer_factor=0.0), np.radians(60.0))
    before = result.angle[0] < result.spark[0]
    p, V, T = result.pressure[0, before], result.volume[0, before], result.unburned_temperature[0, before]
    assert p * V / T == pytest.approx(np.full(p.shape, p[0] * V[0] / T[0]), rel=1e-9)
    assert T[-1] == pytest.approx(result.end_gas_temperature[0, before][-1], rel=1e-12)  # the end gas is the unburned zone


@settings(max_examples=10, deadline=None)
@given(st.lists(states, min_size=2, max_size=4))
def test_element_of_array_is_scalar(cases: list[dict[str, float]]) -> None:
    columns = {name: [case[name] for case in cases] for name in cases[0]}
    together = run_cycle(engine(**columns), AT)
    for row, case in enumerate(cases):
        alone = run_cycle(engine(**case), AT)
        for name in ("indicated_work", "peak_pressure", "knock_integral", "brake_power", "exhaust_temperature"):
            assert float(getattr(together, name)[row]) == pytest.approx(one_row(alone, name), rel=1e-9)


def test_rows_past_a_block() -> None:
    ratios = np.linspace(8.0, 12.0, 2 * BLOCK + 3)
    result = run_cycle(engine(compression_ratio=ratios), AT)
    assert result.pressure.shape[0] == ratios.size
    assert rises([float(value) for value in result.indicated_work])
    assert float(result.indicated_work[-1]) == pytest.approx(
        one_row(run_cycle(engine(compression_ratio=12.0), AT), "indicated_work"), rel=1e-9
    )


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"boost": 60e5}, "boost"),
        ({"rod_length": 0.04}, "rod must be longer"),
        ({"exhaust_opening": 3.0}, "exhaust must open"),
        ({"intake_closing": 2.5}, "intake must close"),
        ({"bore": -0.1}, "bore"),
        ({"compression_ratio": float("nan")}, "compression ratio"),
        ({"speed": float("inf")}, "speed"),
        ({"octane": 0.0}, "octane"),
        ({"nitrous_flow": 0.15}, "nitrous oxide"),
        ({"residual_fraction": 0.9}, "residual"),
        ({"exhaust_pressure": -1.0}, "exhaust pressure"),
    ],
)
def test_a_state_that_cannot_be_says_why(changes: dict[str, float], why: str) -> None:
    name, bad = next(iter(changes.items()))
    good = getattr(engine(), name)
    result = run_cycle(engine(**{name: [good, bad, good]}), AT)
    assert result.solved.tolist() == [True, False, True]
    assert why in str(result.reason[1])
    assert str(result.reason[0]) == ""
    alone = run_cycle(engine(), AT)
    for field in ("indicated_work", "peak_pressure", "octane_required"):
        values = getattr(result, field)
        assert float(values[1]) == 0.0
        assert float(values[2]) == pytest.approx(one_row(alone, field), rel=1e-12)


def test_calls_that_cannot_be_meant() -> None:
    with pytest.raises(ValueError, match="broadcast"):
        run_cycle(engine(bore=[0.1, 0.1], stroke=[0.08, 0.08, 0.08]), AT)
    with pytest.raises(ValueError, match="half burning"):
        run_cycle(engine(), 3.0)
    with pytest.raises(ValueError, match="as many"):
        run_cycle(engine(compression_ratio=[9.0, 10.0]), [0.1, 0.1, 0.1])
    with pytest.raises(ValueError, match="one axis"):
        run_cycle(engine(compression_ratio=[[9.0, 10.0]]), AT)
    with pytest.raises(ValueError, match="at least one row"):
        run_cycle(engine(compression_ratio=[]), AT)


def test_nothing_is_ever_not_a_number() -> None:
    rng = np.random.default_rng(5)
    n = 300
    result = run_cycle(
        engine(
            bore=rng.uniform(0.0, 0.35, n),
            stroke=rng.uniform(0.0, 0.5, n),
            rod_length=rng.uniform(0.0, 0.6, n),
            compression_ratio=rng.uniform(0.0, 30.0, n),
            speed=rng.uniform(0.0, 2500.0, n),
            boost=rng.uniform(-1e5, 5e5, n),
            equivalence_ratio=rng.uniform(0.3, 2.0, n),
            heat_transfer_factor=rng.uniform(0.0, 3.5, n),
            nitrous_flow=rng.choice([0.0, 0.01, 0.1], n),
        ),
        AT,
    )
    assert result.solved.any()
    assert not result.solved.all()
    assert np.all((result.reason == "") == result.solved)
    for name in CycleResult.__dataclass_fields__:
        values = getattr(result, name)
        if values.dtype.kind == "f":
            assert np.all(np.isfinite(values)), name


def test_gasoline_is_the_default() -> None:
    assert engine().fuel is GASOLINE
