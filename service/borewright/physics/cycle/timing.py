"""The timing of a cycle: MBT timing, or later, until the fuel stands it.

A handful of trial timings of every state is solved together. Work and the logarithm of the knock integral are smooth in the timing, so
polynomials through the trials say where the work is greatest and where the integral falls to 1; both are then solved in full, and
the second is corrected until the integral is 1.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.cycle.cycle import solve_columns
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState, StateColumns, state_columns

TRIALS = np.radians([2.0, 9.0, 17.0, 28.0, 42.0])
"""Angles of half burning tried [rad]: from ahead of any MBT timing to as late as an engine is run."""

LATEST = float(TRIALS[-1])

_CANDIDATES = np.radians(np.linspace(-2.0, 42.0, 353))

INTEGRAL_TOLERANCE = 0.005
"""The knock integral of the knock-limited timing is 1 within this; its octane number then within 0.15 %."""


_COEFFICIENTS = np.linalg.inv(np.vander(TRIALS, increasing=True)).T


def _interpolation(at: FloatArray) -> FloatArray:
    """Lagrange polynomials of the trials at some angles [trials, angles]."""
    return np.asarray(_COEFFICIENTS @ np.vander(at, TRIALS.size, increasing=True).T)


_BASIS = _interpolation(_CANDIDATES)

ROWS = 128
"""Rows whose curves over the candidates are laid out at a time: the library for it then starts no threads, which cost more than they
bring."""


def _curves(values: FloatArray) -> FloatArray:
    """The polynomials through values at the trials [N, trials], at every candidate [N, candidates]."""
    whole = np.empty((values.shape[0], _CANDIDATES.size))
    for first in range(0, values.shape[0], ROWS):
        part = slice(first, first + ROWS)
        np.matmul(values[part], _BASIS, out=whole[part])
    return whole


@dataclass(frozen=True)
class TimedCycle:
    """Cycles at MBT timing and at the timing the fuel allows, each [N].

    `allowed` is `best` where the fuel stands MBT timing. `retard` [rad] is how much later the allowed timing is, `cost` the share
    of the indicated work it takes. `octane_required` is that of MBT timing. Where no timing up to 42° for half burning keeps the
    end gas from igniting, `allowed` is not solved and says so.
    """

    best: CycleResult
    allowed: CycleResult
    knock_limited: BoolArray
    octane_required: FloatArray
    retard: FloatArray
    cost: FloatArray
    solved: BoolArray
    reason: NDArray[np.str_]


def mbt_angle(work: FloatArray) -> FloatArray:
    """Angle of greatest work.

    Parameters
    ----------
    work : array [N, trials] [J]

    Returns
    -------
    array [N] [rad]

    References
    ----------
    The top of the polynomial through the trials.

    Examples
    --------
    >>> round(float(np.degrees(mbt_angle(-((TRIALS - np.radians(8.3)) ** 2)[None])[0])), 6)
    8.3
    """
    curve = _curves(work)
    top = np.clip(np.argmax(curve, axis=-1), 1, _CANDIDATES.size - 2)
    rows = np.arange(top.size)
    before, at, after = curve[rows, top - 1], curve[rows, top], curve[rows, top + 1]
    bend = before - 2.0 * at + after
    shift = np.where(bend < 0.0, 0.5 * (before - after) / np.where(bend < 0.0, bend, -1.0), 0.0)
    result: FloatArray = _CANDIDATES[top] + np.clip(shift, -1.0, 1.0) * (_CANDIDATES[1] - _CANDIDATES[0])
    return result


def quiet_angle(log_integral: FloatArray, best: FloatArray) -> tuple[FloatArray, BoolArray]:
    """First angle from MBT timing on at which the logarithm of the integral is not above 0, and whether there is one.

    Parameters
    ----------
    log_integral : array [N, trials] [1]
    best : array [N] [rad]

    Returns
    -------
    angle : array [N] [rad]
        The latest tried where there is none.
    found : array of bool [N]

    References
    ----------
    The polynomial through the trials.

    Examples
    --------
    >>> angle, found = quiet_angle(np.radians(20.0) - TRIALS[None], np.array([0.15]))
    >>> round(float(np.degrees(angle[0])), 6), bool(found[0])
    (20.0, True)
    """
    curve = _curves(log_integral)
    quiet = (curve <= 0.0) & (best[:, None] <= _CANDIDATES)
    found: BoolArray = np.any(quiet, axis=-1)
    after = np.clip(np.argmax(quiet, axis=-1), 1, None)
    rows = np.arange(after.size)
    high, low = curve[rows, after - 1], curve[rows, after]
    share = np.where(high > low, high / np.where(high > low, high - low, 1.0), 1.0)
    angle = _CANDIDATES[after - 1] + np.clip(share, 0.0, 1.0) * (_CANDIDATES[1] - _CANDIDATES[0])
    return np.where(found, np.maximum(angle, best), LATEST), found


def _between_trials(trial: CycleResult, angle: FloatArray, rows: NDArray[np.intp]) -> FloatArray:
    """What the trials hold for solves at other timings to start from, interpolated between theirs [K, solves]."""
    weight = _interpolation(angle).T[:, None, :]  # [solves, 1, trials]
    tried = trial.held.reshape(-1, TRIALS.size, trial.held.shape[-1])[rows]
    return np.asarray(np.matmul(weight, tried)[:, 0, :].T)


def _log(integral: FloatArray) -> FloatArray:
    return np.log(np.maximum(integral, 1e-12))


@dataclass(frozen=True)
class Trials:
    """Rows tried at each of `TRIALS`: the cycles, and by row and trial indicated work [J], logarithms of knock integral and peak pressure.

    near : which of the rows that the cycles are of each row is like
    """

    cycles: CycleResult
    work: FloatArray
    log_integral: FloatArray
    log_peak: FloatArray
    near: NDArray[np.intp]


def try_timings(columns: StateColumns) -> Trials:
    """Every row at every trial timing.

    Parameters
    ----------
    columns : StateColumns

    Returns
    -------
    Trials

    References
    ----------
    As `find_timing`.

    Examples
    --------
    >>> tried = try_timings(state_columns(CylinderState(0.1, 0.09, 0.15, [9.0, 13.0], 300.0, octane=91.0)))
    >>> tried.log_integral.shape == (2, TRIALS.size), bool(tried.log_integral[1, 0] > tried.log_integral[0, 0])
    (True, True)
    """
    n = columns.size
    cycles = solve_columns(columns.take(np.repeat(np.arange(n), TRIALS.size)), np.tile(TRIALS, n))
    pressure = np.log(np.maximum(cycles.peak_pressure, 1.0))
    work, log_integral, log_peak = (each.reshape(n, TRIALS.size) for each in (cycles.indicated_work, _log(cycles.knock_integral), pressure))
    return Trials(cycles, work, log_integral, log_peak, np.arange(n))


def through_trials(values: FloatArray, angle: FloatArray) -> FloatArray:
    """The polynomial through values at the trials, at one angle a row.

    Parameters
    ----------
    values : array [N, trials]
    angle : array [N] [rad]

    Returns
    -------
    array [N]

    References
    ----------
    Lagrange's polynomial.

    Examples
    --------
    >>> round(float(through_trials(TRIALS[None] ** 3, np.array([0.2]))[0]), 12)
    0.008
    """
    coefficients = (values @ _COEFFICIENTS).T
    result: FloatArray = coefficients[-1]
    for each in coefficients[-2::-1]:
        result = result * angle + each
    return result


@dataclass(frozen=True)
class Aim:
    """What to solve after the trials: each row at MBT timing [N], then those at a later timing that their fuel holds back.

    rows, angle : of every solve; best : angle of MBT timing; limited : which rows are held back; found : whether a timing is quiet
    """

    rows: NDArray[np.intp]
    angle: FloatArray
    best: FloatArray
    limited: BoolArray
    found: BoolArray

    def split(self, solves: CycleResult) -> tuple[CycleResult, CycleResult]:
        """Cycles at MBT timing and at the timing allowed, each [N], from the solves in their order."""
        n = self.best.size
        place = np.arange(n)
        place[self.rows[n:]] = np.arange(n, self.rows.size)
        return solves.take(slice(0, n)), solves.take(place)

    def timed(self, best: CycleResult, allowed: CycleResult) -> TimedCycle:
        """What the two cycles of each row say together."""
        solved = best.solved & allowed.solved & self.found
        reason = np.where(best.solved, allowed.reason, best.reason)
        late = best.solved & ~self.found
        reason = np.where(late, "no timing keeps the end gas of this fuel from igniting", reason)
        both_known = np.where(solved, best.indicated_work, 1.0)
        cost = np.where(solved, 1.0 - allowed.indicated_work / both_known, 0.0)
        retard = np.where(solved, allowed.half_burn - best.half_burn, 0.0)
        return TimedCycle(best, allowed, self.limited & best.solved, best.octane_required, retard, cost, solved, reason)


def aim(work: FloatArray, log_integral: FloatArray) -> Aim:
    """Where MBT timing lies, and where the fuel's own timing does.

    Parameters
    ----------
    work : array [N, trials] [J]
        Indicated, at the trial timings.
    log_integral : array [N, trials] [1]
        Logarithm of the knock integral there.

    Returns
    -------
    Aim

    References
    ----------
    As `find_timing`.

    Examples
    --------
    >>> tried = try_timings(state_columns(CylinderState(0.1, 0.09, 0.15, [9.0, 13.0], 300.0, octane=91.0)))
    >>> aims = aim(tried.work, tried.log_integral)
    >>> aims.limited.tolist(), aims.rows.tolist()
    ([False, True], [0, 1, 1])
    """
    best = mbt_angle(work)
    quiet, found = quiet_angle(log_integral, best)
    limited = np.asarray((quiet > best + 1e-9) | ~found)
    later = np.flatnonzero(limited)
    return Aim(np.concatenate([np.arange(best.size), later]), np.concatenate([best, quiet[later]]), best, limited, found)


def settle(columns: StateColumns, tried: Trials) -> TimedCycle:
    """Solve each row at MBT timing and at the timing its fuel allows, from what its trials say.

    Parameters
    ----------
    columns : StateColumns
    tried : Trials

    Returns
    -------
    TimedCycle

    References
    ----------
    As `find_timing`.

    Examples
    --------
    >>> columns = state_columns(CylinderState(0.1, 0.09, 0.15, [9.0, 13.0], 300.0, octane=91.0))
    >>> timed = settle(columns, try_timings(columns))
    >>> bool(timed.retard[1] > timed.retard[0])
    True
    """
    aims = aim(tried.work, tried.log_integral)
    solved_rows = solve_columns(columns.take(aims.rows), aims.angle, guess=_between_trials(tried.cycles, aims.angle, tried.near[aims.rows]))
    best, allowed = aims.split(solved_rows)
    allowed = _corrected(columns, allowed, tried.log_integral, aims.best, aims.limited & aims.found)
    return aims.timed(best, allowed)


def find_timing(state: CylinderState) -> TimedCycle:
    """MBT timing of each state, and the timing its fuel allows.

    Parameters
    ----------
    state : CylinderState
        Arrays of one value or N.

    Returns
    -------
    TimedCycle

    Raises
    ------
    ValueError
        For columns of different lengths.

    References
    ----------
    A. M. Douaud, P. Eyzat, SAE 780080, 1978; J. C. Livengood, P. C. Wu, 1955; MBT timing is that of maximum brake torque.

    Examples
    --------
    >>> timed = find_timing(CylinderState(0.1, 0.09, 0.15, [9.0, 13.0], 300.0, octane=91.0))
    >>> bool(timed.retard[1] > timed.retard[0])
    True
    """
    columns = state_columns(state)
    return settle(columns, try_timings(columns))


def _corrected(columns: StateColumns, allowed: CycleResult, log_integral: FloatArray, earliest: FloatArray, rows: BoolArray) -> CycleResult:
    """Move the knock-limited timings until the integral is 1: Newton's rule with the slope of the polynomial."""
    step = np.radians(0.5)
    for _ in range(4):
        now = allowed.half_burn
        off = _log(allowed.knock_integral)
        wrong = np.flatnonzero(rows & allowed.solved & (np.abs(off) > INTEGRAL_TOLERANCE))
        if wrong.size == 0:
            break
        slope = np.sum(log_integral[wrong] * (_interpolation(now[wrong] + step) - _interpolation(now[wrong] - step)).T, axis=1) / (
            2.0 * step
        )
        move = np.clip(-off[wrong] / np.minimum(slope, -0.5), np.radians(-3.0), np.radians(3.0))
        again = solve_columns(columns.take(wrong), np.maximum(now[wrong] + move, earliest[wrong]), guess=allowed.held[wrong].T)
        for name in CycleResult.__dataclass_fields__:
            getattr(allowed, name)[wrong] = getattr(again, name)
    return allowed
