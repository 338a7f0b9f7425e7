"""The part search beside plain nested loops; bench_selection has every shape of trouble."""

from __future__ import annotations

import time
from collections.abc import Iterator

from bench_selection import SHAPE, SMALL, catalog, nested_loops

from borewright.selection.search import search


def measure(quick: bool) -> Iterator[tuple[str, str, float]]:
    """What is compared, the times, and the ratio."""
    small = catalog(SMALL, True)
    begun = time.process_time()
    nested_loops(small)
    loops = time.process_time() - begun
    begun = time.process_time()
    found = search(small, prefer=("operations", "cost", "closeness"))
    ours = time.process_time() - begun
    said = f"{loops:.2f} s, ours {ours * 1e3:.0f} ms"
    yield f"selection among {found.considered:,}: plain loops / ours", said, loops / ours
    large = catalog(SHAPE, True)
    begun = time.process_time()
    found = search(large, prefer=("operations", "cost", "closeness"))
    taken = time.process_time() - begun
    scaled = loops / small_size() * found.considered
    yield f"selection among {found.considered:,}: loops at that pace / ours", f"{scaled:.0f} s, ours {taken:.2f} s", scaled / taken


def small_size() -> int:
    """How many combinations the small case has."""
    size = 1
    for count in SMALL:
        size *= count
    return size
