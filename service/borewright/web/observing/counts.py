"""Figures that the workers of an instance count together, in memory that they share: no file that could be full or left behind.

Each worker has a row of its own and is the only one that writes it, so nothing is locked; whoever is asked adds the rows up. A worker
that ended leaves its row to the next one, which goes on counting in it.
"""

from __future__ import annotations

import mmap
from typing import Any

import numpy as np

from borewright.physics.arrays import FloatArray

SIZE = np.dtype(np.float64).itemsize


class Counts:
    """Rows of numbers that every process forked from this one shares.

    rows : how many processes may count at the same time
    width : numbers of a row
    gauges : how many of them, from the beginning, say what is now: they end with their process

    >>> counts = Counts(2, 3, gauges=1)
    >>> counts.begin(counts.assign("first")); counts.add(2, 1.5)
    >>> counts.total.tolist()
    [0.0, 0.0, 1.5]
    """

    def __init__(self, rows: int, width: int, gauges: int) -> None:
        self._table: FloatArray = np.frombuffer(mmap.mmap(-1, rows * width * SIZE), dtype=np.float64).reshape(rows, width)
        self._gauges = gauges
        self._held: dict[Any, int] = {}
        self._mixed = mmap.mmap(-1, 1)
        self._begun = np.frombuffer(mmap.mmap(-1, rows), dtype=np.bool_)  # rows to add up: to read another one would take memory for it
        self.begin(0)

    def assign(self, who: Any) -> int:
        """A row for a process that is about to begin; the last one is shared by all that come too many, and counts may be lost in it."""
        taken = set(self._held.values())
        last = len(self._table) - 1
        row = next((row for row in range(last) if row not in taken), last)
        if row in taken:
            self._mixed[0] = 1
        self._held[who] = row
        return row

    def release(self, who: Any) -> None:
        """Take back the row of a process that ended."""
        row = self._held.pop(who, None)
        if row is not None:
            self._table[row, : self._gauges] = 0.0

    def begin(self, row: int) -> None:
        """Count in a row, in this process."""
        self._begun[row] = True
        self._row: memoryview[float] = memoryview(self._table[row]).cast("B").cast("d")

    def add(self, at: int, number: float) -> None:
        """Add to a number of this process."""
        self._row[at] += number

    @property
    def total(self) -> FloatArray:
        """The sums over all processes."""
        found: FloatArray = self._table[0].copy()
        for row in np.flatnonzero(self._begun[1:]) + 1:
            found += self._table[row]
        return found

    @property
    def complete(self) -> bool:
        """Whether every process had a row of its own."""
        return self._mixed[0] == 0
