"""One combination looked at whole."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from catalogs import build, catalog, friendly_catalog
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plain_search import ORDERS

from borewright.selection.candidates import Crank, Head, Piston, Rod
from borewright.selection.demands import BuildLimits, Cut, Machining, Target
from borewright.selection.examination import examine
from borewright.selection.search import search


def test_examine_names_every_broken_rule():
    """Not only the first: bore, duty, gasket, journal and compression at once."""
    problem = build(
        cranks=(Crank("c", 0.09, 0.0533),),
        rods=(Rod("r", 0.145, journal_diameter=0.0508),),
        pistons=(Piston("p", 0.103, 0.0395, aspirations=frozenset({"boost"})),),
        machining=Machining(bore_price=240.0),
        target=Target(20.0, 19.0, 21.0),
    )
    broken = {item.reason: item.by for item in examine(problem, (0, 0, 0, 0, 0)).broken}
    assert list(broken) == [
        "bore",
        "duty-allowed",
        "bore-to-gasket-clearance",
        "journal-diameter",
        "compression-target",
    ]
    assert broken["bore"] == pytest.approx(1e-3)
    assert broken["duty-allowed"] is None
    assert broken["journal-diameter"] == pytest.approx(2.45e-3)


@given(draw=st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_examine_agrees_with_the_search(draw):
    """A combination fits on its own exactly when the search over it alone finds it, with the same result."""
    problem = catalog(draw, (1, 1, 1, 1, 1))
    outcome, examined = search(problem), examine(problem, (0, 0, 0, 0, 0))
    assert examined.fits == bool(outcome.fitting)
    if outcome.choices:
        assert examined.plans[0] == outcome.choices[0]
    else:
        assert next(iter(outcome.rejected)) == examined.broken[0].reason


@pytest.mark.parametrize("prefer", ORDERS)
@pytest.mark.parametrize("number", range(40))
def test_examine_ranks_plans_as_the_search_does(number, prefer):
    """Every choice is the first of the plans its combination has on its own, under the same price limit."""
    problem = friendly_catalog(random.Random(number))
    for choice in search(problem, prefer=prefer, top=5).choices:
        assert examine(problem, choice.places, prefer).plans[0] == choice


def test_examine_leaves_out_plans_over_the_price_limit():
    """The deck's cut reaches the target too, but costs more than the limit leaves."""
    cuts = Machining(deck_cut=Cut(1e-3, 300.0), head_mill=Cut(2e-3, 150.0))
    problem = build(heads=(Head("h", 77e-6, chamber_area=0.005),), machining=cuts)

    def costs(limit):
        examined = examine(replace(problem, limits=BuildLimits(price=limit)), (0, 0, 0, 0, 0))
        return [plan.cost for plan in examined.plans], [(broken.reason, broken.by) for broken in examined.broken]

    assert costs(None) == ([150.0, 300.0], [])
    assert costs(200.0) == ([150.0], [])
    assert costs(100.0) == ([150.0, 300.0], [("cost", 50.0)])
