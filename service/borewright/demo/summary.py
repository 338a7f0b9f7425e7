"""The decision in words: what a machinist wants to know of a build sheet, for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

WIDTH = 100
Lines = Iterator[str]
MARKS = {"fail": "FAIL", "watch": "watch", "unknown": "unknown", "pass": "pass"}
DECIMALS = {
    "in": 4,
    "mm": 3,
    "in3": 1,
    "cm3": 1,
    "1": 2,
    "%": 1,
    "hp": 0,
    "kW": 0,
    "psi": 0,
    "kPa": 0,
    "MPa": 0,
    "ft/min": 0,
    "m/s": 1,
    "degF": 0,
    "m": 0,
    "ft": 0,
    "rpm": 0,
}


def show(figure: Mapping[str, Any] | None, decimals: int | None = None) -> str:
    """A figure as a person reads it, with its worst case where it has one.

    >>> show({"value": 10.25, "unit": "1", "low": 10.1, "high": 10.4}), show({"value": 0.0181, "unit": "in"}), show(None)
    ('10.25 (10.10 to 10.40)', '0.0181 in', 'not known')
    """
    if figure is None:
        return "not known"
    places = DECIMALS.get(figure["unit"], 2) if decimals is None else decimals
    unit = "" if figure["unit"] == "1" else f" {figure['unit']}"
    low, high = figure.get("low"), figure.get("high")
    spread = "" if low is None or high is None or low == high else f" ({low:.{places}f} to {high:.{places}f})"
    return f"{figure['value']:.{places}f}{unit}{spread}"


def summary(sheet: Mapping[str, Any]) -> str:
    """The whole summary of a build sheet.

    >>> nothing = {"sections": {}, "checks": [], "missing": [], "refused": [], "cautions": []}
    >>> summary({"order": {"id": "A-1"}, "verdict": "pass", **nothing})[:14]
    'Work order A-1'
    """
    return "\n".join(line for part in _parts(sheet) for line in part).rstrip()


def _parts(sheet: Mapping[str, Any]) -> Iterator[Iterable[str]]:
    yield _head(sheet)
    for name, section in sheet["sections"].items():
        writer = WRITERS.get(name)
        if writer is not None:
            yield _titled(name.replace("-", " "), writer(section))
    yield _titled("checks that need a hand", _checks(sheet["checks"]))
    if sheet["refused"]:
        yield _titled(
            "refused", (f"{entry['section']}: {e['pointer']}: {e['detail']}" for entry in sheet["refused"] for e in entry["errors"])
        )
    if sheet["missing"]:
        yield _titled("not worked out, for want of", (f"{entry['section']}: {', '.join(entry['fields'])}" for entry in sheet["missing"]))
    yield _titled("cautions", sheet["cautions"])


def _head(sheet: Mapping[str, Any]) -> Lines:
    order = sheet["order"]
    yield f"Work order {order['id']}" + "".join(f" · {order[name]}" for name in ("shop", "engine", "date") if name in order)
    if "notes" in order:
        yield from textwrap.wrap(order["notes"], WIDTH)
    yield f"Overall verdict: {MARKS[sheet['verdict']]}"


def _titled(title: str, lines: Iterable[str]) -> Lines:
    found = list(lines)
    if found:
        yield ""
        yield title.upper()
        for line in found:
            yield from textwrap.wrap(line, WIDTH, initial_indent="  ", subsequent_indent="      ")


def _checks(checks: Iterable[Mapping[str, Any]]) -> Lines:
    for check in checks:
        if check["verdict"] != "pass":
            value = f" {show(check['value'])}" if check["value"] else ""
            yield f"{MARKS[check['verdict']]}: {check['section']}, {check['name']}{value}: {check['reason']}"


def _cleanup(section: Mapping[str, Any]) -> Lines:
    clean = section["smallest_clean_size"]
    yield f"smallest size that cleans up every bore: {show(clean, None)}" if clean else "no size on offer cleans up every bore"
    for size in section["sizes"]:
        holdouts = ", ".join(str(number) for number in size["holdouts"])
        yield f"{show(size['size'])}: " + ("cleans up" if size["cleans_up"] else f"held up by cylinder {holdouts}")
    for holdout in section["holdouts"]:
        numbers = ", ".join(str(number) for number in holdout["cylinders"])
        yield f"sleeving cylinder {numbers} alone would let the rest stay at {show(holdout['size'])}"


def _displacement(section: Mapping[str, Any]) -> Lines:
    yield f"{show(section['displacement'])}, {show(section['swept_volume'], 2)} a cylinder"


def _compression(section: Mapping[str, Any]) -> Lines:
    parts = ", ".join(
        f"{name.replace('_', ' ')} {show(figure, 2)}" for name, figure in section["clearance_parts"].items() if figure["value"]
    )
    yield f"as it stands {show(section['compression_ratio'])}:1"
    yield f"squish {show(section['squish'])}, deck clearance {show(section['deck_clearance'])}"
    yield f"clearance {show(section['clearance_volume'], 2)}: {parts}"
    if "dynamic_compression_ratio" in section:
        yield f"from intake closing {show(section['dynamic_compression_ratio'])}:1"
    for share in section["sensitivity"][:3]:
        yield f"{share['contribution']:.0%} of its variance comes from {share['input']}"


def _target(section: Mapping[str, Any]) -> Lines:
    if not section["feasible"]:
        nearest = section.get("nearest")
        yield "no combination of the levers reaches the target" + (f"; nearest {show(nearest['compression_ratio'])}:1" if nearest else "")
    for number, plan in enumerate(section["plans"][:4], 1):
        cuts = [(name.replace("_", " "), plan[name]) for name in ("head_mill", "deck_cut", "intake_face_cut") if plan.get(name)]
        cut = ", ".join(f"{name} {show(_plain(figure))}" for name, figure in cuts if abs(figure["value"]) > 1e-9)
        ratio = f"{show(plan['compression_ratio'])}:1, squish {show(plan['squish'])}"
        yield f"plan {number} ({plan['verdict']}): {', '.join(plan['steps'])}" + (f" ({cut})" if cut else "") + f" → {ratio}"


def _plain(figure: Mapping[str, Any]) -> dict[str, Any]:
    return {"value": figure["value"], "unit": figure["unit"]}


def _rings(section: Mapping[str, Any]) -> Lines:
    for ring in ("top", "second", "oil_rail"):
        found = section[ring]
        yield f"{ring.replace('_', ' ')}: {show(found['recommended_gap'])}; it butts hot at {show(found['butting_gap'])}"
    for gap in section.get("cylinders", []):
        if gap["verdict"] != "pass":
            off = f", file off {show(gap['file_off'])}" if gap["file_off"]["value"] else ""
            yield f"cylinder {gap['cylinder']} {gap['ring']} {show(gap['gap'])}: {gap['verdict']}, {gap['reason']}{off}"


def _skirts(section: Mapping[str, Any]) -> Lines:
    wanted = section["recommended"]
    yield f"cold clearance {show(wanted['low'])} to {show(wanted['high'])}; hot {show(section['hot_clearance'])}"
    hones = {entry["cylinder"]: entry for entry in section.get("hone_to", [])}
    for pair in section.get("pairing", []):
        hone = hones.get(pair["cylinder"])
        to = f", hone to {show(hone['diameter'])}" if hone and hone["stock"]["value"] > 0 else ""
        yield f"cylinder {pair['cylinder']} takes piston {pair['piston']}: {show(pair['clearance'])} now{to}"


def _detonation(section: Mapping[str, Any]) -> Lines:
    if section["state"] == "not solved":
        yield "the cycle of this engine could not be solved"
        return
    yield f"octane margin {_banded(section['octane_margin'], 1)}: asks for {_banded(section['octane_required'], 1)}"
    if not section["knock_limited"]:
        yield "the fuel stands best-torque timing"
    elif section["state"] == "solved":
        lost = show(section["retard_cost"]["value"])
        yield f"retard to live {_banded(section['spark_retard_to_live'], 1)} from best torque, for {lost} of power"
    else:
        yield "no timing keeps the end gas of this fuel from igniting"
    peak = f"peak pressure {_banded(section['peak_pressure'])}"
    yield peak + f" at best torque, {show(_plain(section['peak_pressure_angle']), 0)} after top"
    yield f"the fuel is used up at {_banded(section['compression_ratio_limit'])}:1, or at {_banded(section['boost_limit'], 1)} of boost"
    slow = section["speeds"][0]
    yield f"at full load at {show(slow['speed'])} the margin is {show(slow['octane_margin'], 1)}: that is where it knocks first"
    for driver in section["drivers"][:3]:
        yield f"{driver['share']:.0%} of the band is not knowing {driver['text']}"


def _banded(band: Mapping[str, Any], decimals: int | None = None) -> str:
    """A band in words; tolerances, which come on top, are left to the sheet."""
    low, value, high = (None if band[side] is None else _plain(band[side]) for side in ("low", "value", "high"))
    if low is None or high is None:
        return show(value, decimals)
    return f"{show(value, decimals)} ({show(low, decimals)} to {show(high, decimals)})"


def _strength(section: Mapping[str, Any]) -> Lines:
    loads = section["loads"]
    yield f"gas presses with {show(loads['peak_gas'], 0)}, inertia pulls with {show(loads['peak_inertia'], 0)}"
    if section["weakest"] is None:
        yield "no part's factor of safety is known"
    else:
        yield f"the weakest is {section['weakest'].replace('-', ' ')}, factor of safety {show(section['least_factor'])}"
    for part in section["parts"]:
        if part["verdict"] in ("watch", "fail"):
            yield f"{part['name'].replace('-', ' ')} {show(part['factor_of_safety'])}: {part['verdict']}, {part['reason']}"
    reasons = {entry["name"]: entry["reason"] for entry in section["missing"]}
    for load in ("boost", "nitrous"):
        limit, words = section[f"{load}_to_limit"], f"{load} later"
        if limit is None:
            yield f"{words}: {reasons[f'{load}_to_limit']}"
        else:
            yield f"{words}: up to {show(limit, 1)}, set by {section[f'{load}_limited_by'].replace('-', ' ')}; the fuel may end it sooner"


def _power(section: Mapping[str, Any]) -> Lines:
    band = section["estimate"]
    if band is None:
        yield "no method applies to this change"
    else:
        spread = f"{show(_plain(band['low']['gain']))} to {show(_plain(band['high']['gain']))}"
        yield f"{show(_plain(band['value']['power_gain']))} ({spread}) by the methods together"
    named = {"practice": "common practice", "fuel_air": "fuel-air cycle"}
    lines = [f"{text} {show(_plain(section[name]['power_gain']))}" for name, text in named.items() if section[name] is not None]
    if section["cycle"] is not None and section["cycle"]["power_gain"] is not None:
        limited = ", held back by knock" if section["cycle"]["knock_limited"] else ""
        lines.append(f"cylinder cycle {show(_plain(section['cycle']['power_gain']))}{limited}")
    if lines:
        yield "; ".join(lines)
    for entry in section["missing"]:
        yield f"{entry['name'].replace('_', ' ')} missing: {entry['reason']}"


def _balance(section: Mapping[str, Any]) -> Lines:
    spin = "" if section["bob_weights_needed"] else "; the throws balance each other, and the bare crank is spun without it"
    yield f"bob-weight {show(section['bob_weight'], 1)} a journal{spin}"
    yield f"reciprocating {show(section['reciprocating'], 1)} a cylinder, rotating {show(section['rotating'], 1)} a rod"
    for name in ("primary_force", "secondary_force", "primary_moment", "secondary_moment"):
        if name in section:
            left = section.get(f"{name}_left") if section[name]["value"] else None
            rest = f"; the counterweights leave {show(_plain(left), 0)}" if left else ""
            yield f"{name.replace('_', ' ')} {show(section[name], 0) if section[name]['value'] else 'none'}{rest}"
    heavy: dict[str, list[str]] = {}
    for entry in section.get("take_off", []):
        if entry["take_off"]["value"] > 0:
            heavy.setdefault(entry["part"], []).append(f"{entry['cylinder']}: {show(_plain(entry['take_off']), 1)}")
    for part, cylinders in heavy.items():
        yield f"{part.replace('_', ' ')}, over the lightest by cylinder: {', '.join(cylinders)}"


def _air(section: Mapping[str, Any]) -> Lines:
    yield f"{show(section['corrected_power'])} in the standard's air, factor {show(section['factor'], 4)}"
    yield f"dry pressure {show(section['dry_pressure'], 2)}, density altitude {show(section['density_altitude'])}"


def _parts_chosen(section: Mapping[str, Any]) -> Lines:
    yield f"{section['fitting']} of {section['considered']} combinations fit"
    if section["rejected"]:
        yield "turned away: " + ", ".join(f"{count} {reason.replace('-', ' ')}" for reason, count in section["rejected"].items())
    near = section["nearest"]
    for name, choice in [*enumerate(section["choices"][:3], 1), *([("nearest", near)] if near else [])]:
        ratio = f"{show(choice['results']['compression_ratio'])}:1, squish {show(choice['results']['squish'])}"
        parts = ", ".join(f"{part} {named}" for part, named in choice["parts"].items())
        yield f"{name} ({choice['verdict']}): {', '.join(choice['steps'])}, {choice['cost']:g} in all → {ratio}: {parts}"
    for give in near["gives"] if near else ():
        yield f"{give['rule'].replace('-', ' ')}: {give['what']}"


WRITERS: Mapping[str, Callable[[Mapping[str, Any]], Lines]] = {
    "bore-cleanup": _cleanup,
    "displacement": _displacement,
    "compression": _compression,
    "compression-target": _target,
    "part-selection": _parts_chosen,
    "ring-gap": _rings,
    "skirt-clearance": _skirts,
    "detonation-margin": _detonation,
    "strength": _strength,
    "power-gain": _power,
    "crank-balance": _balance,
    "air-correction": _air,
}
