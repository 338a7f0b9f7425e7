"""The time that a calculation may take: who waits is answered, what runs is bounded, the worker lives."""

import gc
import threading
import time
import weakref
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextvars import ContextVar
from typing import Any

import pytest

from borewright.web import operations
from borewright.web.app import create_app
from borewright.web.problems import Problem
from borewright.web.server.time_limit import RETRY_AFTER, Calculators
from borewright.web.settings import Settings

Check = Callable[..., dict[str, Any]]
BODY = {"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}


def until(true: Callable[[], bool], seconds: float = 5.0) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.005)


def test_what_is_returned_and_raised() -> None:
    calculators = Calculators(places=2, seconds=10.0)
    assert calculators.run(divmod, 7, 2) == (3, 1)
    with pytest.raises(ZeroDivisionError):
        calculators.run(divmod, 7, 0)
    with pytest.raises(KeyboardInterrupt):  # whatever it is, it reaches who waits, and the place is free again
        calculators.run(_raise, KeyboardInterrupt())
    assert calculators.run(divmod, 7, 2) == (3, 1)


def _raise(error: BaseException) -> None:
    raise error


def test_a_timeout_of_the_function_itself_is_not_ours() -> None:
    with pytest.raises(TimeoutError, match="its own"):
        Calculators(places=1, seconds=10.0).run(_raise, TimeoutError("its own"))


def test_it_sees_the_context_of_who_asks_and_changes_nothing_in_it() -> None:
    name: ContextVar[str] = ContextVar("name", default="none")
    name.set("asker")

    def look() -> str:
        found = name.get()
        name.set("changed")
        return found

    calculators = Calculators(places=1, seconds=10.0)
    assert [calculators.run(look) for _ in range(2)] == ["asker", "asker"]
    assert name.get() == "asker"


def test_what_takes_long_waits_for_what_does_not() -> None:
    calculators, begun, order = Calculators(places=1, seconds=10.0), threading.Event(), list[str]()
    with ThreadPoolExecutor(8) as askers:
        first = askers.submit(calculators.run, begun.wait)
        until(lambda: calculators._idle == 0 and calculators._jobs.empty())
        asked = [askers.submit(calculators.run, order.append, f"large {number}", large=True) for number in range(3)]
        until(lambda: calculators._jobs.qsize() == 3)
        asked += [askers.submit(calculators.run, order.append, "small")]
        until(lambda: calculators._jobs.qsize() == 4)
        begun.set()
        for future in (first, *asked):
            future.result(10.0)
    assert order[0] == "small"
    assert sorted(order[1:]) == ["large 0", "large 1", "large 2"]


def test_no_more_than_the_places_at_once() -> None:
    calculators = Calculators(places=3, seconds=10.0)
    running, most, lock = 0, 0, threading.Lock()

    def work(number: int) -> int:
        nonlocal running, most
        with lock:
            running += 1
            most = max(most, running)
        time.sleep(0.01)
        with lock:
            running -= 1
        return number

    with ThreadPoolExecutor(12) as askers:
        assert list(askers.map(lambda number: calculators.run(work, number), range(40))) == list(range(40))
    assert most == 3


def test_who_waits_too_long_is_told_so_and_the_place_comes_back() -> None:
    calculators, ended = Calculators(places=1, seconds=0.05), threading.Event()
    begin = time.monotonic()
    with pytest.raises(Problem, match=r"took longer than 0\.05 s") as refused:
        calculators.run(ended.wait, 10.0)
    assert time.monotonic() - begin < 2.0
    assert (refused.value.kind.status, refused.value.headers["Retry-After"]) == (503, str(RETRY_AFTER))
    assert calculators.overdue == 1
    ran = []
    with pytest.raises(Problem, match="all calculators are busy"):
        calculators.run(ran.append, 1)
    ended.set()
    until(lambda: calculators.overdue == 0)
    assert calculators.run(divmod, 7, 2) == (3, 1)
    assert ran == [], "what never began was taken back"


def test_stuck_only_when_every_place_is_held_for_twice_the_time() -> None:
    calculators, ended = Calculators(places=2, seconds=0.2), threading.Event()
    with pytest.raises(Problem):
        calculators.run(ended.wait, 30.0)
    time.sleep(0.25)
    assert not calculators.stuck
    with pytest.raises(Problem):
        calculators.run(ended.wait, 30.0)
    assert not calculators.stuck
    until(lambda: calculators.stuck)
    ended.set()
    until(lambda: not calculators.stuck)


def test_over_http(monkeypatch: pytest.MonkeyPatch, expect_problem: Check) -> None:
    ended = threading.Event()
    service = create_app(Settings(request_seconds=1, calculations_at_once=2)).test_client()
    with monkeypatch.context() as patched:
        patched.setattr(operations, "answer", lambda *_: ended.wait(30.0))
        response = service.post("/v1/displacement", json=BODY)
    expect_problem(response, 503, "unavailable")
    assert int(response.headers["Retry-After"]) > 0
    assert service.post("/v1/displacement", json=BODY).status_code == 200, "others are answered while it still runs"
    assert service.application.extensions["borewright_calculators"].overdue == 1
    ended.set()
    until(lambda: service.application.extensions["borewright_calculators"].overdue == 0)


def test_a_refused_request_is_let_go_at_once() -> None:
    """Bodies are large: none may wait for the collector of rings because its calculation was refused."""

    class Body:
        pass

    def refuse(body: Body) -> None:
        raise ValueError(str(body))

    calculators = Calculators(places=1, seconds=10.0)
    body = Body()
    seen = weakref.ref(body)
    gc.disable()
    try:
        with pytest.raises(ValueError, match="Body"):
            calculators.run(refuse, body)
        del body
        calculators.run(str, 1)
        assert seen() is None
    finally:
        gc.enable()
