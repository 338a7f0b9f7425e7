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
from borewright.physics.cycle.gas_along_trace import burned_properties, unburned_properties
from borewright.physics.cycle.grid import CycleGrid
from borewright.physics.cycle.heat_loss import COMBUSTION_SPEED_FACTOR, COMPRESSION_SPEED_FACTOR, WOSCHNI_FACTOR
from borewright.physics.cycle.integrals import pressure_correction, running
from borewright.physics.cycle.state import StateColumns
from borewright.physics.cycle.trapped_charge import NITROUS_DECOMPOSITION
from borewright.physics.gas.thermo import GAS_CONSTANT, heat_capacity, internal_energy

TOLERANCE, COMPRESSION_TOLERANCE = 6e-4, 5e-4
"""Largest residual of the first law at any node over the heat of the fuel before the last correction, which leaves a hundredth of it:
pressures then lie within some 1e-5 of where they would end. The other is of the compression, which answers more evenly."""

PASSES = 60
LARGEST_WARMING = 400.0
"""Most that a pass may change the burned gas' temperature [K]: early on a speck of burned gas answers wildly to the pressure."""
COLDEST_BURNED, HOTTEST_BURNED = 900.0, 4500.0
"""Range [K] in which the burned gas is evaluated; beyond, its energy goes on in a straight line so that passes stay stable."""

MOTORED_EXPONENT = 1.32
"""For Woschni's motored pressure."""

UNBURNED_GUESS, GUESS_TEMPERATURE = 1.31, 600.0
"""Ratio of heat capacities, and where they are taken [K], to start from. These and the other numbers of the first trace were fitted to
solved cycles; they leave no trace in the result."""


@dataclass(frozen=True)
class CycleTrace:
    """At each node [S, N]: pressure [Pa], temperatures [K]; of the whole [N]: energies [J]; whether the first law holds at every node."""

    pressure: FloatArray
    unburned_temperature: FloatArray
    burned_temperature: FloatArray
    work: FloatArray
    heat_loss: FloatArray
    energy_start: FloatArray
    energy_end: FloatArray
    converged: BoolArray
    passes: NDArray[np.int_]
    guess: "TraceGuess"


@dataclass(frozen=True)
class TraceGuess:
    """How solved traces lie to what they were begun with, pressure and zone temperatures from the start of burning on [S − start, N] [1].

    Of a neighbor in timing, speed or compression they nearly hold as well.
    """

    pressure: FloatArray
    unburned_temperature: FloatArray
    burned_temperature: FloatArray

    def take(self, rows: NDArray[np.intp] | slice) -> "TraceGuess":
        """Some of the rows."""
        return TraceGuess(self.pressure[:, rows], self.unburned_temperature[:, rows], self.burned_temperature[:, rows])


@dataclass(frozen=True)
class _Walls:
    """Woschni's heat loss: film, the coefficient times wall area without p, T and w, for each radian [S, N]; the rest of each row [N]."""

    film: FloatArray
    temperature: FloatArray
    motored_speed: FloatArray
    combustion: FloatArray
    lossless: bool


def _walls(columns: StateColumns, grid: CycleGrid, charge: TrappedCharge, first: FloatArray) -> _Walls:
    factor = columns["heat_transfer_factor"] * WOSCHNI_FACTOR * columns["bore"] ** -0.2 * 1e-3**0.8 / columns["speed"]
    motored = COMPRESSION_SPEED_FACTOR / np.pi * columns["stroke"] * columns["speed"]
    combustion = COMBUSTION_SPEED_FACTOR * grid.swept * charge.temperature / (first * grid.volume[0])
    return _Walls(factor * grid.area, columns["wall_temperature"], motored, combustion, not np.any(factor))


@dataclass(frozen=True)
class _Compressed:
    """Until the start of burning: pressure and temperature [s + 1, N]; whole work and heat loss [N] [J]; where the first law holds."""

    pressure: FloatArray
    temperature: FloatArray
    work: FloatArray
    loss: FloatArray
    passes: NDArray[np.int_]


def _compress(grid: CycleGrid, charge: TrappedCharge, walls: _Walls, first: FloatArray, heat: FloatArray) -> _Compressed:
    """From intake closing to the start of burning, one gas of fixed composition."""
    early = slice(0, grid.start + 1)
    V, slope, film = grid.volume[early], grid.slope[early], walls.film[early]
    R, mR = charge.gas.gas_constant, charge.mass * charge.gas.gas_constant
    capacity = heat_capacity(charge.gas, GUESS_TEMPERATURE)
    p = first * (V[0] / V) ** (1.324 + 0.75 * (capacity / (capacity - R) - 1.31))
    work_steps, turned = np.diff(np.log(V), axis=0), np.diff(grid.angle[early], axis=0)
    rate, answer, loss_steps = np.zeros(V.shape), np.zeros(V.shape), None
    kept = np.zeros((4, *V.shape))
    passes = np.zeros(R.shape, dtype=np.int_)
    for sweep in range(1, PASSES + 1):
        pV = p * V
        T = pV / mR
        cp, _, u = unburned_properties(charge.gas, T)
        if not walls.lossless:
            coefficient = film * np.exp(0.8 * np.log(p * walls.motored_speed) - 0.55 * np.log(T))
            rate = coefficient * (T - walls.temperature)
            answer = coefficient * T + 0.25 * rate
            steep = answer / pV
            loss_steps = np.stack([steep[1:] * turned, steep[:-1] * turned])
        residual = charge.mass * (u - u[0]) + grid.compression_integral(slope * p + rate)
        change = pressure_correction(residual, cp / R - 1.0, V, work_steps, loss_steps)
        fresh = (np.abs(residual).max(axis=0) < COMPRESSION_TOLERANCE * heat) & (passes == 0)
        share = limited(change / p, -0.3, 0.3)
        p = p * np.exp(share)
        if fresh.any():  # each row is kept as it first fulfills the first law, so it does not depend on the rows beside it
            passes[fresh] = sweep
            for stored, now in zip(kept, (p, p * V / mR, slope * p, rate + answer * share), strict=True):
                stored[:, fresh] = now[:, fresh]
            if passes.all():
                break
    whole = running(grid.start)[-1]
    return _Compressed(kept[0], kept[1], whole @ kept[2] * grid.lengths[0], whole @ kept[3] * grid.lengths[0], passes)


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


def solve_trace(
    columns: StateColumns, grid: CycleGrid, charge: TrappedCharge, heat: FloatArray, guess: TraceGuess | None = None
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
    guess : TraceGuess or None

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
    m, R, gas = charge.mass, charge.gas.gas_constant, charge.gas
    p0 = m * R * charge.temperature / grid.volume[0]
    walls = _walls(columns, grid, charge, p0)
    early = _compress(grid, charge, walls, p0, heat)
    V, x, slope, film, wall = grid.volume[s:], grid.burned[s:], grid.slope[s:], walls.film[s:], walls.temperature
    begun, began = early.pressure[-1], early.temperature[-1]
    lit = slice(1, None)  # all nodes but the first, where nothing has burned yet
    motored = p0 * (grid.volume[0] / V) ** MOTORED_EXPONENT
    xb, V_lit = x[lit], V[lit]
    mu, mbR, weight = m * (1.0 - x), m * GAS_CONSTANT * xb, m * xb
    unburned_R = mu * R
    carbon, hydrogen, oxygen, nitrogen, _ = charge.elements.T
    undissociated = carbon + (hydrogen + nitrogen + np.maximum(oxygen - 2.0 * carbon - hydrogen / 2.0, 0.0)) / 2.0
    p = first_p = _first_pressure(columns, grid, charge, begun, heat)
    T = first_T = (p / begun) ** (1.0 - 1.0 / UNBURNED_GUESS) * began
    room = V_lit - unburned_R[lit] * T[lit] / p[lit]
    burned_T = first_burned_T = _first_temperature(columns, grid, p[lit], T[lit], room, mbR * undissociated)
    if guess is not None:
        p, T = p * guess.pressure, T * guess.unburned_temperature
        burned_T = limited(burned_T * guess.burned_temperature[lit], COLDEST_BURNED, HOTTEST_BURNED)
    moles: FloatArray = np.broadcast_to(undissociated, xb.shape)
    log_x = None
    rate, answer, entropy_lost = np.zeros(V.shape), np.zeros(V.shape), np.zeros(1)
    result = (*(np.zeros(shape) for shape in (V.shape, V.shape, xb.shape)), *(np.zeros(m.shape) for _ in range(3)))
    passes = np.where(early.passes > 0, 0, PASSES + 1)

    work_steps, turned, loss_steps = np.diff(np.log(V), axis=0), np.diff(grid.angle[s:], axis=0), np.empty((2, V.shape[0] - 1, m.size))
    energy, stiff, mass_R = (np.empty(V.shape) for _ in range(3))
    stiff[0] = 1.0  # the first pressure stands
    mass_R[0] = unburned_R[0]
    touched = m * (1.0 + np.sqrt(x))
    _, begun_entropy, begun_energy = (each[0] for each in unburned_properties(gas, began[None]))
    for sweep in range(1, PASSES + 1):
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
        off = R * np.log(p / begun) + begun_entropy
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
        fresh = (np.abs(residual).max(axis=0) < TOLERANCE * heat) & (passes == 0) & (sweep > 1)

        swing = Vu * (1.0 - R / cp[lit])
        yields = Vb + swing
        np.divide(swing + yields * stiffness, V_lit, out=stiff[lit])
        change = pressure_correction(residual, stiff, V, work_steps, None if walls.lossless else loss_steps)
        warming = (gap + yields * change[lit]) / (mbR * swell)
        before, burned_T = burned_T, limited(burned_T + limited(warming, -LARGEST_WARMING, LARGEST_WARMING), COLDEST_BURNED, HOTTEST_BURNED)
        share = limited(change / p, -0.3, 0.3)
        p = p * np.exp(share)
        if fresh.any():  # each row is kept as it first fulfills the first law, so it does not depend on the rows beside it
            passes[fresh] = sweep
            end = energy[-1] + stiff[-1] * V[-1] * change[-1] + (stiffness * gap)[-1]
            isentropic = T * (1.0 + share * R / cp)
            work, lost = (grid.burn_integral(each)[-1] for each in (slope * p, rate + answer * share))
            for kept, now in zip(result, (p, isentropic, burned_T, work, lost, end), strict=True):
                kept[..., fresh] = now[..., fresh]
            if passes.all():
                break
        log_x = burned.log_x + burned.log_x_slope * before * (1.0 - before / burned_T)  # ln x runs straight over 1/T
        moles = burned.moles + burned.moles_slope * (burned_T - before)

    pressure, unburned, hot, work, lost, end = result
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
        TraceGuess(
            np.where(solved, pressure / first_p, 1.0),
            np.where(solved, unburned / first_T, 1.0),
            np.where(solved, np.concatenate([np.ones((1, m.size)), hot / first_burned_T]), 1.0),
        ),
    )
