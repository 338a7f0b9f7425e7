"""Hundreds of connections that send half a request, or nothing: other callers are answered as ever."""

import contextlib
import socket
import statistics
import time
from collections.abc import Callable
from typing import Any

import pytest

MANY = 200
BODY = b'{"bore": "4 in", "stroke": "3 in", "cylinders": 8}'
MOST_WAIT = 2.0  # seconds that another caller may wait on a busy machine; alone it waits for milliseconds
HEAD = b"POST /v1/displacement HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\n"
HALVES = {
    "a byte": b"P",
    "half a request line": b"POST /v1/displ",
    "half the headers": HEAD,
    "no body yet": HEAD + b"Content-Length: 50\r\n\r\n",
    "half a body": HEAD + b"Content-Length: 50\r\n\r\n" + BODY[:25],
    "half a chunk": HEAD + b"Transfer-Encoding: chunked\r\n\r\n32\r\n" + BODY[:25],
    "no last chunk": HEAD + b"Transfer-Encoding: chunked\r\n\r\n32\r\n" + BODY + b"\r\n",
    "noughts before the length": HEAD + b"Content-Length: 00000000000000000050\r\n\r\n" + BODY[:25],
    "noughts before the chunk": HEAD + b"Transfer-Encoding: chunked\r\n\r\n000000032\r\n" + BODY[:25],
    "noughts as the last chunk": HEAD + b"Transfer-Encoding: chunked\r\n\r\n000000000\r\n",
    "a chunk without end": HEAD + b"Transfer-Encoding: chunked\r\n\r\nfffffffff\r\n" + BODY[:25],
    "a length without end": HEAD + b"Content-Length: 99999999999999999999\r\n\r\n" + BODY[:25],
    "half a large body": HEAD + b"Content-Length: 1000000\r\n\r\n" + b" " * 100_000,
    "nothing": b"",
}


@pytest.mark.parametrize("sent", HALVES.values(), ids=HALVES)
def test_one_kind_at_a_time(live: Any, lawful: Callable[..., Any], sent: bytes) -> None:
    with contextlib.ExitStack() as held:
        for _ in range(MANY):
            held.enter_context(live.connect()).sendall(sent)
        begun = time.monotonic()
        (answer,) = live.raw(HEAD + b"Content-Length: 50\r\n\r\n" + BODY)
        assert lawful(answer)["displacement"]
        assert time.monotonic() - begun < MOST_WAIT


def test_half_sent_and_idle_together(live: Any, lawful: Callable[..., Any], capsys: pytest.CaptureFixture[str]) -> None:
    halves = [sent for sent in HALVES.values() if sent]
    with contextlib.ExitStack() as held:
        slow: list[socket.socket] = []
        for turn in range(MANY):
            slow.append(held.enter_context(live.connect()))
            slow[-1].sendall(halves[turn % len(halves)])
            held.enter_context(live.connect())
        waits = []
        for turn in range(60):
            for connection in slow[turn % len(halves) :: len(halves)]:  # drop by drop, so that none of them is ever quiet for long
                with contextlib.suppress(OSError):
                    connection.sendall(b" ")
            begun = time.monotonic()
            (answer,) = live.raw(HEAD + b"Content-Length: 50\r\n\r\n" + BODY)
            waits.append(time.monotonic() - begun)
            assert lawful(answer)["displacement"]
            time.sleep(0.05)
        ready = live.raw(b"GET /health/ready HTTP/1.1\r\nHost: a\r\n\r\n")[0]
        assert lawful(ready)["status"] == "ready"
    with capsys.disabled():
        print(f"\n{MANY} half-sent and {MANY} idle connections: another caller waits {statistics.median(waits) * 1e3:.1f} ms, ", end="")
        print(f"at most {max(waits) * 1e3:.1f} ms")
    assert max(waits) < MOST_WAIT
