"""Pressure over the closed cycle, all crank angles at once.

Two zones share the pressure: unburned charge, compressed with its share of the heat loss, and burned gas in equilibrium. The first
law in its integral form, U = U₀ − ∫p dV − Q, is a set of equations in the pressures at all nodes; given a trace it has a residual
at every node, and the trace is corrected by Newton's rule. The correction's own equation, by the trapezoidal rule, is a first-order
recurrence that has a closed solution in running products and sums, so nothing loops over nodes or states. A few passes converge.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from borewright.physics.arrays import BoolArray, FloatArray, limited
from borewright.physics.cycle.charge import TrappedCharge
from borewright.physics.cycle.compression import PASSES, Walls, compress, walls_of
from borewright.physics.cycle.gas_along_trace import burned_properties, unburned_properties
from borewright.physics.cycle.grid import CycleGrid
from borewright.physics.cycle.integrals import pressure_correction
from borewright.physics.cycle.state import StateColumns
from borewright.physics.cycle.trapped_charge import NITROUS_DECOMPOSITION
from borewright.physics.gas.thermo import GAS_CONSTANT, internal_energy

TOLERANCE = 6e-4
"""Largest residual of the first law at any node over the heat of the fuel before the last correction, which leaves a hundredth of it:
pressures then lie within some 1e-5 of where they would end."""

FEW = 0.3
"""When so few of the rows are left, they go on by themselves."""

LARGEST_WARMING = 400.0
"""Most that a pass may change the burned gas' temperature [K]: early on a speck of burned gas answers wildly to the pressure."""
COLDEST_BURNED, HOTTEST_BURNED = 900.0, 4500.0
"""Range [K] in which the burned gas is evaluated; beyond, its energy goes on in a straight line so that passes stay stable."""

MOTORED_EXPONENT = 1.32
"""For Woschni's motored pressure."""

UNBURNED_GUESS = 1.31
"""Ratio of heat capacities to start from. It and the other numbers of the first trace were fitted to solved cycles; they leave no trace in
the result."""


@dataclass(frozen=True)
class CycleTrace:
    """At each node [S, N]: pressure [Pa], temperatures [K]; of the whole [N]: energies [J], whether the first law holds at every node.

    held : what solving a neighbor may start from [K, N]: of compression pressure, then of pressure, unburned and burned temperature, over
        what the solver begins with where it knows nothing
    """

    pressure: FloatArray
    unburned_temperature: FloatArray
    burned_temperature: FloatArray
    work: FloatArray
    heat_loss: FloatArray
    energy_start: FloatArray
    energy_end: FloatArray
    converged: BoolArray
    passes: NDArray[np.int_]
    held: FloatArray


@dataclass(frozen=True)
class Begun:
    """Where burning starts from [N]: pressure at intake closing, pressure and temperature as burning starts [Pa], [Pa], [K]."""

    first: FloatArray
    pressure: FloatArray
    temperature: FloatArray

    def take(self, rows: NDArray[np.intp]) -> "Begun":
        """Some of the rows."""
        return Begun(self.first[rows], self.pressure[rows], self.temperature[rows])


@dataclass(frozen=True)
class _Burning:
    """A trace between two passes, [S − start, N]: pressure and unburned temperature; one less: burned temperature, moles, ln √p(O2)."""

    pressure: FloatArray
    unburned: FloatArray
    burned: FloatArray
    moles: FloatArray
    log_x: FloatArray | None


def _first_pressure(columns: StateColumns, grid: CycleGrid, charge: TrappedCharge, begun: FloatArray, heat: FloatArray) -> FloatArray:
    """Trace from the start of burning on to begin with: of the heat of what finds oxygen a share, p·r^n = p₁ + k·Q/V₁·∫r^m dx, r = V/V₁."""
    V, x = grid.volume[grid.start :], grid.burned[grid.start :]
    log_ratio = np.log(V / V[0])
    grown = np.exp(0.376 * log_ratio)
    released = np.zeros(grown.shape)
    np.add.accumulate((grown[1:] + grown[:-1]) * np.diff(x, axis=0), axis=0, out=released[1:])
    found = heat / np.maximum(columns["equivalence_ratio"], 1.0) ** 1.07 + charge.nitrous_mass * NITROUS_DECOMPOSITION
    kept = 0.255 * (1.0 + 0.083 * np.log(columns["speed"] / 400.0) + 0.042 * np.log(columns["bore"] / 0.09))
    return np.asarray((begun + 0.5 * kept * found / V[0] * released) * np.exp(-1.306 * log_ratio))


def _first_temperature(
    columns: StateColumns, grid: CycleGrid, pressure: FloatArray, unburned: FloatArray, room: FloatArray, moles_R: FloatArray
) -> FloatArray:
    """Temperature of the burned gas to begin with: that of a flame where little has burned, then more and more what fills the volume.

    unburned : its temperature; room : volume it leaves; moles_R : of the burned gas, R·n; all from behind the start of burning [S, N]
    """
    flame = 2576.0 - 0.058 * unburned - 437.0 * np.maximum(columns["equivalence_ratio"] - 1.05, 0.0)
    share = grid.burned[grid.start + 1 :]
    weight = 0.95 * share / (share + 0.25)
    weight[grid.end - grid.start :] = 1.0
    return limited(flame + weight * (limited(pressure * room / moles_R, 1000.0, 3500.0) - flame), 1100.0, 3200.0)


def _first(
    columns: StateColumns, grid: CycleGrid, charge: TrappedCharge, begun: Begun, heat: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Pressure, unburned and burned temperature to begin with, the last from behind the start of burning [S − start, N]."""
    p = _first_pressure(columns, grid, charge, begun.pressure, heat)
    T = (p / begun.pressure) ** (1.0 - 1.0 / UNBURNED_GUESS) * begun.temperature
    later = slice(grid.start + 1, None)
    x, V = grid.burned[later], grid.volume[later]
    room = V - charge.mass * (1.0 - x) * charge.gas.gas_constant * T[1:] / p[1:]
    return p, T, _first_temperature(columns, grid, p[1:], T[1:], room, charge.mass * GAS_CONSTANT * _undissociated(charge) * x)


def _undissociated(charge: TrappedCharge) -> FloatArray:
    """Moles of a kilogram of cold burned gas [N]."""
    carbon, hydrogen, oxygen, nitrogen, _ = charge.elements.T
    spare = np.maximum(oxygen - 2.0 * carbon - hydrogen / 2.0, 0.0)
    return np.asarray(carbon + (hydrogen + nitrogen + spare) / 2.0)


def _burn(
    grid: CycleGrid,
    charge: TrappedCharge,
    walls: Walls,
    heat: FloatArray,
    begun: Begun,
    state: _Burning,
    passes: NDArray[np.int_],
    sweep: int,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Pressure, unburned and burned temperature, and work, heat lost and the end's energy [3, N], from the start of burning on.

    passes : in which the first law came to hold, set in place [N]; sweep : the pass that comes next
    """
    s = grid.start
    m, R, gas = charge.mass, charge.gas.gas_constant, charge.gas
    V, x, slope, film, wall = grid.volume[s:], grid.burned[s:], grid.slope[s:], walls.film[s:], walls.temperature
    lit = slice(1, None)  # all nodes but the first, where nothing has burned yet
    xb, V_lit = x[lit], V[lit]
    mu, weight = m * (1.0 - x), m * xb
    mbR, unburned_R = weight * GAS_CONSTANT, mu * R
    motored = begun.first * (grid.volume[0] / V) ** MOTORED_EXPONENT
    p, T, burned_T, moles, log_x = state.pressure, state.unburned, state.burned, state.moles, state.log_x
    rate, answer, entropy_lost = np.zeros(V.shape), np.zeros(V.shape), np.zeros(1)
    result = (np.zeros(V.shape), np.zeros(V.shape), np.zeros(xb.shape), np.zeros((3, m.size)))
    log_V, angle = np.log(V), grid.angle[s:]
    work_steps, turned, loss_steps = log_V[1:] - log_V[:-1], angle[1:] - angle[:-1], np.empty((2, V.shape[0] - 1, m.size))
    energy, stiff, mass_R = (np.empty(V.shape) for _ in range(3))
    stiff[0] = 1.0  # the first pressure stands
    mass_R[0] = unburned_R[0]
    touched = m * (1.0 + np.sqrt(x))
    _, begun_entropy, begun_energy = (each[0] for each in unburned_properties(gas, begun.temperature[None]))
    for now in range(sweep, PASSES + 1):
        pb, pV = p[lit], p * V
        flow = slope * p
        if not walls.lossless:
            np.add(unburned_R[lit], mbR * moles, out=mass_R[lit])
            mean_T = pV / mass_R
            w = np.maximum(p - motored, 0.0)
            w *= walls.combustion
            w += walls.motored_speed
            coefficient = film * np.exp(0.8 * np.log(p * w) - 0.55 * np.log(mean_T))
            rate = coefficient * (mean_T - wall)
            flow += rate
            # ∂q/∂ln p at given volume: the mean temperature rises with the pressure, and so does the gas speed
            answer = coefficient * mean_T + (0.25 + 0.8 * walls.combustion * p / w) * rate
            steep = answer / pV
            np.multiply(steep[1:], turned, out=loss_steps[0])
            np.multiply(steep[:-1], turned, out=loss_steps[1])
            entropy_lost = grid.burn_integral(coefficient * (1.0 - wall / T) / touched)

        cp, entropy, u = unburned_properties(gas, T)
        off = R * np.log(p / begun.pressure) + begun_entropy
        off -= entropy_lost
        off -= entropy
        off /= cp
        warmer = T * np.exp(limited(off, -0.3, 0.3))
        u += (cp - R) * (warmer - T)
        T = warmer

        burned = burned_properties(burned_T, pb, moles, log_x, charge.elements)
        swell = burned.moles + burned.moles_slope * burned_T
        mass_Rb = mbR * burned.moles
        Vu, Vb = unburned_R[lit] * T[lit] / pb, mass_Rb * burned_T / pb
        gap = (V_lit - Vu - Vb) * pb
        np.multiply(mu, u, out=energy)
        energy[lit] += weight * burned.energy

        residual = grid.burn_integral(flow)
        residual += energy - m * begun_energy
        # the volumes of the zones must add up as well: a gap is closed by temperature, which costs energy
        stiffness = burned.energy_slope / (GAS_CONSTANT * swell)
        residual[lit] += stiffness * gap
        residual[0] = 0.0
        fresh = (np.abs(residual).max(axis=0) < TOLERANCE * heat) & (passes == 0) & (now > 1)

        swing = Vu * (1.0 - R / cp[lit])
        yields = Vb + swing
        np.divide(swing + yields * stiffness, V_lit, out=stiff[lit])
        change = pressure_correction(residual, stiff, V, work_steps, None if walls.lossless else loss_steps)
        warming = (gap + yields * change[lit]) / (mbR * swell)
        before, burned_T = burned_T, limited(burned_T + limited(warming, -LARGEST_WARMING, LARGEST_WARMING), COLDEST_BURNED, HOTTEST_BURNED)
        share = limited(change / p, -0.3, 0.3)
        p = p * np.exp(share)
        if fresh.any():  # each row is kept as it first fulfills the first law, so it does not depend on the rows beside it
            passes[fresh] = now
            end = energy[-1] + stiff[-1] * V[-1] * change[-1] + (stiffness * gap)[-1]
            isentropic = T * (1.0 + share * R / cp)
            work, lost = (grid.burn_total(each) for each in (slope * p, rate + answer * share))
            for kept, found in zip(result, (p, isentropic, burned_T, np.stack([work, lost, end])), strict=True):
                kept[:, fresh] = found[:, fresh]
            if passes.all():
                break
        log_x = burned.log_x + burned.log_x_slope * before * (1.0 - before / burned_T)  # ln x runs straight over 1/T
        moles = burned.moles + burned.moles_slope * (burned_T - before)
        rest = np.flatnonzero(passes == 0)
        if rest.size == 0:
            break
        if rest.size < FEW * passes.size:
            left = _Burning(p[:, rest], T[:, rest], burned_T[:, rest], moles[:, rest], log_x[:, rest])
            taken = passes[rest]
            alone = _burn(grid.take(rest), charge.take(rest), walls.take(rest), heat[rest], begun.take(rest), left, taken, now + 1)
            passes[rest] = taken
            for kept, found in zip(result, alone, strict=True):
                kept[:, rest] = found
            break
    return result


def solve_trace(
    columns: StateColumns, grid: CycleGrid, charge: TrappedCharge, heat: FloatArray, guess: FloatArray | None = None
) -> CycleTrace:
    """Pressure and temperatures from intake closing to exhaust opening.

    Heat goes to the walls by Woschni's coefficient at the mean temperature of the whole gas. The unburned zone bears it on the wall it
    touches, 1 − √x of the whole, the burned zone the rest.

    Parameters
    ----------
    columns : StateColumns
    grid : CycleGrid
    charge : TrappedCharge
    heat : array [N] [J]
        Of the fuel, to scale the residual and for the first guess.
    guess : array [K, N] or None
        What a solved neighbor holds, `CycleTrace.held`.

    Returns
    -------
    CycleTrace

    References
    ----------
    First law; J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 14.4, for the two zones; wall shares by the root of
    the burned fraction: C. R. Ferguson, A. T. Kirkpatrick, Internal Combustion Engines, 2001, ch. 2 (from memory).

    Examples
    --------
    >>> from borewright.physics.cycle.cycle import run_cycle
    >>> from borewright.physics.cycle.state import CylinderState
    >>> bool(run_cycle(CylinderState(0.0843, 0.0853, 0.14235, 10.0, 300.0), 0.14).solved[0])
    True
    """
    s = grid.start
    m, gas = charge.mass, charge.gas
    p0 = m * gas.gas_constant * charge.temperature / grid.volume[0]
    walls = walls_of(columns, grid, charge, p0)
    early = compress(grid, charge, walls, p0, heat, None if guess is None else guess[: s + 1])
    begun = Begun(p0, early.pressure[-1], early.temperature[-1])
    start = _first(columns, grid, charge, begun, heat)
    p, T, burned_T = start
    if guess is not None:
        count = p.shape[0]
        over_p, over_T, over_burned = np.split(guess[s + 1 :], [count, 2 * count])
        p, T, burned_T = p * over_p, T * over_T, limited(burned_T * over_burned, COLDEST_BURNED, HOTTEST_BURNED)
        p[0], T[0] = begun.pressure, begun.temperature
    state = _Burning(p, T, burned_T, np.broadcast_to(_undissociated(charge), burned_T.shape), None)
    passes = np.where(early.passes > 0, 0, PASSES + 1)
    pressure, unburned, hot, totals = _burn(grid, charge, walls, heat, begun, state, passes, 1)
    work, lost, end = totals
    last = hot[grid.end - s - 1 :]
    solved = (passes > 0) & (passes <= PASSES) & np.all((last > COLDEST_BURNED) & (last < HOTTEST_BURNED), axis=0)
    return CycleTrace(
        np.concatenate([early.pressure, pressure[1:]]),
        np.concatenate([early.temperature, unburned[1:]]),
        np.concatenate([np.zeros((s + 1, m.size)), hot]),
        early.work + work,
        early.loss + lost,
        m * internal_energy(gas, charge.temperature),
        end,
        solved,
        np.where(solved, passes, 0),
        np.concatenate([early.factor, pressure / start[0], unburned / start[1], hot / start[2]]),
    )
