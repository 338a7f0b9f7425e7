"""What the process above the workers does besides: on SIGTERM it first says that it is not ready; it looks after the keys.

It holds to gunicorn's hooks and to Python's signals: its own handler of SIGTERM calls gunicorn's when the drain is over.
"""

from __future__ import annotations

import logging
import os
import signal
import sys
import time
from collections.abc import Callable, Iterable
from types import FrameType
from typing import Any

from borewright.web.health import Readiness

TURN_SECONDS = 0.5
log = logging.getLogger(__name__)


class Lifecycle:
    """The drain before a stop, and what is to be looked after meanwhile.

    SIGTERM: /health/ready answers 503 for the drain time while requests are still taken, connections are closed after each answer;
    then listening ends, running requests get their time to finish, and the process ends. A second SIGTERM ends the drain at once.

    each_turn : what is to be looked after twice a second
    """

    def __init__(self, readiness: Readiness, drain_seconds: float, each_turn: Iterable[Callable[[], None]] = ()) -> None:
        self._readiness, self._drain_seconds, self._each_turn = readiness, drain_seconds, tuple(each_turn)
        self._stop: Any = signal.SIG_DFL
        self._stop_at = 0.0
        self._process = 0

    def begin(self) -> None:
        """Take the signals over, when gunicorn has set its own handlers."""
        self._process = os.getpid()
        self._stop = signal.signal(signal.SIGTERM, self._term)
        signal.signal(signal.SIGALRM, self._turn)
        signal.setitimer(signal.ITIMER_REAL, TURN_SECONDS, TURN_SECONDS)

    def end(self) -> None:
        """Take no more turns: a signal that comes while Python ends would end it otherwise."""
        signal.setitimer(signal.ITIMER_REAL, 0)

    def _term(self, number: int, frame: FrameType | None) -> None:
        if os.getpid() != self._process:
            sys.exit(0)  # a worker that was told to end before it had handlers of its own: else it would not hear it
        if self._stop_at or self._drain_seconds <= 0:
            self._stop(signal.SIGTERM, frame)
            return
        self._readiness.draining = True
        self._stop_at = time.monotonic() + self._drain_seconds
        log.info("draining for %g s: not ready, still answering", self._drain_seconds)

    def _turn(self, number: int, frame: FrameType | None) -> None:
        if os.getpid() != self._process:
            return
        if self._stop_at and time.monotonic() >= self._stop_at:
            self._stop(signal.SIGTERM, frame)
            return
        for look in self._each_turn:
            look()
