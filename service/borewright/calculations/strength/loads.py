"""Gas and inertia on one cylinder's running gear over the two turns of a cycle, firing top dead center at zero."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.answers import AnswerPart, Figure
from borewright.calculations.base.outcome import Measured
from borewright.calculations.strength.search import Pressed
from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import StateColumns
from borewright.physics.mechanism.piston_motion import peak_acceleration
from borewright.physics.stress import gas_force, inertia_force

STEP = np.radians(5.0)
OPEN_STEPS = 361


class LoadPointAnswer(AnswerPart):
    """The forces at one crank angle, above zero toward the crank."""

    crank = Figure("angle", "crank angle after firing top dead center")
    gas = Figure("force", "cylinder pressure less the crankcase's on the bore's area")
    inertia = Figure("force", "of what goes up and down")
    net = Figure("force", "gas and inertia together")


class LoadsAnswer(AnswerPart):
    """The largest loads of a cycle, above zero toward the crank; angles after firing top dead center."""

    peak_pressure = Figure("pressure", "highest pressure in the cylinder, absolute", nullable=True)
    peak_pressure_angle = Figure("angle", "where it stands; null where the pressure was given", nullable=True)
    peak_gas = Figure("force", "largest gas force on the piston", nullable=True)
    peak_acceleration = Figure("acceleration", "of the piston, largest of a turn")
    reciprocating_mass = Figure("mass", "piston, pin and the rod's share; without the last where it is not known")
    peak_inertia = Figure("force", "of the reciprocating mass, away from the crank, largest of a turn")
    net_highest = Figure("force", "largest net force; null where the pressure was given, as no angle goes with it", nullable=True)
    net_highest_angle = Figure("angle", "where it stands", nullable=True)
    net_lowest = Figure("force", "smallest net force, pulling where below zero; null as the largest", nullable=True)
    net_lowest_angle = Figure("angle", "where it stands", nullable=True)


@dataclass(frozen=True)
class Gear:
    """What moves with the crank, and how: mass [kg], lengths [m], speed [rad/s]; columns of states or rows' single values."""

    mass: FloatArray
    bore: FloatArray
    stroke: FloatArray
    rod_length: FloatArray
    speed: FloatArray
    pin_offset: FloatArray
    crankcase: FloatArray

    def column(self) -> Gear:
        """With an axis for crank angles."""
        return Gear(*(np.asarray(getattr(self, name))[:, None] for name in self.__dataclass_fields__))

    def nominal(self) -> Gear:
        """Of the first state."""
        return Gear(*(np.asarray(getattr(self, name))[:1] for name in self.__dataclass_fields__))

    def inertia(self, angle: FloatArray) -> FloatArray:
        """Inertia force at crank angles [N]."""
        return inertia_force(self.mass, angle, self.stroke, self.rod_length, self.speed, self.pin_offset)

    def gas(self, pressure: FloatArray) -> FloatArray:
        """Gas force at pressures [N]."""
        return gas_force(pressure, self.bore, self.crankcase)


def open_pressure(angle: FloatArray, columns: StateColumns, cycle: CycleResult) -> FloatArray:
    """Pressure while a valve is open, at angles from −2π to 2π (states, angles) [Pa].

    Intake at the manifold's pressure, straight up to the trapped one until the valve closes; from exhaust opening straight down to the
    exhaust's at bottom dead center, then level: as the cycle counts its gas exchange.

    >>> from borewright.physics.cycle.cycle import run_cycle
    >>> from borewright.physics.cycle.state import CylinderState, state_columns
    >>> state = CylinderState(0.0843, 0.0853, 0.14235, 10.0, 300.0)
    >>> columns, cycle = state_columns(state), run_cycle(state, 0.14)
    >>> open_pressure(np.array([-2.0 * np.pi, 2.0 * np.pi]), columns, cycle)[0, 0]
    np.float64(101325.0)
    """
    theta = np.asarray(angle)[None, :]
    intake = (columns["ambient_pressure"] + columns["boost"])[:, None]
    exhaust = columns["exhaust_pressure"][:, None]
    closing, opening = cycle.angle[:, :1], cycle.angle[:, -1:]
    first, last = cycle.pressure[:, :1], cycle.pressure[:, -1:]
    rising = np.clip((theta + np.pi) / np.maximum(closing + np.pi, 1e-6), 0.0, 1.0)
    falling = np.clip((theta - opening) / np.maximum(np.pi - opening, 1e-6), 0.0, 1.0)
    return np.asarray(np.where(theta < 0.0, intake + (first - intake) * rising, last + (exhaust - last) * falling))


def extremes(gear: Gear, columns: StateColumns, cycle: CycleResult) -> dict[str, FloatArray]:
    """Largest and smallest net force of each state [N] and where [rad].

    >>> from borewright.physics.cycle.cycle import run_cycle
    >>> from borewright.physics.cycle.state import CylinderState, state_columns
    >>> state = CylinderState(0.0843, 0.0853, 0.14235, 10.0, 300.0)
    >>> columns, cycle = state_columns(state), run_cycle(state, 0.14)
    >>> gear = Gear(*(np.array([size]) for size in (0.5, 0.0843, 0.0853, 0.14235, 300.0, 0.0, 101325.0)))
    >>> found = extremes(gear, columns, cycle)
    >>> bool(found["net_highest"][0] > 0.0 > found["net_lowest"][0])
    True
    """
    wide = gear.column()
    # masses can differ where the cycle does not: then it has one row for all of them
    crank, closed = np.broadcast_arrays(cycle.angle, wide.gas(cycle.pressure) + wide.inertia(cycle.angle))
    theta = np.linspace(-2.0 * np.pi, 2.0 * np.pi, OPEN_STEPS)
    outside = wide.gas(open_pressure(theta, columns, cycle)) + wide.inertia(theta[None, :])
    shut = (theta >= cycle.angle[:, :1]) & (theta <= cycle.angle[:, -1:])
    found = {}
    every = np.broadcast_to(theta, outside.shape)
    for name, pick, nothing in (("highest", np.argmax, -np.inf), ("lowest", np.argmin, np.inf)):
        net = np.concatenate([closed, np.where(shut, nothing, outside)], axis=1)
        angle = np.concatenate([crank, every], axis=1)
        place = pick(net, axis=1)[:, None]
        found[f"net_{name}"] = np.take_along_axis(net, place, 1)[:, 0]
        found[f"net_{name}_angle"] = np.take_along_axis(angle, place, 1)[:, 0]
    return found


def trace(gear: Gear, columns: StateColumns, cycle: CycleResult) -> list[dict[str, Any]]:
    """Gas, inertia and net force of the first state every few degrees, for drawing.

    >>> from borewright.physics.cycle.cycle import run_cycle
    >>> from borewright.physics.cycle.state import CylinderState, state_columns
    >>> state = CylinderState(0.0843, 0.0853, 0.14235, 10.0, 300.0)
    >>> columns, cycle = state_columns(state), run_cycle(state, 0.14)
    >>> gear = Gear(*(np.array([size]) for size in (0.5, 0.0843, 0.0853, 0.14235, 300.0, 0.0, 101325.0)))
    >>> len(trace(gear, columns, cycle))
    145
    """
    nominal = gear.nominal()
    theta = np.arange(-round(2.0 * np.pi / STEP), round(2.0 * np.pi / STEP) + 1) * STEP
    one = slice(0, 1)
    outside = open_pressure(theta, columns.take(one), cycle.take(one))[0]
    angle = cycle.angle[0]
    inside = np.interp(theta, angle, cycle.pressure[0])
    pressure = np.where((theta >= angle[0]) & (theta <= angle[-1]), inside, outside)
    gas, inertia = nominal.gas(pressure), nominal.inertia(theta)
    rows = zip(theta.tolist(), gas.tolist(), inertia.tolist(), strict=True)
    return [
        {"crank": Measured(at), "gas": Measured(pressed), "inertia": Measured(moved), "net": Measured(pressed + moved)}
        for at, pressed, moved in rows
    ]


def loads(gear: Gear, now: Pressed) -> dict[str, Any]:
    """The largest loads of a cycle at the speed asked, at MBT timing.

    >>> gear = Gear(*(np.array([size]) for size in (0.5, 0.0843, 0.0853, 0.14235, 300.0, 0.0, 101325.0)))
    >>> now = Pressed(np.full((1, 2), 6e6), np.full((1, 2), np.nan), np.full((1, 2), 0.2), np.ones(1, dtype=bool), "")
    >>> round(float(loads(gear, now)["peak_gas"][0]))
    32923
    """
    acceleration = peak_acceleration(gear.stroke, gear.rod_length, gear.speed, gear.pin_offset)
    nothing = np.full(1, np.nan)
    peak = np.where(now.solved, now.peak[:, -1], np.nan)
    found: dict[str, Any] = {
        "peak_pressure": peak,
        "peak_pressure_angle": nothing if now.cycle is None else np.where(now.solved, now.cycle.peak_pressure_angle, np.nan),
        "peak_gas": gas_force(peak, gear.bore, gear.crankcase),
        "peak_acceleration": acceleration,
        "reciprocating_mass": gear.mass,
        "peak_inertia": gear.mass * acceleration,
        **dict.fromkeys(("net_highest", "net_highest_angle", "net_lowest", "net_lowest_angle"), nothing),
    }
    if now.columns is not None and now.cycle is not None:
        net = extremes(gear, now.columns, now.cycle)
        found |= {name: np.where(now.solved, value, np.nan) for name, value in net.items()}
    return found
