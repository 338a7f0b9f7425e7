"""How often, how long and until when a call tries; the clock is the test's own."""

import time
from collections.abc import Callable
from typing import Any

import pytest

import borewright_client as bw
from borewright_client._retry import Policy

ALIVE = {"status": "ok"}


def failing(error: bw.BorewrightError, calls: list[float]) -> Callable[[Callable[[], float]], object]:
    def attempt(left: Callable[[], float]) -> object:
        calls.append(left())
        raise error

    return attempt


def policy(clock: Any, **settings: Any) -> Policy:
    values: dict[str, Any] = {
        "retries": 2,
        "timeout": 10.0,
        "deadline": 30.0,
        "clock": clock.read,
        "sleep": clock.sleep,
        "draw": lambda: 1.0,
    }
    return Policy(**(values | settings))


def answer(status: int, **headers: str) -> bw.ProblemError:
    return bw.ProblemError(status, "about:blank", "Title", "", headers=headers)


def test_is_on_the_monotonic_clock() -> None:
    plain = Policy(retries=0, timeout=1.0, deadline=1.0)
    assert plain.clock is time.monotonic
    assert plain.sleep is time.sleep


@pytest.mark.parametrize("error", [bw.ConnectionFailed("x"), bw.TimedOut("x"), *map(answer, (429, 502, 503, 504))], ids=str)
@pytest.mark.parametrize("retries", [0, 1, 2, 5])
def test_tries_again_as_often_as_told(error: bw.BorewrightError, retries: int, clock: Any) -> None:
    calls: list[float] = []
    with pytest.raises(type(error)):
        policy(clock, retries=retries).run(failing(error, calls))
    assert len(calls) == retries + 1
    assert clock.sleeps == [0.25, 0.5, 1.0, 2.0, 4.0][:retries]


@pytest.mark.parametrize("error", [bw.UnexpectedAnswer("x", 200), *map(answer, (400, 401, 404, 408, 413, 422, 500, 501))], ids=str)
def test_does_not_repeat_what_would_fail_again(error: bw.BorewrightError, clock: Any) -> None:
    calls: list[float] = []
    with pytest.raises(type(error)):
        policy(clock).run(failing(error, calls))
    assert len(calls) == 1
    assert clock.sleeps == []


def test_other_exceptions_pass_through(clock: Any) -> None:
    def attempt(left: Callable[[], float]) -> object:
        raise KeyError("mine")

    with pytest.raises(KeyError, match="mine"):
        policy(clock).run(attempt)
    assert clock.sleeps == []


@pytest.mark.parametrize(("draw", "pause"), [(0.0, 0.125), (0.5, 0.1875), (1.0, 0.25)])
def test_jitter_takes_up_to_half(draw: float, pause: float, clock: Any) -> None:
    assert policy(clock, draw=lambda: draw).pause(0, None) == pause


def test_pause_stops_growing(clock: Any) -> None:
    assert policy(clock).pause(10_000, None) == 4.0


@pytest.mark.parametrize(
    ("asked_for", "slept"), [("0", 0.0), ("3", 3.0), ("29", 29.0), ("86400", None), ("9" * 400, None), ("later", 0.25)]
)
def test_retry_after_is_kept_or_the_error_raised_at_once(asked_for: str, slept: float | None, clock: Any) -> None:
    with pytest.raises(bw.ProblemError):
        policy(clock, retries=1).run(failing(answer(503, **{"Retry-After": asked_for}), []))
    assert clock.sleeps == ([] if slept is None else [slept])


def test_does_not_wait_past_the_deadline(clock: Any) -> None:
    calls: list[float] = []
    with pytest.raises(bw.ProblemError):
        policy(clock, deadline=15.0, retries=9).run(failing(answer(503, **{"Retry-After": "10"}), calls))
    # After the first wait 5 s are left and the next would take 10.
    assert calls == [15.0, 5.0]
    assert clock.sleeps == [10.0]


def test_a_pause_up_to_the_very_deadline_is_not_taken(clock: Any) -> None:
    calls: list[float] = []
    with pytest.raises(bw.ProblemError):
        policy(clock, deadline=10.0).run(failing(answer(503, **{"Retry-After": "10"}), calls))
    assert len(calls) == 1
    assert clock.sleeps == []


@pytest.mark.parametrize("name", ["timeout", "deadline"])
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf"), None, (3.0, 10.0), "10"])
def test_times_must_be_positive(name: str, value: object, clock: Any) -> None:
    with pytest.raises(ValueError, match=f"{name} must be a positive number of seconds"):
        policy(clock, **{name: value})


def test_retries_must_not_be_negative(clock: Any) -> None:
    with pytest.raises(ValueError, match="retries"):
        policy(clock, retries=-1)


def test_unavailable_then_answer_over_the_wire(serve: Any, connect: Any, say: Any, clock: Any) -> None:
    server = serve(say(503, Retry_After="2"), say(200, ALIVE))
    assert connect(server).health() == ALIVE
    assert clock.sleeps == [2.0]
    assert len({request.headers["x-request-id"] for request in server.seen}) == 1
    assert len(server.seen) == 2


def test_reset_then_answer_over_the_wire(serve: Any, connect: Any, say: Any, clock: Any) -> None:
    server = serve(lambda handler: handler.reset(), lambda handler: handler.hang_up(), say(200, {"displacement": 1}))
    assert connect(server).displacement(bore="4 in", stroke="3 in", cylinders=8) == {"displacement": 1}
    assert [request.body for request in server.seen] == [b'{"bore": "4 in", "stroke": "3 in", "cylinders": 8}'] * 3
    assert clock.sleeps == [0.25, 0.5]


def test_huge_retry_after_over_the_wire(serve: Any, connect: Any, say: Any, clock: Any) -> None:
    server = serve(say(429, Retry_After="31536000"))
    with pytest.raises(bw.TooManyRequests) as caught:
        connect(server, deadline=15.0).health()
    assert caught.value.retry_after == 31_536_000.0
    assert clock.sleeps == []
    assert len(server.seen) == 1


def test_date_retry_after_over_the_wire(serve: Any, connect: Any, say: Any, clock: Any) -> None:
    step = say(503, Retry_After="Sun, 06 Nov 1994 08:49:41 GMT", Date="Sun, 06 Nov 1994 08:49:37 GMT")
    server = serve(step, say(200, ALIVE))
    assert connect(server).health() == ALIVE
    assert clock.sleeps == [4.0]


def test_readiness_is_asked_once(serve: Any, connect: Any, say: Any, clock: Any) -> None:
    server = serve(say(503, Retry_After="1"))
    assert connect(server).ready() is False
    assert len(server.seen) == 1
    assert clock.sleeps == []
