"""Memory that the allocator keeps for reuse: after a large request it goes back to the system."""

from __future__ import annotations

import ctypes

LARGE = 1_000_000  # bytes of a request and its answer from which on it is worth it
MANY = 500  # connections: what each takes is small, and lies between what the others take
_trim = getattr(ctypes.CDLL(None), "malloc_trim", None)  # of glibc; other allocators give back by themselves
_freed = [False]
_closed = [0]


def freed(size: int) -> None:
    """Note that so many bytes are about to be let go of.

    >>> freed(1_000); give_back()
    False
    """
    if size >= LARGE:
        _freed[0] = True


def closed() -> None:
    """Note that a connection has ended.

    >>> for _ in range(MANY):
    ...     closed()
    >>> give_back(), give_back()
    (True, False)
    """
    _closed[0] += 1
    if _closed[0] >= MANY:
        _closed[0], _freed[0] = 0, True


def give_back() -> bool:
    """Give back what is free, where anything large was let go of since the last time; whether there was.

    >>> freed(32_000_000); give_back(), give_back()
    (True, False)
    """
    wanted, _freed[0] = _freed[0], False
    if wanted and _trim is not None:
        _trim(0)
    return wanted
