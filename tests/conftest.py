"""What all tests share."""

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from typing import Any

import pytest
from hypothesis import settings

# How long an example takes says how busy the machine is: limits of time are tested where there are any.
settings.register_profile("untimed", parent=settings(), deadline=None)
settings.load_profile("untimed")
HANG = 60  # seconds


def pytest_xdist_auto_num_workers() -> int | None:
    """One process more than processors: tests of slow callers, drains and restarts wait most of their time."""
    if "PYTEST_XDIST_AUTO_NUM_WORKERS" in os.environ:
        return None  # xdist's own answer
    return len(os.sched_getaffinity(0)) + 1


@pytest.fixture
def no_hang() -> Callable[[], AbstractContextManager[None]]:
    """Fail what would go on for hours, on however busy a machine: no measure of speed."""

    @contextmanager
    def guarded() -> Iterator[None]:
        def fail(*_: Any) -> None:
            raise TimeoutError(f"it goes on after {HANG} s")

        before = signal.signal(signal.SIGALRM, fail)
        signal.alarm(HANG)
        try:
            yield
        finally:
            signal.alarm(0)
            signal.signal(signal.SIGALRM, before)

    return guarded
