"""What detonation-margin answers in pieces: bands, what drives them, and the cycle over the crank angle."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.answers import AnswerPart, Figure, Plain, Word
from borewright.calculations.base.outcome import Measured
from borewright.calculations.combustion.bands import Band
from borewright.calculations.combustion.knock_result import AtSpeed, Knock
from borewright.calculations.common.engine_state import SCALES
from borewright.physics.cycle.cycle import KNOCK_BURNED_FRACTION
from borewright.physics.cycle.result import CycleResult
from borewright.physics.gas.knock import douaud_eyzat_delay, livengood_wu_integral
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
TRACE_POINTS = 90


def _band(name: str, kind: str, text: str) -> type[AnswerPart]:
    """An answer's part with a value and the ends of what it may be."""
    fields = {
        "low": Figure(kind, "the low end of what it may be; null where it is not known", nullable=True),
        "value": Figure(kind, text + "; null where it is not known", nullable=True),
        "high": Figure(kind, "the high end of what it may be; null where it is not known", nullable=True),
    }
    return type(name, (AnswerPart,), {**fields, "__doc__": f"{text[0].upper()}{text[1:]}, as a band."})


INDEX_SCALE = "octane index"
OctaneBand = type(
    "OctaneBand",
    (_band("_OctaneBand", "ratio", "octane number"),),
    {
        "scale": Word("RON − K(RON − MON): the number of the reference fuel that knocks alike in the engine", options=(INDEX_SCALE,)),
        "__doc__": "Octane number, as a band, and its scale.",
    },
)
RatingBand = type(
    "RatingBand",
    (_band("_RatingBand", "ratio", "octane rating"),),
    {"scale": Word("the scale that the request rates its fuel on", options=SCALES), "__doc__": "Octane rating, as a band, and its scale."},
)
PressureBand = _band("PressureBand", "pressure", "pressure")
RetardBand = _band("RetardBand", "angle", "retard from MBT timing")
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

    crank = Figure("angle", "after firing top dead center")
    pressure = Figure("pressure", "absolute")
    end_gas_temperature = Figure("temperature", "of the last of the charge to burn; null once it has", nullable=True)
    knock_integral = Figure("ratio", "reaches 1 where the end gas ignites by itself; null once it has burned", nullable=True)


class SpeedAnswer(AnswerPart):
    """The engine at one speed of its range, at full load."""

    speed = Figure("rotation", "of the crank")
    volumetric_efficiency = Figure("ratio", "how it fills there")
    boost = Figure("pressure", "above ambient")
    octane_required = Figure("ratio", "octane index at MBT timing; null where not known", nullable=True)
    octane_margin = Figure("ratio", "available less required; null where not known", nullable=True)
    retard_required = Figure("angle", "retard from MBT timing; null where no timing is quiet", nullable=True)
    peak_pressure = Figure("pressure", "at MBT timing, absolute; null where not known", nullable=True)


def scaled(band: Band) -> dict[str, Any]:
    """An octane number's band with its scale.

    >>> scaled(Band(np.array([90.0]), np.array([91.0]), np.array([92.0])))["scale"]
    'octane index'
    """
    return {**band.tree(), "scale": INDEX_SCALE}


def rating(octane: Mapping[str, Any], margin: Band) -> dict[str, Any]:
    """What the fuel would have to be rated, on the scale of the request, for a margin of nothing.

    >>> margin = Band(np.array([1.0]), np.array([3.0]), np.array([5.0]))
    >>> found = rating({"rating": np.array([93.0]), "scale": "aki"}, margin)
    >>> [float(found[side][0]) for side in ("low", "value", "high")], found["scale"]
    ([88.0, 90.0, 92.0], 'aki')
    """
    known = octane["ron"] if "ron" in octane else octane["rating"]
    return {"low": known - margin.high, "value": known - margin.value, "high": known - margin.low, "scale": octane.get("scale", "ron")}


def by_speed(found: AtSpeed, available: float) -> list[dict[str, Any]]:
    """The rows of the speeds, of the nominal state."""
    return [
        {
            "speed": Measured(float(found.speed[row])),
            "volumetric_efficiency": Measured(float(found.volumetric_efficiency[row])),
            "boost": Measured(float(found.boost[row])),
            "octane_required": Measured(float(found.octane_required[row])),
            "octane_margin": Measured(available - float(found.octane_required[row])),
            "retard_required": Measured(float(found.retard[row])),
            "peak_pressure": Measured(float(found.peak_pressure[row])),
        }
        for row in range(found.speed.size)
        if np.isfinite(found.octane_required[row]) and found.octane_required[row] > 0.0
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


def trace(cycle: CycleResult, speed: float) -> list[dict[str, Any]]:
    """The nominal state's cycle; a column of the batch is not made of it."""
    if not cycle.solved[0]:
        return []
    angle, pressure, heat, burned = cycle.angle[0], cycle.pressure[0], cycle.end_gas_temperature[0], cycle.burned_fraction[0]
    there = heat > 0.0
    running = np.full(angle.shape, np.nan)
    seconds = (angle[there] - angle[0]) / speed
    running[there] = livengood_wu_integral(seconds, douaud_eyzat_delay(100.0, pressure[there], heat[there]))
    stop = KNOCK_BURNED_FRACTION * burned[-1]
    ended = float(np.interp(stop, burned[there], running[there]))
    running *= float(cycle.knock_integral[0]) / ended  # octane number, mixture and residual gas are one factor on the delay
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
