"""Time the part search on 10^8 combinations, and against plain nested loops on a smaller case of the same lists.

Run: python tests/bench/bench_selection.py [--profile]
The lists are invented. Three shapes of trouble are timed besides the ordinary catalog:

- everything compatible: every pin, journal, gasket and head fits, and machining reaches the window for nearly all
- nothing fits: the window is out of reach of all, so the nearest miss is looked for among all
- price limit and free parts: every combination costs the same, so only closeness and order tell them apart
"""

from __future__ import annotations

import random
import resource
import sys
import time
from dataclasses import replace
from itertools import product

from borewright.selection.candidates import Block, Crank, Gasket, Head, Piston, Rod
from borewright.selection.demands import BuildLimits, Cut, Duty, Machining, Preference, SearchProblem, Span, Target
from borewright.selection.search import search

SHAPE = (20, 20, 500, 50, 10)
SMALL = (10, 10, 100, 20, 5)


def catalog(shape: tuple[int, int, int, int, int], compatible: bool, free: bool = False) -> SearchProblem:
    """Invent part lists; with `compatible` no rule but compression turns anything away."""
    draw = random.Random(7)  # the same lists in every run
    cranks, rods, pistons, gaskets, heads = shape

    def price(low: float, high: float) -> float:
        return 0.0 if free else round(draw.uniform(low, high), 2)

    pins = (0.0220,) if compatible else (0.0220, 0.0235, 0.0240)
    journals = (0.0533,) if compatible else (0.0508, 0.0533)
    spread = 0.15e-3 if compatible else 3e-3
    bores = [0.1000 + 0.00025 * step for step in range(5)]
    return SearchProblem(
        block=Block(deck_height=0.2290, bore=0.1000, maximum_bore=0.1011, cylinders=8),
        cranks=tuple(
            Crank(f"c{i}", 0.0884 + draw.uniform(-spread, spread), draw.choice(journals), price=price(200, 900)) for i in range(cranks)
        ),
        rods=tuple(
            Rod(
                f"r{i}",
                0.1448 + draw.uniform(-spread, spread),
                draw.choice(pins),
                journal_diameter=draw.choice(journals),
                price=price(100, 700),
            )
            for i in range(rods)
        ),
        pistons=tuple(
            Piston(
                f"p{i}",
                draw.choice(bores),
                0.0391 + draw.uniform(-spread, spread),
                dome=draw.choice((0.0, draw.uniform(0.0, 6e-6))),
                recess=draw.uniform(2e-6, 14e-6),
                pin_diameter=draw.choice(pins),
                price=price(300, 900),
            )
            for i in range(pistons)
        ),
        gaskets=tuple(
            Gasket(
                f"g{i}", 0.1030 if compatible else draw.choice((0.1005, 0.1020, 0.1040)), draw.uniform(0.7e-3, 1.5e-3), price=price(40, 160)
            )
            for i in range(gaskets)
        ),
        heads=tuple(Head(f"h{i}", draw.uniform(58e-6, 76e-6), chamber_area=0.0055, price=price(400, 2500)) for i in range(heads)),
        target=Target(10.0, 9.8, 10.2),
        machining=Machining(
            bore_price=0.0 if free else 240.0,
            deck_cut=Cut(0.5e-3, 0.0 if free else 160.0),
            head_mill=Cut(1.0e-3, 0.0 if free else 150.0),
        ),
        limits=BuildLimits() if compatible else BuildLimits(deck_clearance=Span(-0.2e-3, 1.2e-3), squish=Span(0.8e-3, 1.8e-3)),
        duty=Duty(),
    )


def nested_loops(problem: SearchProblem) -> int:
    """Try every combination in turn with no machining, in plain Python: less work than the search does for each."""
    fitting = 0
    block, limits, target = problem.block, problem.limits, problem.target
    for crank, rod, piston, gasket, head in product(problem.cranks, problem.rods, problem.pistons, problem.gaskets, problem.heads):
        if not block.bore <= piston.bore <= block.maximum_bore:
            continue
        if gasket.bore is not None and gasket.bore < piston.bore:
            continue
        if rod.small_end_bore != piston.pin_diameter or crank.rod_journal_diameter != rod.journal_diameter:
            continue
        clearance = block.deck_height - crank.stroke / 2.0 - rod.length - piston.compression_height
        if not limits.deck_clearance.low <= clearance <= limits.deck_clearance.high:
            continue
        if gasket.thickness is None or gasket.bore is None or not limits.squish.low <= clearance + gasket.thickness <= limits.squish.high:
            continue
        area = 0.7853981633974483 * piston.bore**2
        volume = (
            head.chamber_volume + 0.7853981633974483 * gasket.bore**2 * gasket.thickness + piston.recess - piston.dome + area * clearance
        )
        ratio = 1.0 + area * crank.stroke / volume
        fitting += target.low <= ratio <= target.high
    return fitting


def timed(name: str, problem: SearchProblem, prefer: tuple[Preference, ...] = ("operations", "cost", "closeness")) -> float:
    """Search once, print what came of it, and answer how long it took [s]."""
    begun = time.process_time()
    outcome = search(problem, prefer=prefer)
    taken = time.process_time() - begun
    if outcome.fitting + sum(outcome.rejected.values()) != outcome.considered:
        raise SystemExit(f"{name}: combinations went missing")
    print(f"{name:<44} {outcome.considered:>12,} considered {outcome.fitting:>12,} fit  {taken:6.3f} s", flush=True)
    return taken


def main() -> None:
    """Print the timings."""
    ordinary, open_fit, free = catalog(SHAPE, False), catalog(SHAPE, True), catalog(SHAPE, True, free=True)
    unmachined = replace(open_fit, machining=Machining(bore_price=240.0))
    times = [
        timed("ordinary catalog", ordinary),
        timed("everything compatible", open_fit),
        timed("everything compatible, closeness first", open_fit, ("closeness", "operations", "cost")),
        timed("everything compatible, cost first", open_fit, ("cost", "closeness", "operations")),
        timed("everything compatible, no cuts, closeness", unmachined, ("closeness", "operations", "cost")),
        timed("everything compatible and free", free),
        timed("everything compatible and free, closeness", free, ("closeness", "cost", "operations")),
        timed("price limit in the middle", replace(open_fit, limits=replace(open_fit.limits, price=3000.0))),
        timed("price limit on machining alone", replace(open_fit, limits=replace(open_fit.limits, price=5200.0))),
        timed("nothing reaches the window", replace(open_fit, target=Target(16.0, 15.9, 16.1))),
        timed("nothing meets the squish", replace(open_fit, limits=BuildLimits(squish=Span(4e-3, 4.1e-3)))),
        timed("other proportions 4 x 5 x 50 x 1000 x 100", catalog((4, 5, 50, 1000, 100), True)),
        timed("other proportions 10 x 10 x 100 x 100 x 100", catalog((10, 10, 100, 100, 100), True)),
    ]
    print(f"slowest {max(times):.3f} s, peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")
    small = catalog(SMALL, True)
    begun = time.process_time()
    nested_loops(small)
    plain = time.process_time() - begun
    quick = min(timed("small case", small) for _ in range(3))
    print(f"{small.considered:,} combinations in plain nested loops {plain:.3f} s: {plain / quick:.0f} times the search's")
    scaled = plain / small.considered * open_fit.considered
    print(f"the loops at that pace over {open_fit.considered:,}: {scaled:.0f} s, {scaled / times[1]:.0f} times the search's")


if __name__ == "__main__":
    if "--profile" in sys.argv:
        import cProfile

        cProfile.run("main()", sort="tottime")
    else:
        main()
