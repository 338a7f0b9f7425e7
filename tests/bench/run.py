"""The benchmark, one command: python tests/bench/run.py [part ...] [--quick]

One table of ratios, each measured side by side in one run, and the growth plots of the README (.readme/growth.png).
Parts: requests, batches, memory, tolerances, selection, cycle, start, holding, growth; all of them where none is
named. It wants the extra `bench`.
Times in milliseconds are this machine's and this moment's; look at the ratios.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import batches
import cycles
import growth
import holding
import requests_in_turn
import searches
import starting
import tolerances


@dataclass(frozen=True)
class Part:
    """A part of the benchmark: its name and what measures it, given whether it has to be quick."""

    name: str
    measure: Callable[[bool], Iterator[tuple[str, str, float]]]


PARTS = (
    Part("requests", requests_in_turn.measure),
    Part("batches", batches.measure),
    Part("memory", batches.kept),
    Part("tolerances", tolerances.measure),
    Part("selection", searches.measure),
    Part("cycle", cycles.measure),
    Part("start", starting.measure),
    Part("holding", holding.measure),
    Part("growth", growth.draw),
)


def main(arguments: list[str] | None = None) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("parts", nargs="*", metavar="part", help="measure these parts alone")
    parser.add_argument("--quick", action="store_true", help="fewer rounds: to see that it runs")
    chosen = parser.parse_args(arguments)
    unknown = set(chosen.parts) - {part.name for part in PARTS}
    if unknown:
        parser.error(f"no such part: {', '.join(sorted(unknown))}; there are {', '.join(part.name for part in PARTS)}")
    print("| what | measured | ratio |\n|---|---|---|", flush=True)
    for part in PARTS:
        if not chosen.parts or part.name in chosen.parts:
            for what, measured, ratio in part.measure(chosen.quick):
                print(f"| {what} | {measured} | {ratio:.3g} |", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
