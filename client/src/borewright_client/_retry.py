"""When to try again, how long to wait first, and when to stop."""

import random
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from borewright_client._errors import BorewrightError, ConnectionFailed, ProblemError, TimedOut

T = TypeVar("T")

# Every call is a pure computation, so a repeated POST changes nothing.
_WORTH_ANOTHER_TRY = frozenset({429, 502, 503, 504})
_FIRST_PAUSE = 0.25
_LONGEST_PAUSE = 4.0
_LONGEST_PAUSE_ASKED_FOR = 10.0


@dataclass(frozen=True, slots=True)
class Policy:
    """How often and how long a call may try; the clock, the sleep and the dice can be replaced.

    >>> Policy(retries=2, timeout=10.0, deadline=30.0, draw=lambda: 1.0).pause(1, None)
    0.5
    """

    retries: int
    timeout: float
    deadline: float
    clock: Callable[[], float] = time.monotonic
    sleep: Callable[[float], None] = time.sleep
    draw: Callable[[], float] = random.random

    def __post_init__(self) -> None:
        if self.retries < 0:
            raise ValueError("retries must be 0 or more")
        for name in ("timeout", "deadline"):
            seconds: object = getattr(self, name)
            # None and pairs are what the transport itself would take. Not `<= 0`: NaN must fail as well.
            if not (isinstance(seconds, int | float) and 0 < seconds < float("inf")):
                raise ValueError(f"{name} must be a positive number of seconds")

    def run(self, attempt: Callable[[Callable[[], float]], T]) -> T:
        """Call `attempt` until it returns, fails for good or the deadline leaves no room; it is given a function that tells the time left.

        >>> Policy(retries=0, timeout=10.0, deadline=30.0).run(lambda left: left() > 29.0)
        True
        """
        end = self.clock() + self.deadline

        def left() -> float:
            return end - self.clock()

        tries = 0
        while True:
            try:
                return attempt(left)
            except BorewrightError as error:
                if tries >= self.retries or not _worth_another_try(error):
                    raise
                pause = self.pause(tries, error.retry_after if isinstance(error, ProblemError) else None)
                # The failure says more than a timeout after a wait that could not have ended in an answer.
                if pause >= left():
                    raise
            tries += 1
            self.sleep(pause)

    def pause(self, tries: int, asked_for: float | None) -> float:
        """The wait before the next try [s]: what the server asked for, capped, else doubling, with jitter down to a half.

        >>> Policy(retries=2, timeout=10.0, deadline=30.0).pause(0, 3600.0)
        10.0
        """
        if asked_for is not None:
            return min(asked_for, _LONGEST_PAUSE_ASKED_FOR)
        # The exponent is bounded, as 2 to a large enough power does not fit a float.
        return min(_LONGEST_PAUSE, _FIRST_PAUSE * 2.0 ** min(tries, 10)) * (0.5 + 0.5 * self.draw())


def _worth_another_try(error: BorewrightError) -> bool:
    if isinstance(error, ProblemError):
        return error.status in _WORTH_ANOTHER_TRY
    return isinstance(error, ConnectionFailed | TimedOut)
