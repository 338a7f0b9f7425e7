"""When to try again, how long to wait first, and when to stop."""

import logging
import math
import random
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeVar

from borewright_client._errors import BorewrightError, ConnectionFailed, ProblemError, TimedOut, WrongSetting

T = TypeVar("T")
log = logging.getLogger("borewright_client")

# Every call is a pure computation, so a repeated POST changes nothing.
_WORTH_ANOTHER_TRY = frozenset({429, 502, 503, 504})
_FIRST_PAUSE = 0.25
_LONGEST_PAUSE = 4.0


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
    sleep: Callable[[float], object] = time.sleep
    draw: Callable[[], float] = random.random

    def __post_init__(self) -> None:
        checked_retries(self.retries)
        checked_seconds(self.timeout, "timeout")
        checked_seconds(self.deadline, "deadline")

    def __reduce__(self) -> tuple[type["Policy"], tuple[int, float, float]]:
        return Policy, (self.retries, self.timeout, self.deadline)  # two processes with the same dice would come again at one time

    def run(self, attempt: Callable[[Callable[[], float]], T]) -> T:
        """Call `attempt` until it returns, fails for good or the deadline leaves no room; it is given a function that tells the time left.

        >>> Policy(retries=0, timeout=10.0, deadline=30.0).run(lambda left: left() > 29.0)
        True
        """
        left, tries = self.left(), 0
        while True:
            try:
                return attempt(left)
            except BorewrightError as error:
                pause = self.pause_after(error, tries, left())
            tries += 1
            self.sleep(pause)

    def left(self) -> Callable[[], float]:
        """A function that tells how much is left of a deadline that begins now [s].

        >>> Policy(retries=0, timeout=10.0, deadline=30.0, clock=lambda: 7.0).left()()
        30.0
        """
        end = self.clock() + self.deadline
        return lambda: end - self.clock()

    def until(self, given_up: threading.Event) -> "Policy":
        """The same policy for calls that somebody may give up: then nothing is left of their deadlines.

        >>> given_up = threading.Event()
        >>> left = Policy(retries=0, timeout=10.0, deadline=30.0).until(given_up).left()
        >>> given_up.set()
        >>> left()
        -inf
        """
        return replace(
            self,
            clock=lambda: math.inf if given_up.is_set() else self.clock(),
            sleep=given_up.wait if self.sleep is time.sleep else self.sleep,
        )

    def pause_after(self, error: BorewrightError, tries: int, left: float) -> float:
        """The wait before the next try [s].

        Raises the error where there is none: it would come again, or the deadline leaves no room for the wait that the service asks for.
        """
        if tries >= self.retries or not _worth_another_try(error):
            raise error
        pause = self.pause(tries, error.retry_after if isinstance(error, ProblemError) else None)
        # The failure says more than a timeout after a wait that could not have ended in an answer.
        if pause >= left:
            raise error
        log.info("trying again in %.3g s: %s", pause, error)
        return pause

    def pause(self, tries: int, asked_for: float | None) -> float:
        """The wait before the next try [s]: what the service asked for, else doubling, with jitter down to a half.

        >>> Policy(retries=2, timeout=10.0, deadline=30.0).pause(0, 12.0)
        12.0
        """
        if asked_for is not None:
            return asked_for
        # The exponent is bounded, as 2 to a large enough power does not fit a float.
        return min(_LONGEST_PAUSE, _FIRST_PAUSE * 2.0 ** min(tries, 10)) * (0.5 + 0.5 * self.draw())


def checked_retries(value: int) -> int:
    """How often is tried again.

    >>> checked_retries(2)
    2
    """
    if isinstance(value, bool) or not isinstance(value, int) or value < 0:
        raise WrongSetting("retries must be a whole number, 0 or more")
    return value


def checked_seconds(value: float, name: str) -> float:
    """A time to wait.

    >>> checked_seconds(2.5, "timeout")
    2.5
    """
    # None and pairs are what the transport itself would take. Not `<= 0`: NaN must fail as well.
    if not (isinstance(value, int | float) and 0 < value < math.inf):
        raise WrongSetting(f"{name} must be a positive number of seconds")
    return value


def _worth_another_try(error: BorewrightError) -> bool:
    if isinstance(error, ProblemError):
        return error.status in _WORTH_ANOTHER_TRY
    return isinstance(error, ConnectionFailed | TimedOut)
