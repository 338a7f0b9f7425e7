"""What an assembly is held against: each result with its limits, or what is missing for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from borewright.calculations.base.outcome import Check
from borewright.calculations.common.geometry import gasket_bore_check, squish_check
from borewright.calculations.common.own_limits import limited_check
from borewright.calculations.common.pins import FitRange, fit_checks
from borewright.practice.tables import table

NO_STACK = (-10e-3, 30e-3)  # m: a piston further above or below its deck belongs to another block (the range of a deck clearance given)


@dataclass(frozen=True)
class Assembly:
    """A request, what was worked out for it, and what is wanted [SI]."""

    request: Mapping[str, Any]
    values: Mapping[str, Any]
    duty: Mapping[str, Any]
    limits: Mapping[str, Any]
    retention: str | None
    wanted_rod: FitRange | None
    wanted_piston: FitRange | None


def checks(found: Assembly) -> list[Check]:
    """Every check of an assembly, unknown where something is missing for it."""
    return [*_stack(found), *_motion(found), *_below(found), *_pins(found), *_lands(found)]


def _stack(found: Assembly) -> list[Check]:
    practice, values = table("assembly"), found.values
    reason = "far from the deck the parts are not a set: check deck height, rod, stroke and compression height"
    deck = limited_check(
        "deck-clearance",
        "length",
        values["deck_clearance"],
        found.limits.get("deck_clearance"),
        practice.row("deck_clearance"),
        reason,
        soft=bool(NO_STACK[0] <= values["deck_clearance"][0] <= NO_STACK[1]),
    )
    squish = squish_check(values["squish"], found.limits.get("squish"))
    if values["squish"] is None:
        return [deck, replace(squish, reason="not known: add gasket.thickness")]
    overhang = gasket_bore_check(found.request["bore"], found.request["gasket"]) if "bore" in found.request else None
    return [deck, squish, *([overhang] if overhang is not None else [])]


def _motion(found: Assembly) -> list[Check]:
    practice, values = table("assembly"), found.values
    short = "a short rod presses the skirt on the wall, a long one leaves little room for the piston"
    fast = "beyond it rods, pins and rings live short: turn it slower, or choose parts made for it"
    if values["mean_piston_speed"] is None:
        fast = "not known: add speed"
    return [
        limited_check(
            "rod-ratio",
            "ratio",
            values["rod_ratio"],
            found.limits.get("rod_ratio"),
            practice.row("rod_ratio"),
            short,
            columns="ratio_",
            soft=True,
        ),
        limited_check(
            "mean-piston-speed",
            "speed",
            values["mean_piston_speed"],
            found.limits.get("mean_piston_speed"),
            practice.row(f"speed_{found.duty['service']}"),
            fast,
            columns="speed_",
            soft=True,
        ),
    ]


def _below(found: Assembly) -> list[Check]:
    """What comes near at the bottom of the stroke."""
    practice, values = table("assembly"), found.values
    exposed = "a skirt that leaves the cylinder rocks and wears at the edge: a shorter skirt, or a longer cylinder"
    if values["skirt_exposed_at_bdc"] is None:
        exposed = "not known: add block.cylinder_length and piston.skirt_below_pin"
    boss = "a counterweight must not reach the bosses: a shorter pin and narrower bosses, a smaller counterweight, or a longer rod"
    if values["boss_counterweight_clearance"] is None:
        boss = "not known: add crank.counterweight_radius and piston.boss_below_pin"
    skirt = "a counterweight must not reach the skirt: a shorter or narrower skirt, a smaller counterweight, or a longer rod"
    if values["skirt_counterweight_clearance"] is None:
        skirt = "not known: add crank.counterweight_radius, piston.skirt_below_pin, piston.width_at_boss and bore"
    limit, row = found.limits.get("counterweight_clearance"), practice.row("counterweight_clearance")
    return [
        limited_check(
            "skirt-exposed",
            "length",
            values["skirt_exposed_at_bdc"],
            found.limits.get("skirt_exposed_at_bdc"),
            practice.row("skirt_exposed"),
            exposed,
            soft=True,
        ),
        limited_check("counterweight-to-boss", "length", values["boss_counterweight_clearance"], limit, row, boss),
        limited_check("counterweight-to-skirt", "length", values["skirt_counterweight_clearance"], limit, row, skirt),
    ]


def _pins(found: Assembly) -> list[Check]:
    practice, values, rod = table("assembly"), found.values, found.request["rod"]
    made = [
        *fit_checks(
            "pin-fit-rod",
            values["pin_fit_rod"],
            found.wanted_rod,
            "not known: add rod.small_end_bore, piston.pin_diameter and rod.pin_retention",
            "tighter than wanted: hone the small end (the change of the fit says how far)",
            "looser than wanted: honing can't mend it; a bush, a larger pin or another rod",
        ),
        *fit_checks(
            "pin-fit-piston",
            values["pin_fit_piston"],
            found.wanted_piston,
            "not known: add piston.pin_bore and piston.pin_diameter",
            "tighter than wanted: hone the pin bore (the change of the fit says how far), or the pin seizes",
            "looser than wanted: the bosses hammer out; a larger pin or another piston",
        ),
    ]
    if rod.get("pin_retention") == "press" and found.retention == "floating":
        change = values["pin_fit_rod"]["change"]
        reason = "far from it the small end was no usual press fit: measure again; the piston must have grooves for retainers"
        if change is None:
            reason = "not known: add rod.small_end_bore and piston.pin_diameter"
        row = practice.row("pin_rod_conversion")
        made.append(limited_check("honing-to-float", "length", change, None, row, reason, soft=True))
    ends = "pin or retainer reach the wall: a shorter pin"
    if values["pin_end_room"] is None:
        ends = "not known: add bore, piston.pin_diameter, piston.pin_length, and with a floating pin piston.retainer_thickness"
    faces = "pin and retainers must lie within the bosses: a shorter pin"
    if values["pin_boss_room"] is None:
        faces = "not known: add piston.width_at_boss, piston.pin_length, and with a floating pin piston.retainer_thickness"
    own, row = found.limits.get("pin_end_room"), practice.row("pin_end_room")
    made.append(limited_check("pin-end-room", "length", values["pin_end_room"], own, row, ends))
    made.append(Check("pin-within-bosses", "length", values["pin_boss_room"], 0.0, None, faces, "derived", "geometry"))
    return made


def _lands(found: Assembly) -> list[Check]:
    """Heights of the ring lands, which practice limits for boost and nitrous only."""
    practice, aspiration = table("assembly"), found.duty["aspiration"]
    made = []
    for land in ("top_land", "second_land"):
        own = found.limits.get(land)
        row = practice.rows.get(f"{land}_{aspiration}")
        if own is None and row is None:
            continue
        value = found.request["piston"].get(land)
        reason = "a low land is hot and weak: it can crack or lift under the pressure of a harder duty"
        if value is None:
            reason = f"not known: add piston.{land}"
        made.append(limited_check(land.replace("_", "-"), "length", value, own, row, reason))
    return made
