"""A plain nested loop that applies the search's policy to one combination at a time.

It shares nothing with the search but the part descriptions: rules, machining and ranking are written out again, in scalars.
"""

from __future__ import annotations

import itertools
import math

from borewright.selection.search import search

ORDERS = tuple(itertools.permutations(("operations", "cost", "closeness")))
PICOMETER = 1e-12


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
    if as_it_is <= PICOMETER:
        return 0.0, 0.0, False
    if opens:
        honed = max(limits.floating_clearance.low - fit - hone.maximum, fit - limits.floating_clearance.high, 0.0)
    return 0.0, min(as_it_is, honed), honed < as_it_is


def volume_of_gasket(gasket):
    if gasket.volume is not None:
        return gasket.volume
    return (math.pi / 4 * gasket.bore**2 if gasket.bore is not None else gasket.area) * gasket.thickness


def end_room(piston):
    """Room of the pin's ends to the round wall; what it is at best where the pin or its retainers are not known."""
    if piston.pin_length is None:
        return None
    retainer = piston.retainer_thickness
    if retainer is None:
        retainer = 0.0
    return math.sqrt(piston.bore**2 - (piston.pin_diameter or 0.0) ** 2) / 2 - piston.pin_length / 2 - retainer


def first_broken(problem, crank, rod, piston, gasket, head):
    """First rule broken and by how much, or None with the deck clearances left: (reason, miss) or (None, lowest, highest)."""
    block, limits, duty, machining = problem.block, problem.limits, problem.duty, problem.machining
    smallest = block.cleanup_bore or block.bore
    same = limits.bore_tolerance
    miss = outside(piston.bore, smallest - same, block.maximum_bore + same)
    if machining.bore_price is None:
        miss = max(miss, abs(piston.bore - block.bore) - same)
    if miss > PICOMETER:
        return "bore", miss
    if (piston.aspirations is not None and duty.aspiration not in piston.aspirations) or (
        piston.services is not None and duty.service not in piston.services
    ):
        return "duty-allowed", 1.0
    for reason, land, least in (
        ("top-land", piston.top_land_height, limits.top_land),
        ("second-land", piston.second_land_height, limits.second_land),
    ):
        if land is not None and least is not None and least - land > PICOMETER:
            return reason, least - land
    opening = math.sqrt(4 * gasket.area / math.pi) if gasket.bore is None and gasket.area is not None else gasket.bore
    if opening is not None and piston.bore + limits.bore_to_gasket_clearance - opening > PICOMETER:
        return "bore-to-gasket-clearance", piston.bore + limits.bore_to_gasket_clearance - opening
    miss = outside(piston.bore, (head.minimum_bore or 0.0) - same, (head.maximum_bore or math.inf) + same)
    if miss > PICOMETER:
        return "head-bore", miss
    retention, fit, _ = hone_of(problem, rod, piston)
    if retention:
        return "pin-retention", 1.0
    if fit > PICOMETER:
        return "pin-fit", fit
    room = end_room(piston)
    if room is not None and limits.pin_end_room - room > PICOMETER:
        return "pin-end-room", limits.pin_end_room - room
    for reason, on_crank, on_rod, tolerance in (
        ("journal-diameter", crank.rod_journal_diameter, rod.journal_diameter, limits.journal_diameter_tolerance),
        ("journal-width", crank.rod_journal_width, rod.journal_width, limits.journal_width_tolerance),
    ):
        if on_crank is not None and on_rod is not None and abs(on_crank - on_rod) - tolerance > PICOMETER:
            return reason, abs(on_crank - on_rod) - tolerance
    if crank.counterweight_radius is not None and piston.boss_below_pin is not None:
        room = abs(rod.length - crank.stroke / 2 - piston.boss_below_pin) - crank.counterweight_radius
        if crank.counterweight_gap is not None and piston.width_at_boss is not None:
            room = max(room, (crank.counterweight_gap - piston.width_at_boss) / 2)
        if limits.counterweight_clearance - room > PICOMETER:
            return "counterweight-to-boss", limits.counterweight_clearance - room
    cut = machining.deck_cut.maximum if machining.deck_cut is not None else 0.0
    built = block.deck_height - crank.stroke / 2 - rod.length - piston.compression_height
    lowest, highest = max(built - cut, limits.deck_clearance.low), min(built, limits.deck_clearance.high)
    if max(limits.deck_clearance.low - built, built - cut - limits.deck_clearance.high) > PICOMETER:
        return "deck-clearance", max(limits.deck_clearance.low - built, built - cut - limits.deck_clearance.high)
    if gasket.thickness is not None:
        lowest, highest = max(lowest, limits.squish.low - gasket.thickness), min(highest, limits.squish.high - gasket.thickness)
    if lowest - highest > PICOMETER:
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
        depth = min(depth, head.chamber_volume / rate)
    must_cut = highest < built - PICOMETER
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
            turn_away("compression-target", miss, places)
            continue
        forced, price = 0, crank.price + rod.price + piston.price + gasket.price + head.price
        if piston.bore > problem.block.bore + problem.limits.bore_tolerance + PICOMETER:
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
                turn_away("cost", (min(key[prefer.index("cost")] for key in keys) - most) / 1e9, places)
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
