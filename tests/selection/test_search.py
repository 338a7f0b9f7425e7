"""The part search against a plain nested loop that applies the same policy to one combination at a time.

The loop below shares nothing with the search but the part descriptions: rules, machining and ranking are written out again, in scalars.
"""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from borewright.selection import lattice, ranking, scan, short_blocks
from borewright.selection.demands import Cut, Duty, Limits, Machining, Problem, Span, Target
from borewright.selection.examination import examine
from borewright.selection.machining import assembled
from borewright.selection.outcome import Outcome, SearchTooLargeError
from borewright.selection.parts import Block, Crank, Gasket, Head, Piston, Rod
from borewright.selection.rules import REASONS
from borewright.selection.search import search
from borewright.selection.single import dimensions
from borewright.selection.tables import tabulate

ORDERS = tuple(itertools.permutations(("operations", "cost", "closeness")))
PICOMETRE = 1e-12


# The plain reference


def outside(value, low, high):
    """How far a value lies outside a range."""
    return max(low - value, value - high, 0.0)


def hone_of(problem, rod, piston):
    """(miss of retention, miss of fit, whether a hone is needed)."""
    hone, limits = problem.machining.small_end_hone, problem.limits
    stays = rod.pin_retention in piston.pin_retentions
    opens = hone is not None and "floating" in piston.pin_retentions
    if not stays and not (opens and rod.pin_retention == "press"):
        return 1.0, 0.0, False
    if rod.small_end_bore is None or piston.pin_diameter is None:
        return 0.0, 0.0, not stays
    fit = rod.small_end_bore - piston.pin_diameter
    as_it_is = honed = math.inf
    if stays and rod.pin_retention == "press":
        as_it_is = outside(-fit, limits.press_interference.low, limits.press_interference.high)
    elif stays:
        as_it_is = outside(fit, limits.floating_clearance.low, limits.floating_clearance.high)
    if as_it_is <= PICOMETRE:
        return 0.0, 0.0, False
    if opens:
        honed = max(limits.floating_clearance.low - fit - hone.maximum, fit - limits.floating_clearance.high, 0.0)
    return 0.0, min(as_it_is, honed), honed < as_it_is


def volume_of_gasket(gasket):
    return gasket.volume if gasket.volume is not None else math.pi / 4 * gasket.bore**2 * gasket.thickness


def first_broken(problem, crank, rod, piston, gasket, head):
    """First rule broken and by how much, or None with the deck clearances left: (reason, miss) or (None, lowest, highest)."""
    block, limits, duty, machining = problem.block, problem.limits, problem.duty, problem.machining
    smallest = block.cleanup_bore or block.bore
    miss = outside(piston.bore, smallest, block.maximum_bore)
    if machining.bore_price is None:
        miss = max(miss, abs(piston.bore - block.bore))
    if miss > PICOMETRE:
        return "bore-not-available", miss
    if (piston.aspirations is not None and duty.aspiration not in piston.aspirations) or (
        piston.services is not None and duty.service not in piston.services
    ):
        return "duty-not-allowed", 1.0
    lands = 0.0
    for land, least in ((piston.top_land_height, limits.top_land), (piston.second_land_height, limits.second_land)):
        if land is not None and least is not None:
            lands = max(lands, least - land)
    if lands > PICOMETRE:
        return "land-height-for-duty", lands
    if piston.pin_length is not None and piston.pin_length + 2 * limits.pin_end_room - piston.bore > PICOMETRE:
        return "pin-length", piston.pin_length + 2 * limits.pin_end_room - piston.bore
    if gasket.bore is not None and piston.bore + limits.gasket_overhang - gasket.bore > PICOMETRE:
        return "gasket-bore-too-small", piston.bore + limits.gasket_overhang - gasket.bore
    miss = outside(piston.bore, head.minimum_bore or 0.0, head.maximum_bore or math.inf)
    if miss > PICOMETRE:
        return "head-bore", miss
    retention, fit, _ = hone_of(problem, rod, piston)
    if retention:
        return "pin-retention", 1.0
    if fit > PICOMETRE:
        return "pin-diameter-mismatch", fit
    miss = 0.0
    for on_crank, on_rod, tolerance in (
        (crank.rod_journal_diameter, rod.journal_diameter, limits.journal_diameter_tolerance),
        (crank.rod_journal_width, rod.journal_width, limits.journal_width_tolerance),
    ):
        if on_crank is not None and on_rod is not None:
            miss = max(miss, abs(on_crank - on_rod) - tolerance)
    if miss > PICOMETRE:
        return "journal-mismatch", miss
    if crank.counterweight_radius is not None and piston.boss_below_pin is not None:
        room = rod.length - crank.stroke / 2 - piston.boss_below_pin - crank.counterweight_radius
        if limits.counterweight_clearance - room > PICOMETRE:
            return "counterweight", limits.counterweight_clearance - room
    cut = machining.deck_cut.maximum if machining.deck_cut is not None else 0.0
    built = block.deck_height - crank.stroke / 2 - rod.length - piston.compression_height
    lowest, highest = max(built - cut, limits.deck_clearance.low), min(built, limits.deck_clearance.high)
    if max(limits.deck_clearance.low - built, built - cut - limits.deck_clearance.high) > PICOMETRE:
        return "deck-stack", max(limits.deck_clearance.low - built, built - cut - limits.deck_clearance.high)
    if gasket.thickness is not None:
        lowest, highest = max(lowest, limits.squish.low - gasket.thickness), min(highest, limits.squish.high - gasket.thickness)
    if lowest - highest > PICOMETRE:
        return "squish", lowest - highest
    return None, built, lowest, highest


def ratio_of(problem, crank, piston, gasket, head, clearance, mill):
    area = math.pi / 4 * piston.bore**2
    volume = head.chamber_volume - head.mill_rate * mill + volume_of_gasket(gasket) + piston.recess + piston.crevice_volume - piston.dome
    volume += area * clearance
    return 1 + area * crank.stroke / volume if volume > 0 else math.inf


def plans_of(problem, crank, piston, gasket, head, built, lowest, highest):
    """Every plan that ends in the window: (plan number, operations, price, compression ratio)."""
    machining, target = problem.machining, problem.target
    area = math.pi / 4 * piston.bore**2
    wanted = area * crank.stroke / (target.value - 1)
    fixed = head.chamber_volume + volume_of_gasket(gasket) + piston.recess + piston.crevice_volume - piston.dome
    rate = head.mill_rate
    depth = 0.0
    if machining.head_mill is not None and rate > 0:
        depth = machining.head_mill.maximum if head.mill_maximum is None else min(machining.head_mill.maximum, head.mill_maximum)
    must_cut = highest < built - PICOMETRE
    if not must_cut:
        highest = built
    lowest = min(lowest, highest)
    deck_price = machining.deck_cut.price if machining.deck_cut is not None else 0.0
    mill_price = machining.head_mill.price if machining.head_mill is not None else 0.0
    tried = []
    above = fixed + area * built > wanted
    if not must_cut:
        tried.append((0, 0, 0.0, built, 0.0))
    if lowest < built and (must_cut or above):
        tried.append((1, 1, deck_price, min(max((wanted - fixed) / area, lowest), highest), 0.0))
    if depth > 0 and not must_cut and above:
        tried.append((2, 1, mill_price, built, min((fixed + area * built - wanted) / rate, depth)))
    neither_alone = fixed + area * lowest > wanted and (must_cut or fixed + area * built - rate * depth > wanted)
    if lowest < built and depth > 0 and neither_alone:
        if rate <= area:
            clearance = lowest
            mill = min((fixed + area * lowest - wanted) / rate, depth)
        else:
            mill = min((fixed + area * highest - wanted) / rate, depth)
            clearance = min(max((wanted - fixed + rate * mill) / area, lowest), highest)
        tried.append((3, 2, deck_price + mill_price, clearance, mill))
    found = []
    for plan, operations, price, clearance, mill in tried:
        ratio = ratio_of(problem, crank, piston, gasket, head, clearance, mill)
        if target.low - 1e-8 <= ratio <= target.high + 1e-8:
            found.append((plan, operations, price, ratio))
    deepest = ratio_of(problem, crank, piston, gasket, head, lowest, depth)
    miss = max(ratio_of(problem, crank, piston, gasket, head, highest, 0.0) - target.high, target.low - deepest, 0.0)
    return found, miss


def plain_search(problem, prefer, top):
    """Try every combination: (ranked keys, rejected counts, closest miss by reason)."""
    ranked, rejected, closest = [], {}, {}

    def turn_away(reason, miss, places):
        rejected[reason] = rejected.get(reason, 0) + 1
        closest[reason] = min(closest.get(reason, (math.inf,)), (round(miss * 1e9), places))

    lists = (problem.cranks, problem.rods, problem.pistons, problem.gaskets, problem.heads)
    for places in itertools.product(*(range(len(parts)) for parts in lists)):
        crank, rod, piston, gasket, head = (parts[place] for parts, place in zip(lists, places, strict=True))
        reason, *rest = first_broken(problem, crank, rod, piston, gasket, head)
        if reason:
            turn_away(reason, rest[0], places)
            continue
        found, miss = plans_of(problem, crank, piston, gasket, head, *rest)
        if not found:
            turn_away("compression-out-of-reach", miss, places)
            continue
        forced, price = 0, crank.price + rod.price + piston.price + gasket.price + head.price
        if piston.bore > problem.block.bore + PICOMETRE:
            forced, price = forced + 1, price + problem.machining.bore_price
        if hone_of(problem, rod, piston)[2]:
            forced, price = forced + 1, price + problem.machining.small_end_hone.price
        keys = []
        for plan, operations, extra, ratio in found:
            values = {
                "operations": forced + operations,
                "cost": round((price + extra) * 1e6),
                "closeness": round(abs(ratio - problem.target.value) * 1e9),
            }
            keys.append((*(values[name] for name in prefer), places, plan))
        if problem.limits.price is not None:
            most = round(problem.limits.price * 1e6)
            within = [key for key in keys if key[prefer.index("cost")] <= most]
            if not within:
                turn_away("price-limit", (min(key[prefer.index("cost")] for key in keys) - most) / 1e9, places)
                continue
            keys = within
        ranked.append(min(keys))
    return sorted(ranked)[:top], len(ranked), rejected, closest


def plan_of(choice):
    return {(): 0, ("deck_cut",): 1, ("head_mill",): 2, ("deck_cut", "head_mill"): 3}[
        tuple(work.operation for work in choice.work if work.operation in ("deck_cut", "head_mill"))
    ]


def key_of(choice, prefer):
    values = {"operations": choice.operations, "cost": round(choice.cost * 1e6), "closeness": round(choice.closeness * 1e9)}
    return (*(values[name] for name in prefer), choice.places, plan_of(choice))


def assert_same(problem, prefer, top):
    outcome = search(problem, prefer=prefer, top=top)
    ranked, fitting, rejected, closest = plain_search(problem, prefer, top)
    assert dict(outcome.rejected) == rejected
    assert outcome.fitting == fitting
    assert outcome.fitting + sum(outcome.rejected.values()) == outcome.considered == problem.considered
    assert [key_of(choice, prefer) for choice in outcome.choices] == ranked
    if fitting:
        assert outcome.nearest == ()
    else:
        assert {miss.reason: miss.combination.places for miss in outcome.nearest} == {
            reason: places for reason, (_, places) in closest.items()
        }
    return outcome


# Random catalogues


def catalogue(draw: random.Random, sizes=(3, 3, 5, 3, 3)) -> Problem:
    """Invent a problem in which any rule may bite, facts may be missing and prices often tie."""
    few_prices = draw.random() < 0.5

    def price():
        return float(draw.choice((0, 100))) if few_prices else round(draw.uniform(0, 500), 2)

    def maybe(value, chance=0.3):
        return None if draw.random() < chance else value

    def near(centre, spread):
        return round(centre + draw.uniform(-spread, spread), 6)

    def cut(maximum):
        return None if draw.random() < 0.3 else Cut(draw.choice((0.0, maximum, 2 * maximum)), price())

    spread = draw.choice((0.2e-3, 1e-3, 3e-3))
    strict = draw.random()
    low = draw.choice((9.0, 9.8, 10.4))
    target = draw.choice((Target(low, low, low), Target(low + 0.1, low, low + 0.4), Target(low + 1, low, low + 3)))
    return Problem(
        block=Block(0.2290, 0.1000, draw.choice((0.1000, 0.1006, 0.1012)), 8, maybe(draw.choice((0.1000, 0.10025)), 0.6)),
        cranks=tuple(
            Crank(
                str(i),
                near(0.0884, spread),
                maybe(draw.choice((0.0533, 0.0533, 0.0508))),
                maybe(draw.choice((0.047, 0.0475))),
                maybe(near(0.0805, 2e-3)),
                price(),
            )
            for i in range(draw.randint(1, sizes[0]))
        ),
        rods=tuple(
            Rod(
                str(i),
                near(0.1448, spread),
                maybe(draw.choice((0.02197, 0.02201, 0.02355))),
                draw.choice(("press", "floating")),
                maybe(0.0533),
                maybe(draw.choice((0.047, 0.0478))),
                price(),
            )
            for i in range(draw.randint(1, sizes[1]))
        ),
        pistons=tuple(
            Piston(
                str(i),
                draw.choice((0.0998, 0.1000, 0.1000, 0.10025, 0.1005, 0.1010)),
                near(0.0391, spread),
                dome=draw.choice((0.0, near(4e-6, 3e-6))),
                recess=near(6e-6, 5e-6),
                crevice_volume=draw.choice((0.0, 0.5e-6)),
                pin_diameter=maybe(draw.choice((0.0220, 0.0220, 0.02354))),
                pin_length=maybe(draw.choice((0.070, 0.0985)), 0.7),
                pin_retentions=frozenset(draw.choice((("press",), ("floating",), ("press", "floating")))),
                boss_below_pin=maybe(near(0.0195, 1e-3)),
                top_land_height=maybe(draw.choice((0.005, 0.007))),
                second_land_height=maybe(draw.choice((0.004, 0.0043))),
                aspirations=maybe(frozenset(draw.choice((("natural",), ("natural", "boost"), ("nitrous",)))), 0.7),
                services=maybe(frozenset(draw.choice((("street",), ("race",)))), 0.8),
                price=price(),
            )
            for i in range(draw.randint(1, sizes[2]))
        ),
        gaskets=tuple(
            draw.choice(
                (
                    Gasket(str(i), draw.choice((0.1002, 0.1030)), near(1.0e-3, 0.4e-3), price=price()),
                    Gasket(str(i), 0.1030, near(1.0e-3, 0.4e-3), volume=near(9e-6, 2e-6), price=price()),
                    Gasket(str(i), volume=near(9e-6, 2e-6), price=price()),
                )
            )
            for i in range(draw.randint(1, sizes[3]))
        ),
        heads=tuple(
            Head(
                str(i),
                near(64e-6, 10e-6),
                chamber_area=maybe(draw.choice((0.0055, 0.0070, 0.0085))),
                volume_per_depth=maybe(0.006, 0.7),
                mill_maximum=maybe(draw.choice((0.0, 0.4e-3, 1.5e-3))),
                minimum_bore=maybe(draw.choice((0.099, 0.1003)), 0.6),
                maximum_bore=maybe(draw.choice((0.1007, 0.104)), 0.6),
                price=price(),
            )
            for i in range(draw.randint(1, sizes[4]))
        ),
        target=target,
        machining=Machining(maybe(price(), 0.2), cut(0.4e-3), cut(0.6e-3), cut(0.03e-3)),
        limits=Limits(
            deck_clearance=draw.choice((Span(), Span(-0.3e-3, 0.6e-3), Span(0.0, 1.5e-3))),
            squish=draw.choice((Span(), Span(0.0, math.inf), Span(0.7e-3, 1.3e-3), Span(0.9e-3, 2.5e-3))),
            top_land=0.006 if strict < 0.2 else None,
            second_land=0.0042 if strict < 0.1 else None,
            pin_end_room=draw.choice((0.0, 1e-3)),
            gasket_overhang=draw.choice((0.0, 0.5e-3)),
            counterweight_clearance=draw.choice((0.0, 1.5e-3)),
            price=maybe(round(draw.uniform(0, 2500), 2), 0.6),
        ),
        duty=Duty(draw.choice(("street", "race")), draw.choice(("natural", "boost"))),
    )


def friendly_catalogue(draw: random.Random) -> Problem:
    """Invent a problem where most things fit, on a coarse grid, so that costs, operations and closeness all tie often."""

    def price():
        return float(draw.choice((0, 0, 100, 250)))

    def grid(centre, step):
        return centre + step * draw.randint(-3, 3)

    def some(make, most):
        return tuple(make(str(i)) for i in range(draw.randint(1, most)))

    low, value, high = draw.choice(((9.8, 10.0, 10.2), (9.0, 10.5, 11.0), (9.9, 9.9, 12.0)))
    return Problem(
        block=Block(0.2290, 0.1000, 0.1012, 8),
        cranks=some(lambda i: Crank(i, grid(0.0884, 0.2e-3), price=price()), 3),
        rods=some(lambda i: Rod(i, grid(0.1448, 0.1e-3), 0.022, draw.choice(("press", "floating")), price=price()), 3),
        pistons=some(
            lambda i: Piston(
                i,
                draw.choice((0.1, 0.1005)),
                grid(0.0391, 0.1e-3),
                recess=grid(6e-6, 2e-6),
                pin_diameter=0.022,
                pin_retentions=frozenset(draw.choice((("floating",), ("press", "floating")))),
                price=price(),
            ),
            6,
        ),
        gaskets=some(lambda i: Gasket(i, 0.103, grid(1.0e-3, 0.1e-3), price=price()), 4),
        heads=some(lambda i: Head(i, grid(66e-6, 2e-6), chamber_area=draw.choice((0.0055, 0.0085)), price=price()), 4),
        target=Target(value, low, high),
        machining=Machining(
            price(),
            draw.choice((None, Cut(0.2e-3, price()), Cut(0.6e-3, price()))),
            draw.choice((None, Cut(0.3e-3, price()), Cut(1.2e-3, price()))),
            Cut(0.1e-3, price()),
        ),
        limits=Limits(
            squish=draw.choice((Span(), Span(0.7e-3, 1.5e-3))),
            price=draw.choice((None, None, 250.0, 600.0, 900.0)),
        ),
    )


@given(draw=st.randoms(use_true_random=False), prefer=st.sampled_from(ORDERS), top=st.integers(1, 12))
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_equals_brute_force_on_random_catalogues(draw, prefer, top):
    """Same choices in the same order, the same counts by reason, the same nearest misses."""
    assert_same(catalogue(draw), prefer, top)


@pytest.mark.parametrize("number", range(24))
def test_equals_brute_force_on_larger_catalogues(number):
    """Lists long enough that samples, cost prefixes and narrowed windows come into play, and either side may be the longer."""
    draw = random.Random(number)
    sizes = ((4, 4, 40, 4, 4), (2, 2, 3, 25, 25), (3, 3, 12, 8, 8))[number % 3]
    assert_same(catalogue(draw, sizes), ORDERS[number % 6], draw.choice((1, 5, 40)))


@pytest.mark.parametrize("prefer", ORDERS)
@pytest.mark.parametrize("number", range(30))
def test_equals_brute_force_where_keys_tie(number, prefer, monkeypatch):
    """A full ranking with ties in every key is where a combination could be passed over wrongly."""
    draw = random.Random(number)
    monkeypatch.setattr(lattice, "VECTOR", draw.choice((2, 5, 16)))
    monkeypatch.setattr(scan, "FEW", draw.choice((0, 0, 3)))
    assert_same(friendly_catalogue(draw), prefer, draw.choice((1, 2, 6)))


@pytest.mark.parametrize("number", range(100, 124))
def test_equals_brute_force_whatever_the_piece_sizes(number, monkeypatch):
    """Pieces of a few combinations put every boundary between slabs, vectors and samples inside a small catalogue."""
    draw = random.Random(number)
    monkeypatch.setattr(short_blocks, "SLAB", draw.choice((1, 7, 40)))
    monkeypatch.setattr(lattice, "SLAB", draw.choice((5, 16)))
    monkeypatch.setattr(lattice, "VECTOR", draw.choice((1, 3, 8)))
    monkeypatch.setattr(scan, "FEW", draw.choice((0, 2)))
    monkeypatch.setattr(scan, "SAMPLE_SHARE", draw.choice((1, 4)))
    sizes = ((4, 4, 12, 4, 4), (2, 2, 3, 12, 12))[number % 2]
    assert_same(catalogue(draw, sizes), ORDERS[number % 6], draw.choice((1, 5, 40)))


def test_random_catalogues_meet_every_rule():
    """The comparison above means something only if the catalogues break every rule and also fit."""
    seen, fitting = set(), 0
    for number in range(200):
        outcome = search(catalogue(random.Random(number)))
        seen |= set(outcome.rejected)
        fitting += bool(outcome.fitting)
    assert seen == set(REASONS)
    assert 20 < fitting < 180


# One build that is followed by hand


def build(**changes) -> Problem:
    """An invented engine in which everything fits; the zero-deck volume is 70 cm3 and the swept volume 720 cm3."""
    area = math.pi / 4 * 0.1**2
    problem = Problem(
        block=Block(0.230, 0.1, 0.102, 8),
        cranks=(Crank("c", 720e-6 / area),),
        rods=(Rod("r", 0.145),),
        pistons=(Piston("p", 0.1, 0.230 - 0.145 - 360e-6 / area),),
        gaskets=(Gasket("g", 0.102, 0.001, volume=8e-6),),
        heads=(Head("h", 62e-6, chamber_area=0.005),),
        target=Target(10.0, 9.9, 10.1),
    )
    return replace(problem, **changes)


def only(outcome: Outcome):
    assert len(outcome.choices) == 1
    return outcome.choices[0]


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
        limits=Limits(squish=Span(0.9e-3, 1.3e-3)),
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
        limits=Limits(floating_clearance=Span(10e-6, 20e-6)),
    )
    honed = only(search(replace(problem, machining=Machining(small_end_hone=Cut(0.1e-3, 80.0)))))
    assert [(work.operation, pytest.approx(work.amount)) for work in honed.work] == [("small_end_hone", 45e-6)]
    assert search(problem).rejected == {"pin-retention": 1}


def test_nearest_says_what_has_to_give():
    """11.0 against a window that ends at 10.1; the other chamber misses by more."""
    outcome = search(build(heads=(Head("tiny", 50e-6), Head("small", 64e-6))))
    assert outcome.choices == ()
    miss = outcome.nearest[0]
    assert (miss.reason, miss.combination.places) == ("compression-out-of-reach", (0, 0, 0, 0, 1))
    assert miss.by == pytest.approx(0.9, rel=1e-9)
    assert [broken.reason for broken in miss.combination.broken] == ["compression-out-of-reach"]


def test_limits_met_exactly_are_met():
    """A stack that comes to nought in the shop's units passes a limit of nought, whatever the rounding."""
    inch = 0.0254
    problem = build(
        block=Block(9.025 * inch, 0.1, 0.102, 8),
        cranks=(Crank("c", 3.48 * inch),),
        rods=(Rod("r", 5.7 * inch),),
        pistons=(Piston("p", 0.1, 1.585 * inch),),
        gaskets=(Gasket("g", 0.102, 0.04 * inch),),
        limits=Limits(deck_clearance=Span(0.0, 0.0), squish=Span(0.04 * inch, 0.04 * inch)),
        target=Target(10.0, 8.0, 12.0),
    )
    assert search(problem).fitting == 1


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
        "bore-not-available",
        "duty-not-allowed",
        "gasket-bore-too-small",
        "journal-mismatch",
        "compression-out-of-reach",
    ]
    assert broken["bore-not-available"] == pytest.approx(1e-3)
    assert broken["duty-not-allowed"] is None
    assert broken["journal-mismatch"] == pytest.approx(2.45e-3)


@given(draw=st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_examine_agrees_with_the_search(draw):
    """A combination fits on its own exactly when the search over it alone finds it, with the same result."""
    problem = catalogue(draw, (1, 1, 1, 1, 1))
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
    problem = friendly_catalogue(random.Random(number))
    for choice in search(problem, prefer=prefer, top=5).choices:
        assert examine(problem, choice.places, prefer).plans[0] == choice


def test_examine_leaves_out_plans_over_the_price_limit():
    """The deck's cut reaches the target too, but costs more than the limit leaves."""
    cuts = Machining(deck_cut=Cut(1e-3, 300.0), head_mill=Cut(2e-3, 150.0))
    problem = build(heads=(Head("h", 77e-6, chamber_area=0.005),), machining=cuts)

    def costs(limit):
        examined = examine(replace(problem, limits=Limits(price=limit)), (0, 0, 0, 0, 0))
        return [plan.cost for plan in examined.plans], [(broken.reason, broken.by) for broken in examined.broken]

    assert costs(None) == ([150.0, 300.0], [])
    assert costs(200.0) == ([150.0], [])
    assert costs(100.0) == ([150.0, 300.0], [("price-limit", 50.0)])


@pytest.mark.parametrize("make", [catalogue, friendly_catalogue])
def test_conditions_of_a_plan_are_those_it_is_solved_under(make):
    """The comparisons that sift vectors and the closed-form solution agree on which plans end in the window."""
    met = set()
    for number in range(60):
        tables = tabulate(make(random.Random(number)))
        for blocks in short_blocks.short_blocks(tables, short_blocks.join(tables), short_blocks.Passage()):
            for step, top in ((item, top) for item in lattice.steps(tables, blocks) for top in item.tops):
                positions = np.flatnonzero(step.admitted)
                solved = step.solve(top, positions, tables.problem.target).feasible
                for plan in range(4):
                    sifted = scan.where_plan_meets(step, top, plan, tables.problem.target, positions)
                    assert np.array_equal(sifted, solved[plan])
                    met |= {(plan, bool(answer)) for answer in sifted}
    assert met == set(itertools.product(range(4), (False, True)))


KEYS = st.tuples(st.integers(0, 2), st.integers(0, 3), st.integers(0, 3), st.integers(0, 5))


@given(
    prefer=st.sampled_from(ORDERS),
    kept=st.lists(KEYS, min_size=1, max_size=4, unique_by=lambda key: key[3]),
    operations=st.integers(0, 2),
    others=st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3), st.integers(0, 5)), min_size=1, max_size=12),
)
def test_regions_leave_out_nothing_that_could_enter(prefer, kept, operations, others):
    """Whatever ranks before the last of the best lies in a region; whatever a single vector holds behind it need not."""

    def candidates(rows):
        columns = [np.array(column, dtype=np.float64) for column in zip(*rows, strict=True)]
        return ranking.Candidates(*columns[:3], columns[3].astype(np.int64), np.zeros(len(rows), dtype=np.int64))

    table = ranking.Ranking(prefer, len(kept))
    table.offer(candidates(kept))
    regions = table.regions(operations, min(index for _, _, index in others))
    last = max((*({"operations": o, "cost": c, "closeness": d}[name] for name in prefer), index) for o, c, d, index in kept)
    for cost, closeness, index in others:
        values = {"operations": operations, "cost": cost, "closeness": closeness}
        if (*(values[name] for name in prefer), index) < last:
            assert any(region.cost_over < cost <= region.cost_to and closeness <= region.closeness for region in regions)


@given(draw=st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_choices_are_what_their_parts_come_to(draw):
    """Amounts of work put back into the array evaluation give the figures of the choice, inside every limit, for all of them at once."""
    problem = catalogue(draw)
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


@pytest.mark.parametrize(
    "make",
    [
        lambda: Crank("c", math.nan),
        lambda: Rod("r", 0.145, pin_retention="glued"),
        lambda: Piston("p", -0.1, 0.04),
        lambda: Piston("p", 0.1, 0.04, pin_retentions=frozenset()),
        lambda: Gasket("g", bore=0.1),
        lambda: Head("h", 60e-6, minimum_bore=0.11, maximum_bore=0.1),
        lambda: Cut(math.inf),
        lambda: Target(10.0, 10.1, 10.2),
        lambda: Span(2.0, 1.0),
        lambda: search(build(), prefer=("cost", "cost")),
        lambda: search(build(), top=0),
    ],
)
def test_nonsense_is_refused(make):
    """Sizes, windows and orders that cannot be are refused where they are made."""
    with pytest.raises(ValueError, match=r"."):
        make()


def test_empty_lists_answer_nothing():
    """Nothing to choose from is an answer, not an error."""
    assert search(build(heads=())) == Outcome((), 0, 0, {}, ())
