"""The rules that a combination of parts is held to, each as a check with its value and its limits."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import inf

import numpy as np

from borewright.calculations.base.outcome import Check
from borewright.calculations.part_selection.catalogue import LANDS, Limit
from borewright.calculations.part_selection.fitted import Fact, Fitted
from borewright.calculations.part_selection.spread import Spread
from borewright.physics.arrays import FloatArray
from borewright.selection.demands import Span
from borewright.selection.rules import LENGTH_SLACK

SLACK = 2.0 * LENGTH_SLACK  # the search's own, and the rounding of another order of the same sums
RATIO_SLACK = 1e-7  # the search widens its window by a billionth of a volume, and a ratio of 40 moves by 40 of them
NOTHING = Spread.of({})


def checks(fitted: Fitted) -> list[Check]:
    """Every rule: "unknown" where a list leaves out a fact that the rule needs; a rule that does not apply is left out.

    fitted : a combination of parts with the cuts it gets
    """
    made = [_target(fitted), _bore(fitted), _duty(fitted), *_lands(fitted), _pin_ends(fitted), _gasket_bore(fitted), _head_bore(fitted)]
    made += [_retention(fitted), _pin_fit(fitted), *_journals(fitted), _counterweight(fitted), *_deck(fitted), _cost(fitted)]
    return [check for check in made if check is not None]


def _judged(
    name: str, spread: Spread, values: FloatArray, limit: Limit, reason: str, *, kind: str = "length", slack: float = SLACK
) -> Check:
    verdict = spread.verdict(values, limit.span.low, limit.span.high, slack)
    return Check(name, kind, spread.measured(values), limit.low, limit.high, reason, limit.basis, limit.source, verdict=verdict)


def _unknown(name: str, limit: Limit, *lacking: str) -> Check:
    reason = f"not known: add {' and '.join(lacking)}"
    return Check(name, "length", None, limit.low, limit.high, reason, limit.basis, limit.source)


def _rule(fitted: Fitted, name: str, facts: Mapping[str, Fact], formula: Callable[..., FloatArray], limit: Limit, reason: str) -> Check:
    """A rule on a length that some facts decide; unknown where one of them is left out."""
    lacking = [".".join(fact) for fact in facts.values() if not fitted.has(fact)]
    if lacking:
        return _unknown(name, limit, *lacking)
    spread = Spread.of({alias: fitted.of(fact) for alias, fact in facts.items()})
    return _judged(name, spread, formula(**spread.columns), limit, reason)


def _yes_or_no(name: str, holds: bool, reason: str) -> Check:
    return Check(name, "ratio", np.full(1, float(holds)), 1.0, None, f"1 for yes, 0 for no: {reason}", "caller", "the request")


def _listed(low: float | None, high: float | None) -> Limit:
    """Limits that the caller's own lists state."""
    return Limit(Span(-inf if low is None else low, inf if high is None else high), "caller", "the request")


def _target(fitted: Fitted) -> Check | None:
    if fitted.window is None:
        return None
    reason = "the ratio asked for and its window; over the tolerances of the parts it must stay inside"
    ratio = fitted.assembly.compression_ratio
    return _judged("compression-target", fitted.spread, ratio, fitted.window, reason, kind="ratio", slack=RATIO_SLACK)


def _bore(fitted: Fitted) -> Check:
    block, bore = fitted.problem.block, fitted.of(("piston", "bore"))[:1]
    low, high = block.smallest_bore, block.maximum_bore
    reason = "the block must clean up at the bore the pistons are made for, and its walls must allow it"
    if fitted.problem.machining.bore_price is None:
        low, high = max(low, block.bore), min(high, block.bore)
        reason = "no boring is on offer, so the pistons must suit the bore as it stands"
    if low > high:  # worn past the largest bore: no piston will do, and the nearer limit is shown
        reason = "the block does not clean up at a bore that its walls allow: sleeve it, or take another"
        return _judged("bore", NOTHING, bore, _listed(low, None) if bore[0] < low else _listed(None, high), reason)
    return _judged("bore", NOTHING, bore, _listed(low, high), reason)


def _duty(fitted: Fitted) -> Check | None:
    piston, duty = fitted.choice.piston, fitted.problem.duty
    if piston.aspirations is None and piston.services is None:
        return None
    breathes = piston.aspirations is None or duty.aspiration in piston.aspirations
    allowed = breathes and (piston.services is None or duty.service in piston.services)
    return _yes_or_no("duty-allowed", allowed, "the list must say that the piston is made for the duty")


def _lands(fitted: Fitted) -> list[Check]:
    reason = "a low land is hot and weak: it can crack or lift under the pressure of a harder duty; take another piston"
    return [
        _rule(fitted, name.replace("_", "-"), {"land": ("piston", name)}, lambda land: land, fitted.held[name], reason)
        for name in LANDS
        if fitted.held[name].low is not None
    ]


def _pin_ends(fitted: Fitted) -> Check:
    facts: dict[str, Fact] = {"bore": ("piston", "bore"), "length": ("piston", "pin_length")}
    limit, reason = fitted.held["pin_end_room"], "pin or retainers reach the wall: a shorter pin"
    return _rule(fitted, "pin-end-room", facts, lambda bore, length: (bore - length) / 2.0, limit, reason)


def _gasket_bore(fitted: Fitted) -> Check:
    facts: dict[str, Fact] = {"opening": ("gasket", "bore"), "bore": ("piston", "bore")}
    reason = "an opening smaller than the bore hangs into the cylinder, meets the piston and glows"
    return _rule(fitted, "gasket-overhang", facts, lambda opening, bore: opening - bore, fitted.held["gasket_overhang"], reason)


def _head_bore(fitted: Fitted) -> Check:
    head = fitted.choice.head
    limit = _listed(head.minimum_bore, head.maximum_bore)
    if head.minimum_bore is None and head.maximum_bore is None:
        return _unknown("head-bore", limit, "head.minimum_bore", "head.maximum_bore")
    reason = "the list must say that the head seals this bore and its valves clear it"
    return _judged("head-bore", NOTHING, fitted.of(("piston", "bore"))[:1], limit, reason)


def _retention(fitted: Fitted) -> Check:
    piston = fitted.choice.piston
    holds = ("floating" if fitted.honed else fitted.choice.rod.pin_retention) in piston.pin_retentions
    reason = "rod and piston must hold the pin the same way; a press-fit small end can be honed to float, a bushed one can't be pressed"
    return _yes_or_no("pin-retention", holds, reason)


def _pin_fit(fitted: Fitted) -> Check:
    facts: dict[str, Fact] = {"hole": ("rod", "small_end_bore"), "pin": ("piston", "pin_diameter")}
    floating = fitted.honed or fitted.choice.rod.pin_retention == "floating"
    limit, honed = fitted.held["pin_fit_floating" if floating else "pin_fit_press"], fitted.amount("small_end_hone")
    reason = "small end less pin, as finished; below zero is interference: measure both before they go together"
    return _rule(fitted, "pin-fit", facts, lambda hole, pin: hole + honed - pin, limit, reason)


def _journals(fitted: Fitted) -> list[Check]:
    reason = "the rod must be made for the crankshaft's rod journal"
    made = []
    for size in ("diameter", "width"):
        facts: dict[str, Fact] = {"crank": ("crank", f"rod_journal_{size}"), "rod": ("rod", f"journal_{size}")}
        limit = fitted.held[f"journal_{size}_difference"]
        made.append(_rule(fitted, f"journal-{size}", facts, lambda crank, rod: np.abs(crank - rod), limit, reason))
    return made


def _counterweight(fitted: Fitted) -> Check:
    facts: dict[str, Fact] = {
        "length": ("rod", "length"),
        "stroke": ("crank", "stroke"),
        "boss": ("piston", "boss_below_pin"),
        "radius": ("crank", "counterweight_radius"),
    }
    limit = fitted.held["counterweight_clearance"]
    reason = "at bottom dead centre counterweights and pin bosses come nearest: a longer rod, or a smaller counterweight"

    def room(length: FloatArray, stroke: FloatArray, boss: FloatArray, radius: FloatArray) -> FloatArray:
        return length - stroke / 2.0 - boss - radius

    return _rule(fitted, "counterweight-to-boss", facts, room, limit, reason)


def _deck(fitted: Fitted) -> list[Check]:
    reason = "far from the deck the parts are not a set: another rod, compression height or stroke, or a deeper deck cut"
    made = [_judged("deck-clearance", fitted.spread, fitted.assembly.deck_clearance, fitted.held["deck_clearance"], reason)]
    squish = fitted.held["squish"]
    if fitted.choice.squish is None:
        return [*made, _unknown("squish", squish, "gasket.thickness")]
    reason = "the flat of the crown must clear the head at speed, and be near enough to stir the charge: another gasket, or deck"
    return [*made, _judged("squish", fitted.spread, fitted.assembly.squish, squish, reason)]


def _cost(fitted: Fitted) -> Check | None:
    most, cost = fitted.problem.limits.price, fitted.choice.cost
    if most is None:
        return None
    share = np.full(1, cost / most if most > 0.0 else inf if cost > 0.0 else 0.0)
    reason = "parts and work together, as a share of the most they may cost"
    return _judged("cost", NOTHING, share, _listed(None, 1.0), reason, kind="ratio", slack=1e-12)
