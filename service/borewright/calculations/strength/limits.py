"""How far pressure, boost and nitrous oxide may go: until a part's margin, or the fuel, is used up; each with a band."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Measured
from borewright.calculations.strength.bench import Bench, least
from borewright.calculations.strength.heat import KNOTS
from borewright.calculations.strength.hot_strength import HotStrength
from borewright.calculations.strength.search import SPEEDS, Curve, Pressed
from borewright.calculations.strength.stressed import Stressed
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import table

LOWEST_PEAK, HIGHEST_PEAK = 3e5, 6e7  # Pa: no engine that fires peaks lower, none stands more
PEAKS = np.geomspace(LOWEST_PEAK, HIGHEST_PEAK, 40)
STEP = float(np.log(PEAKS[1] / PEAKS[0]))
FINE = np.linspace(0.0, 1.0, 61)
SIDES = (-1.0, 0.0, 1.0)  # parts weaker than thought, as thought, stronger
FUEL = "fuel"


@dataclass(frozen=True)
class Limit:
    """How far a load may go: the value with its ends, None where there is none; what sets it, at which speed [rad/s], why there is none."""

    value: Measured | None
    by: str | None
    speed: float | None
    reason: str


@dataclass(frozen=True)
class Margins:
    """Logarithm of the least margin of the parts that are known, (states, sides, heats, peaks, speeds).

    names : of the parts; place : which of them it is, of the nominal state as thought (heats, peaks, speeds)
    lacking : why a strength that the limits need is not known, "" where all are
    """

    least: FloatArray
    place: Any
    names: tuple[str, ...]
    lacking: str

    def at(self, peak: FloatArray, heat: FloatArray, first: int) -> FloatArray:
        """Between its points: (states, sides, levels, speeds).

        peak : (states, levels, speeds) [Pa]
        heat : of each level (levels,), in units of the heats
        first : place of the first of the three heats that it lies between
        """
        along = np.clip(np.log(peak / PEAKS[0]) / STEP, 0.0, PEAKS.size - 1.000001)
        floor = along.astype(np.intp)
        part = (along - floor)[:, None]
        h = np.clip(np.searchsorted(KNOTS, heat, side="right") - 1, 0, KNOTS.size - 2)
        warm = ((heat - KNOTS[h]) / (KNOTS[h + 1] - KNOTS[h]))[None, None, :, None]
        states, sides = np.arange(self.least.shape[0])[:, None, None, None], np.arange(len(SIDES))[None, :, None, None]
        speeds = np.arange(peak.shape[-1])[None, None, None, :]

        def corner(up: int, along: int) -> FloatArray:
            return np.asarray(self.least[states, sides, (first + h + up)[None, None, :, None], (floor + along)[:, None], speeds])

        cool, warmer = ((1.0 - part) * corner(up, 0) + part * corner(up, 1) for up in (0, 1))
        return np.asarray((1.0 - warm) * cool + warm * warmer)

    def name(self, peak: float, heat: int, speed: int) -> str:
        """Whose the least margin is at a place of the nominal state."""
        along = int(np.clip(round(float(np.log(peak / PEAKS[0]) / STEP)), 0, PEAKS.size - 1))
        return self.names[int(self.place[heat, along, speed])]


def margins(bench: Bench, temperatures: Mapping[str, FloatArray], spread: float) -> Margins:
    """Least margins over the whole grid, in one go.

    temperatures : of each place (heats,) or (states, heats) [K]
    spread : of the peak pressure either way [1]
    """
    wide = bench.crossed()
    every = np.stack([np.atleast_2d(at) for at in np.broadcast_arrays(*temperatures.values())])
    alike, again = np.unique(every, axis=2, return_inverse=True)  # as hot as now is as hot as without boost, where there is none
    again = again.ravel()
    known = wide.hot({place: at[..., None] for place, at in zip(temperatures, alike, strict=True)})
    heats = alike.shape[2]
    shape = (len(SIDES), heats, PEAKS.size, SPEEDS)
    sides = np.array(SIDES)[:, None, None]

    def spread_out(found: HotStrength) -> HotStrength:
        off = np.hypot(found.spread, spread)
        share = np.where(sides < 0.0, 1.0 - off, np.where(sides > 0.0, 1.0 + off, 1.0))

        def every(strength: FloatArray) -> FloatArray:
            each = np.broadcast_to(strength, (strength.shape[0], heats, 1))
            return np.asarray((each[:, None] * share).reshape(each.shape[0], -1, 1))

        return found.arrays(every)

    hot = {place: None if found is None else spread_out(found) for place, found in known.items()}
    names: list[str] = []
    lacking: list[str] = []

    def one_by_one() -> Iterator[FloatArray]:
        for row in wide.places(np.repeat(PEAKS, SPEEDS)[None, None], np.tile(np.arange(SPEEDS), PEAKS.size), hot):
            names.append(row.name)
            if _strength_unknown(row):
                lacking.append(row.lacking)
            yield row.margin

    # stresses hang on the load alone and strengths on the heat: they meet where they are divided
    smallest, place = (np.broadcast_to(each, (each.shape[0], shape[0] * shape[1], shape[2] * shape[3])) for each in least(one_by_one()))
    smallest, place = smallest.reshape(-1, *shape), place[0].reshape(shape)[1]
    return Margins(np.log(smallest)[:, :, again], place[again], tuple(names), next(iter(lacking), ""))


def _strength_unknown(row: Stressed) -> bool:
    """Whether a part has its sizes and lacks its strength: then no limit can be said to hold for it."""
    unnamed = ".material" in row.lacking and "rod.shank" not in row.lacking
    return bool(row.lacking) and (row.hot is not None or unnamed)


def pressure_limit(found: Margins, heat: int, reach: float) -> Limit:
    """Peak pressure, the same at every speed, at which the first part's factor of safety is the one wanted.

    heat : place of the heat of the parts as they are now
    reach : highest pressure of the engines that the model was held against [Pa]
    """
    if found.lacking:
        return Limit(None, None, None, found.lacking)
    over_speeds = found.least[:, :, heat].min(axis=-1)
    if not np.isfinite(over_speeds[0, 1, 0]):
        return Limit(None, None, None, "no part's factor of safety is known")
    value = np.exp(_crossing(over_speeds, np.log(PEAKS)))
    if np.isneginf(np.log(value[0, 1])) or over_speeds[0, 1, 0] < 0.0:
        by = found.name(PEAKS[0], heat, int(found.least[0, 1, heat, 0].argmin()))
        return Limit(None, by, None, f"{by} is below the factor wanted at any pressure: the masses and the speed alone are too much")
    if not value[0, 1] <= reach:
        return Limit(None, None, None, _beyond(reach))
    along = int(np.searchsorted(PEAKS, value[0, 1]))
    speed = int(found.least[0, 1, heat, min(along, PEAKS.size - 1)].argmin())
    by = found.name(float(value[0, 1]), heat, speed)
    return Limit(_band(np.nan_to_num(value, nan=LOWEST_PEAK), reach), by, None, "")


def load_limit(
    now: Pressed,
    curve: Curve,
    found: Margins,
    *,
    first: int,
    measure: Callable[[FloatArray], FloatArray],
    heat: Callable[[FloatArray], FloatArray],
    now_at: float,
    speeds: FloatArray,
    retard: tuple[float, float, float] | None,
    reach: float,
    words: Callable[[float], str],
) -> Limit:
    """How far one load may go until a part's margin or the fuel is used up at any of the speeds.

    first : place of the first of the three heats that go with the load
    measure, heat : what the curve is smooth in, and how hot the parts get, of a level
    now_at : level that the states have now
    retard : that the fuel is given, at the low end, as thought and at the high end [rad]; None where it has no part in it
    """
    if not now.solved[0]:
        return Limit(None, None, None, now.reason)
    if found.lacking:
        return Limit(None, None, None, found.lacking)
    if curve.levels.size < 2:
        return Limit(None, None, None, curve.ended)
    levels = FINE * curve.levels[-1]
    pressed, retards = curve.at(levels, measure(levels))
    here, _ = curve.at(np.array([min(now_at, curve.levels[-1])]), measure(np.array([min(now_at, curve.levels[-1])])))
    peak = now.peak[:, None, :] * (pressed / here)[None]
    margin = found.at(peak, heat(levels), first)
    by_parts = _crossing(margin.min(axis=-1), levels)
    ends = by_parts
    by_fuel = np.full((1, 3), np.inf)
    if retard is not None:
        worst = retards.max(axis=1)
        by_fuel = np.stack([_crossing((allowed - worst)[None], levels) for allowed in retard], axis=1)
        ends = np.minimum(by_parts, by_fuel)
    place = int(np.clip(np.searchsorted(levels, ends[0, 1]), 0, levels.size - 1)) if np.isfinite(ends[0, 1]) else 0
    by_the_fuel = bool(by_fuel[0, 1] <= by_parts[0, 1]) and bool(np.isfinite(by_fuel[0, 1]) or np.isneginf(by_fuel[0, 1]))
    at = int(retards[place].argmax()) if by_the_fuel else int(margin[0, 1, place].argmin())
    by = FUEL if by_the_fuel else found.name(float(peak[0, place, at]), first, at)
    if np.isneginf(ends[0, 1]):
        told = "the fuel asks for more retard than practice allows" if by_the_fuel else f"{by} is below the factor wanted"
        return Limit(None, by, float(speeds[at]), f"{told} even at {words(0.0)}")
    if np.isposinf(ends[0, 1]):
        ended = curve.ended or "the range looked in ends there"
        return Limit(None, None, None, f"not reached at {words(float(levels[-1]))}: {ended}")
    if peak[0, place].max() > reach:
        return Limit(None, None, None, _beyond(reach))
    return Limit(_band(np.where(np.isneginf(ends), 0.0, ends), float(levels[-1])), by, float(speeds[at]), "")


def _beyond(reach: float) -> str:
    return f"not known: no part comes to its limit below {reach / 1e5:.0f} bar, and the model was held against no engine beyond"


def _band(value: FloatArray, highest: float) -> Measured:
    """The nominal value, with the lowest of the low ends and the highest of the high ends of all states."""
    high = np.minimum(value[:, 2].max(), highest)
    return Measured(float(value[0, 1]), float(value[:, 0].min()), float(max(high, value[0, 1])))


def _crossing(margin: FloatArray, levels: FloatArray) -> FloatArray:
    """Level at which a margin over levels (..., levels) first falls below 0: minus infinity where it starts there, infinity where never."""
    below = np.less(margin, 0.0)
    after = np.maximum(np.argmax(below, axis=-1), 1)
    y0, y1 = (np.take_along_axis(margin, (after - back)[..., None], -1)[..., 0] for back in (1, 0))
    x0, x1 = levels[after - 1], levels[after]
    share = np.where(np.isfinite(y0) & (y0 > y1), y0 / np.where(y0 > y1, y0 - y1, 1.0), 1.0)
    value = x0 + (x1 - x0) * np.clip(share, 0.0, 1.0)
    return np.where(below[..., 0], -np.inf, np.where(below.any(axis=-1), value, np.inf))


def allowed_retards(usual: float) -> tuple[float, float, float]:
    """Retard from MBT timing that is normal in the kind of engine, and its ends by the doubt in the octane number [rad].

    >>> [round(float(np.degrees(each)), 6) for each in allowed_retards(np.radians(10.0))]
    [6.0, 10.0, 14.0]
    """
    doubt = table("strength").row("retard_spread").si("retard")
    return usual - doubt, usual, usual + doubt
