"""From intake closing to the start of burning: one gas of fixed composition, and the walls that take heat from it and from what follows."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from borewright.physics.arrays import FloatArray, limited
from borewright.physics.cycle.charge import TrappedCharge
from borewright.physics.cycle.gas_along_trace import unburned_properties
from borewright.physics.cycle.grid import CycleGrid
from borewright.physics.cycle.heat_loss import COMBUSTION_SPEED_FACTOR, COMPRESSION_SPEED_FACTOR, WOSCHNI_FACTOR
from borewright.physics.cycle.integrals import pressure_correction, running
from borewright.physics.cycle.state import StateColumns
from borewright.physics.gas.thermo import heat_capacity

TOLERANCE = 5e-4
"""Largest residual of the first law at any node over the heat of the fuel before the last correction, which leaves a hundredth of it."""

PASSES = 60

GUESS_TEMPERATURE = 600.0
"""Where the ratio of heat capacities is taken [K] to start from: fitted to solved cycles as its slope is, it leaves no trace."""


@dataclass(frozen=True)
class Walls:
    """Woschni's heat loss: film, the coefficient times wall area without p, T and w, for each radian [S, N]; the rest of each row [N]."""

    film: FloatArray
    temperature: FloatArray
    motored_speed: FloatArray
    combustion: FloatArray
    lossless: bool

    def take(self, rows: NDArray[np.intp]) -> "Walls":
        """Some of the rows."""
        return Walls(self.film[:, rows], self.temperature[rows], self.motored_speed[rows], self.combustion[rows], self.lossless)


def walls_of(columns: StateColumns, grid: CycleGrid, charge: TrappedCharge, first: FloatArray) -> Walls:
    """The walls of each row.

    Parameters
    ----------
    columns : StateColumns
    grid : CycleGrid
    charge : TrappedCharge
    first : array [N] [Pa]
        Pressure at intake closing.

    Returns
    -------
    Walls

    References
    ----------
    As `heat_loss`.

    Examples
    --------
    >>> from borewright.physics.cycle.grid import cycle_grid
    >>> from borewright.physics.cycle.state import CylinderState, state_columns
    >>> from borewright.physics.cycle.trapped_charge import cylinder_charge
    >>> columns = state_columns(CylinderState(0.0843, 0.0853, 0.14235, 10.0, 300.0, heat_transfer_factor=0.0))
    >>> grid = cycle_grid(columns, np.array([0.14]))
    >>> walls_of(columns, grid, cylinder_charge(columns, grid)[0], np.array([1e5])).lossless
    True
    """
    factor = columns["heat_transfer_factor"] * WOSCHNI_FACTOR * columns["bore"] ** -0.2 * 1e-3**0.8 / columns["speed"]
    motored = COMPRESSION_SPEED_FACTOR / np.pi * columns["stroke"] * columns["speed"]
    combustion = COMBUSTION_SPEED_FACTOR * grid.swept * charge.temperature / (first * grid.volume[0])
    return Walls(factor * grid.area, columns["wall_temperature"], motored, combustion, not np.any(factor))


@dataclass(frozen=True)
class Compressed:
    """Until the start of burning: pressure and temperature [s + 1, N]; whole work and heat loss [N] [J]; pressure over that of the start
    [s + 1, N]; in which pass the first law held [N], 0 where it does not."""

    pressure: FloatArray
    temperature: FloatArray
    work: FloatArray
    loss: FloatArray
    factor: FloatArray
    passes: NDArray[np.int_]


def compress(
    grid: CycleGrid, charge: TrappedCharge, walls: Walls, first: FloatArray, heat: FloatArray, guess: FloatArray | None
) -> Compressed:
    """From intake closing to the start of burning.

    Parameters
    ----------
    grid : CycleGrid
    charge : TrappedCharge
    walls : Walls
    first : array [N] [Pa]
        Pressure at intake closing.
    heat : array [N] [J]
        Of the fuel, to scale the residual.
    guess : array [s + 1, N] or None
        `Compressed.factor` of a neighbor.

    Returns
    -------
    Compressed

    References
    ----------
    First law; Woschni's heat loss.

    Examples
    --------
    >>> from borewright.physics.cycle.grid import cycle_grid
    >>> from borewright.physics.cycle.state import CylinderState, state_columns
    >>> from borewright.physics.cycle.trapped_charge import cylinder_charge
    >>> columns = state_columns(CylinderState(0.0843, 0.0853, 0.14235, 10.0, 300.0))
    >>> grid = cycle_grid(columns, np.array([0.14]))
    >>> charge, _, _ = cylinder_charge(columns, grid)
    >>> first = charge.mass * charge.gas.gas_constant * charge.temperature / grid.volume[0]
    >>> found = compress(grid, charge, walls_of(columns, grid, charge, first), first, np.array([1e3]), None)
    >>> bool(found.pressure[-1, 0] > 10.0 * first[0])
    True
    """
    early = slice(0, grid.start + 1)
    V, slope, film = grid.volume[early], grid.slope[early], walls.film[early]
    R, mR = charge.gas.gas_constant, charge.mass * charge.gas.gas_constant
    capacity = heat_capacity(charge.gas, GUESS_TEMPERATURE)
    log_V = np.log(V)
    begun = first * np.exp((log_V[0] - log_V) * (1.324 + 0.75 * (capacity / (capacity - R) - 1.31)))
    p = begun.copy() if guess is None else begun * guess
    p[0] = first
    work_steps, turned = log_V[1:] - log_V[:-1], grid.angle[1 : grid.start + 1] - grid.angle[: grid.start]
    rate, answer, loss_steps = np.zeros(V.shape), np.zeros(V.shape), None
    kept = np.zeros((4, *V.shape))
    passes = np.zeros(R.shape, dtype=np.int_)
    for sweep in range(1, PASSES + 1):
        pV = p * V
        T = pV / mR
        cp, _, u = unburned_properties(charge.gas, T)
        flow = slope * p
        if not walls.lossless:
            coefficient = film * np.exp(0.8 * np.log(p * walls.motored_speed) - 0.55 * np.log(T))
            rate = coefficient * (T - walls.temperature)
            flow += rate
            answer = coefficient * T + 0.25 * rate
            steep = answer / pV
            loss_steps = np.stack([steep[1:] * turned, steep[:-1] * turned])
        residual = grid.compression_integral(flow)
        u -= u[0]
        u *= charge.mass
        residual += u
        change = pressure_correction(residual, cp / R - 1.0, V, work_steps, loss_steps)
        fresh = (np.abs(residual).max(axis=0) < TOLERANCE * heat) & (passes == 0)
        share = limited(change / p, -0.3, 0.3)
        p = p * np.exp(share)
        if fresh.any():  # each row is kept as it first fulfills the first law, so it does not depend on the rows beside it
            passes[fresh] = sweep
            for stored, now in zip(kept, (p, p * V / mR, slope * p, rate + answer * share), strict=True):
                stored[:, fresh] = now[:, fresh]
            if passes.all():
                break
    work, loss = (running(grid.start)[-1] @ kept[2:]) * grid.lengths[0]
    return Compressed(kept[0], kept[1], work, loss, kept[0] / begun, passes)
