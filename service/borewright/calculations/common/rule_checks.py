"""A fit rule asked of a request: the check that comes of it, or which fields it lacks."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from borewright.calculations.base.outcome import Check
from borewright.calculations.base.problems import pointer
from borewright.rules.rule import Facts, Limit, Rule

OPEN = Limit(None, None, "common practice", "common practice names no limit here")


def field_of(fact: str) -> str:
    """Where a fact stands in a request that has each part by its name.

    >>> field_of("piston.pin_length"), field_of("bore")
    ('#/piston/pin_length', '#/bore')
    """
    return pointer(*fact.split("."))


def rule_check(rule: Rule, facts: Facts, limit: Limit | None, place: Callable[[str], str] = field_of) -> Check:
    """A rule against its limit; unknown, with the fields that it lacks, where a size is not known.

    facts : sizes by what they are [SI], arrays with an element a state
    place : where a fact stands in the request

    >>> from borewright.rules.stack import SQUISH
    >>> rule_check(SQUISH, {"deck_clearance": np.zeros(1), "gasket.thickness": np.full(1, 1e-3)}, SQUISH.limit()).judge()
    'pass'
    >>> rule_check(SQUISH, {"deck_clearance": np.zeros(1)}, SQUISH.limit()).missing
    ('#/gasket/thickness',)
    """
    held = limit or OPEN
    value = np.atleast_1d(rule.found(facts, limit))
    if rule.least is not None and np.count_nonzero(value < rule.least):
        held = rule.raised(held)
    first = float(value.item(0))
    known = math.isfinite(first)
    lacking = () if known else rule.lacking(facts)
    reason = not_known(lacking) if lacking else rule.reason
    missing = tuple(place(fact) for fact in lacking)
    soft = rule.softness(first, held) if known else False
    shown = value if known else None
    return Check(rule.name, rule.kind, shown, held.low, held.high, reason, held.basis, held.source, soft=soft, missing=missing)


def not_known(lacking: tuple[str, ...]) -> str:
    """What to say of a value that is not known for want of some facts.

    >>> not_known(("bore", "piston.pin_length"))
    'not known: add bore and piston.pin_length'
    """
    return f"not known: add {' and '.join([', '.join(lacking[:-1]), lacking[-1]] if len(lacking) > 1 else lacking)}"


def fields_named(reason: str) -> tuple[str, ...]:
    """The fields that a reason made by `not_known`, or written in its words, asks for; none where it says something else.

    >>> fields_named(not_known(("rod.shank", "rod.material"))), fields_named("not known: no wall was measured")
    (('#/rod/shank', '#/rod/material'), ())
    """
    _, asks, named = reason.partition("not known: add ")
    return tuple(field_of(fact) for fact in named.replace(" and ", ", ").split(", ")) if asks else ()
