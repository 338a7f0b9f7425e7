"""Pressure over the closed cycle, all crank angles at once.

Two zones share the pressure: unburned charge, compressed with its share of the heat loss, and burned gas in equilibrium. The first
law in its integral form, U = U₀ − ∫p dV − Q, is a set of equations in the pressures at all steps; given a trace it has a residual
at every step, and the trace is corrected by Newton's rule. The correction's own equation is a first-order recurrence that has a
closed solution in running products and sums, so nothing loops over steps or states. A handful of passes converges.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from borewright.physics.arrays import BoolArray, FloatArray, limited
from borewright.physics.cycle.charge import TrappedCharge
from borewright.physics.cycle.gas_along_trace import burned_properties, unburned_properties
from borewright.physics.cycle.grid import BURN_STEPS, CycleGrid
from borewright.physics.cycle.heat_loss import COMBUSTION_SPEED_FACTOR, COMPRESSION_SPEED_FACTOR, WOSCHNI_FACTOR
from borewright.physics.cycle.integrals import expansion_work, pressure_correction, running_integral, stepped_integral
from borewright.physics.cycle.state import StateColumns
from borewright.physics.gas.thermo import GAS_CONSTANT

TOLERANCE, ROUGH_TOLERANCE = 5e-6, 1e-4
"""Largest residual of the first law at any step over the heat of the fuel; where steps are longer than usual, theirs is larger."""

PASSES = 60
LARGEST_WARMING = 400.0
"""Most that a pass may change the burned gas' temperature [K]: early on a speck of burned gas answers wildly to the pressure."""
COLDEST_BURNED, HOTTEST_BURNED = 900.0, 4500.0
"""Range [K] in which the burned gas is evaluated; beyond, its energy goes on in a straight line so that passes stay stable."""

UNBURNED_GUESS, BURNED_GUESS, MOTORED_EXPONENT = 1.31, 1.27, 1.32
"""Ratios of heat capacities: two to start from, they leave no trace in the result; the last for Woschni's motored pressure."""


@dataclass(frozen=True)
class CycleTrace:
    """Along each row [N, S]: pressure [Pa], temperatures [K]; at the end: energies [J]; whether the first law holds at every step."""

    pressure: FloatArray
    unburned_temperature: FloatArray
    burned_temperature: FloatArray
    work: FloatArray
    heat_loss: FloatArray
    energy_start: FloatArray
    energy_end: FloatArray
    converged: BoolArray
    passes: NDArray[np.int_]


@dataclass(frozen=True)
class TraceGuess:
    """Traces to start from [N, S], such as those of a neighboring timing: pressure [Pa], zone temperatures [K]."""

    pressure: FloatArray
    unburned_temperature: FloatArray
    burned_temperature: FloatArray

    def take(self, rows: NDArray[np.intp] | slice) -> "TraceGuess":
        """Some of the rows."""
        return TraceGuess(self.pressure[rows], self.unburned_temperature[rows], self.burned_temperature[rows])


def _first_pressure(columns: StateColumns, grid: CycleGrid, first: FloatArray, heat: FloatArray) -> FloatArray:
    """Trace of constant heat capacities and a fixed share of heat lost to start from: p·V^γ = p₀·V₀^γ + (γ − 1)·∫V^(γ−1) dQ."""
    V, s = grid.volume, grid.start
    p = first[:, None] * (V[:, :1] / V) ** UNBURNED_GUESS
    g = BURNED_GUESS
    ratio = V[:, s:] / V[:, s, None]
    keep = 0.9 + 0.1 * (columns["heat_transfer_factor"] == 0.0)
    released = running_integral(ratio ** (g - 1.0), grid.burned[:, s:] * (keep * heat)[:, None])
    p[:, s:] = (p[:, s, None] + (g - 1.0) / V[:, s, None] * released) / ratio**g
    return p


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
    tolerance = TOLERANCE if grid.end - grid.start >= BURN_STEPS else ROUGH_TOLERANCE
    V, log_V, x, s = grid.volume, np.log(grid.volume), grid.burned, grid.start
    m, R, gas = charge.mass[:, None], charge.gas.gas_constant[:, None], charge.gas.column()
    p0 = charge.mass * charge.gas.gas_constant * charge.temperature / V[:, 0]
    p = _first_pressure(columns, grid, p0, heat) if guess is None else guess.pressure * (p0 / guess.pressure[:, 0])[:, None]

    bore, piston_speed = columns["bore"][:, None], (columns["stroke"] * columns["speed"] / np.pi)[:, None]
    wall = columns["wall_temperature"][:, None]
    seconds = (grid.angle - grid.angle[:, :1]) / columns["speed"][:, None]
    motored = p0[:, None] * (V[:, :1] / V[:, s:]) ** MOTORED_EXPONENT
    combustion = COMBUSTION_SPEED_FACTOR * grid.swept[:, None] * charge.temperature[:, None] / (p0[:, None] * V[:, :1])
    # the coefficient times wall area without p, T and w
    film = columns["heat_transfer_factor"][:, None] * WOSCHNI_FACTOR * bore**-0.2 * 1e-3**0.8 * grid.area
    lossless = not np.any(film)

    burning = slice(s + 1, None)
    xb, root = x[:, burning], np.sqrt(x[:, s:])
    mu, mbR = m * (1.0 - x), m * xb * GAS_CONSTANT
    carbon, hydrogen, oxygen, nitrogen, _ = charge.elements.T
    undissociated = carbon + (hydrogen + nitrogen + np.maximum(oxygen - 2.0 * carbon - hydrogen / 2.0, 0.0)) / 2.0
    if guess is None:
        unburned_T = (p[:, s:] / p[:, s, None]) ** (1.0 - 1.0 / UNBURNED_GUESS) * p[:, s, None] * V[:, s, None] / (m * R)
        room = np.maximum(V[:, burning] - mu[:, burning] * R * unburned_T[:, 1:] / p[:, burning], 0.0)
        burned_T = np.clip(p[:, burning] * room / (mbR * undissociated[:, None]), 2100.0, 2800.0)
    else:
        unburned_T, burned_T = guess.unburned_temperature[:, s:], guess.burned_temperature[:, burning]
    moles = np.broadcast_to(undissociated[:, None], xb.shape)
    log_x = None
    T, energy, capacity = np.empty(V.shape), np.empty(V.shape), np.empty(V.shape)
    loss, entropy_lost = np.zeros(V.shape), np.zeros(1)
    result = tuple(np.zeros(shape) for shape in (V.shape, V.shape, xb.shape, V.shape, V.shape))
    passes = np.zeros(V.shape[0], dtype=np.int_)

    work_steps, time_steps, loss_steps = np.diff(log_V, axis=-1), np.diff(seconds, axis=-1), np.empty((2, V.shape[0], V.shape[1] - 1))
    mR, weight = m * R, mbR / GAS_CONSTANT
    unburned_R, unburned_mR = mu * R, np.broadcast_to(mR, V.shape)
    motored_speed = np.broadcast_to(COMPRESSION_SPEED_FACTOR * piston_speed, V.shape)
    touched = m * (1.0 + root)
    for sweep in range(1, PASSES + 1):
        T[:, : s + 1] = p[:, : s + 1] * V[:, : s + 1] / mR
        T[:, burning] = unburned_T[:, 1:]
        cp, entropy, u = unburned_properties(gas, T)
        target = entropy[:, s, None] + R * np.log(p[:, s:] / p[:, s, None]) - entropy_lost
        warmer = T[:, s:] * np.exp(limited((target - entropy[:, s:]) / cp[:, s:], -0.3, 0.3))
        u[:, s:] += (cp[:, s:] - R) * (warmer - T[:, s:])
        T[:, s:] = unburned_T = warmer
        gamma = cp / (cp - R)

        burned = burned_properties(burned_T, p[:, burning], moles, log_x, charge.elements)
        moles = burned.moles
        swell = moles + burned.moles_slope * burned_T
        Vu = unburned_R * T / p
        Vb = mbR * moles * burned_T / p[:, burning]
        gap = V[:, burning] - Vu[:, burning] - Vb
        np.multiply(mu, u, out=energy)
        energy[:, burning] += weight * burned.energy

        if not lossless:
            mass_R = unburned_mR.copy()
            mass_R[:, burning] = unburned_R[:, burning] + mbR * moles
            mean_T = p * V / mass_R
            w = motored_speed.copy()
            w[:, s:] += combustion * np.maximum(p[:, s:] - motored, 0.0)
            coefficient = film * np.exp(0.8 * np.log(p * w) - 0.55 * np.log(mean_T))
            rate = coefficient * (mean_T - wall)
            loss = stepped_integral(rate, time_steps)
            # ∂q/∂p at given volume, over V; the mean temperature rises with the pressure, and so does the gas speed once it burns
            answer = coefficient * mean_T + 0.25 * rate
            answer[:, s:] += 0.8 * combustion * p[:, s:] / w[:, s:] * rate[:, s:]
            answer /= p * V
            np.multiply(answer[:, 1:], time_steps, out=loss_steps[0])
            np.multiply(answer[:, :-1], time_steps, out=loss_steps[1])
            lost = coefficient[:, s:] * (1.0 - wall / T[:, s:]) / touched
            entropy_lost = stepped_integral(lost, time_steps[:, s:])

        residual = energy - energy[:, :1] + stepped_integral(p * V, work_steps) + loss
        # the volumes of the zones must add up as well: a gap is closed by temperature, which costs energy
        stiffness = burned.energy_slope / (GAS_CONSTANT * swell)
        residual[:, burning] += stiffness * p[:, burning] * gap
        worst = np.abs(residual).max(axis=-1) / heat
        fresh = (worst < tolerance) & (passes == 0)
        if fresh.any():  # each row is kept as it first fulfills the first law, so it does not depend on the rows beside it
            passes[fresh] = sweep
            for kept, now in zip(result, (p, T, burned_T, loss, energy), strict=True):
                kept[fresh] = now[fresh]
            if passes.all():
                break
        np.divide(V, gamma - 1.0, out=capacity)
        swing = Vu[:, burning] / gamma[:, burning]
        capacity[:, burning] = swing + (Vb + swing) * stiffness
        change = pressure_correction(residual, capacity / V, V, work_steps, None if lossless else loss_steps)
        warming = (p[:, burning] * gap + (Vb + swing) * change[:, burning]) / (mbR * swell)
        before, burned_T = burned_T, limited(burned_T + limited(warming, -LARGEST_WARMING, LARGEST_WARMING), COLDEST_BURNED, HOTTEST_BURNED)
        log_x = burned.log_x + burned.log_x_slope * before * (1.0 - before / burned_T)  # ln x runs straight over 1/T
        moles = moles + burned.moles_slope * (burned_T - before)
        p = p * np.exp(limited(change / p, -0.3, 0.3))

    pressure, unburned, burned_T, loss, energy = result
    lit = burned_T[:, grid.end - s - 1 :]
    inside = np.all((lit > COLDEST_BURNED) & (lit < HOTTEST_BURNED), axis=-1)
    whole = np.concatenate([np.zeros((V.shape[0], s + 1)), burned_T], axis=1)
    work = expansion_work(pressure, V, log_V)[:, -1]
    return CycleTrace(pressure, unburned, whole, work, loss[:, -1], energy[:, 0], energy[:, -1], (passes > 0) & inside, passes)
