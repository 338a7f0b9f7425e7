"""For each rule that a combination may break, one size of one part that would keep it, and where the request says it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from borewright.calculations.base.fields import Quantity
from borewright.calculations.base.problems import pointer
from borewright.calculations.part_selection.candidates import (
    CandidateCrankPart,
    CandidateGasketPart,
    CandidateHeadPart,
    CandidatePistonPart,
    CandidateRodPart,
    SelectionBlockPart,
)
from borewright.calculations.part_selection.catalog import LISTS, crevice_volume
from borewright.calculations.part_selection.sides import deck_range, side
from borewright.physics.mechanism.volumes import circle_area
from borewright.selection.candidates import Gasket, Piston
from borewright.selection.demands import Places, SearchProblem
from borewright.selection.misses import gasket_misses
from borewright.selection.single import plans_of, stack_of
from borewright.selection.tables import COST_TICKS, tabulate

Place = tuple[str, str]
Kind = Literal["length", "area", "volume", "price", "words"]
Entry = Mapping[str, Any]

WITHIN = 1e-6  # how far inside a limit a size is wished for, where there is room [m]
SLIGHT = 2.0  # a chamber is wished for of up to twice its volume, or down to half; the rest is the crown's
THICKEST = 3e-3  # of a gasket that is wished for; common practice: thicker ones are stacks [m]

_SCHEMAS = {
    "crank": CandidateCrankPart(),
    "rod": CandidateRodPart(),
    "piston": CandidatePistonPart(),
    "gasket": CandidateGasketPart(),
    "head": CandidateHeadPart(),
    "block": SelectionBlockPart(),
}


@dataclass(frozen=True)
class Instead:
    """A field of the request, and what it would say instead [SI].

    place : the part ("piston"), or what else holds the field ("block", "limits", "machining/bore"), and the field
    """

    place: Place
    kind: Kind
    value: float | tuple[str, ...]

    def pointer(self, places: Places) -> str:
        """Where it stands in the request.

        >>> Instead(("piston", "bore"), "length", 0.1).pointer((0, 0, 3, 0, 0))
        '#/pistons/3/bore'
        """
        part, field = self.place
        if f"{part}s" in LISTS:
            return pointer(f"{part}s", places[LISTS.index(f"{part}s")], field)
        return pointer(*part.split("/"), field)


@dataclass(frozen=True)
class Given:
    """A combination by itself while its parts are changed, and its pistons as the request has them."""

    problem: SearchProblem
    piston: Entry

    def with_piston(self, **changes: Any) -> Given:
        """With another piston; the crevice above its top ring follows its sizes."""
        old = self.problem.pistons[0]
        new: Piston = replace(old, **changes)
        if "top_land_diameter" in self.piston and new.top_land_height is not None:
            sizes = (np.array([size]) for size in (new.bore, new.top_land_height, self.piston["top_land_diameter"][0]))
            new = replace(new, crevice_volume=float(crevice_volume(*sizes)[0]))
        return replace(self, problem=replace(self.problem, pistons=(new,)))

    def with_gasket(self, **changes: Any) -> Given:
        """With another gasket."""
        return replace(self, problem=replace(self.problem, gaskets=(replace(self.problem.gaskets[0], **changes),)))

    def with_part(self, part: str, **changes: Any) -> Given:
        """With another crankshaft, rod or head, or another block."""
        if part == "block":
            return replace(self, problem=replace(self.problem, block=replace(self.problem.block, **changes)))
        (old,) = getattr(self.problem, f"{part}s")
        changed: Any = {f"{part}s": (replace(old, **changes),)}
        return replace(self, problem=replace(self.problem, **changed))


Change = tuple[Given, tuple[Instead, ...]]


def within_request(instead: Iterable[Instead]) -> bool:
    """Whether the request takes these sizes.

    >>> [within_request([Instead(("gasket", "thickness"), "length", size)]) for size in (1e-3, 0.1)]
    [True, False]
    """
    for each in instead:
        field = _SCHEMAS[each.place[0]].fields[each.place[1]] if each.place[0] in _SCHEMAS else None
        if isinstance(field, Quantity) and not (isinstance(each.value, float) and field.low <= each.value <= field.high):
            return False
    return True


def _bore(given: Given, _: float) -> Change | None:
    held = given.problem
    missed, block = side(held, "bore"), held.block
    if missed == "worn":
        size = block.smallest_bore
        return given.with_part("block", maximum_bore=size), (Instead(("block", "maximum_bore"), "length", size),)
    if missed == "as it stands":
        machining = replace(held.machining, bore_price=0.0)
        return replace(given, problem=replace(held, machining=machining)), (Instead(("machining/bore", "price"), "price", 0.0),)
    bored = held.machining.bore_price is not None
    size = min(max(held.pistons[0].bore, block.smallest_bore), block.maximum_bore) if bored else block.bore
    if "top_land_diameter" in given.piston and given.piston["top_land_diameter"].max() > size:
        return None
    return given.with_piston(bore=size), (Instead(("piston", "bore"), "length", size),)


def _duty(given: Given, _: float) -> Change | None:
    piston, duty = given.problem.pistons[0], given.problem.duty
    changes: dict[str, frozenset[str]] = {}
    for name, allowed, wanted in (("aspirations", piston.aspirations, duty.aspiration), ("services", piston.services, duty.service)):
        if allowed is not None and wanted not in allowed:
            changes[name] = allowed | {wanted}
    return given.with_piston(**changes), tuple(Instead(("piston", name), "words", tuple(sorted(to))) for name, to in changes.items())


def _land(name: str) -> Callable[[Given, float], Change | None]:
    def fix(given: Given, _: float) -> Change | None:
        least = getattr(given.problem.limits, name) or 0.0
        return given.with_piston(**{f"{name}_height": least}), (Instead(("piston", name), "length", least),)

    return fix


def _gasket_bore(given: Given, _: float) -> Change | None:
    held = given.problem
    gasket, opening = held.gaskets[0], held.pistons[0].bore + held.limits.bore_to_gasket_clearance
    if gasket.bore is not None:
        return given.with_gasket(bore=opening), (Instead(("gasket", "bore"), "length", opening),)
    area = float(circle_area(opening)) * (1.0 + 1e-9)
    while gasket_misses(tabulate(held), np.array([held.pistons[0].bore]), np.sqrt(4.0 * area / np.pi))[0] > 0.0:
        area *= 1.0 + 1e-9
    volume = None if gasket.thickness is None else area * gasket.thickness
    return given.with_gasket(area=area, volume=volume), (Instead(("gasket", "area"), "area", area),)


def _head_bore(given: Given, _: float) -> Change | None:
    limit = "minimum_bore" if side(given.problem, "head-bore") == "low" else "maximum_bore"
    bore = given.problem.pistons[0].bore
    return given.with_part("head", **{limit: bore}), (Instead(("head", limit), "length", bore),)


def _retention(given: Given, _: float) -> Change | None:
    to = given.problem.pistons[0].pin_retentions | {given.problem.rods[0].pin_retention}
    return given.with_piston(pin_retentions=to), (Instead(("piston", "pin_retentions"), "words", tuple(sorted(to))),)


def _pin_fit(given: Given, _: float) -> Change | None:
    held, rod, piston = given.problem, given.problem.rods[0], given.problem.pistons[0]
    if piston.pin_diameter is None:
        return None
    pressed = rod.pin_retention == "press" and "press" in piston.pin_retentions
    span, sign = (held.limits.press_interference, -1.0) if pressed else (held.limits.floating_clearance, 1.0)
    size = piston.pin_diameter + sign * (span.low + span.high) / 2.0
    return given.with_part("rod", small_end_bore=size), (Instead(("rod", "small_end_bore"), "length", size),)


def _pin_end_room(given: Given, by: float) -> Change | None:
    length = given.problem.pistons[0].pin_length
    shorter = 0.0 if length is None else length - 2.0 * by - WITHIN
    return (given.with_piston(pin_length=shorter), (Instead(("piston", "pin_length"), "length", shorter),)) if shorter > 0.0 else None


def _journal(name: str) -> Callable[[Given, float], Change | None]:
    def fix(given: Given, _: float) -> Change | None:
        size = getattr(given.problem.cranks[0], f"rod_journal_{name}")
        return given.with_part("rod", **{f"journal_{name}": size}), (Instead(("rod", f"journal_{name}"), "length", size),)

    return fix


def _counterweight(given: Given, by: float) -> Change | None:
    radius = (given.problem.cranks[0].counterweight_radius or 0.0) - by - WITHIN
    if radius <= 0.0:
        return None
    return given.with_part("crank", counterweight_radius=radius), (Instead(("crank", "counterweight_radius"), "length", radius),)


def _deck(given: Given, _: float) -> Change | None:
    """A compression height, or where no piston has it a rod, that puts the piston where deck and squish are both kept."""
    held = given.problem
    deck, squish, thickness = held.limits.deck_clearance, held.limits.squish, held.gaskets[0].thickness
    low, high = deck.low, deck.high
    if thickness is not None and max(low, squish.low - thickness) <= min(high, squish.high - thickness):
        low, high = max(low, squish.low - thickness), min(high, squish.high - thickness)
    built = float(stack_of(tabulate(held)).built[0])
    deepest = built - tabulate(held).cut_maximum
    room = min(WITHIN, (high - low) / 2.0)
    lower = max(low + room - built, 0.0) - max(deepest - (high - room), 0.0)
    return _stand(given, lower)


def _stand(given: Given, lower: float) -> Change | None:
    """The piston lower by so much [m], by its compression height or by the rods."""
    piston, rod = given.problem.pistons[0], given.problem.rods[0]
    height = piston.compression_height - lower
    by_height = (Instead(("piston", "compression_height"), "length", height),)
    if height > 0.0 and within_request(by_height):
        return given.with_piston(compression_height=height), by_height
    length = rod.length - lower
    by_rod = (Instead(("rod", "length"), "length", length),)
    if length > max(crank.stroke for crank in given.problem.cranks) and within_request(by_rod):
        return given.with_part("rod", length=length), by_rod
    return None


def _squish(given: Given, _: float) -> Change | None:
    """A gasket thickness that suits where the piston can stand; where none does, another place for the piston."""
    held, gasket = given.problem, given.problem.gaskets[0]
    if gasket.thickness is None:
        return None
    stands, squish = deck_range(held), held.limits.squish
    room = min(WITHIN, (squish.high - squish.low) / 2.0)
    low, high = squish.low + room - stands.high, squish.high - room - stands.low
    thickness = min(max(gasket.thickness, low), high)
    if not 0.0 <= thickness <= max(THICKEST, gasket.thickness):
        return _stand(given, thickness - gasket.thickness)
    instead = (Instead(("gasket", "thickness"), "length", thickness),)
    return given.with_gasket(thickness=thickness, volume=_volume(gasket, thickness)), instead


def _volume(gasket: Gasket, thickness: float) -> float | None:
    """Volume of a gasket of another thickness: that of its area; what was poured stays as it was poured."""
    return gasket.area * thickness if gasket.area is not None else gasket.volume


def _ratio(given: Given, _: float) -> Change | None:
    """Chambers that reach the ratio without milling, and where they would be of another kind of engine, the crown for the rest."""
    held = given.problem
    tables = tabulate(held)
    stack = stack_of(tables)
    swept = float(plans_of(tables, stack)[1][0])
    wanted = swept / (held.target.value - 1.0)
    others = float((tables.crown_volume + tables.gasket_volume + tables.area * stack.highest)[0])
    chamber, piston = held.heads[0].chamber_volume, held.pistons[0]
    to = min(max(wanted - others, chamber / SLIGHT), chamber * SLIGHT)
    changed, instead = given.with_part("head", chamber_volume=to), [Instead(("head", "chamber_volume"), "volume", to)]
    if to == chamber:
        instead = []
    rest = wanted - others - to
    if abs(rest) > 1e-15:
        crown = piston.recess - piston.dome + rest
        recess, dome = max(crown, 0.0), max(-crown, 0.0)
        changed = changed.with_piston(recess=recess, dome=dome)
        instead += [Instead(("piston", "recess"), "volume", recess), Instead(("piston", "dome"), "volume", dome)]
    return changed, tuple(instead)


def _cost(given: Given, by: float) -> Change | None:
    most = np.ceil(((given.problem.limits.price or 0.0) + by) * COST_TICKS) / COST_TICKS
    limits = replace(given.problem.limits, price=float(most))
    return replace(given, problem=replace(given.problem, limits=limits)), (Instead(("limits", "cost"), "price", float(most)),)


REMEDIES: Mapping[str, Callable[[Given, float], Change | None]] = {
    "bore": _bore,
    "duty-allowed": _duty,
    "top-land": _land("top_land"),
    "second-land": _land("second_land"),
    "bore-to-gasket-clearance": _gasket_bore,
    "head-bore": _head_bore,
    "pin-retention": _retention,
    "pin-fit": _pin_fit,
    "pin-end-room": _pin_end_room,
    "journal-diameter": _journal("diameter"),
    "journal-width": _journal("width"),
    "counterweight-to-boss": _counterweight,
    "deck-clearance": _deck,
    "squish": _squish,
    "compression-target": _ratio,
    "cost": _cost,
}
