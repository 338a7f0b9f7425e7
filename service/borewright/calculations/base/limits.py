"""What the operator allows a calculation to take, handed down without knowing who asks.

The web layer sets it once for the process, when the app is made; a calculation whose work has a bound of its own reads it:
a search calls ``search(problem, work_limit=limits().search_work)`` and refuses what raises SearchTooLargeError.
"""

from __future__ import annotations

from dataclasses import dataclass

from borewright.selection.search import WORK_LIMIT


@dataclass(frozen=True)
class Limits:
    """search_work : most combinations of parts that one search goes through"""

    search_work: int = WORK_LIMIT


_chosen = [Limits()]


def limits() -> Limits:
    """The limits of this process.

    >>> limits().search_work > 0
    True
    """
    return _chosen[0]


def configure(chosen: Limits) -> None:
    """Set the limits of this process: the last to say so is right.

    >>> before = limits()
    >>> configure(Limits(search_work=1000))
    >>> limits().search_work
    1000
    >>> configure(before)
    """
    _chosen[0] = chosen
