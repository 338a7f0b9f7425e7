"""The search, on builds that are followed by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from catalogs import build, catalog, only
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from borewright.selection.candidates import Block, Crank, Gasket, Head, Piston, Rod
from borewright.selection.demands import BuildLimits, Cut, Machining, Span, Target
from borewright.selection.machining import assembled
from borewright.selection.outcome import SearchResult, SearchTooLargeError
from borewright.selection.search import search
from borewright.selection.single import dimensions


def test_mill_takes_what_the_target_needs():
    """Clearance 85 cm3 must come to 80: 1 mm off a chamber of 50 cm2."""
    choice = only(search(build(heads=(Head("h", 77e-6, chamber_area=0.005),), machining=Machining(head_mill=Cut(2e-3, 150.0)))))
    assert [(work.operation, work.price) for work in choice.work] == [("head_mill", 150.0)]
    assert choice.work[0].amount == pytest.approx(1e-3, rel=1e-9)
    assert choice.compression_ratio == pytest.approx(10.0, rel=1e-12)
    assert choice.cost == 150.0


def test_no_machining_when_the_window_is_met():
    """At 9.95 the window is met: nothing is cut although a cut would come closer."""
    problem = build(heads=(Head("h", 720e-6 / 8.95 - 8e-6, chamber_area=0.005),), machining=Machining(head_mill=Cut(2e-3, 0.0)))
    assert only(search(problem)).work == ()
    closest = only(search(problem, prefer=("closeness", "operations", "cost")))
    assert [work.operation for work in closest.work] == ["head_mill"]
    assert closest.compression_ratio == pytest.approx(10.0, rel=1e-12)


def test_both_levers_when_neither_alone_reaches():
    """The deck's cut goes to its limit, taking more volume per depth, and the head gives the rest."""
    area = math.pi / 4 * 0.1**2
    problem = build(
        block=Block(0.2305, 0.1, 0.102, 8),
        heads=(Head("h", 75e-6, chamber_area=0.005),),
        machining=Machining(deck_cut=Cut(0.2e-3, 100.0), head_mill=Cut(1.2e-3, 150.0)),
        target=Target(10.0, 9.999, 10.001),
    )
    choice = only(search(problem))
    assert [work.operation for work in choice.work] == ["deck_cut", "head_mill"]
    assert choice.work[0].amount == pytest.approx(0.2e-3, rel=1e-9)
    assert choice.work[1].amount == pytest.approx((75e-6 + 8e-6 + area * 0.3e-3 - 80e-6) / 0.005, rel=1e-9)


def test_deck_is_cut_when_squish_demands_it():
    """Compression is right as built; the squish limit asks for a cut, and it is the least that will do."""
    area = math.pi / 4 * 0.1**2
    problem = build(
        block=Block(0.2305, 0.1, 0.102, 8),
        heads=(Head("h", 72e-6 - area * 0.5e-3),),
        machining=Machining(deck_cut=Cut(1e-3, 100.0)),
        limits=BuildLimits(squish=Span(0.9e-3, 1.3e-3)),
        target=Target(10.0, 9.0, 11.0),
    )
    choice = only(search(problem))
    assert choice.squish == pytest.approx(1.3e-3, rel=1e-9)
    assert choice.work[0].amount == pytest.approx(0.2e-3, rel=1e-9)


def test_press_rod_is_honed_for_a_floating_pin():
    """Honed to the middle of the clearance span; without a hone on offer the two do not go together."""
    problem = build(
        rods=(Rod("r", 0.145, 0.02197, "press"),),
        pistons=(replace(build().pistons[0], pin_diameter=0.022, pin_retentions=frozenset({"floating"})),),
        heads=(Head("h", 72e-6),),
        limits=BuildLimits(floating_clearance=Span(10e-6, 20e-6)),
    )
    honed = only(search(replace(problem, machining=Machining(small_end_hone=Cut(0.1e-3, 80.0)))))
    assert [(work.operation, pytest.approx(work.amount)) for work in honed.work] == [("small_end_hone", 45e-6)]
    assert search(problem).rejected == {"pin-retention": 1}


def test_nearest_says_what_has_to_give():
    """11.0 against a window that ends at 10.1; the other chamber misses by more."""
    outcome = search(build(heads=(Head("tiny", 50e-6), Head("small", 64e-6))))
    assert outcome.choices == ()
    miss = outcome.nearest[0]
    assert (miss.reason, miss.combination.places) == ("compression-target", (0, 0, 0, 0, 1))
    assert miss.by == pytest.approx(0.9, rel=1e-9)
    assert [broken.reason for broken in miss.combination.broken] == ["compression-target"]


def test_limits_met_exactly_are_met():
    """A stack that comes to nought in the shop's units passes a limit of nought, whatever the rounding."""
    inch = 0.0254
    problem = build(
        block=Block(9.140 * inch, 0.1, 0.102, 8),
        cranks=(Crank("c", 3.36 * inch),),
        rods=(Rod("r", 5.86 * inch),),
        pistons=(Piston("p", 0.1, 1.6 * inch),),
        gaskets=(Gasket("g", 0.102, 0.04 * inch),),
        limits=BuildLimits(deck_clearance=Span(0.0, 0.0), squish=Span(0.04 * inch, 0.04 * inch)),
        target=Target(10.0, 8.0, 12.0),
    )
    assert search(problem).fitting == 1


@given(draw=st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_choices_are_what_their_parts_come_to(draw):
    """Amounts of work put back into the array evaluation give the figures of the choice, inside every limit, for all of them at once."""
    problem = catalog(draw)
    choices = search(problem, top=30).choices
    rows = [
        dimensions(problem, c.places, **{w.operation: w.amount for w in c.work if w.operation in ("deck_cut", "head_mill")})
        for c in choices
    ]
    if not rows:
        return
    found = assembled(**{name: np.array([row[name] for row in rows]) for name in rows[0]})
    assert np.allclose(found.compression_ratio, [c.compression_ratio for c in choices], rtol=1e-12)
    assert np.all(found.compression_ratio >= problem.target.low - 1e-7)
    assert np.all(found.compression_ratio <= problem.target.high + 1e-7)
    deck, squish = problem.limits.deck_clearance, problem.limits.squish
    assert np.all((found.deck_clearance >= deck.low - 1e-9) & (found.deck_clearance <= deck.high + 1e-9))
    known = ~np.isnan(found.squish)
    assert np.all((found.squish[known] >= squish.low - 1e-9) & (found.squish[known] <= squish.high + 1e-9))


def test_identical_parts_rank_by_their_place():
    """Ten pistons alike: the first in the list come first, every time."""
    problem = build(pistons=build().pistons * 10, heads=(Head("h", 72e-6),))
    assert [choice.places[2] for choice in search(problem, top=4).choices] == [0, 1, 2, 3]


def test_work_limit_is_typed():
    """Bound and size travel with the refusal; at the limit itself the search runs."""
    problem = build(heads=build().heads * 3)
    with pytest.raises(SearchTooLargeError) as caught:
        search(problem, work_limit=problem.work - 1)
    assert (caught.value.bound, caught.value.size) == (problem.work - 1, problem.work)
    assert search(problem, work_limit=problem.work).considered == 3


def test_empty_lists_answer_nothing():
    """Nothing to choose from is an answer, not an error."""
    assert search(build(heads=())) == SearchResult((), 0, 0, {}, ())
