"""From a strength request to the running gear on its bench: the pressure that loads it, what moves, how hot it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.common.cylinder_state import VOLUME_FIELDS, Engine, engine
from borewright.calculations.common.engine_state import EngineStatePart
from borewright.calculations.strength.bench import Bench, motion
from borewright.calculations.strength.loads import Gear
from borewright.calculations.strength.response import response
from borewright.calculations.strength.running_gear import possible_pin, possible_piston, possible_rod
from borewright.calculations.strength.search import SPEEDS, Pressed, pressed, speeds_of
from borewright.physics.arrays import FloatArray, undefined
from borewright.practice.tables import table

TIMINGS = ("MBT timing", "given")
TIMING = (
    "MBT timing, the earliest that an engine is timed for; where the fuel asks for later timing the parts are loaded less, and their "
    "factors are given for that too; an engine timed ahead of what its fuel allows knocks, and is loaded by more than any factor covers"
)
RUNNING = frozenset(EngineStatePart().fields)
"""Fields of a request that say how the engine runs, so what its cycles hang on."""

ANGLE = float(np.radians(15.0))
"""Where a peak pressure stands whose cycle is not known, for what inertia takes off it: MBT timing puts it there."""


def pressed_by_cycle(request: Mapping[str, Any], outcome: Outcome) -> tuple[Engine, Pressed]:
    """The engine and the peak pressures of its cycles at MBT timing, and at the timing that its fuel allows."""
    few, now, flow = response(request, RUNNING), None, None
    if few is not None:
        with undefined():  # what has no answer is told by the request's own states
            at_few = engine(few.request, Outcome({}))
            now = pressed(at_few, few.request.get("boost", {}))
        if now.solved.all():
            now, flow = now.spread(few.spread), few.spread(np.broadcast_to(at_few.state.nitrous_flow, few.shares.shape[1:]))
        else:
            now = None
    found = engine(request, outcome, flow)
    outcome.assumptions.append(Assumption("timing", TIMING, "common practice", "common practice for sizing parts"))
    return found, pressed(found, request.get("boost", {})) if now is None else now


def pressed_by_peak(request: Mapping[str, Any], outcome: Outcome) -> tuple[Engine, Pressed]:
    """The engine as far as the loads need it, and the peak pressure as given; how it came about is not asked."""
    for name in VOLUME_FIELDS:
        outcome.refuse_where(
            name in request, f"#/{name}", "peak_pressure is given, so this would not be used: leave one of them out", Code.GIVEN_TWICE
        )
    apart = Outcome({})
    bare = {name: value for name, value in request.items() if name not in (*VOLUME_FIELDS, "fuel", "boost", "nitrous")}
    found = engine({**bare, "compression_ratio": np.full(1, 10.0)}, apart)
    outcome.impossible.extend(apart.impossible)
    outcome.assumptions.extend(each for each in apart.assumptions if each.name.startswith(("rod_length", "ambient.pressure", "duty.")))
    peak = np.repeat(request["peak_pressure"][:, None], SPEEDS, axis=1)
    return found, Pressed(peak, np.full_like(peak, np.nan), np.full((1, SPEEDS), ANGLE), np.ones(1, dtype=np.bool_), "")


def running_gear(request: Mapping[str, Any], found: Engine, hanging: FloatArray | None) -> Gear:
    """What moves: masses that go up and down [kg], crank and rod [m], speed [rad/s], pressure of the crankcase [Pa].

    hanging : share of the rod that goes up and down [kg], None where it was not weighed
    """
    state = found.state
    stroke, offset = np.asarray(state.stroke), np.asarray(state.pin_offset)
    length = np.asarray(state.rod_length)
    mass = request["piston"]["mass"] + request["pin"]["mass"] + (0.0 if hanging is None else hanging)
    return Gear(mass, request["bore"], stroke, length, request["speed"], offset, np.asarray(state.ambient_pressure))


def hanging_mass(request: Mapping[str, Any], outcome: Outcome) -> FloatArray | None:
    """What of the rod goes up and down [kg]; None where it was not weighed.

    >>> outcome = Outcome({})
    >>> round(float(hanging_mass({"rod": {"mass": np.array([0.6])}}, outcome)[0]), 6), outcome.assumptions[0].name
    (0.2, 'rod.small_end_mass')
    """
    rod = request["rod"]
    if "small_end_mass" in rod:
        return np.asarray(rod["small_end_mass"])
    if "mass" not in rod:
        return None
    row = table("strength").row("rod_small_end")
    value = row.si("share") * rod["mass"]
    outcome.assumptions.append(Assumption("rod.small_end_mass", value, "common practice", row.source, "mass"))
    return np.asarray(value)


def bench_of(request: Mapping[str, Any], gear: Gear, now: Pressed, hanging: FloatArray | None, outcome: Outcome) -> Bench:
    """Piston, pin and rod on the bench; sizes that can't be are refused.

    hanging : as `hanging_mass` [kg]
    """
    pin = possible_pin(request["pin"], gear.bore, outcome)
    own = request.get("strengths", {})
    for place, strengths in own.items():
        order = (strengths["fatigue_strength"] > strengths["ultimate_strength"]) | (
            strengths["yield_strength"] > strengths["ultimate_strength"]
        )
        outcome.refuse_where(
            order,
            f"#/strengths/{place}",
            "fatigue and yield strength can't be above the ultimate strength: check the three",
            Code.IMPOSSIBLE,
        )
    return Bench(
        possible_piston(request["piston"], gear.bore, outcome),
        pin,
        possible_rod(request["rod"], pin, outcome),
        bore=gear.bore,
        length=gear.rod_length,
        crankcase=gear.crankcase,
        hanging=hanging,
        moves=motion(gear.stroke, gear.rod_length, gear.pin_offset, speeds_of(gear.speed, gear.stroke), now.angle),
        own=own,
        exposure=request["exposure"],
        wanted=request.get("factor_of_safety"),
    )
