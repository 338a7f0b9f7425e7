"""Numbers that several processes count together."""

import os
from pathlib import Path

from borewright.web.observing.counts import Counts


def test_what_forked_processes_count_adds_up() -> None:
    counts = Counts(4, 2, gauges=0)
    children = []
    for number in range(3):
        row = counts.assign(number)
        child = os.fork()
        if child == 0:
            counts.begin(row)
            for _ in range(1000):
                counts.add(1, 0.5)
            os._exit(0)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0, 0, 0]
    assert counts.total.tolist() == [0.0, 1500.0]
    assert counts.complete


def test_a_row_is_taken_over_with_what_was_counted_and_without_what_was_going_on() -> None:
    counts = Counts(3, 2, gauges=1)
    row = counts.assign("first")
    counts.begin(row)
    counts.add(0, 1.0)
    counts.add(1, 5.0)
    counts.release("first")
    assert counts.total.tolist() == [0.0, 5.0]
    assert counts.assign("second") == row


def test_rows_that_nobody_counted_in_take_no_memory() -> None:
    """To read a page of shared memory is to take it: who asks for the sums reads no row but those of processes that there were."""

    def held() -> int:
        lines = Path("/proc/self/smaps_rollup").read_text().splitlines()
        return int(next(line for line in lines if line.startswith("Rss:")).split()[1])

    width = 250_000  # 2 MB a row
    counts = Counts(50, width, gauges=0)
    counts.begin(counts.assign("one"))
    counts.begin(counts.assign("two"))
    counts.add(width - 1, 2.0)
    before = held()
    assert counts.total[-1] == 2.0
    assert held() - before < 20_000, "kB: of 100 MB"


def test_too_many_share_the_last_row_and_it_is_told() -> None:
    counts = Counts(2, 1, gauges=0)
    assert [counts.assign(number) for number in range(2)] == [0, 1]
    assert counts.complete
    assert counts.assign(2) == 1
    assert not counts.complete
    counts.release("nobody")
