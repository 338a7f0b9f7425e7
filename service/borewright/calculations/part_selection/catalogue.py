"""From a request for parts to the problem that the search solves: nominal sizes, limits with where they come from, assumptions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf, isfinite
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Assumption, Basis, Outcome
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.volumes import annulus_volume, circle_area
from borewright.practice.tables import Row, table
from borewright.selection.demands import BuildLimits, Cut, Duty, Machining, SearchProblem, Span, Target
from borewright.selection.parts import EITHER_RETENTION, Block, Crank, Gasket, Head, Piston, Rod

Entry = Mapping[str, Any]

LISTS = ("cranks", "rods", "pistons", "gaskets", "heads")
LEFT_OUT = "left out of the list"
IN_HAND = f"{LEFT_OUT}: a part in hand costs nothing"
NONE_OF_IT = {  # what a list may leave out and what then counts, by its name in the request and its kind
    "dome": ("volume", "a crown without a dome"),
    "recess": ("volume", "a crown without dish or reliefs"),
}
ROWS = {  # where practice has the limit, when the caller has none
    "deck_clearance": "assembly",
    "squish": "compression",
    "pin_end_room": "assembly",
    "counterweight_clearance": "assembly",
    "pin_fit_floating": "part_selection",
    "pin_fit_press": "part_selection",
    "journal_diameter_difference": "part_selection",
    "journal_width_difference": "part_selection",
    "gasket_overhang": "part_selection",
}
LANDS = ("top_land", "second_land")


@dataclass(frozen=True)
class Limit:
    """BuildLimits of a length [m], an open side infinite, and where they come from."""

    span: Span
    basis: Basis
    source: str

    @property
    def low(self) -> float | None:
        """Smallest [m]; None where that side is open."""
        return self.span.low if isfinite(self.span.low) else None

    @property
    def high(self) -> float | None:
        """Largest [m]; None where that side is open."""
        return self.span.high if isfinite(self.span.high) else None


OPEN = Limit(Span(), "common practice", "common practice names no limit for this duty")


def nominal(entry: Entry, name: str) -> float | None:
    """Nominal value of a field [SI]; None where it is left out.

    >>> nominal({"bore": np.array([0.1, 0.099, 0.101])}, "bore"), nominal({}, "bore")
    (0.1, None)
    """
    return float(entry[name][0]) if name in entry else None


def limits_held(request: Entry, duty: Mapping[str, Any], outcome: Outcome) -> dict[str, Limit]:
    """Each limit, the caller's or practice's for the duty; practice's are listed as assumptions, crossed ones refused."""
    own_limits = request.get("limits", {})
    rows: dict[str, Row | None] = {name: table(of).row(name) for name, of in ROWS.items()}
    rows |= {name: table("assembly").rows.get(f"{name}_{duty['aspiration']}") for name in LANDS}
    held: dict[str, Limit] = {}
    for name, row in rows.items():
        own = own_limits.get(name)
        if own:
            low, high = (float(own[side][0]) if side in own else -inf if side == "low" else inf for side in ("low", "high"))
            outcome.refuse_where(low > high, f"#/limits/{name}/high", "this lies below the smallest allowed: raise it")
            held[name] = Limit(Span(min(low, high), high), "caller", "the request")
        elif row is None:
            held[name] = OPEN
        else:
            sides = {side: row.si(side) for side in ("low", "high") if row.has(side)}
            held[name] = Limit(Span(**sides), "common practice", row.source)
            outcome.assumptions.extend(
                Assumption(f"limits.{name}.{side}", np.full(1, value), "common practice", row.source, "length")
                for side, value in sides.items()
            )
    squish = held["squish"]
    if squish.span.low < 0.0:  # nothing stands inside the head, whatever the caller leaves open
        held["squish"] = Limit(Span(0.0, squish.span.high), squish.basis, squish.source)
    return held


def problem(request: Entry, duty: Mapping[str, Any], held: Mapping[str, Limit], target: Target, outcome: Outcome) -> SearchProblem:
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
        outcome.refuse_where(entry["id"] in seen, f"#/{name}/{place}/id", "this id stands twice in its list: give each part its own")
        seen.add(entry["id"])


def _refuse_what_cannot_turn(request: Entry, outcome: Outcome) -> None:
    """A list is of parts for one engine: its shortest rod is longer than its longest throw."""
    throw = max(float(entry["stroke"].max()) for entry in request["cranks"]) / 2.0
    for place, entry in enumerate(request["rods"]):
        short = float(entry["length"].min()) <= throw
        outcome.refuse_where(short, f"#/rods/{place}/length", "no longer than the throw of a crankshaft in the list: it could not turn")


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
    facts = ("stroke", "rod_journal_diameter", "rod_journal_width", "counterweight_radius")
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
        outcome.refuse_where("top_land" not in entry, where, "the height of the top land is missing: add top_land")
        outcome.refuse_where([diameter[0] > bore[0], diameter.max() > bore.min()], where, "the top land can't be wider than the bore")
        if "top_land" in entry:
            crevice = float(crevice_volume(bore[:1], entry["top_land"][:1], diameter[:1])[0])
    facts = _known(entry, ("bore", "compression_height", "dome", "recess", "pin_diameter", "pin_length", "boss_below_pin"))
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
    facts = _known(entry, ("bore", "thickness"))
    return Gasket(entry["id"], volume=None if volume is None else float(volume[0]), price=entry.get("price", 0.0), **facts)


def _head(entry: Entry, place: int, outcome: Outcome) -> Head:
    doubled = "chamber_area" in entry and "volume_per_depth" in entry
    outcome.refuse_where(doubled, f"#/heads/{place}/volume_per_depth", "the chamber's area says the same: give one of them")
    facts = _known(entry, ("chamber_volume", "chamber_area", "volume_per_depth", "minimum_bore", "maximum_bore"))
    low, high = facts.get("minimum_bore"), facts.get("maximum_bore")
    if low is not None and high is not None and low > high:
        outcome.refuse_where(True, f"#/heads/{place}/maximum_bore", "this lies below the smallest bore the head is made for: raise it")
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


def _limits(held: Mapping[str, Limit], cost: float | None) -> BuildLimits:
    def least(name: str) -> float | None:
        low = held[name].span.low
        return low if low > -inf else None

    press = held["pin_fit_press"].span
    return BuildLimits(
        deck_clearance=held["deck_clearance"].span,
        squish=held["squish"].span,
        top_land=least("top_land"),
        second_land=least("second_land"),
        pin_end_room=held["pin_end_room"].span.low,
        floating_clearance=held["pin_fit_floating"].span,
        press_interference=Span(-press.high, -press.low),
        journal_diameter_tolerance=held["journal_diameter_difference"].span.high,
        journal_width_tolerance=held["journal_width_difference"].span.high,
        gasket_overhang=held["gasket_overhang"].span.low,
        counterweight_clearance=held["counterweight_clearance"].span.low,
        price=cost,
    )
