"""From a request for parts to the problem that the search solves: nominal sizes, limits with where they come from, assumptions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import inf
from typing import Any

import numpy as np

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.common.duty import squish_row
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.volumes import annulus_volume, circle_area
from borewright.rules.listed import BORE_DIFFERENCE, JOURNAL_DIAMETER, JOURNAL_WIDTH, PIN_FIT
from borewright.rules.motion import COUNTERWEIGHT_TO_BOSS
from borewright.rules.piston import PIN_END_ROOM, SECOND_LAND, TOP_LAND
from borewright.rules.rule import Limit, Rule
from borewright.rules.stack import BORE_TO_GASKET, DECK_CLEARANCE, SQUISH, TOUCHING
from borewright.selection.candidates import EITHER_RETENTION, Block, Crank, Gasket, Head, Piston, Rod
from borewright.selection.demands import BuildLimits, Cut, Duty, Machining, SearchProblem, Span, Target

Entry = Mapping[str, Any]

LISTS = ("cranks", "rods", "pistons", "gaskets", "heads")
LEFT_OUT = "left out of the list"
IN_HAND = f"{LEFT_OUT}: a part in hand costs nothing"
NONE_OF_IT = {  # what a list may leave out and what then counts, by its name in the request and its kind
    "dome": ("volume", "a crown without a dome"),
    "recess": ("volume", "a crown without dish or reliefs"),
}
RULES: Mapping[str, Rule] = {  # the rule behind each limit of the request
    "deck_clearance": DECK_CLEARANCE,
    "squish": SQUISH,
    "pin_end_room": PIN_END_ROOM,
    "counterweight_clearance": COUNTERWEIGHT_TO_BOSS,
    "pin_fit_floating": PIN_FIT,
    "pin_fit_press": PIN_FIT,
    "journal_diameter_difference": JOURNAL_DIAMETER,
    "journal_width_difference": JOURNAL_WIDTH,
    "bore_difference": BORE_DIFFERENCE,
    "bore_to_gasket_clearance": BORE_TO_GASKET,
    "top_land": TOP_LAND,
    "second_land": SECOND_LAND,
}
LANDS = ("top_land", "second_land")


def nominal(entry: Entry, name: str) -> float | None:
    """Nominal value of a field [SI]; None where it is left out.

    >>> nominal({"bore": np.array([0.1, 0.099, 0.101])}, "bore"), nominal({}, "bore")
    (0.1, None)
    """
    return float(entry[name][0]) if name in entry else None


def limits_held(request: Entry, duty: Mapping[str, Any], outcome: Outcome) -> dict[str, Limit | None]:
    """Each limit [m], the caller's or practice's for the duty; practice's are listed as assumptions, crossed ones refused."""
    own_limits = request.get("limits", {})
    held: dict[str, Limit | None] = {}
    for name, rule in RULES.items():
        own = {side: float(limit[0]) for side, limit in own_limits.get(name, {}).items()}
        crossed = bool(own) and own.get("low", -inf) > own.get("high", inf)
        outcome.refuse_where(crossed, f"#/limits/{name}/high", "this lies below the smallest allowed: raise it", Code.WRONG_ORDER)
        row = {"squish": squish_row(duty), "pin_fit_press": name}.get(name)
        if name in LANDS:
            row = f"{name}_{duty['aspiration']}"
        if crossed:
            own["low"] = own["high"]
        limit = rule.limit(own, row)
        held[name] = limit
        if limit is not None and not own:
            outcome.assumptions.extend(
                Assumption(f"limits.{name}.{side}", np.full(1, value), limit.basis, limit.source, "length")
                for side, value in (("low", limit.low), ("high", limit.high))
                if value is not None
            )
    return held


def problem(request: Entry, duty: Mapping[str, Any], held: Mapping[str, Limit | None], target: Target, outcome: Outcome) -> SearchProblem:
    """The search problem of a request [SI]; what can't be is refused and replaced by something harmless.

    request : the tree with each quantity as [nominal, all low, all high]
    """
    for name in LISTS:
        _refuse_doubles(request[name], name, outcome)
    _refuse_what_cannot_turn(request, outcome)
    _assume_what_is_left_out(request, outcome)
    return SearchProblem(
        block=_block(request["block"]),
        cranks=tuple(_crank(entry) for entry in request["cranks"]),
        rods=tuple(_rod(entry) for entry in request["rods"]),
        pistons=tuple(_piston(entry, place, outcome) for place, entry in enumerate(request["pistons"])),
        gaskets=tuple(_gasket(entry) for entry in request["gaskets"]),
        heads=tuple(_head(entry, place, outcome) for place, entry in enumerate(request["heads"])),
        target=target,
        machining=_machining(request.get("machining"), outcome),
        limits=_limits(held, request.get("limits", {}).get("cost")),
        duty=Duty(service=duty["service"], aspiration=duty["aspiration"]),
    )


def _refuse_doubles(entries: Sequence[Entry], name: str, outcome: Outcome) -> None:
    seen: set[str] = set()
    for place, entry in enumerate(entries):
        outcome.refuse_where(
            entry["id"] in seen, f"#/{name}/{place}/id", "this id stands twice in its list: give each part its own", Code.GIVEN_TWICE
        )
        seen.add(entry["id"])


def _refuse_what_cannot_turn(request: Entry, outcome: Outcome) -> None:
    """A list is of parts for one engine: its shortest rod is longer than its longest throw."""
    throw = max(float(entry["stroke"].max()) for entry in request["cranks"]) / 2.0
    for place, entry in enumerate(request["rods"]):
        short = float(entry["length"].min()) <= throw
        outcome.refuse_where(
            short,
            f"#/rods/{place}/length",
            "this rod is no longer than the throw of a crankshaft in the list, which could not turn: check both sizes",
            Code.IMPOSSIBLE,
        )


def _assume_what_is_left_out(request: Entry, outcome: Outcome) -> None:
    for name in LISTS:
        if any("price" not in entry for entry in request[name]):
            outcome.assumptions.append(Assumption(f"{name}[].price", 0, "common practice", IN_HAND))
    for field, (kind, source) in NONE_OF_IT.items():
        if any(field not in entry for entry in request["pistons"]):
            name, why = f"pistons[].{field}", f"{LEFT_OUT}: {source}"
            outcome.assumptions.append(Assumption(name, np.zeros(1), "common practice", why, kind))
    if any("pin_retention" not in entry for entry in request["rods"]):
        floats = f"{LEFT_OUT}: a rod made for a floating pin"
        outcome.assumptions.append(Assumption("rods[].pin_retention", "floating", "common practice", floats))
    for field in ("cleanup_bore", "maximum_bore"):
        if field not in request["block"]:
            as_it_stands = "left out: the bore as it stands"
            outcome.assumptions.append(
                Assumption(f"block.{field}", request["block"]["bore"][:1], "common practice", as_it_stands, "length")
            )


def _block(entry: Entry) -> Block:
    bore = float(entry["bore"][0])
    return Block(
        deck_height=float(entry["deck_height"][0]),
        bore=bore,
        maximum_bore=nominal(entry, "maximum_bore") or bore,
        cylinders=int(entry["cylinders"][0]),
        cleanup_bore=nominal(entry, "cleanup_bore"),
    )


def _crank(entry: Entry) -> Crank:
    facts = ("stroke", "rod_journal_diameter", "rod_journal_width", "counterweight_radius", "counterweight_gap")
    return Crank(entry["id"], price=entry.get("price", 0.0), **_known(entry, facts))


def _rod(entry: Entry) -> Rod:
    facts = _known(entry, ("length", "small_end_bore", "journal_diameter", "journal_width"))
    return Rod(entry["id"], pin_retention=entry.get("pin_retention", "floating"), price=entry.get("price", 0.0), **facts)


def _known(entry: Entry, names: Iterable[str]) -> dict[str, Any]:
    return {name: float(entry[name][0]) for name in names if name in entry}


def crevice_volume(bore: FloatArray, height: FloatArray, diameter: FloatArray) -> FloatArray:
    """Volume of the crevice above the top ring [m³]; none where the land is as wide as the bore.

    >>> round(float(crevice_volume(np.array([0.1]), np.array([0.006]), np.array([0.099]))[0]) * 1e6, 4)
    0.9378
    """
    return annulus_volume(bore, np.minimum(diameter, bore), height)


def _piston(entry: Entry, place: int, outcome: Outcome) -> Piston:
    crevice = 0.0
    if "top_land_diameter" in entry:
        bore, diameter = entry["bore"], entry["top_land_diameter"]
        where = f"#/pistons/{place}/top_land_diameter"
        outcome.refuse_where("top_land" not in entry, where, "the height of the top land is missing: add top_land", Code.MISSING)
        outcome.refuse_where(
            [diameter[0] > bore[0], diameter.max() > bore.min()],
            where,
            "the top land can't be wider than the bore: check both sizes",
            Code.IMPOSSIBLE,
        )
        if "top_land" in entry:
            crevice = float(crevice_volume(bore[:1], entry["top_land"][:1], diameter[:1])[0])
    names = ("bore", "compression_height", "dome", "recess", "pin_diameter", "pin_length", "retainer_thickness", "boss_below_pin")
    facts = _known(entry, (*names, "width_at_boss"))
    return Piston(
        entry["id"],
        crevice_volume=crevice,
        pin_retentions=frozenset(entry["pin_retentions"]) if "pin_retentions" in entry else EITHER_RETENTION,
        top_land_height=nominal(entry, "top_land"),
        second_land_height=nominal(entry, "second_land"),
        aspirations=frozenset(entry["aspirations"]) if "aspirations" in entry else None,
        services=frozenset(entry["services"]) if "services" in entry else None,
        price=entry.get("price", 0.0),
        **facts,
    )


def gasket_volume(entry: Entry) -> FloatArray | None:
    """Volume inside a gasket's opening [m³] where it is not that of its bore; None where it is.

    >>> gasket_volume({"bore": np.array([0.1]), "thickness": np.array([0.001])}) is None
    True
    """
    if "volume" in entry:
        return np.asarray(entry["volume"])
    return np.asarray(entry["area"] * entry["thickness"]) if "area" in entry else None


def gasket_volume_as_fitted(entry: Entry) -> FloatArray:
    """Volume inside a gasket's opening [m³], however it is given.

    >>> round(float(gasket_volume_as_fitted({"bore": np.array([0.1]), "thickness": np.array([0.001])})[0]) * 1e6, 4)
    7.854
    """
    found = gasket_volume(entry)
    return np.asarray(circle_area(entry["bore"]) * entry["thickness"]) if found is None else found


def _gasket(entry: Entry) -> Gasket:
    volume = gasket_volume(entry)
    facts = _known(entry, ("bore", "area", "thickness"))
    return Gasket(entry["id"], volume=None if volume is None else float(volume[0]), price=entry.get("price", 0.0), **facts)


def _head(entry: Entry, place: int, outcome: Outcome) -> Head:
    doubled = "chamber_area" in entry and "volume_per_depth" in entry
    outcome.refuse_where(
        doubled, f"#/heads/{place}/volume_per_depth", "the chamber's area says the same: give one of them", Code.GIVEN_TWICE
    )
    facts = _known(entry, ("chamber_volume", "chamber_area", "volume_per_depth", "minimum_bore", "maximum_bore"))
    low, high = facts.get("minimum_bore"), facts.get("maximum_bore")
    if low is not None and high is not None and low > high:
        outcome.refuse_where(
            True, f"#/heads/{place}/maximum_bore", "this lies below the smallest bore the head is made for: raise it", Code.WRONG_ORDER
        )
        facts["maximum_bore"] = low
    return Head(entry["id"], mill_maximum=nominal(entry, "mill_max"), price=entry.get("price", 0.0), **facts)


def _machining(given: Entry | None, outcome: Outcome) -> Machining:
    if given is None:
        outcome.assumptions.append(Assumption("machining", "none", "common practice", "left out: parts and block are taken as they are"))
        return Machining()

    def cut(name: str) -> Cut | None:
        return Cut(float(given[name]["max"][0]), given[name]["price"]) if name in given else None

    return Machining(
        bore_price=given["bore"]["price"] if "bore" in given else None,
        deck_cut=cut("deck_cut"),
        head_mill=cut("head_mill"),
        small_end_hone=cut("small_end_hone"),
    )


def _limits(held: Mapping[str, Limit | None], cost: float | None) -> BuildLimits:
    press = _span(held["pin_fit_press"])
    return BuildLimits(
        deck_clearance=_span(held["deck_clearance"]),
        squish=_clear_of_the_head(_span(held["squish"])),
        top_land=_least(held["top_land"]),
        second_land=_least(held["second_land"]),
        pin_end_room=_span(held["pin_end_room"]).low,
        floating_clearance=_span(held["pin_fit_floating"]),
        press_interference=Span(-press.high, -press.low),
        journal_diameter_tolerance=_span(held["journal_diameter_difference"]).high,
        journal_width_tolerance=_span(held["journal_width_difference"]).high,
        bore_tolerance=_span(held["bore_difference"]).high,
        bore_to_gasket_clearance=_span(held["bore_to_gasket_clearance"]).low,
        counterweight_clearance=_span(held["counterweight_clearance"]).low,
        price=cost,
    )


def _clear_of_the_head(squish: Span) -> Span:
    """Limits of squish that leave out a piston on the head, whatever the caller leaves open."""
    return Span(max(squish.low, TOUCHING), max(squish.high, TOUCHING))


def _span(limit: Limit | None) -> Span:
    low, high = (None, None) if limit is None else (limit.low, limit.high)
    return Span(-inf if low is None else float(np.asarray(low)), inf if high is None else float(np.asarray(high)))


def _least(limit: Limit | None) -> float | None:
    return None if limit is None or limit.low is None else float(np.asarray(limit.low))
