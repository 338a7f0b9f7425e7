"""What detonation-margin answers in pieces: bands, what drives them, and the cycle over the crank angle."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from borewright.calculations.base.answers import AnswerPart, Figure, Plain, Word
from borewright.calculations.base.outcome import Measured
from borewright.calculations.combustion.bands import known, spread
from borewright.calculations.combustion.knock_bands import Knock
from borewright.physics.cycle.cycle import KNOCK_BURNED_FRACTION
from borewright.physics.cycle.knock import douaud_eyzat_delay, livengood_wu_integral
from borewright.physics.cycle.result import CycleResult
from borewright.physics.cycle.state import CylinderState, exhaust_rise, state_columns
from borewright.physics.cycle.timing import find_timing
from borewright.practice.tables import table

DRIVERS = {
    "charge_heating": "how much the charge warms on its way in",
    "residual_gas": "how much burned gas stays behind",
    "burn_duration": "how fast the chamber burns",
    "heat_transfer": "how much heat the walls take",
    "nitrous_evaporated": "how much of the nitrous oxide evaporates before the valve and so cools the charge",
    "volumetric_efficiency": "how well the cylinder fills, which was not given",
    "ignition_delay": "how well the ignition delay fits a pump fuel",
    "octane_weight": "where the engine stands between the research and the motor method",
    "sensitivity": "how far the fuel's RON and MON lie apart",
}
TRACE_POINTS = 150
SPEED_SHARES = np.array([0.4, 0.6, 0.8, 1.0])


def _band(name: str, kind: str, text: str) -> type[AnswerPart]:
    """An answer's part with a value and the ends of what it may be."""
    fields = {
        "low": Figure(kind, "the low end of what it may be; null where it is not known", nullable=True),
        "value": Figure(kind, text + "; null where it is not known", nullable=True),
        "high": Figure(kind, "the high end of what it may be; null where it is not known", nullable=True),
    }
    return type(name, (AnswerPart,), {**fields, "__doc__": f"{text[0].upper()}{text[1:]}, as a band."})


OctaneBand = _band("OctaneBand", "ratio", "octane number")
PressureBand = _band("PressureBand", "pressure", "pressure")
RetardBand = _band("RetardBand", "angle", "retard from best torque")
CostBand = _band("CostBand", "percentage", "share of the power lost")
RatioBand = _band("RatioBand", "ratio", "compression ratio")


class DriverAnswer(AnswerPart):
    """One thing that the model does not know, and what it does to the octane margin."""

    name = Word("the uncertain input")
    text = Word("what it is")
    share = Plain("share of the margin's variance, 0 to 1")
    low_end = Figure("ratio", "change of the margin at the low end of the input")
    high_end = Figure("ratio", "change of the margin at its high end")
    source = Word("where its range comes from")


class TracePointAnswer(AnswerPart):
    """The cylinder at one crank angle."""

    crank = Figure("angle", "after firing top dead centre")
    pressure = Figure("pressure", "absolute")
    end_gas_temperature = Figure("temperature", "of the last of the charge to burn; null once it has", nullable=True)
    knock_integral = Figure("ratio", "reaches 1 where the end gas ignites by itself; null once it has burned", nullable=True)


class SpeedAnswer(AnswerPart):
    """The same engine at another speed, at full load."""

    speed = Figure("rotation", "of the crank")
    octane_required = Figure("ratio", "at best-torque timing", nullable=True)
    octane_margin = Figure("ratio", "available less required", nullable=True)
    spark_retard_to_live = Figure("angle", "retard from best torque; null where no timing is quiet", nullable=True)


def speeds(state: CylinderState, octane: float) -> list[dict[str, Any]]:
    """The nominal state down to the speeds at which an engine is pulled at full load, filled as at its own.

    >>> rows = speeds(CylinderState(0.1, 0.09, 0.15, 10.0, 600.0, octane=95.0), 95.0)
    >>> [round(row["speed"].value) for row in rows], rows[0]["octane_required"].value > rows[-1]["octane_required"].value
    ([240, 360, 480, 600], True)
    """
    columns, _ = spread(replace(state, exhaust_pressure=state_columns(state)["exhaust_pressure"]))
    nominal = {name: column[:1] for name, column in columns.items()}
    pistons = nominal["stroke"] * nominal["speed"] / np.pi
    held = nominal["exhaust_pressure"] + exhaust_rise(pistons * SPEED_SHARES) - exhaust_rise(pistons)
    moved = {**nominal, "speed": nominal["speed"] * SPEED_SHARES, "exhaust_pressure": held}
    timed = find_timing(CylinderState(**moved, fuel=state.fuel))
    required = known(timed.best.octane_required, timed.best.solved)
    retard = known(timed.retard, timed.solved)
    return [
        {
            "speed": Measured(float(at)),
            "octane_required": Measured(float(required[row])),
            "octane_margin": Measured(octane - float(required[row])),
            "spark_retard_to_live": Measured(float(retard[row])),
        }
        for row, at in enumerate(nominal["speed"] * SPEED_SHARES)
    ]


def drivers(result: Knock) -> list[dict[str, Any]]:
    """The uncertain inputs by their share of the margin's variance, of the nominal state."""
    halves = {name: 0.5 * float(high[0] - low[0]) for name, (low, high) in result.effects.items()}
    total = sum(half**2 for half in halves.values())
    if not np.isfinite(total) or total <= 0.0:
        return []
    rows = table("cycle").rows
    fuels = {
        "sensitivity": table("knock").row("sensitivity_gasoline").source,
        "octane_weight": "what is usual in this kind of engine, as the assumption octane.motor_weight says",
    }
    return [
        {
            "name": name,
            "text": DRIVERS[name],
            "share": halves[name] ** 2 / total,
            "low_end": Measured(float(result.effects[name][0][0])),
            "high_end": Measured(float(result.effects[name][1][0])),
            "source": rows[name].source if name in rows else fuels[name],
        }
        for name in sorted(halves, key=lambda each: -abs(halves[each]))
    ]


def trace(cycle: CycleResult, octane: float, speed: float) -> list[dict[str, Any]]:
    """The nominal state's cycle; a column of the batch is not made of it."""
    if not cycle.solved[0]:
        return []
    angle, pressure, heat, burned = cycle.angle[0], cycle.pressure[0], cycle.end_gas_temperature[0], cycle.burned_fraction[0]
    there = heat > 0.0
    running = np.full(angle.shape, np.nan)
    seconds = (angle[there] - angle[0]) / speed
    running[there] = livengood_wu_integral(seconds, douaud_eyzat_delay(octane, pressure[there], heat[there]))
    stop = KNOCK_BURNED_FRACTION * burned[-1]
    ended = float(np.interp(stop, burned[there], running[there]))
    running *= float(cycle.knock_integral[0]) / ended  # nitrous oxide shortens the delay; without it this is 1
    running[burned > stop] = np.nan
    step = max(1, -(-angle.size // TRACE_POINTS))
    kept = sorted({*range(0, angle.size, step), angle.size - 1, int(np.argmax(pressure))})
    return [
        {
            "crank": Measured(float(angle[place])),
            "pressure": Measured(float(pressure[place])),
            "end_gas_temperature": Measured(float(heat[place])) if there[place] else None,
            "knock_integral": Measured(float(running[place])) if np.isfinite(running[place]) else None,
        }
        for place in kept
    ]
