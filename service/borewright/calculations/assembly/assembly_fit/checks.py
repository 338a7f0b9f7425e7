"""What an assembly is held against: every fit rule, with the facts of the request, or what is missing for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from borewright.calculations.assembly.assembly_fit.pin_fit import FitRange
from borewright.calculations.base.outcome import Check
from borewright.calculations.common.duty import squish_row
from borewright.calculations.common.linkage import Linkage
from borewright.calculations.common.rule_checks import field_of, not_known, rule_check
from borewright.rules.motion import COUNTERWEIGHT_TO_BOSS, COUNTERWEIGHT_TO_SKIRT, MEAN_PISTON_SPEED, ROD_RATIO, SKIRT_EXPOSED
from borewright.rules.piston import (
    HONING_TO_FLOAT,
    PIN_END_ROOM,
    PIN_FIT_PISTON_LOOSE,
    PIN_FIT_PISTON_TIGHT,
    PIN_FIT_ROD_LOOSE,
    PIN_FIT_ROD_TIGHT,
    PIN_WITHIN_BOSSES,
    SECOND_LAND,
    TOP_LAND,
)
from borewright.rules.rule import Facts, Limit, Rule
from borewright.rules.stack import BORE_TO_GASKET, DECK_CLEARANCE, SQUISH

NO_LESS_THAN_NOTHING = Limit(0.0, None, "derived", "geometry")
PARTS = ("block", "crank", "rod", "piston", "gasket")


@dataclass(frozen=True)
class Asked:
    """What is known of an assembly, and what it is held to [SI]."""

    facts: Facts
    duty: Mapping[str, Any]
    limits: Mapping[str, Any]
    rod: Mapping[str, Any]
    wanted_rod: FitRange | None
    wanted_piston: FitRange | None


def facts_of(request: Mapping[str, Any], turning: Linkage, retention: str | None) -> dict[str, Any]:
    """The facts of a request by their names, deck clearance included; a pressed pin has no retainers."""
    facts: dict[str, Any] = {f"{part}.{name}": size for part in PARTS for name, size in request.get(part, {}).items()}
    facts |= {"bore": request.get("bore"), "speed": request.get("speed"), "pin_offset": turning.pin_offset}
    facts |= {"crank.stroke": turning.stroke, "rod.length": turning.rod_length}
    if retention == "press":
        facts.setdefault("piston.retainer_thickness", np.zeros(1))
    facts["deck_clearance"] = DECK_CLEARANCE.found(facts)
    return facts


def checks(asked: Asked) -> list[Check]:
    """Every check of an assembly, unknown where something is missing for it."""
    facts, limits, duty = asked.facts, asked.limits, asked.duty

    def held(rule: Rule, own: str, row: str | None = None) -> Check:
        return rule_check(rule, facts, rule.limit(limits.get(own), row))

    made = [held(DECK_CLEARANCE, "deck_clearance"), held(SQUISH, "squish", squish_row(duty))]
    if facts["bore"] is not None and ("gasket.bore" in facts or "gasket.area" in facts):
        made.append(rule_check(BORE_TO_GASKET, facts, BORE_TO_GASKET.limit()))
    made += [
        held(ROD_RATIO, "rod_ratio"),
        held(MEAN_PISTON_SPEED, "mean_piston_speed", f"speed_{duty['service']}"),
        held(SKIRT_EXPOSED, "skirt_exposed_at_bdc"),
        held(COUNTERWEIGHT_TO_BOSS, "counterweight_clearance"),
        held(COUNTERWEIGHT_TO_SKIRT, "counterweight_clearance"),
        *_fit(facts, (PIN_FIT_ROD_TIGHT, PIN_FIT_ROD_LOOSE), asked.wanted_rod),
        *_fit(facts, (PIN_FIT_PISTON_TIGHT, PIN_FIT_PISTON_LOOSE), asked.wanted_piston),
    ]
    if asked.rod.get("pin_retention") == "press" and asked.rod.get("wanted_retention") == "floating" and asked.wanted_rod is not None:
        wanted = {**facts, "wanted_clearance": asked.wanted_rod.middle}
        made.append(rule_check(HONING_TO_FLOAT, wanted, HONING_TO_FLOAT.limit()))
    made += [held(PIN_END_ROOM, "pin_end_room"), rule_check(PIN_WITHIN_BOSSES, facts, NO_LESS_THAN_NOTHING)]
    for rule, land in ((TOP_LAND, "top_land"), (SECOND_LAND, "second_land")):
        limit = rule.limit(limits.get(land), f"{land}_{duty['aspiration']}")
        if limit is not None:  # practice limits the lands for boost and nitrous only
            made.append(rule_check(rule, facts, limit))
    return made


def _fit(facts: Facts, rules: tuple[Rule, Rule], wanted: FitRange | None) -> list[Check]:
    """A fit too tight can be honed and is watched; one too loose is not mended that way and fails."""
    if wanted is None:
        lacking = (*rules[0].lacking(facts), "rod.pin_retention")
        unheld = [rule_check(rule, {}, None) for rule in rules]
        return [replace(check, missing=tuple(field_of(fact) for fact in lacking), reason=not_known(lacking)) for check in unheld]
    tight, loose = Limit(wanted.low, None, wanted.basis, wanted.source), Limit(None, wanted.high, wanted.basis, wanted.source)
    made = [rule_check(rules[0], facts, tight), rule_check(rules[1], facts, loose)]
    return [replace(made[0], soft=True), made[1]]
