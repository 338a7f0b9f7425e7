"""One closed cycle of a cylinder, for any number of states at once, at a given timing: work, pressures, knock, energy balance.

`cycle_timing.find_timing` finds the timing. Outside the closed part the gas exchange is idealized: while the intake is still open on
the way up the pressure climbs from the manifold's to the trapped one, from exhaust opening to bottom dead center it falls to the
exhaust's, each counted by its mean (common practice for a closed-cycle model), and pumping is manifold less exhaust pressure.
"""

from collections.abc import Callable
from dataclasses import fields, replace
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, floats
from borewright.physics.cycle.charge import TrappedCharge
from borewright.physics.cycle.end_gas import end_gas_delay, octane_of_resistance, octane_resistance
from borewright.physics.cycle.friction import patton_nitschke_heywood_friction
from borewright.physics.cycle.grid import DEGREES, SHOWN_STEPS, CycleGrid, cycle_grid
from borewright.physics.cycle.integrals import even, integral_to, running, straight
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState, StateColumns, state_columns
from borewright.physics.cycle.trace import CycleTrace, solve_trace
from borewright.physics.cycle.trapped_charge import NITROUS_DECOMPOSITION, cylinder_charge
from borewright.physics.cycle.wiebe import COMPLETENESS, wiebe_progress
from borewright.physics.gas.fuel import AIR, NITROUS_OXIDE, lower_heating_value
from borewright.physics.gas.knock import oxygen_delay_factor
from borewright.physics.gas.thermo import INDEX

BLOCK = 400
"""Most rows solved at once: memory stays small, and what a call costs is shared. Results do not depend on it."""

KNOCK_BURNED_FRACTION = 0.9
"""Share burned up to which the knock integral runs. Calibration, common practice in closed-cycle models: the last tenth lies cool along
the walls, burns too late and is too little to be heard. With it the usual builds on premium fuel come out near their margin."""

PEAK_STEPS = (24, 48)
"""Even steps of compression and burning among which the highest pressure is looked for."""

_STRETCH = np.repeat([0, 1], PEAK_STEPS)
_SHARE = np.concatenate([np.arange(1, steps + 1) / steps for steps in PEAK_STEPS])

_KNOCK_PROGRESS = float(wiebe_progress(KNOCK_BURNED_FRACTION * -np.expm1(-COMPLETENESS)))


def _peak(grid: CycleGrid, pressure: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Angle and height of the highest pressure: the top of the parabola through the highest of many places and its neighbors."""
    (early, late), s, e = PEAK_STEPS, grid.start, grid.end
    fine = np.concatenate([even(s, early) @ pressure[: s + 1], even(e - s, late) @ pressure[s : e + 1]])
    top = np.clip(np.argmax(fine, axis=0), 1, fine.shape[0] - 2)
    rows = np.arange(top.size)
    begins, lengths = grid.angle[[0, s]], grid.lengths[:2]
    x0, x1, x2 = (begins[_STRETCH[top + k], rows] + _SHARE[top + k] * lengths[_STRETCH[top + k], rows] for k in (-1, 0, 1))
    y0, y1, y2 = (fine[top + k, rows] for k in (-1, 0, 1))
    d1, d2 = (y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1)
    bend = (d2 - d1) / (x2 - x0)
    at = np.where(bend < 0.0, 0.5 * (x0 + x1) - d1 / (2.0 * np.where(bend < 0.0, bend, -1.0)), x1)
    at = np.clip(at, x0, x2)
    return at, np.maximum(y0 + (at - x0) * (d1 + bend * (at - x1)), y1)


def _enrichment(charge: TrappedCharge) -> FloatArray:
    """Factor on the ignition delay from nitrous oxide, all of its oxygen counted as free: the cautious side."""
    air, nitrous = charge.air_mass * AIR.sum(), charge.nitrous_mass * NITROUS_OXIDE.sum()
    of_air = AIR[INDEX["O2"]] / AIR.sum()
    return oxygen_delay_factor((of_air * air + 0.5 * nitrous) / (air + 1.5 * nitrous), of_air)


@cache
def _knock_shares(degree: int, progress: float) -> FloatArray:
    return np.asarray(integral_to(degree, np.array([progress]))[0])


def _knock_integral(c: StateColumns, grid: CycleGrid, charge: TrappedCharge, trace: CycleTrace) -> FloatArray:
    """Knock integral from intake closing until `KNOCK_BURNED_FRACTION` of what burns has burned, or burning is cut off."""
    s, e = grid.start, grid.end
    delay = end_gas_delay(
        c["octane"], trace.pressure[: e + 1], trace.unburned_temperature[: e + 1], c["equivalence_ratio"], charge.residual_fraction
    )
    rate = 1.0 / delay
    before = (running(s)[-1] @ rate[: s + 1]) * grid.lengths[0]
    after = (_knock_shares(e - s, _KNOCK_PROGRESS) @ rate[s:]) * grid.lengths[1]
    cut = np.flatnonzero(grid.truncated)
    if cut.size:
        stop = np.minimum(_KNOCK_PROGRESS * c["burn_duration"][cut] / grid.lengths[1, cut], 1.0)
        after[cut] = np.sum(integral_to(e - s, stop).T * rate[s:, cut], axis=0) * grid.lengths[1, cut]
    result: FloatArray = (before + after) / (c["speed"] * _enrichment(charge))
    return result


def _solve_block(columns: StateColumns, half_burn: FloatArray, refine: float, guess: FloatArray | None) -> CycleResult:
    c = columns
    grid = cycle_grid(c, half_burn, refine)
    charge, manifold, compressor = cylinder_charge(c, grid)
    fuel_energy = charge.fuel_mass * lower_heating_value(c.fuel)
    nitrous_energy = charge.nitrous_mass * NITROUS_DECOMPOSITION
    trace = solve_trace(c, grid, charge, fuel_energy, guess)
    end_gas = trace.unburned_temperature[: grid.end + 1]
    p, V = trace.pressure, grid.volume

    integral = _knock_integral(c, grid, charge, trace)

    bottom = grid.swept + grid.clearance
    intake, exhaust = c["ambient_pressure"] + c["boost"], c["exhaust_pressure"]
    strokes = 0.5 * (p[-1] + exhaust) * (bottom - V[-1]) - 0.5 * (p[0] + intake) * (bottom - V[0])
    indicated = trace.work + strokes
    friction = c["friction_factor"] * patton_nitschke_heywood_friction(
        c["bore"], c["stroke"], c["speed"], c["compression_ratio"], intake, c["cylinders"]
    )
    imep, pmep = indicated / grid.swept, intake - exhaust
    bmep = imep + pmep - friction - c["compressor_drive"] * compressor / grid.swept
    peak_angle, peak = _peak(grid, p)
    full = np.zeros(p.shape)
    full[: grid.end + 1] = end_gas
    burned = grid.burned[-1]
    spent = burned * trace.burned_temperature[-1] + (1.0 - burned) * trace.unburned_temperature[-1]

    reason = c.reason.copy()
    reason[(reason == "") & ~trace.converged] = "the first law could not be closed for this cycle"
    return CycleResult(
        half_burn=half_burn.copy(),
        spark=grid.angle[grid.start],
        closed_work=trace.work,
        indicated_work=indicated,
        heat_loss=trace.heat_loss,
        fuel_energy=fuel_energy,
        nitrous_energy=nitrous_energy,
        exhaust_energy=trace.energy_end - trace.energy_start + fuel_energy + nitrous_energy,
        compressor_work=compressor,
        imep=imep,
        pmep=pmep,
        fmep=friction,
        bmep=bmep,
        indicated_efficiency=indicated / fuel_energy,
        brake_efficiency=bmep * grid.swept / fuel_energy,
        brake_power=bmep * grid.swept * c["speed"] / (4.0 * np.pi),
        peak_pressure=peak,
        peak_pressure_angle=peak_angle,
        peak_end_gas_temperature=end_gas.max(axis=0),
        knock_integral=integral,
        octane_required=octane_of_resistance(octane_resistance(c["octane"]) * integral),
        air_mass=charge.air_mass,
        fuel_mass=charge.fuel_mass,
        nitrous_mass=charge.nitrous_mass,
        trapped_mass=charge.mass,
        residual_fraction=charge.residual_fraction,
        manifold_temperature=manifold,
        trapped_temperature=charge.temperature,
        trapped_pressure=p[0],
        exhaust_temperature=spent,
        angle=grid.angle.T,
        volume=V.T,
        pressure=p.T,
        burned_fraction=grid.burned.T,
        unburned_temperature=trace.unburned_temperature.T,
        burned_temperature=trace.burned_temperature.T,
        end_gas_temperature=full.T,
        held=trace.held.T,
        solved=reason == "",
        reason=reason,
    )


def solve_columns(columns: StateColumns, half_burn: FloatArray, refine: float = 1.0, guess: FloatArray | None = None) -> CycleResult:
    """Cycles of rows already spread out, their traces at the nodes of the solver; see `run_cycle`.

    Parameters
    ----------
    columns : StateColumns
    half_burn : array [N] [rad]
    refine : float
    guess : array [K, N] or None
        What solved neighbors hold, as `CycleResult.held`, to start from.

    Returns
    -------
    CycleResult

    References
    ----------
    As `run_cycle`.

    Examples
    --------
    >>> columns = state_columns(CylinderState(0.0843, 0.0853, 0.14235, [9.0, 10.0], 300.0))
    >>> solve_columns(columns, np.array([0.14, 0.14])).solved.tolist()
    [True, True]
    """
    parts = []
    ends = np.linspace(0, columns.size, -(-columns.size // BLOCK) + 1).astype(int)
    for first, last in pairwise(ends):
        rows = slice(first, last)
        near = None if guess is None else guess[:, rows]
        parts.append(_solve_block(columns.take(rows), half_burn[rows], refine, near))
    result = parts[0]
    if len(parts) > 1:
        result = CycleResult(*[np.concatenate([getattr(part, one.name) for part in parts]) for one in fields(CycleResult)])
    if np.all(result.solved):
        return result
    for one in fields(result):
        if one.name not in ("solved", "reason"):
            getattr(result, one.name)[~result.solved] = 1.0 if one.name == "held" else 0.0
    return result


def drawn(cycle: CycleResult) -> CycleResult:
    """The same cycles with their traces at even steps of each stretch, as they are drawn.

    Parameters
    ----------
    cycle : CycleResult
        Traces at the nodes, of `solve_columns`.

    Returns
    -------
    CycleResult

    References
    ----------
    The polynomials through the nodes; before burning the temperature follows from pressure and volume.

    Examples
    --------
    >>> columns = state_columns(CylinderState(0.0843, 0.0853, 0.14235, 9.0, 300.0))
    >>> nodes = solve_columns(columns, np.array([0.14]))
    >>> nodes.pressure.shape, drawn(nodes).pressure.shape
    ((1, 37), (1, 121))
    """
    refine = (cycle.angle.shape[1] - 1) / sum(DEGREES)
    degrees, steps = ([round(refine * count) for count in counts] for counts in (DEGREES, SHOWN_STEPS))

    def fine(values: FloatArray, how: Callable[[int, int], FloatArray] = even) -> FloatArray:
        places = np.cumsum([0, *degrees])
        parts = [values[:, a : b + 1] @ how(b - a, count).T for a, b, count in zip(places[:-1], places[1:], steps, strict=True)]
        return np.concatenate([values[:, :1], *parts], axis=1)

    angle, volume, pressure, unburned = (fine(one) for one in (cycle.angle, cycle.volume, cycle.pressure, cycle.unburned_temperature))
    early, late = slice(0, steps[0] + 1), slice(steps[0] + steps[1] + 1, None)
    started = (cycle.trapped_pressure * cycle.volume[:, 0])[:, None]
    filled = np.where(started > 0.0, started, 1.0)
    unburned[:, early] = pressure[:, early] * volume[:, early] / filled * cycle.trapped_temperature[:, None]
    burned, share = fine(cycle.burned_temperature, straight), fine(cycle.burned_fraction)
    burned[:, early], share[:, early] = 0.0, 0.0
    end_gas = unburned.copy()
    end_gas[:, late] = 0.0
    return replace(
        cycle,
        angle=angle,
        volume=volume,
        pressure=pressure,
        burned_fraction=share,
        unburned_temperature=unburned,
        burned_temperature=burned,
        end_gas_temperature=end_gas,
    )


def run_cycle(state: CylinderState, half_burn: ArrayLike, refine: float = 1.0) -> CycleResult:
    """One closed cycle of each state with half of the charge burned at a given angle.

    Parameters
    ----------
    state : CylinderState
        Arrays of one value or N.
    half_burn : array [rad]
        Crank angle after top dead center, −60 to 90°; one value or N.
    refine : float
        Multiplies the degree of the polynomials and the steps shown, to see what they cost in accuracy.

    Returns
    -------
    CycleResult

    Raises
    ------
    ValueError
        For columns of different lengths or a timing outside the range.

    References
    ----------
    J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 9 and 14; see `cycle_trace`.

    Examples
    --------
    >>> result = run_cycle(CylinderState(0.0843, 0.0853, 0.14235, [9.0, 11.0], 300.0), np.radians(8.0))
    >>> bool(result.indicated_efficiency[1] > result.indicated_efficiency[0])
    True
    """
    columns = state_columns(state)
    at = np.atleast_1d(floats(half_burn))
    if not np.all((at >= -1.05) & (at <= 1.58)):
        raise ValueError("the angle of half burning must lie within −60 to 90°")
    if at.ndim != 1 or (at.size != 1 and columns.size not in (1, at.size)):
        raise ValueError("the angle of half burning must be one value or as many as the state has rows")
    if columns.size == 1:
        columns = columns.take(np.zeros(at.size, dtype=np.intp))
    return drawn(solve_columns(columns, np.broadcast_to(at, (columns.size,)).astype(np.float64), refine))
