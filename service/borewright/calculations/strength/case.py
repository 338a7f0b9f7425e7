"""From a strength request to the running gear on its bench: the pressure that loads it, what moves, how hot it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.common.cylinder_state import VOLUME_FIELDS, Engine, engine
from borewright.calculations.strength.bench import Bench
from borewright.calculations.strength.loads import Gear
from borewright.calculations.strength.running_gear import possible_pin, possible_piston, possible_rod
from borewright.calculations.strength.search import Pressed, pressed
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.piston_motion import peak_acceleration
from borewright.physics.stress import rod_angle
from borewright.practice.tables import table

TIMING = "best torque, whatever the octane number: later ignition loads the parts less; detonation-margin says what the fuel stands"


def pressed_by_cycle(request: Mapping[str, Any], outcome: Outcome) -> tuple[Engine, Pressed]:
    """The engine and the peak pressure of its cycle at best torque, which the fuel's octane number has no part in."""
    fuel = {name: value for name, value in request.get("fuel", {}).items() if name != "octane"}
    found = engine({**request, "fuel": fuel} if fuel else {name: value for name, value in request.items() if name != "fuel"}, outcome)
    outcome.assumptions.append(Assumption("timing", TIMING, "common practice", "common practice for sizing parts"))
    return found, pressed(found.state)


def pressed_by_peak(request: Mapping[str, Any], outcome: Outcome) -> tuple[Engine, Pressed]:
    """The engine as far as the loads need it, and the peak pressure as given; how it came about is not asked."""
    for name in VOLUME_FIELDS:
        outcome.refuse_where(name in request, f"#/{name}", "peak_pressure is given, so this would not be used: leave one of them out")
    apart = Outcome({})
    bare = {name: value for name, value in request.items() if name not in (*VOLUME_FIELDS, "fuel", "boost", "nitrous")}
    found = engine({**bare, "compression_ratio": np.full(1, 10.0)}, apart)
    outcome.impossible.extend(apart.impossible)
    outcome.assumptions.extend(each for each in apart.assumptions if each.name.startswith(("rod_length", "ambient.pressure", "duty.")))
    return found, Pressed(request["peak_pressure"], np.ones(1, dtype=np.bool_), "")


def heated_by(request: Mapping[str, Any], found: Engine) -> str:
    """How the parts are heated: by what is there, else by what the duty names.

    >>> heated_by({"boost": {"pressure": np.array([5e4])}}, None)
    'boost'
    """
    if "boost" in request and request["boost"]["pressure"][0] > 0:
        return "boost"
    nitrous = request.get("nitrous", {})
    if any(value[0] > 0 for value in nitrous.values()):
        return "nitrous"
    return str(found.duty["aspiration"])


def running_gear(request: Mapping[str, Any], found: Engine, hanging: FloatArray | None) -> Gear:
    """What moves: masses that go up and down [kg], crank and rod [m], speed [rad/s], pressure of the crankcase [Pa].

    hanging : share of the rod that goes up and down [kg], None where it was not weighed
    """
    state = found.state
    stroke, offset = np.asarray(state.stroke), np.asarray(state.pin_offset)
    rod = np.asarray(state.rod_length)
    length = np.where(rod > stroke / 2 + np.abs(offset), rod, stroke + np.abs(offset))  # shorter ones are refused already
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
    """Piston, pin and rod on the bench; sizes that can't be are refused and replaced by something harmless.

    hanging : as `hanging_mass` [kg]
    """
    pin = possible_pin(request["pin"], gear.bore, outcome)
    angle = np.zeros(1) if now.cycle is None else now.cycle.peak_pressure_angle
    return Bench(
        possible_piston(request["piston"], gear.bore, outcome),
        pin,
        possible_rod(request["rod"], pin, outcome),
        bore=gear.bore,
        length=gear.rod_length,
        crankcase=gear.crankcase,
        acceleration=peak_acceleration(gear.stroke, gear.rod_length, gear.speed, gear.pin_offset),
        hanging=hanging,
        lean=np.cos(rod_angle(angle, gear.stroke, gear.rod_length, gear.pin_offset)),
    )
