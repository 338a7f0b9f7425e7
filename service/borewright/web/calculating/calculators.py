"""The calculators of one worker: a few processes, a bound on how many work at once and on how long anybody waits for them.

Batches have places of their own, so that two of them, however long they take, do not keep a single calculation waiting.
A process whose time is over is ended by the system: who waited is answered 503, and the place is free.
"""

from __future__ import annotations

import logging
import socket
import threading
import time
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import FieldError
from borewright.web.calculating.host import READY, Host
from borewright.web.calculating.jobs import Done, Job, Kind, outcome
from borewright.web.calculating.wire import receive, send
from borewright.web.observing import metrics
from borewright.web.problems import Problem

RETRY_AFTER = 5  # seconds
WAITING = 32  # requests of a kind that may wait for a place: each holds its body
ENDING = 2.0  # seconds that a process may take longer than its time until its end shows here
AT_ONCE = 5.0  # seconds in which a process that had nothing to do, and just ended, shows that it did not take the job
RETRY_PAUSE = 0.02  # seconds
log = logging.getLogger(__name__)


class Calculators:
    """Runs jobs by their names.

    jobs : what can be done here, where there is no host
    host : where the processes come from; None: jobs are done at once where they are asked, as in tests
    places : jobs of each kind at once; of sheets one, for drawing keeps a processor busy
    seconds : longest wait for one, its waiting for a place included

    >>> Calculators({"twice": lambda raw: Done(raw * 2)}, None, places=1, seconds=10.0).run("twice", b"ab").body
    b'abab'
    """

    def __init__(self, jobs: Mapping[str, Job], host: Host | None, *, places: int, seconds: float) -> None:
        self.places, self.seconds, self._jobs, self._host = places, seconds, jobs, host
        self._lanes = {kind: _Lane(1 if kind is Kind.SHEET else places) for kind in Kind}
        self._idle: tuple[list[socket.socket], list[socket.socket]] = [], []  # those that have nothing to do; then those that draw

    def run(self, name: str, raw: bytes, kind: Kind = Kind.SINGLE, *, draws: bool = False) -> Done:
        """What comes of a job.

        draws : whether it wants what draws to be loaded

        Raises Problem: the job's own refusal, or 503 where it does not end in time.
        """
        begun = time.monotonic()
        with self._lanes[kind].place(self.seconds), metrics.calculating():
            left = self.seconds - (time.monotonic() - begun)
            found = self._done(name, raw, left, draws) if self._host else outcome(self._jobs[name], raw)
        if isinstance(found, Done):
            return found
        try:
            raise found
        finally:
            del found  # it holds its traceback, which holds this frame: a ring that would keep the request's body for long

    def close(self) -> None:
        """Let the calculators go that have nothing to do: they end."""
        for idle in self._idle:
            while idle:
                idle.pop().close()

    def _done(self, name: str, raw: bytes, left: float, draws: bool) -> Done | Problem:
        begun = time.monotonic()
        while True:
            connection, fresh = self._connection(draws)
            ready = False
            try:
                connection.settimeout(left + ENDING)
                ready = not fresh or connection.recv(1) == READY
                if ready:
                    send(connection, {"job": name, "seconds": max(0.001, left)}, raw)
                    head, body = receive(connection)
                    if head["last"]:
                        connection.close()
                    else:
                        self._idle[draws].append(connection)
                    return Done(body, head["rows"], head["facts"]) if "rows" in head else _problem(head)
            except (EOFError, OSError):
                pass
            except BaseException:  # the request was given up: what is calculated for it is of no use
                connection.close()
                raise
            connection.close()
            waited = time.monotonic() - begun
            if waited >= left or (ready and (fresh or waited > AT_ONCE)):
                return self._ended(name, waited >= left)
            time.sleep(RETRY_PAUSE)  # it ended before it had the job: where it comes from may just be started anew

    def _connection(self, draws: bool) -> tuple[socket.socket, bool]:
        """A calculator that has nothing to do, and whether it is new."""
        idle = self._idle[draws]
        while idle:
            kept = idle.pop()
            kept.setblocking(False)
            with suppress(BlockingIOError):
                kept.recv(1)  # it says nothing by itself: what comes is its end
                kept.close()
                continue
            return kept, False
        if self._host is None:
            raise RuntimeError("there is no host to ask")
        try:
            return self._host.calculator(draws=draws), True
        except OSError as error:
            log.warning("no calculator is to be had: %s", error.strerror)
            raise _unavailable("no calculator is to be had: try again") from None

    def _ended(self, name: str, overdue: bool) -> Problem:
        metrics.stopped("time" if overdue else "ended")
        log.warning("the calculation of %s %s", name, "took longer than it may and was stopped" if overdue else "ended without an answer")
        advice = "ask for less at once, for example fewer rows or a smaller search"
        if overdue:
            return _unavailable(f"the calculation took longer than {self.seconds:g} s and was stopped: {advice}")
        return _unavailable(f"the process that calculated ended, perhaps for want of memory: try again, or {advice}")


class _Lane:
    """The places of one kind of job."""

    def __init__(self, places: int) -> None:
        self._places = threading.BoundedSemaphore(places)
        self._present = threading.BoundedSemaphore(places + WAITING)

    def place(self, seconds: float) -> _Held:
        if not self._present.acquire(blocking=False):
            raise _unavailable("too many wait for a calculator: try again")
        if not self._places.acquire(timeout=seconds):
            self._present.release()
            raise _unavailable("all calculators are busy: try again, or ask for less at once")
        return _Held(self._places, self._present)


class _Held:
    """A place that is given back when the block ends."""

    def __init__(self, *held: threading.Semaphore) -> None:
        self._held = held

    def __enter__(self) -> None:
        pass

    def __exit__(self, *error: object) -> None:
        for semaphore in self._held:
            semaphore.release()


def _unavailable(detail: str) -> Problem:
    return Problem("unavailable", detail, headers={"Retry-After": str(RETRY_AFTER)})


def _problem(head: dict[str, Any]) -> Problem:
    errors = [FieldError(pointer, detail, Code(code)) for pointer, detail, code in head["errors"]]
    return Problem(head["problem"], head["detail"], errors, head["headers"])
