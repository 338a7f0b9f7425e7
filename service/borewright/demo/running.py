"""What each section on the running engine says on a terminal: knock, strength, power, balance, the air of the test."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from borewright.demo.wording import banded, plain, ratio, show
from borewright.sheet.showing import spoken

Lines = Iterator[str]
Section = Mapping[str, Any]

FORCES = ("primary_force", "primary_moment", "secondary_force", "secondary_moment")


def bearings(section: Section) -> Lines:
    """Oil clearances, the shells that suit, and the film."""
    wanted = section["wanted"]
    low, high = (show(plain(section[f"{end}_clearance"]), 4) for end in ("tightest", "loosest"))
    yield f"oil clearance {low} to {high}; wanted {show(plain(wanted['low']), 4)} to {show(plain(wanted['high']), 4)}"
    for bearing in section["bearings"]:
        suits = [choice["name"] for choice in bearing["choose"] if choice["inside"]]
        if bearing["verdict"] != "pass":
            yield f"bearing {bearing['name']}: {bearing['reason']}" + (f"; suits: {', '.join(suits)}" if suits else "")
    if section["least_film"] is not None:
        yield f"thinnest oil film under the highest load {show(plain(section['least_film']), 5)}"


def detonation(section: Section) -> Lines:
    """What octane the engine asks for, and where it would knock."""
    if section["state"] == "not solved":
        yield "the cycle of this engine could not be solved"
        return
    asked, scale = show(banded(section["rating_required"]), 1), section["rating_required"]["scale"].upper()
    gives = show(banded(section["octane_available"]), 1)
    at = f"at {show(plain(section['worst_speed']))}, the worst speed of its range, " if section["worst_speed"] else ""
    yield f"{at}octane requirement {asked} {scale}; the fuel gives an octane index of {gives}"
    yield f"octane margin {show(banded(section['octane_margin']), 1)}"
    if not section["knock_limited"]:
        yield "the fuel stands MBT timing at every speed"
    elif section["state"] == "solved":
        lost = show(section["retard_cost"]["value"])
        yield f"retard required {show(banded(section['retard_required']), 1)} from MBT timing, for {lost} of power"
    else:
        yield "no timing keeps the end gas of this fuel from igniting"
    peak = f"peak pressure {show(banded(section['peak_pressure']))}"
    yield peak + f" at MBT timing, {show(plain(section['peak_pressure_angle']), 0)} after top dead center"
    limit, boost = section["compression_ratio_limit"], show(banded(section["boost_limit"]), 1)
    most = ratio(banded(limit)) if limit["value"] else section["compression_ratio_limit_reach"]
    if limit["low"] and not limit["value"]:
        most += f", its low end {ratio(plain(limit['low']))}"
    late = show(plain(section["retard_allowed"]), 1)
    yield f"with {late} of retard, normal in such an engine: knock-limited compression ratio {most}; boost up to {boost}"
    yield "build to the low end of each"
    drivers = [f"{driver['text']} {driver['share']:.0%}" for driver in section["drivers"][:3]]
    if drivers:
        yield f"what the ranges come from: {', '.join(drivers)}"


def strength(section: Section) -> Lines:
    """The weakest part, and how much more it would stand."""
    loads = section["loads"]
    yield f"gas presses with up to {show(loads['peak_gas'])}, inertia pulls with up to {show(loads['peak_inertia'])}"
    if section["weakest"] is None:
        yield "no part's factor of safety is known"
    else:
        yield f"weakest: {_stressed(section['weakest'])}, factor of safety {show(section['least_factor'], 2)}"
    for part in section["parts"]:
        if part["verdict"] in ("watch", "fail"):
            yield f"{_stressed(part['name'])} {show(part['factor_of_safety'], 2)} ({part['verdict']}): {part['reason']}"
    reasons = {entry["name"]: entry["reason"] for entry in section["missing"]}
    for load in ("boost", "nitrous"):
        limit = section[f"{load}_to_limit"]
        if limit is None:
            yield f"{load} later: {reasons[f'{load}_to_limit']}"
        else:
            by = section[f"{load}_limited_by"]
            first = "the fuel" if by == "fuel" else f"the {_stressed(by)}"
            low = {"value": limit["low"], "unit": limit["unit"]} if "low" in limit else limit
            yield f"{load} later: up to {show(low, 1)}, the low end of {show(limit, 1)}; {first} sets it"


def _stressed(name: str) -> str:
    """A part and what it is stressed by.

    >>> _stressed("pin-combined"), _stressed("rod-fatigue"), _stressed("crown")
    ('pin, all its stresses together', 'rod fatigue', 'crown')
    """
    return "pin, all its stresses together" if name == "pin-combined" else spoken(name)


def power(section: Section) -> Lines:
    """What the change of compression is worth."""
    band = section["estimate"]
    if band is None:
        yield "no method applies to this change"
    else:
        ends = {side: band[side]["power_gain"] for side in ("low", "value", "high")}
        yield f"{show(banded(ends))} gained, by the methods together"
    named = {"practice": "common practice", "air_standard": "air-standard cycle", "fuel_air": "fuel-air cycle"}
    lines = [f"{text} {show(plain(section[name]['power_gain']))}" for name, text in named.items() if section[name] is not None]
    if section["cycle"] is not None and section["cycle"]["power_gain"] is not None:
        limited = ", held back by knock" if section["cycle"]["knock_limited"] else ""
        lines.append(f"cylinder cycle {show(plain(section['cycle']['power_gain']))}{limited}")
    if lines:
        yield "each alone: " + "; ".join(lines)
    for entry in section["missing"]:
        yield f"{spoken(entry['name'])} missing: {entry['reason']}"


def supply(section: Section) -> Lines:
    """Fuel and air for the power aimed at."""
    yield f"fuel {show(section['fuel_flow'])}, {show(section['fuel_volume_flow'])}; air {show(section['air_volume_flow'])}"
    yield f"fuel pump: at least {show(section['pump']['wanted'])} at the pressure it works against"
    for name, size in (("injector", "flow"), ("jet", "diameter"), ("throttle", "diameter")):
        if section[name] is not None:
            places = 3 if size == "diameter" else 1
            yield f"each {spoken(name)}: {spoken(size)} {show(section[name][size], places)}"


def balance(section: Section) -> Lines:
    """The bobweight, what shakes, and what to take off."""
    spin = "" if section["bob_weights_needed"] else "; the throws balance each other, and the bare crank is spun without it"
    yield f"bobweight {show(section['bob_weight'], 1)} a journal{spin}"
    yield f"reciprocating {show(section['reciprocating'], 1)} a cylinder, rotating {show(section['rotating'], 1)} a rod"
    known = [name for name in FORCES if section[name] is not None]
    still = [spoken(name) for name in known if not section[name]["value"]]
    for name in known:
        if section[name]["value"]:
            yield f"{spoken(name)} {show(section[name])}{_left(section.get(f'{name}_left'))}"
    if still:
        yield f"balanced by the layout itself: {', '.join(still)}"
    heavy: dict[str, list[str]] = {}
    for entry in section.get("take_off", []):
        if entry["take_off"]["value"] > 0:
            heavy.setdefault(entry["part"], []).append(f"{show(plain(entry['take_off']), 1)} in {entry['cylinder']}")
    for part, cylinders in heavy.items():
        yield f"to match the lightest {spoken(part)}, take off by cylinder: {', '.join(cylinders)}"


def _left(left: Mapping[str, Any] | None) -> str:
    if left is None:
        return ""
    return f"; the counterweights leave {show(plain(left))}" if round(left["value"]) else "; the counterweights take it up"


def air(section: Section) -> Lines:
    """The power in the standard's air."""
    yield f"{show(section['corrected_power'])} in the standard's air, factor {show(section['factor'], 3)}"
    yield f"dry pressure {show(section['dry_pressure'], 2)}, density altitude {show(section['density_altitude'])}"
