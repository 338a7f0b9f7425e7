"""Callers that ask without pause and count what they get."""

from __future__ import annotations

import http.client
import json
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

PATH = "/v1/displacement"
BODY = json.dumps({"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}).encode()
HEADERS = {"Content-Type": "application/json"}


@dataclass
class Tally:
    """What a load got."""

    answered: int = 0
    lost: Counter[str] = field(default_factory=Counter)
    slowest: float = 0.0
    seconds: float = 0.0

    @property
    def lost_number(self) -> int:
        """How many requests got no answer, or another than 200."""
        return sum(self.lost.values())

    def __str__(self) -> str:
        rate = self.answered / self.seconds if self.seconds else 0.0
        why = f" ({dict(self.lost)})" if self.lost else ""
        return f"{self.answered} answered, {self.lost_number} lost{why}, {rate:.0f}/s, slowest {self.slowest * 1e3:.0f} ms"


class Load:
    """A few callers on kept-alive connections, each asking again as soon as it was answered; they never try one request twice.

    port : whom they ask
    callers : how many
    pause : between two requests of a caller [s]
    """

    def __init__(self, port: int, callers: int, pause: float = 0.0) -> None:
        self.tally = Tally()
        self._port, self._pause, self._lock, self._done = port, pause, threading.Lock(), threading.Event()
        self._threads = [threading.Thread(target=self._call, daemon=True) for _ in range(callers)]

    @property
    def answered(self) -> int:
        """How many answers there are up to now."""
        return self.tally.answered

    @contextmanager
    def running(self) -> Iterator[Load]:
        """Ask while the block runs."""
        begin = time.monotonic()
        for thread in self._threads:
            thread.start()
        try:
            yield self
        finally:
            self._done.set()
            for thread in self._threads:
                thread.join(timeout=60.0)
            self.tally.seconds = time.monotonic() - begin

    def _call(self) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", self._port, timeout=30.0)
        while not self._done.wait(self._pause) if self._pause else not self._done.is_set():
            begin = time.monotonic()
            try:
                connection.request("POST", PATH, BODY, HEADERS)
                response = connection.getresponse()
                right = b'"displacement"' in response.read()
                outcome = "" if response.status == 200 and right else str(response.status)
            except (OSError, http.client.HTTPException) as error:
                connection.close()
                outcome = type(error).__name__
            took = time.monotonic() - begin
            with self._lock:
                self.tally.slowest = max(self.tally.slowest, took)
                if outcome:
                    self.tally.lost[outcome] += 1
                else:
                    self.tally.answered += 1
        connection.close()
