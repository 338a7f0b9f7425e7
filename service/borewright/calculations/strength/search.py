"""Peak pressures of an engine speed by speed, and how they and the retard that the fuel asks for grow with boost and nitrous oxide.

Every state that is wanted is calculated in one call of the cycle.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.common.cylinder_state import Engine, exhaust_pressure, filling
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.cycle import drawn
from borewright.physics.cycle.nitrous import flow_for_gain, nitrous_flow
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState, StateColumns, state_columns
from borewright.physics.cycle.timing import LATEST, TimedCycle, Trials, quiet_angle, settle, through_trials, try_timings
from borewright.physics.gas.atmosphere import STANDARD_ATMOSPHERE
from borewright.physics.mechanism.interpolation import monotone_cubic
from borewright.practice.tables import table

LUGGING = 6.0
"""Mean piston speed [m/s] from which full load is held: some 2000 rev/min in a car, where inertia takes next to nothing off the gas."""
SPEEDS = 2

BOOSTS = 4.0 ** (np.arange(6) / 5.0) - 1.0  # bar: to four times the air of a natural engine
NITROUS_SHARES = np.linspace(0.0, 1.2, 6)  # of about the power without it: more than evaporates
NATURAL = 11e5  # Pa: about the mean pressure of a full cylinder at the ambient pressure

COMPRESSOR = "a compressor of the usual efficiency without intercooler, driven by the exhaust"


@dataclass(frozen=True)
class Curve:
    """What one load does to the nominal state at some speeds.

    levels : rising [SI], of the whole range looked in; measures : of the same, in which logarithms of pressure are smooth
    peaks : highest pressure [Pa], (levels, speeds); retards : from MBT timing [rad]
    ended : why levels end before the range does, "" where they do not
    """

    levels: FloatArray
    measures: FloatArray
    peaks: FloatArray
    retards: FloatArray
    ended: str

    def at(self, levels: FloatArray, measures: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Pressure and retard at levels between, (levels, speeds)."""
        peaks = np.exp(monotone_cubic(measures, self.measures, np.log(self.peaks)))
        retards = np.stack([np.interp(levels, self.levels, column) for column in self.retards.T], axis=1)
        if peaks.shape[1] == 1:  # of one speed alone: as pressures rise there they rise at the others
            return np.repeat(peaks, SPEEDS, axis=1), np.repeat(retards, SPEEDS, axis=1)
        return np.asarray(peaks), retards


@dataclass(frozen=True)
class Pressed:
    """Peak pressures of the states at each speed, and the cycles they come from, None where the pressure was given.

    peak : at MBT timing, which parts are judged at (states, speeds) [Pa]
    allowed : at the timing the fuel allows, not a number where no octane number is given or no timing is quiet
    angle : of the peak after top dead center [rad]
    solved : where a cycle could be calculated (states,); elsewhere the pressure is only a stand-in
    columns, cycle : of the speed asked
    trials : logarithms of knock integral and peak pressure at the trial timings, and angle of MBT timing (states, speeds, …)
    """

    peak: FloatArray
    allowed: FloatArray
    angle: FloatArray
    solved: BoolArray
    reason: str
    columns: StateColumns | None = None
    cycle: CycleResult | None = None
    curves: Mapping[str, Curve] | None = None
    trials: tuple[FloatArray, FloatArray, FloatArray] | None = None

    def spread(self, over: Callable[[FloatArray], FloatArray]) -> Pressed:
        """The same for more states, all of them solved; the nominal one stays as it is.

        over : values of these states [N, …] at the others
        """
        peak = np.exp(over(np.log(self.peak)))
        size = peak.shape[0]

        def kept(values: NDArray[Any]) -> Any:
            return over(values) if values.dtype == np.float64 else np.repeat(values[:1], size)

        columns, cycle = self.columns, self.cycle
        if columns is not None:
            columns = StateColumns({name: over(each) for name, each in columns.values.items()}, kept(columns.reason), columns.fuel)
        if cycle is not None:
            cycle = CycleResult(*(kept(getattr(cycle, one.name)) for one in fields(CycleResult)))
        allowed = self._allowed(over, peak)
        return replace(self, peak=peak, allowed=allowed, angle=over(self.angle), solved=kept(self.solved), columns=columns, cycle=cycle)

    def _allowed(self, over: Callable[[FloatArray], FloatArray], peak: FloatArray) -> FloatArray:
        """Pressures at the timing the fuel allows, of more states.

        Where the fuel holds only some of the states back, the pressure has a corner in between; knock integrals have none.
        """
        found = np.exp(over(np.log(self.allowed)))
        for speed in range(SPEEDS):
            held, quiet = (self.allowed < self.peak)[:, speed], np.isfinite(self.allowed[:, speed])
            if self.trials is not None and quiet.any() and not ((held == held[0]).all() and quiet.all()):
                integral, pressed, best = (over(each[:, speed]) for each in self.trials)
                angle, known = quiet_angle(integral, best)
                lower = np.exp(np.minimum(through_trials(pressed, angle) - through_trials(pressed, best), 0.0))
                found[:, speed] = np.where(known, peak[:, speed] * lower, np.nan)
                found[0, speed] = self.allowed[0, speed]
        return found


def speeds_of(speed: FloatArray, stroke: FloatArray) -> FloatArray:
    """The speeds at which parts are judged (states, speeds) [rad/s]: pulling at low speed, and the speed asked.

    What tires a part goes with the square of the speed, straight up or down, so that the ends of the range are its worst.

    >>> speeds_of(np.array([600.0]), np.array([0.0942477796])).round(6).tolist()
    [[200.0, 600.0]]
    """
    low = np.minimum(np.pi * LUGGING / stroke, speed)
    return np.stack(np.broadcast_arrays(low, speed), axis=-1)


def pressed(found: Engine, boost: Mapping[str, Any]) -> Pressed:
    """Peak pressures at MBT timing and at the timing the fuel allows, and how pressure and retard grow with a load.

    boost : of the request, empty without one

    >>> from borewright.calculations.common.cylinder_state import engine
    >>> asked = {"bore": 0.0843, "stroke": 0.0853, "rod_length": 0.14235, "compression_ratio": 10.0, "speed": 500.0}
    >>> request = {name: np.array([value]) for name, value in asked.items()}
    >>> found = pressed(engine(request, Outcome({})), {})
    >>> found.peak.shape, bool(np.isfinite(found.allowed).any()), sorted(found.curves)
    ((1, 2), False, ['boost', 'nitrous'])
    """
    raw = {
        one.name: np.atleast_1d(np.asarray(getattr(found.state, one.name), dtype=np.float64))
        for one in fields(found.state)
        if one.name != "fuel"
    }
    size = max(column.size for column in raw.values())
    own = {name: np.repeat(np.broadcast_to(column, (size,)), SPEEDS) for name, column in raw.items()}
    speeds = speeds_of(*(np.broadcast_to(raw[name], (size,)) for name in ("speed", "stroke")))
    share = (speeds / speeds[:, -1:]).ravel()
    held = np.repeat(speeds[:, :1] < speeds[:, 1:], SPEEDS, axis=1) & (np.arange(SPEEDS) == 0)
    own |= {"speed": speeds.ravel(), "nitrous_flow": own["nitrous_flow"] * share}
    own["volumetric_efficiency"] = own["volumetric_efficiency"] * np.where(held, _filled_best(found, raw), 1.0).ravel()
    own["exhaust_pressure"] = exhaust_pressure(own["ambient_pressure"], own["boost"], own["stroke"] * own["speed"] / np.pi, boost)
    tried = speeds[0] if found.octane is not None else speeds[0, -1:]
    nominal = {name: column[:1] for name, column in raw.items()}
    steps, powers = BOOSTS * 1e5, NITROUS_SHARES * _power(nominal)
    boosted = _at(nominal, tried, BOOSTS.size) | {"boost": np.repeat(steps, tried.size)}
    piston_speed = boosted["stroke"] * boosted["speed"] / np.pi
    boosted["exhaust_pressure"] = exhaust_pressure(boosted["ambient_pressure"], boosted["boost"], piston_speed, boost)
    sprayed = _at(nominal, tried, NITROUS_SHARES.size)
    sprayed["nitrous_flow"] = np.outer(_flows(found, nominal, powers), tried / tried[-1]).ravel()
    blocks = (own, boosted, sprayed)
    every = {name: np.concatenate([block[name] for block in blocks]) for name in raw}
    columns = state_columns(CylinderState(**every, fuel=found.state.fuel))
    at_trials = try_timings(columns)
    timed = settle(columns, at_trials)
    counts = np.cumsum([block["speed"].size for block in blocks])
    shape = (BOOSTS.size, tried.size)
    curves = {
        "boost": _curve(timed, slice(counts[0], counts[1]), shape, steps, np.log1p(steps / nominal["ambient_pressure"])),
        "nitrous": _curve(timed, slice(counts[1], counts[2]), shape, powers, NITROUS_SHARES),
    }
    return _pressed(found, at_trials, timed, own, size, curves)


def _at(nominal: Mapping[str, FloatArray], speeds: FloatArray, levels: int) -> dict[str, FloatArray]:
    """The nominal state at some speeds, for every level; the nitrous oxide as the flow that goes with each speed."""
    found = {name: np.repeat(column, levels * speeds.size) for name, column in nominal.items()}
    share = np.tile(speeds / speeds[-1], levels)
    return found | {"speed": np.tile(speeds, levels), "nitrous_flow": found["nitrous_flow"] * share}


def _power(nominal: Mapping[str, FloatArray]) -> FloatArray:
    """Power of one cylinder without nitrous oxide, about [W]."""
    swept = np.pi / 4.0 * nominal["bore"] ** 2 * nominal["stroke"]
    full = nominal["volumetric_efficiency"] * (nominal["ambient_pressure"] + nominal["boost"]) / STANDARD_ATMOSPHERE
    return np.asarray(NATURAL * full * swept * nominal["speed"] / (4.0 * np.pi))


def _flows(found: Engine, nominal: Mapping[str, FloatArray], powers: FloatArray) -> FloatArray:
    """Nitrous oxide of one cylinder with which it gains powers [kg/s], as the cycle takes it."""
    kit, late = table("cycle").row("nitrous"), table("cycle").row("nitrous_retard")
    many = {name: np.repeat(column, powers.size) for name, column in nominal.items()}
    mixture = np.maximum(kit.si("equivalence_ratio"), many["equivalence_ratio"])
    retard = np.minimum(late.si("retard_low") * powers * many["cylinders"] / late.si("power"), LATEST)
    flow = flow_for_gain(CylinderState(**many, fuel=found.state.fuel), powers, mixture, retard)
    plain = nitrous_flow(powers, found.state.fuel, kit.si("efficiency"))  # the cycle then says why it has no solution
    return np.where(np.isfinite(flow), flow, plain)


def _filled_best(found: Engine, raw: Mapping[str, FloatArray]) -> FloatArray:
    """Filling at the speed of most torque, or as near as the speed asked comes to it, over that at the speed asked (states, 1)."""
    if not found.volumetric_efficiency_assumed:
        return np.ones((1, 1))
    own = raw["stroke"] * raw["speed"] / np.pi
    tuned = table("knock").row(f"filling_{found.duty['service']}").si("best_filling")
    return (filling(np.minimum(own, tuned), found.duty) / filling(own, found.duty))[:, None]


def _curve(timed: TimedCycle, rows: slice, shape: tuple[int, int], levels: FloatArray, measures: FloatArray) -> Curve:
    """From the solved rows of one load."""
    best = timed.best.take(rows)
    solved = best.solved.reshape(shape).all(axis=1)
    count = int(np.argmin(np.append(solved, False)))
    ended = "" if count == shape[0] else str(best.reason[count * shape[1] :][~best.solved[count * shape[1] :]][0])
    if count < 2:
        return Curve(levels[:count], measures[:count], np.ones((count, shape[1])), np.zeros((count, shape[1])), ended)
    # where no timing is quiet, the fuel is used up: the latest that is tried bounds it
    retards = np.where(timed.solved[rows], timed.retard[rows], LATEST - best.half_burn).reshape(shape)[:count]
    peaks = best.peak_pressure.reshape(shape)[:count]
    return Curve(levels[:count], measures[:count], np.maximum.accumulate(peaks, axis=0), retards, ended)


def _pressed(
    found: Engine, tried: Trials, timed: TimedCycle, own: Mapping[str, FloatArray], size: int, curves: Mapping[str, Curve]
) -> Pressed:
    rows, shape = slice(0, size * SPEEDS), (size, SPEEDS)
    best = timed.best.take(rows)
    solved = np.asarray(best.solved.reshape(shape).all(axis=1))
    peak, angle = (
        np.where(solved[:, None], each.reshape(shape), stand_in)
        for each, stand_in in ((best.peak_pressure, 5e6), (best.peak_pressure_angle, 0.25))
    )
    quiet = timed.solved[rows] & (found.octane is not None)
    allowed = np.where(quiet, timed.allowed.peak_pressure[rows], np.nan).reshape(shape)
    last = np.arange(size) * SPEEDS + SPEEDS - 1
    columns = state_columns(CylinderState(**{name: column[last] for name, column in own.items()}, fuel=found.state.fuel))
    unsolved = best.reason[~best.solved]
    told = str(unsolved[0]) if unsolved.size else ""
    trials = (tried.log_integral[rows].reshape(*shape, -1), tried.log_peak[rows].reshape(*shape, -1), best.half_burn.reshape(shape))
    return Pressed(peak, allowed, angle, solved, told, columns, drawn(timed.best.take(last)), curves, trials)


def compressor_assumed(boost: Mapping[str, Any], outcome: Outcome) -> None:
    """That the boost to come is made as usual, where the request has none.

    >>> outcome = Outcome({})
    >>> compressor_assumed({}, outcome)
    >>> outcome.assumptions[0].name
    'boost_to_limit.compressor'
    """
    if not boost:
        row = table("cycle").row("compressor")
        outcome.assumptions.append(Assumption("boost_to_limit.compressor", COMPRESSOR, "common practice", row.source))
