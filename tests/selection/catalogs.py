"""Random catalogs, and one build that is followed by hand."""

from __future__ import annotations

import math
import random
from dataclasses import replace

from borewright.selection.candidates import Block, Crank, Gasket, Head, Piston, Rod
from borewright.selection.demands import BuildLimits, Cut, Duty, Machining, SearchProblem, Span, Target
from borewright.selection.outcome import SearchResult


def catalog(draw: random.Random, sizes=(3, 3, 5, 3, 3)) -> SearchProblem:
    """Invent a problem in which any rule may bite, facts may be missing and prices often tie."""
    few_prices = draw.random() < 0.5

    def price():
        return float(draw.choice((0, 100))) if few_prices else round(draw.uniform(0, 500), 2)

    def maybe(value, chance=0.3):
        return None if draw.random() < chance else value

    def near(center, spread):
        return round(center + draw.uniform(-spread, spread), 6)

    def cut(maximum):
        return None if draw.random() < 0.3 else Cut(draw.choice((0.0, maximum, 2 * maximum)), price())

    spread = draw.choice((0.2e-3, 1e-3, 3e-3))
    strict = draw.random()
    low = draw.choice((9.0, 9.8, 10.4))
    target = draw.choice((Target(low, low, low), Target(low + 0.1, low, low + 0.4), Target(low + 1, low, low + 3)))
    return SearchProblem(
        block=Block(0.2290, 0.1000, draw.choice((0.1000, 0.1006, 0.1012)), 8, maybe(draw.choice((0.1000, 0.10025)), 0.6)),
        cranks=tuple(
            Crank(
                str(i),
                near(0.0884, spread),
                maybe(draw.choice((0.0533, 0.0533, 0.0508))),
                maybe(draw.choice((0.047, 0.0475))),
                maybe(near(0.0805, 2e-3)),
                price(),
                counterweight_gap=maybe(draw.choice((0.0615, 0.064)), 0.6),
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
                pin_length=maybe(draw.choice((0.070, 0.070, 0.0965)), 0.7),
                pin_retentions=frozenset(draw.choice((("press",), ("floating",), ("press", "floating")))),
                boss_below_pin=maybe(near(0.0195, 1e-3)),
                top_land_height=maybe(draw.choice((0.005, 0.007))),
                second_land_height=maybe(draw.choice((0.004, 0.0043))),
                aspirations=maybe(frozenset(draw.choice((("natural",), ("natural", "boost"), ("nitrous",)))), 0.7),
                services=maybe(frozenset(draw.choice((("street",), ("race",)))), 0.8),
                price=price(),
                retainer_thickness=maybe(draw.choice((0.0015, 0.002))),
                width_at_boss=maybe(draw.choice((0.06, 0.07))),
            )
            for i in range(draw.randint(1, sizes[2]))
        ),
        gaskets=tuple(
            draw.choice(
                (
                    Gasket(str(i), draw.choice((0.1002, 0.1030)), near(1.0e-3, 0.4e-3), price=price()),
                    Gasket(str(i), 0.1030, near(1.0e-3, 0.4e-3), volume=near(9e-6, 2e-6), price=price()),
                    Gasket(str(i), volume=near(9e-6, 2e-6), price=price()),
                    Gasket(str(i), None, near(1.0e-3, 0.4e-3), price=price(), area=draw.choice((0.0078, 0.0082, 0.0085))),
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
        limits=BuildLimits(
            deck_clearance=draw.choice((Span(), Span(-0.3e-3, 0.6e-3), Span(0.0, 1.5e-3))),
            squish=draw.choice((Span(), Span(0.0, math.inf), Span(0.7e-3, 1.3e-3), Span(0.9e-3, 2.5e-3))),
            top_land=0.006 if strict < 0.2 else None,
            second_land=0.0042 if strict < 0.1 else None,
            pin_end_room=draw.choice((0.0, 1e-3)),
            bore_tolerance=draw.choice((0.0, 2e-5)),
            bore_to_gasket_clearance=draw.choice((0.0, 0.5e-3)),
            counterweight_clearance=draw.choice((0.0, 1.5e-3)),
            price=maybe(round(draw.uniform(0, 2500), 2), 0.6),
        ),
        duty=Duty(draw.choice(("street", "race")), draw.choice(("natural", "boost"))),
    )


def friendly_catalog(draw: random.Random) -> SearchProblem:
    """Invent a problem where most things fit, on a coarse grid, so that costs, operations and closeness all tie often."""

    def price():
        return float(draw.choice((0, 0, 100, 250)))

    def grid(center, step):
        return center + step * draw.randint(-3, 3)

    def some(make, most):
        return tuple(make(str(i)) for i in range(draw.randint(1, most)))

    low, value, high = draw.choice(((9.8, 10.0, 10.2), (9.0, 10.5, 11.0), (9.9, 9.9, 12.0)))
    return SearchProblem(
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
        limits=BuildLimits(
            squish=draw.choice((Span(), Span(0.7e-3, 1.5e-3))),
            price=draw.choice((None, None, 250.0, 600.0, 900.0)),
        ),
    )


def build(**changes) -> SearchProblem:
    """An invented engine in which everything fits; the zero-deck volume is 70 cm3 and the swept volume 720 cm3."""
    area = math.pi / 4 * 0.1**2
    problem = SearchProblem(
        block=Block(0.230, 0.1, 0.102, 8),
        cranks=(Crank("c", 720e-6 / area),),
        rods=(Rod("r", 0.145),),
        pistons=(Piston("p", 0.1, 0.230 - 0.145 - 360e-6 / area),),
        gaskets=(Gasket("g", 0.102, 0.001, volume=8e-6),),
        heads=(Head("h", 62e-6, chamber_area=0.005),),
        target=Target(10.0, 9.9, 10.1),
    )
    return replace(problem, **changes)


def only(outcome: SearchResult):
    assert len(outcome.choices) == 1
    return outcome.choices[0]
