"""The rules that a combination of parts is held to, each as a check with its value and its limits."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from math import inf
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Check
from borewright.calculations.common.rule_checks import rule_check
from borewright.calculations.part_selection.catalog import LANDS, RULES
from borewright.calculations.part_selection.fitted import Fact, Fitted
from borewright.calculations.part_selection.spread import Spread
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.rules.listed import BORE, HEAD_BORE, JOURNAL_DIAMETER, JOURNAL_WIDTH, PIN_FIT
from borewright.rules.motion import COUNTERWEIGHT_TO_BOSS
from borewright.rules.piston import PIN_END_ROOM
from borewright.rules.rule import Limit, Rule
from borewright.rules.stack import BORE_TO_GASKET, DECK_CLEARANCE, SQUISH
from borewright.selection.misses import bore_limits

WORDS: Mapping[str, Fact] = {"bore": ("piston", "bore")}


def checks(fitted: Fitted, only: str | None = None) -> list[Check]:
    """Every rule: "unknown" where a list leaves out a fact that the rule needs; a rule that does not apply is left out.

    fitted : a combination of parts with the cuts it gets
    only : the one rule to judge, by its name; None for all
    """
    made = (judge() for name, judge in _judges(fitted) if only in (None, name))
    return [check for check in made if check is not None]


def _judges(fitted: Fitted) -> list[tuple[str, Callable[[], Check | None]]]:
    """What judges a combination, by the name of its rule."""
    held = fitted.held
    pressed = not fitted.honed and fitted.choice.rod.pin_retention == "press"
    retainer = {"piston.retainer_thickness": 0.0} if pressed else {}
    wide = fitted.has(("crank", "rod_journal_width")) or fitted.has(("rod", "journal_width"))

    def by(rule: Rule, limit: str, **instead: float) -> tuple[str, Callable[[], Check | None]]:
        return rule.name, lambda: _rule(fitted, rule, held[limit], **instead)

    return [
        ("compression-target", lambda: _target(fitted)),
        (BORE.name, lambda: _bore(fitted)),
        ("duty-allowed", lambda: _duty(fitted)),
        *(by(RULES[land], land) for land in LANDS if held[land] is not None),
        by(PIN_END_ROOM, "pin_end_room", **retainer),
        by(BORE_TO_GASKET, "bore_to_gasket_clearance"),
        (HEAD_BORE.name, lambda: _head_bore(fitted)),
        ("pin-retention", lambda: _retention(fitted)),
        by(PIN_FIT, "pin_fit_press" if pressed else "pin_fit_floating"),
        by(JOURNAL_DIAMETER, "journal_diameter_difference"),
        *([by(JOURNAL_WIDTH, "journal_width_difference")] if wide else []),
        by(COUNTERWEIGHT_TO_BOSS, "counterweight_clearance"),
        (DECK_CLEARANCE.name, lambda: _stack(fitted, DECK_CLEARANCE, held["deck_clearance"])),
        (SQUISH.name, lambda: _squish(fitted, held["squish"])),
        ("cost", lambda: _cost(fitted)),
    ]


def _spread(check: Check, spread: Spread) -> Check:
    """A check over the tolerances of its own inputs: a corner outside turns a pass into a watch."""
    if check.value is None:
        return check

    def corners(inside: BoolArray) -> BoolArray:
        return spread.plan.worst_inside(inside, check.margin)

    return replace(check, value=spread.measured(check.states()), verdict=check.judge(corners))


def _rule(fitted: Fitted, rule: Rule, limit: Limit | None, **instead: float) -> Check:
    """A rule on the facts that it needs or may use, as they are finished.

    instead : what counts where a list leaves a fact out [SI]
    """
    names = [*rule.needs.values(), *rule.may_use.values()]
    known = {name: fitted.finished(_fact(name)) for name in names if fitted.has(_fact(name))}
    spread = Spread.of(known | {name: np.full(1, size) for name, size in instead.items() if name not in known})

    def place(name: str) -> str:
        return fitted.pointer_to(_fact(name))

    return _spread(rule_check(rule, spread.columns, limit, place), spread)


def _fact(name: str) -> Fact:
    """Where a fact stands in a combination: the bore is that of the pistons."""
    part, _, field = name.partition(".")
    return WORDS.get(name, (part, field))


def _stack(fitted: Fitted, rule: Rule, limit: Limit | None) -> Check:
    """A rule on where the piston stands at its top, over the tolerances of the whole stack."""
    columns = fitted.spread.columns
    facts: dict[str, Any] = {f"{part}.{field}": values for (part, field), values in _by_fact(columns).items()}
    facts["block.deck_height"] = facts["block.deck_height"] - fitted.amount("deck_cut")
    facts["deck_clearance"] = fitted.assembly.deck_clearance
    return _spread(rule_check(rule, facts, limit, lambda name: fitted.pointer_to(_fact(name))), fitted.spread)


def _squish(fitted: Fitted, limit: Limit | None) -> Check:
    """The squish; one below zero is no distance, and its check says why it fails."""
    check = _stack(fitted, SQUISH, limit)
    if fitted.choice.squish is not None and fitted.choice.squish < 0.0 and not fitted.real:
        return replace(check, value=None, verdict="fail", reason=f"{fitted.why_not}; {check.reason}", missing=())
    return check


def _by_fact(columns: Mapping[str, FloatArray]) -> dict[Fact, FloatArray]:
    return {(name.partition(".")[0], name.partition(".")[2]): values for name, values in columns.items()}


def _listed(low: float | None, high: float | None) -> Limit:
    """Limits that the caller's own lists state."""
    return Limit(low, high, "caller", "the request")


def _yes_or_no(name: str, holds: bool, reason: str) -> Check:
    return Check(name, "ratio", np.full(1, float(holds)), 1.0, None, f"1 for yes, 0 for no: {reason}", "caller", "the request")


def _target(fitted: Fitted) -> Check | None:
    window = fitted.window
    if window is None:
        return None
    reason = "the ratio asked for and its window; over the tolerances of the parts it must stay inside"
    ratio = fitted.assembly.compression_ratio
    check = Check("compression-target", "ratio", ratio, window.low, window.high, reason, window.basis, window.source)
    if not fitted.real:
        return replace(check, value=None, verdict="fail", reason=f"{fitted.why_not}; {reason}")
    return _spread(check, fitted.spread)


def _bore(fitted: Fitted) -> Check:
    limits, bore = bore_limits(fitted.problem), fitted.of(("piston", "bore"))[:1]
    low, high = (float(side(bound)) for side, bound in ((max, [_low(each) for each in limits]), (min, [_high(each) for each in limits])))
    reason = BORE.reason
    if len(limits) > 1:
        reason = "no boring is on offer, so the pistons must suit the bore as it stands"
    if low > high:  # worn past the largest bore: no piston will do, and the nearer limit is shown
        reason = "the block does not clean up at a bore that its walls allow: sleeve it, or take another"
        return replace(rule_check(BORE, {"bore": bore}, _listed(low, None) if bore[0] < low else _listed(None, high)), reason=reason)
    return replace(rule_check(BORE, {"bore": bore}, _listed(low, high)), reason=reason)


def _low(limit: Limit) -> float:
    return -inf if limit.low is None else float(np.asarray(limit.low))


def _high(limit: Limit) -> float:
    return inf if limit.high is None else float(np.asarray(limit.high))


def _duty(fitted: Fitted) -> Check | None:
    piston, duty = fitted.choice.piston, fitted.problem.duty
    if piston.aspirations is None and piston.services is None:
        return None
    breathes = piston.aspirations is None or duty.aspiration in piston.aspirations
    allowed = breathes and (piston.services is None or duty.service in piston.services)
    return _yes_or_no("duty-allowed", allowed, "the list must say that the piston is made for the duty")


def _head_bore(fitted: Fitted) -> Check:
    head, same = fitted.choice.head, fitted.problem.limits.bore_tolerance
    if head.minimum_bore is None and head.maximum_bore is None:
        missing = tuple(fitted.pointer_to(("head", name)) for name in ("minimum_bore", "maximum_bore"))
        reason = "not known: add head.minimum_bore and head.maximum_bore"
        return Check(HEAD_BORE.name, HEAD_BORE.kind, None, None, None, reason, "caller", "the request", missing=missing)
    low, high = (
        (None if head.minimum_bore is None else head.minimum_bore - same),
        (None if head.maximum_bore is None else head.maximum_bore + same),
    )
    return rule_check(HEAD_BORE, {"bore": fitted.of(("piston", "bore"))[:1]}, _listed(low, high))


def _retention(fitted: Fitted) -> Check:
    piston = fitted.choice.piston
    holds = ("floating" if fitted.honed else fitted.choice.rod.pin_retention) in piston.pin_retentions
    reason = "rod and piston must hold the pin the same way; a press-fit small end can be honed to float, a bushed one can't be pressed"
    return _yes_or_no("pin-retention", holds, reason)


def _cost(fitted: Fitted) -> Check | None:
    most, cost = fitted.problem.limits.price, fitted.choice.cost
    if most is None:
        return None
    reason = "parts and work together, as a share of the most they may cost"
    if most == 0.0 < cost:
        return Check("cost", "ratio", None, None, 1.0, reason, "caller", "the request", verdict="fail")
    share = np.full(1, cost / most if most > 0.0 else 0.0)
    return Check("cost", "ratio", share, None, 1.0, reason, "caller", "the request")
