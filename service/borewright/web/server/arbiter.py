"""The process above the workers: on SIGTERM it first says that it is not ready, and stops when that has got about."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from typing import Any

from gunicorn.arbiter import Arbiter as GunicornArbiter

from borewright.web.health import Readiness

log = logging.getLogger(__name__)


def beats(worker: Any) -> bool:
    """Whether a worker's loop has begun: it then tells a time since the machine's start, where its file's own is since 1970."""
    told: float = worker.tmp.last_update()
    return told <= time.monotonic()


class Arbiter(GunicornArbiter):
    """gunicorn's arbiter with a drain before the stop.

    SIGTERM: /health/ready answers 503 for the drain time while requests are still taken, connections are closed after each answer;
    then listening ends, running requests get their time to finish, and the process ends. A second SIGTERM ends the drain at once.

    each_turn : what is to be looked after at least once a second
    """

    def __init__(self, app: Any, readiness: Readiness, drain_seconds: float, each_turn: Callable[[], None] | None = None) -> None:
        super().__init__(app)
        self._readiness, self._drain_seconds, self._each_turn = readiness, drain_seconds, each_turn
        self._stop_at: float | None = None
        self._reloading = False

    def handle_term(self) -> None:
        """Begin to drain, or stop where that is over or not wanted."""
        if self._stop_at is not None or self._drain_seconds <= 0:
            raise StopIteration
        log.info("draining for %g s: not ready, still answering", self._drain_seconds)
        self._readiness.draining = True
        self._stop_at = time.monotonic() + self._drain_seconds

    def manage_workers(self) -> None:
        """Keep as many workers as are wanted; those of before a reload go only when those after it are up, else all would wait for them."""
        newest = sorted(self.WORKERS.values(), key=lambda worker: int(worker.age))[-self.num_workers :]
        if len(self.WORKERS) <= self.num_workers or all(beats(worker) for worker in newest):
            self._reloading = False
            super().manage_workers()

    def reload(self) -> None:
        """Start anew; gunicorn waits in it until the workers of before are gone."""
        self._reloading = True
        super().reload()

    def reap_workers(self) -> None:
        """Take note of ended workers; in a reload also let those of before go, once."""
        super().reap_workers()
        if self._reloading:
            self.manage_workers()

    def wait_for_signals(self, timeout: float | None = 1.0) -> list[int]:
        """Wait as gunicorn does, and no longer than the drain lasts."""
        if self._each_turn:
            self._each_turn()
        if self._stop_at is not None:
            left = self._stop_at - time.monotonic()
            if left <= 0:
                raise StopIteration
            timeout = left if timeout is None else min(timeout, left)
        found: list[int] = super().wait_for_signals(timeout)
        return found
