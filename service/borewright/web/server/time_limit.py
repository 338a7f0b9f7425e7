"""The time that one calculation may take.

A thread can't be killed. So the thread that holds the caller's connection does not calculate: it hands the work to one of a few
threads that do nothing else, and waits no longer than it may. A calculation that outlives its time is answered 503, and goes on
until it ends by itself; until then it holds one of the few places, never a connection, so the worker lives and answers others.
What never began is taken back. When every place is held by a calculation that took twice its time, the worker is `stuck`: it
says so, finishes what it can and is replaced by a fresh one. The threads are daemons: they don't keep a process from ending.
"""

from __future__ import annotations

import contextvars
import itertools
import queue
import threading
import time
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, TypeVar

from borewright.web.problems import Problem

T = TypeVar("T")
Job = tuple["Future[Any]", Callable[[], Any]]
RETRY_AFTER = 5  # seconds


class Calculators:
    """A few threads that calculate, and a bound on how long anybody waits for them.

    places : calculations at once
    seconds : longest wait for one, its waiting for a place included
    overdue_changed : told how many places are held by calculations that nobody waits for, when that changes

    >>> Calculators(places=1, seconds=10.0).run(divmod, 7, 2)
    (3, 1)
    """

    def __init__(self, *, places: int, seconds: float, overdue_changed: Callable[[int], None] = lambda number: None) -> None:
        self.places, self.seconds, self._overdue_changed = places, seconds, overdue_changed
        self._jobs: queue.PriorityQueue[tuple[bool, int, Job]] = queue.PriorityQueue()  # in order, the large ones last
        self._numbers = itertools.count()
        self._lock = threading.Lock()
        self._threads = 0
        self._idle = 0
        self._overdue: dict[Future[Any], float] = {}  # and when each was given up

    def run(self, function: Callable[..., T], *arguments: Any, large: bool = False) -> T:
        """What the function returns or raises.

        large : it may take long, so it waits until nothing waits that does not

        Raises Problem (503) where it does not end in time.
        """
        future: Future[T] = Future()
        context = contextvars.copy_context()
        self._begin((future, lambda: context.run(function, *arguments)), large)
        try:
            return future.result(self.seconds)
        except TimeoutError:
            if future.done() and not future.cancelled():  # it ended just now, or the TimeoutError is its own
                return future.result()
            raise self._given_up(future) from None
        finally:
            del future  # it holds the error, whose traceback holds this frame: a ring that would keep the request's body for long

    @property
    def overdue(self) -> int:
        """How many places are held by calculations that nobody waits for."""
        return len(self._overdue)

    @property
    def stuck(self) -> bool:
        """Whether all places are held by calculations that took twice their time."""
        now = time.monotonic()
        given_up = list(self._overdue.values())
        return len(given_up) >= self.places and all(now - since > self.seconds for since in given_up)

    def _begin(self, job: Job, large: bool) -> None:
        with self._lock:
            if self._idle > 0:
                self._idle -= 1
            elif self._threads < self.places:
                self._threads += 1
                threading.Thread(target=self._work, name="calculator", daemon=True).start()
        self._jobs.put((large, next(self._numbers), job))

    def _work(self) -> None:
        while True:
            future, function = self._jobs.get()[2]
            if future.set_running_or_notify_cancel():
                try:
                    future.set_result(function())
                except BaseException as error:
                    future.set_exception(error)
                self._back(future)
            del future, function  # else this thread would hold the last answer until the next request
            with self._lock:
                self._idle += 1

    def _back(self, future: Future[Any]) -> None:
        if self._overdue.pop(future, None) is not None:
            self._overdue_changed(self.overdue)

    def _given_up(self, future: Future[Any]) -> Problem:
        if future.cancel():
            detail = "all calculators are busy: try again, or ask for less at once"
        else:
            self._overdue[future] = time.monotonic()
            self._overdue_changed(self.overdue)
            if future.done():
                self._back(future)
            detail = (
                f"the calculation took longer than {self.seconds:g} s: ask for less at once, for example fewer rows or a smaller search"
            )
        return Problem("unavailable", detail, headers={"Retry-After": str(RETRY_AFTER)})
