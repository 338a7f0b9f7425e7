"""Every limit of a request over a socket: at it the request is answered, one beyond it is refused, and the refusal arrives."""

import gzip
import json
import threading
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from borewright.web.server.server import HEADER_BYTES, HEADER_COUNT, REQUEST_LINE_BYTES
from borewright.web.settings import Settings
from borewright.web.strict_json import DIGITS, MOST_NAMES, NESTING, STRING_LENGTH

LIMITS = Settings()
MIB = 1024 * 1024
ONE, MANY = "/v1/displacement", "/v1/displacement/batch"
BODY = b'{"bore": "4 in", "stroke": "3 in", "cylinders": 8}'
BATCH = b'{"common": {"stroke": "3 in", "cylinders": 8}, "columns": {"bore": ["4 in", "5 in"]}}'
Rule = Callable[..., Any]


def get(path: bytes = b"/health/live", headers: bytes = b"") -> bytes:
    return b"GET " + path + b" HTTP/1.1\r\nHost: a\r\n" + headers + b"\r\n"


def line(size: int) -> bytes:
    return get(b"/health/live?" + b"a" * (size - len(b"GET /health/live? HTTP/1.1")))


def header(size: int) -> bytes:
    return get(headers=b"X-A: " + b"a" * (size - len(b"X-A: ")) + b"\r\n")


def count(number: int) -> bytes:
    return get(headers=b"X-A: a\r\n" * (number - 1))


HEADS = {
    "request line": (line, REQUEST_LINE_BYTES, 414),
    "header": (header, HEADER_BYTES, 431),
    "headers": (count, HEADER_COUNT, 431),
}


@pytest.mark.parametrize("case", HEADS.values(), ids=HEADS)
def test_the_head(live: Any, lawful: Rule, case: tuple[Callable[[int], bytes], int, int]) -> None:
    made, most, refused = case
    (answer,) = live.raw(made(most))
    assert lawful(answer)["status"] == "live"
    answer = live.only(made(most + 1))
    assert lawful(answer)["status"] == refused


def sent(path: str, body: bytes, headers: bytes = b"") -> bytes:
    start = f"POST {path} HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\n".encode()
    return start + headers + b"Content-Length: %d\r\n\r\n" % len(body) + body


def chunked(path: str, body: bytes) -> bytes:
    parts = (body[at : at + 50_000] for at in range(0, len(body), 50_000))
    start = f"POST {path} HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n".encode()
    return start + b"".join(b"%x\r\n%b\r\n" % (len(part), part) for part in parts) + b"0\r\n\r\n"


def packed(path: str, body: bytes) -> bytes:
    return sent(path, gzip.compress(body, 1), b"Content-Encoding: gzip\r\n")


SIZES = {
    "one": (sent, ONE, BODY, LIMITS.body_bytes),
    "one in chunks": (chunked, ONE, BODY, LIMITS.body_bytes),
    "one in gzip": (packed, ONE, BODY, LIMITS.body_bytes),
    "a batch": (sent, MANY, BATCH, LIMITS.batch_body_bytes),
    "a batch in chunks": (chunked, MANY, BATCH, LIMITS.batch_body_bytes),
    "a batch in gzip": (packed, MANY, BATCH, LIMITS.batch_body_bytes),
}


@pytest.mark.parametrize("case", SIZES.values(), ids=SIZES)
def test_the_body(live: Any, lawful: Rule, case: tuple[Callable[[str, bytes], bytes], str, bytes, int]) -> None:
    made, path, body, most = case
    (answer,) = live.raw(made(path, body + b" " * (most - len(body))))
    assert answer.status == 200, lawful(answer)
    answer = live.only(made(path, body + b" " * (most + 1 - len(body))))
    assert lawful(answer)["status"] == 413
    assert answer.headers["connection"] == "close"


@pytest.mark.parametrize("headers", [b"Content-Type: application/json\r\n", b"Content-Type: text/plain\r\n"])
def test_a_refusal_of_what_is_still_being_sent_arrives(live: Any, lawful: Rule, headers: bytes) -> None:
    """Most callers read nothing until they have sent all: to close on them would lose the answer."""
    body = b" " * 50_000_000
    answer = live.only(b"POST /v1/displacement HTTP/1.1\r\nHost: a\r\n" + headers + b"Content-Length: %d\r\n\r\n" % len(body) + body)
    assert lawful(answer)["status"] == (413 if b"json" in headers else 415)
    assert answer.headers["connection"] == "close", "what is left of the body must not be waited for"


def test_rows(caller: Any, lawful: Rule) -> None:
    for number, status in ((LIMITS.batch_rows, 200), (LIMITS.batch_rows + 1, 422)):
        body = json.dumps({"units": "inch", "common": {"stroke": 3, "cylinders": 8}, "columns": {"bore": [4] * number}}).encode()
        answer = caller.ask("POST", MANY, body)
        assert answer.status == status
        found = lawful(answer)
    assert "split" in found["detail"]


@pytest.mark.parametrize(
    ("made", "most", "within", "beyond"),
    [
        (lambda size: b"[" * size + b"]" * size, NESTING, 422, 400),
        (lambda size: b'{"units": "inch", "bore": 4.' + b"0" * (size - 2) + b', "stroke": 3, "cylinders": 8}', DIGITS, 200, 400),
        (lambda size: b'{"bore": "' + b"a" * size + b'"}', STRING_LENGTH, 422, 422),
    ],
    ids=["nesting", "digits", "text"],
)
def test_json(caller: Any, lawful: Rule, made: Callable[[int], bytes], most: int, within: int, beyond: int) -> None:
    assert caller.ask("POST", ONE, made(most)).status == within
    answer = caller.ask("POST", ONE, made(most + 1))
    assert lawful(answer)["status"] == beyond
    assert str(most) in lawful(answer)["errors"][0]["detail"]


def test_a_long_name_is_not_sent_back(caller: Any, lawful: Rule) -> None:
    answer = caller.ask("POST", ONE, b'{"' + b"a" * STRING_LENGTH + b'": 1}')
    assert lawful(answer)["status"] == 422
    assert len(answer.body) < 10_000


VALUES = {
    "objects": b"{},",
    "lists": b"[],",
    "numbers": b"1.5,",
    "no numbers": b"NaN,",
    "names twice": b'{"a":1,"a":1},',
}


class Peak:
    """The most memory that the worker holds while something is asked."""

    def __init__(self, live: Any) -> None:
        self.live, self.most, self._done = live, 0, threading.Event()

    def __enter__(self) -> "Peak":
        self.before = self.live.resident()
        self._thread = threading.Thread(target=self._watch)
        self._thread.start()
        return self

    def _watch(self) -> None:
        while not self._done.wait(0.02):
            self.most = max(self.most, self.live.resident())

    def __exit__(self, *error: object) -> None:
        self._done.set()
        self._thread.join()

    @property
    def growth(self) -> int:
        return self.most - self.before


@pytest.mark.parametrize("value", VALUES.values(), ids=VALUES)
def test_values_that_take_many_times_their_length(live: Any, lawful: Rule, value: bytes) -> None:
    body = b'{"columns": [' + value * ((LIMITS.batch_body_bytes - 100) // len(value)) + b"0]}"
    begun = time.monotonic()
    with Peak(live) as peak:
        (answer,) = live.raw(packed(MANY, body))
    assert lawful(answer)["status"] == 422
    assert "values" in lawful(answer)["detail"]
    assert peak.growth < 200 * MIB
    assert time.monotonic() - begun < 10.0


def test_as_many_values_as_may_be(live: Any, lawful: Rule) -> None:
    names = b"{%b}" % b",".join(b'"%x":1' % number for number in range(LIMITS.values - 10))
    known = b"{%b}" % b",".join(b'"%x":1' % number for number in range(MOST_NAMES))
    objects = b'{"columns": [' + b'{"a":{}},' * (LIMITS.values // 3 - 10) + b"0]}"
    for body in (names, known, objects):
        with Peak(live) as peak:
            (answer,) = live.raw(packed(MANY, body))
        assert lawful(answer)["status"] in (400, 422)
        assert peak.growth < 700 * MIB


def test_many_at_their_limits_at_once(live: Any, lawful: Rule) -> None:
    """A few kilobytes each on the way, 32 MB each in memory: what there is no room for is told to come back, others are answered."""
    large = packed(MANY, BATCH + b" " * (LIMITS.batch_body_bytes - len(BATCH)))
    with Peak(live) as peak, ThreadPoolExecutor(60) as askers:
        asked = [askers.submit(live.raw, large) for _ in range(60)]
        small = [live.raw(sent(ONE, BODY))[0].status for _ in range(5)]
        health = [live.raw(get())[0].status for _ in range(5)]
        statuses = Counter(lawful(answer) and answer.status for found in asked for answer in found.result())
    assert set(small) == set(health) == {200}
    assert set(statuses) == {200, 503}, statuses
    assert peak.growth < 600 * MIB, statuses


def test_many_batches_do_not_hold_up_others(live: Any, lawful: Rule) -> None:
    """More of the largest batches than there are threads, on connections of their own: the next caller does not wait for them."""
    body = json.dumps({"units": "inch", "common": {"stroke": 3, "cylinders": 8}, "columns": {"bore": [4] * LIMITS.batch_rows}}).encode()
    batch = packed(MANY, body)
    waits = []
    with ThreadPoolExecutor(100) as askers:
        asked = [askers.submit(live.raw, batch) for _ in range(100)]
        while not all(found.done() for found in asked):
            begun = time.monotonic()
            assert live.raw(sent(ONE, BODY))[0].status == 200
            waits.append(time.monotonic() - begun)
        statuses = Counter(found.result()[0].status for found in asked)
    assert set(statuses) == {200, 503}, statuses
    assert max(waits) < 5.0, "less than the batches take together"
