"""A case judged: every part at the speed where it is nearest to its limit, the limits of its loads, and whether the hindcast reaches it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Outcome
from borewright.calculations.common.cylinder_state import Engine
from borewright.calculations.strength.bench import Bench
from borewright.calculations.strength.heat import KNOTS, MOST, forced_shares, running_hot
from borewright.calculations.strength.limits import Limit, allowed_retards, load_limit, margins, pressure_limit
from borewright.calculations.strength.loads import Gear
from borewright.calculations.strength.response import far_states
from borewright.calculations.strength.search import SPEEDS, Pressed, speeds_of
from borewright.calculations.strength.stressed import Stressed
from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.nitrous import nitrous_flow
from borewright.practice.tables import table

NO_GAS = ("rod-tension",)
"""What the gas does not load."""


@dataclass(frozen=True)
class Judged:
    """Every part as it stands where it is worst: one condition each, with the speed [rad/s], and its factor of safety at the timing that
    the fuel allows."""

    rows: list[Stressed]
    speeds: list[FloatArray]
    as_allowed: list[FloatArray]
    weakest: str | None
    least_factor: FloatArray


def judge(bench: Bench, now: Pressed, temperatures: Mapping[str, FloatArray], speeds: FloatArray) -> Judged:
    """Every part at the speed where its factor of safety is nearest to the one wanted.

    temperatures : of each place (states,) [K]
    speeds : (states, speeds) [rad/s]
    """
    count = SPEEDS
    size = max(now.peak.shape[0], bench.states, *(np.atleast_1d(at).size for at in temperatures.values()))
    hot = bench.hot({place: np.atleast_1d(at)[:, None] for place, at in temperatures.items()})
    peak = np.concatenate([np.broadcast_to(each, (now.peak.shape[0], count)) for each in (now.peak, now.allowed)], axis=1)
    rows, worst, as_allowed = [], [], []
    every = np.broadcast_to(speeds, (max(size, speeds.shape[0]), count))
    for row in bench.parts(peak, np.tile(np.arange(count), 2), hot):
        full = _spread(_without_gas(row, now), every.shape[0], 2 * count)
        margin = np.where(np.isnan(full.margin), np.inf, full.margin)
        place = margin[:, :count].argmin(axis=1)[:, None]
        rows.append(_picked(full, place))
        worst.append(np.take_along_axis(every, place, 1)[:, 0])
        there = count + margin[:, count:].argmin(axis=1)[:, None]
        allowed = np.take_along_axis(full.factor, there, 1)[:, 0]
        as_allowed.append(np.where(np.isfinite(now.allowed).all(axis=1), allowed, np.nan))
    nearest = [float(row.margin[0, 0]) for row in rows]
    if not np.isfinite(nearest).any():
        return Judged(rows, worst, as_allowed, None, np.full(1, np.nan))
    first = int(np.nanargmin(nearest))
    return Judged(rows, worst, as_allowed, rows[first].name, rows[first].factor[:, 0])


def _spread(row: Stressed, states: int, conditions: int) -> Stressed:
    return row.arrays(lambda each: np.broadcast_to(each, (states, conditions)))


def _picked(row: Stressed, place: Any) -> Stressed:
    return row.arrays(lambda each: np.asarray(np.take_along_axis(each, place, 1)))


def _without_gas(row: Stressed, now: Pressed) -> Stressed:
    """A row as it can be known where the cycle could not be calculated."""
    if now.solved.all() or row.name in NO_GAS:
        return row
    solved = now.solved[:, None]
    unknown = row.arrays(lambda each: np.where(solved, each, np.nan))
    told = row.lacking or f"not known: the cycle could not be calculated: {now.reason}"
    return replace(unknown, strength=row.strength, fatigue_strength=row.fatigue_strength, wanted=row.wanted, lacking=told)


@dataclass(frozen=True)
class Case:
    """What the limits of a case are calculated from."""

    found: Engine
    gear: Gear
    bench: Bench
    now: Pressed
    given: Mapping[str, Any]
    shares: Mapping[str, FloatArray]

    def limits(self, request: Mapping[str, Any]) -> dict[str, Limit]:
        """How far peak pressure, boost and nitrous oxide may go."""
        now, service, gear = self.now, self.found.duty["service"], self.gear
        far = far_states(request)
        if now.peak.shape[0] > 1:
            now = replace(now, peak=now.peak[far])
        boost, nitrous = (float(self.shares[name][0]) for name in ("boost", "nitrous"))
        heats = {  # as now, then as far on with boost, and with nitrous oxide, as the knots
            "boost": np.concatenate([[boost], KNOTS, np.full(KNOTS.size, boost)]),
            "nitrous": np.concatenate([[nitrous], np.full(KNOTS.size, nitrous), KNOTS]),
        }
        nominal = {place: at[:1] for place, at in self.given.items()}
        temperatures = running_hot(nominal, service, heats)
        found = margins(self.bench.take(far), temperatures, self._pressure_spread())
        reach = table("strength").row("hindcast").si("spark_pressure_high" if now.cycle is not None else "pressure_high")
        limits = {"peak_pressure": pressure_limit(found, 0, reach)}
        if now.cycle is None or now.curves is None:
            told = "peak_pressure was given: give the compression instead, so that cycles can be calculated"
            return limits | dict.fromkeys(("boost", "nitrous"), Limit(None, None, None, told))
        pressure = np.atleast_1d(np.asarray(self.found.state.ambient_pressure))[0]
        count = float(request["cylinders"][0])
        retard = None if self.found.octane is None else allowed_retards(float(self.found.kind.retard[0]))
        speeds = speeds_of(gear.speed, gear.stroke)[0]

        def heated(name: str, amount: Mapping[str, Any]) -> FloatArray:
            duty = {**self.found.duty, "aspiration": "natural"}
            return forced_shares({name: amount, "cylinders": np.ones(1)}, duty, gear.bore[:1], Outcome({}))[name]

        limits["boost"] = load_limit(
            now,
            now.curves["boost"],
            found,
            first=1,
            measure=lambda levels: np.log1p(levels / pressure),
            heat=lambda levels: np.minimum(heated("boost", {"pressure": levels}), MOST),
            now_at=float(np.atleast_1d(np.asarray(self.found.state.boost))[0]),
            speeds=speeds,
            retard=retard,
            reach=reach,
            words=lambda level: f"{level / 1e5:.2f} bar of boost",
        )
        kit = table("cycle").row("nitrous").si("efficiency")
        per_watt = float(nitrous_flow(1.0, self.found.state.fuel, kit)) * count
        powers = now.curves["nitrous"]
        limits["nitrous"] = load_limit(
            now,
            powers,
            found,
            first=1 + KNOTS.size,
            measure=lambda levels: np.interp(levels, powers.levels, powers.measures),
            heat=lambda levels: np.minimum(heated("nitrous", {"mass_flow": levels * per_watt / count}), MOST),
            now_at=float(np.atleast_1d(self.found.nitrous_power)[0]) / count,
            speeds=speeds,
            retard=retard,
            reach=reach,
            words=lambda level: f"{level * per_watt * 1e3:.0f} g/s of nitrous oxide",
        )
        value = limits["nitrous"].value
        if value is not None and value.low is not None and value.high is not None:
            whole = replace(value, value=value.value * per_watt, low=value.low * per_watt, high=value.high * per_watt)
            limits["nitrous"] = replace(limits["nitrous"], value=whole)
        return limits

    def _pressure_spread(self) -> float:
        row = table("strength").row("peak_pressure")
        if self.now.cycle is None:
            return 0.0
        return row.si("assumed_filling" if self.found.volumetric_efficiency_assumed else "given_filling")


@dataclass(frozen=True)
class Reach:
    """Whether an engine lies within those that the model was held against; what of it does not."""

    outside: Sequence[str]

    def values(self) -> dict[str, Any]:
        """As the answer's section."""
        row = table("strength").row("hindcast")
        told = (
            f"engines of handbook proportions from motorcycle to aircraft: bores of {row.word('bore_low')} to {row.word('bore_high')}, "
            f"mean piston speeds to {row.word('piston_speed_high')}, peak pressures to {row.word('spark_pressure_high')} with spark "
            f"ignition and to {row.word('pressure_high')} with compression ignition; none of them was measured part by part"
        )
        return {"reach": told, "inside": not self.outside, "outside": list(self.outside)}


def reach_of(gear: Gear, now: Pressed, found: Engine) -> Reach:
    """How an engine stands to the hindcast, by its nominal state."""
    row = table("strength").row("hindcast")
    bore, speed = float(gear.bore[0]), float(gear.stroke[0] * gear.speed[0] / np.pi)
    pressure = row.si("spark_pressure_high" if now.cycle is not None else "pressure_high")
    beyond = {
        "bore": not row.si("bore_low") <= bore <= row.si("bore_high"),
        "mean piston speed": speed > row.si("piston_speed_high"),
        "peak pressure": bool(now.solved[0]) and float(now.peak[0].max()) > pressure,
    }
    return Reach([name for name, so in beyond.items() if so])


def peak_pressures(now: Pressed) -> dict[str, FloatArray]:
    """Peak pressures at the speed asked, by timing [Pa]."""
    if now.cycle is None:
        return {"mbt": np.full(1, np.nan), "fuel_allows": np.full(1, np.nan)}
    return {"mbt": np.where(now.solved, now.peak[:, -1], np.nan), "fuel_allows": now.allowed[:, -1]}
