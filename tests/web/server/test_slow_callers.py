"""Slow and silent callers over real sockets: others are answered meanwhile, and the slow ones are told and closed."""

import http.client
import json
import os
import selectors
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

MANY = 200
BODY = json.dumps({"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}).encode()
HEAD = b"POST /v1/displacement HTTP/1.1\r\nHost: loopback\r\nContent-Type: application/json\r\n"
LARGE = 1_000_000
SETTINGS = {"HEAD_SECONDS": "3", "BODY_SECONDS": "3", "IDLE_SECONDS": "2", "ANSWER_SECONDS": "2", "DRAIN_SECONDS": "0", "THREADS": "8"}
HALVES = {
    "silent": b"",
    "half a line": b"POST /v1/displ",
    "half a head": HEAD,
    "half a body": HEAD + b"Content-Length: 100\r\n\r\n{",
    "half a chunk": HEAD + b"Transfer-Encoding: chunked\r\n\r\n20\r\n{",
    "half a large body": HEAD + b"Content-Length: %d\r\n\r\n{" % LARGE,
    "waiting to be asked": HEAD + b"Expect: 100-continue\r\nContent-Length: 100\r\n\r\n",
}
Place = tuple[str, int]


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory, start_service: Callable[..., Any]) -> Iterator[Place]:
    """One worker of eight threads with short patience."""
    with start_service(tmp_path_factory.mktemp("bare") / "log", **SETTINGS) as place:
        ask(place, 60.0)  # from here on the worker is up
        yield place


def ask(place: Place, timeout: float = 20.0) -> float:
    """How long a small calculation takes [s]."""
    begin = time.monotonic()
    connection = http.client.HTTPConnection(*place, timeout=timeout)
    try:
        connection.request("POST", "/v1/displacement", BODY, {"Content-Type": "application/json"})
        response = connection.getresponse()
        assert (response.status, bool(response.read())) == (200, True)
    finally:
        connection.close()
    return time.monotonic() - begin


def opened(stack: ExitStack, place: Place, sent: bytes, number: int = MANY) -> list[socket.socket]:
    found = [stack.enter_context(socket.create_connection(place, timeout=20.0)) for _ in range(number)]
    for connection in found:
        connection.sendall(sent)
    return found


def until(connection: socket.socket, end: bytes) -> bytes:
    """What is said up to the given end."""
    said = b""
    while not said.endswith(end):
        part = connection.recv(65536)
        assert part, said
        said += part
    return said


def until_closed(connection: socket.socket, seconds: float) -> bytes:
    """All that is said until the service closes; the test fails where it does not."""
    connection.settimeout(seconds)
    said = b""
    try:
        while part := connection.recv(65536):
            said += part
    except ConnectionResetError:
        return said
    return said


@pytest.mark.parametrize("half", HALVES.values(), ids=HALVES)
def test_two_hundred_of_them_stop_nobody(bare: Place, half: bytes) -> None:
    with ExitStack() as stack:
        opened(stack, bare, half)
        waits = [ask(bare) for _ in range(5)]
    assert max(waits) < 2.0, "less than any of them is waited for"


def test_two_hundred_silent_ones_between_requests_stop_nobody(bare: Place) -> None:
    """Keep-alive: each had an answer, and says nothing more."""
    with ExitStack() as stack:
        held = opened(stack, bare, b"GET /health/live HTTP/1.1\r\nHost: loopback\r\n\r\n")
        assert all(until(connection, b"}").startswith(b"HTTP/1.1 200") for connection in held)
        assert max(ask(bare) for _ in range(5)) < 2.0
        begin = time.monotonic()
        assert [until_closed(connection, 10.0) for connection in held] == [b""] * MANY
        assert time.monotonic() - begin < 6.0


@pytest.mark.parametrize("name", ["half a line", "half a head", "half a body", "half a chunk", "half a large body"])
def test_who_is_too_slow_is_told_and_closed(bare: Place, name: str) -> None:
    with ExitStack() as stack:
        (connection,) = opened(stack, bare, HALVES[name], 1)
        said = until_closed(connection, 12.0)
    head, _, body = said.partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 408 ")
    problem = json.loads(body)
    assert (problem["type"], problem["status"]) == ("/problems/request-timeout", 408)
    assert f"X-Request-Id: {problem['request_id']}".encode() in head


def test_a_drip_does_not_buy_time(bare: Place) -> None:
    """A byte every tenth of a second keeps a head coming for ever, and no longer than it may."""
    begin = time.monotonic()
    with socket.create_connection(bare, timeout=20.0) as connection, selectors.DefaultSelector() as selector:
        selector.register(connection, selectors.EVENT_READ)
        while not selector.select(timeout=0.1):
            connection.sendall(b"X")
            assert time.monotonic() - begin < 10.0
        assert connection.recv(65536).startswith(b"HTTP/1.1 408 ")
    assert 2.5 < time.monotonic() - begin < 6.0


def test_silence_is_closed_without_a_word(bare: Place) -> None:
    with socket.create_connection(bare, timeout=20.0) as connection:
        assert until_closed(connection, 10.0) == b""


def test_a_slow_caller_within_the_time_is_answered(bare: Place) -> None:
    sent = HEAD + b"Content-Length: %d\r\n\r\n" % len(BODY) + BODY
    with socket.create_connection(bare, timeout=20.0) as connection:
        for at in range(0, len(sent), 20):
            connection.sendall(sent[at : at + 20])
            time.sleep(0.05)
        assert connection.recv(65536).startswith(b"HTTP/1.1 200")


def test_requests_one_behind_the_other_are_answered_in_turn(bare: Place) -> None:
    one = HEAD + b"Content-Length: %d\r\n\r\n" % len(BODY) + BODY
    last = b"GET /health/live HTTP/1.1\r\nHost: loopback\r\nConnection: close\r\n\r\n"
    with socket.create_connection(bare, timeout=20.0) as connection:
        connection.sendall(one * 3 + last)
        said = until_closed(connection, 10.0)
    assert said.count(b"HTTP/1.1 200 OK\r\n") == 4
    assert said.count(b'"displacement":') >= 3
    assert said.endswith(b"}")
    assert b'"status":"live"' in said.rpartition(b"\r\n\r\n")[2]


@pytest.mark.parametrize("size", [LARGE, 3_000_000])
def test_a_body_larger_than_is_held(bare: Place, size: int) -> None:
    """Read by a thread; what is larger than it may be is refused before it is sent."""
    connection = http.client.HTTPConnection(*bare, timeout=20.0)
    try:
        connection.putrequest("POST", "/v1/displacement")
        connection.putheader("Content-Type", "application/json")
        connection.putheader("Content-Length", str(size))
        connection.endheaders()
        if size == LARGE:
            connection.send(b" " * (size - len(BODY)) + BODY)
        response = connection.getresponse()
        assert response.status == (200 if size == LARGE else 413)
        response.read()
    finally:
        connection.close()


def test_who_does_not_read_the_answer_holds_a_thread_for_a_short_time(bare: Place) -> None:
    """More such callers than there are threads, each with more to read than a socket holds: the service is back after its patience."""
    rows = 60_000
    body = json.dumps({"common": {"stroke": "80 mm", "cylinders": 4}, "columns": {"bore": ["100 mm"] * rows}}).encode()
    sent = b"POST /v1/displacement/batch HTTP/1.1\r\nHost: loopback\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n" % len(
        body
    )
    with ExitStack() as stack:
        for _ in range(10):
            connection = stack.enter_context(socket.socket())
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            connection.settimeout(20.0)
            connection.connect(bare)
            connection.sendall(sent + body)
        assert ask(bare, 60.0) < 50.0
        ask(bare, 5.0)


def test_beyond_the_connections_the_longest_silent_one_goes(tmp_path: Path, start_service: Callable[..., Any]) -> None:
    with (
        start_service(tmp_path / "log", CONNECTIONS="16", THREADS="4", HEAD_SECONDS="30", DRAIN_SECONDS="0") as place,
        ExitStack() as stack,
    ):
        ask(place, 60.0)  # from here on the worker is up
        held = opened(stack, place, b"", 40)
        assert ask(place, 5.0) < 2.0
        assert until_closed(held[0], 1.0) == b""
        with pytest.raises(TimeoutError):
            until_closed(held[-1], 0.2)


def test_few_open_files_are_no_end(tmp_path: Path) -> None:
    """With fewer files to be had than connections, the service goes on."""
    script = f"ulimit -n 64; exec {sys.executable} -m borewright.cli serve --port {{port}} --workers 1"
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    place = ("127.0.0.1", port)
    with (tmp_path / "log").open("wb") as log:
        environment = {**os.environ, "BOREWRIGHT_DRAIN_SECONDS": "0"}
        process = subprocess.Popen(["sh", "-c", script.format(port=port)], env=environment, stdout=log, stderr=subprocess.STDOUT)
        try:
            end = time.monotonic() + 30.0
            while True:
                try:
                    ask(place)
                    break
                except OSError:
                    assert time.monotonic() < end
                    time.sleep(0.05)
            with ExitStack() as stack:
                opened(stack, place, b"", 100)
                ask(place)
            assert process.poll() is None
        finally:
            process.terminate()
            process.wait(timeout=20.0)
    assert process.returncode == 0
