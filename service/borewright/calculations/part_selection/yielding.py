"""Of the combinations that miss a rule by as little, one that keeps all others: the search names the first in the lists."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from borewright.calculations.base.limits import limits
from borewright.physics.mechanism.volumes import circle_area
from borewright.rules.judging import LENGTH_SLACK, RELATIVE_SLACK
from borewright.selection.candidates import EITHER_RETENTION, Gasket
from borewright.selection.demands import Preference, SearchProblem, Span, Target
from borewright.selection.examination import examine
from borewright.selection.outcome import Miss
from borewright.selection.search import search


def breaks_nothing_else(asked: SearchProblem, miss: Miss, order: Sequence[Preference]) -> Miss:
    """The best of the combinations that miss the rule by no more and break no other; where there is none, the miss as it is.

    >>> from borewright.selection.demands import small_problem
    >>> high = replace(small_problem(), target=Target(12.0, 11.9, 12.1))
    >>> found = breaks_nothing_else(high, search(high).nearest[0], ("operations", "cost", "closeness"))
    >>> found.reason, found.combination.places
    ('compression-target', (0, 0, 0, 0, 1))
    """
    if len(miss.combination.broken) == 1:
        return miss
    yielded = yielding(asked, miss.reason, miss.by or 0.0)
    found = search(yielded, prefer=tuple(order), top=1, work_limit=limits().search_work, with_nearest=False)
    for choice in found.choices:
        looked = examine(asked, choice.places, order)
        if [each.reason for each in looked.broken] == [miss.reason]:
            return Miss(miss.reason, looked.broken[0].by, looked)
    return miss


def yielding(asked: SearchProblem, reason: str, by: float) -> SearchProblem:
    """The problem with one rule that gives way by so much [m, 1, or the price], or wholly where it is a plain yes or no.

    >>> from borewright.selection.demands import small_problem
    >>> yielding(small_problem(), "journal-diameter", 1e-3).limits.journal_diameter_tolerance
    0.001050000003
    """
    more = by * (1.0 + RELATIVE_SLACK) + 2.0 * LENGTH_SLACK
    held, target = asked.limits, asked.target

    def wider(span: Span) -> Span:
        return Span(span.low - more, span.high + more)

    changed: dict[str, dict[str, Any]] = {
        "bore": {"bore_tolerance": held.bore_tolerance + more},
        "top-land": {"top_land": max((held.top_land or 0.0) - more, 0.0)},
        "second-land": {"second_land": max((held.second_land or 0.0) - more, 0.0)},
        "pin-fit": {"floating_clearance": wider(held.floating_clearance), "press_interference": wider(held.press_interference)},
        "journal-diameter": {"journal_diameter_tolerance": held.journal_diameter_tolerance + more},
        "journal-width": {"journal_width_tolerance": held.journal_width_tolerance + more},
        "deck-clearance": {"deck_clearance": wider(held.deck_clearance)},
        "squish": {"squish": wider(held.squish)},
        "cost": {"price": None if held.price is None else held.price + more},
    }
    if reason in changed:
        return replace(asked, limits=replace(held, **changed[reason]))
    match reason:
        case "duty-allowed":
            return replace(asked, pistons=tuple(replace(each, aspirations=None, services=None) for each in asked.pistons))
        case "pin-retention":
            return replace(asked, pistons=tuple(replace(each, pin_retentions=EITHER_RETENTION) for each in asked.pistons))
        case "pin-end-room":
            return replace(asked, pistons=tuple(replace(each, pin_length=_less(each.pin_length, 2.0 * more)) for each in asked.pistons))
        case "counterweight-to-boss":
            cranks = tuple(replace(each, counterweight_radius=_less(each.counterweight_radius, more)) for each in asked.cranks)
            return replace(asked, cranks=cranks)
        case "bore-to-gasket-clearance":
            return replace(asked, gaskets=tuple(_opened(each, more) for each in asked.gaskets))
        case "head-bore":
            heads = tuple(
                replace(
                    each,
                    minimum_bore=_less(each.minimum_bore, more),
                    maximum_bore=None if each.maximum_bore is None else each.maximum_bore + more,
                )
                for each in asked.heads
            )
            return replace(asked, heads=heads)
        case _:
            window = Target(target.value, max(target.low - more, 1.0 + RELATIVE_SLACK), target.high + more)
            return replace(asked, target=window)


def _less(size: float | None, by: float) -> float | None:
    """A size that is smaller, and at least next to nothing."""
    return None if size is None else max(size - by, LENGTH_SLACK)


def _opened(gasket: Gasket, by: float) -> Gasket:
    """A gasket with a wider opening that holds what it held."""
    if gasket.bore is not None:
        held = gasket.volume if gasket.thickness is None else float(circle_area(gasket.bore)) * gasket.thickness
        return replace(gasket, bore=gasket.bore + by, volume=gasket.volume if gasket.volume is not None else held)
    return gasket if gasket.area is None else replace(gasket, area=(gasket.area**0.5 + by) ** 2)
