"""Values of headers that nobody means well with: they change no answer and come back in none."""

from collections.abc import Callable
from typing import Any

import pytest

Rule = Callable[..., Any]
BODY = b'{"bore": "4 in", "stroke": "3 in", "cylinders": 8}'
JSON = b"Content-Type: application/json\r\n"
LONG = b"a" * 4000
NAMES = [
    b"Accept", b"Accept-Charset", b"Accept-Encoding", b"Accept-Language", b"Authorization", b"Cookie", b"Date", b"Forwarded", b"From",
    b"If-Match", b"If-Modified-Since", b"If-None-Match", b"If-Range", b"If-Unmodified-Since", b"Max-Forwards", b"Origin", b"Pragma",
    b"Prefer", b"Range", b"Referer", b"TE", b"Trailer", b"User-Agent", b"Via", b"Warning", b"X-Forwarded-For", b"X-Forwarded-Host",
    b"X-Forwarded-Prefix", b"X-Forwarded-Proto", b"X-Original-URL", b"X-Rewrite-URL", b"X-Request-Id", b"traceparent", b"tracestate",
    b"Content-Language", b"Content-Location", b"Content-Range", b"Content-MD5", b"Digest", b"Idempotency-Key",
]  # fmt: skip
VALUES = {
    "nothing": b"",
    "UTF-8": "größe ± 1 µm".encode(),
    "bytes that are no text": bytes(range(0x80, 0x100)),
    "quotes left open": b'"a; b="c',
    "commas": b"," * 500,
    "numbers that are none": b"a;q=nan, b;q=inf, c;q=-1, d;q=9e999, bytes=-, bytes=9-1",
    "4,000 letters": LONG,
    "an address": b"https://other.example/",
    "an encoded line end": b"a%0d%0aSet-Cookie:%20b=c",
    "markup": b"<script>alert(1)</script>",
    "a format": b"%s%n {0.__class__} ${jndi:ldap://other.example/a}",
}


@pytest.mark.parametrize("value", VALUES.values(), ids=VALUES)
def test_values_without_meaning(caller: Any, lawful: Rule, value: bytes) -> None:
    expected = lawful(caller.ask("POST", "/v1/displacement", BODY))
    for name in NAMES:
        headers = name + b": " + value + b"\r\n"
        for method, path, body in (
            ("POST", "/v1/displacement", BODY),
            ("GET", "/v1/reference/units", b""),
            ("GET", "/docs/pages.css", b""),
        ):
            answer = caller.ask(method, path, body, JSON + headers if body else headers)
            found = lawful(answer)
            if body and answer.status == 200:
                assert found == expected, name
            if name not in (b"Range", b"If-Match"):
                assert answer.status == 200, (name, path, answer)
            assert not {"set-cookie", "location", "access-control-allow-origin"} & set(answer.headers), name
            assert not any("other.example" in given or "script" in given for given in answer.headers.values()), name


@pytest.mark.parametrize("value", VALUES.values(), ids=VALUES)
@pytest.mark.parametrize("path", ["/v1/displacement", "/v1/displacement/batch", "/v1/build-sheet"])
def test_media_types_without_meaning(caller: Any, lawful: Rule, path: str, value: bytes) -> None:
    answer = caller.ask("POST", path, BODY, b"Content-Type: " + value + b"\r\n")
    assert lawful(answer)["type"] == "/problems/unsupported-media-type"
    assert len(answer.body) < 1000


@pytest.mark.parametrize("value", VALUES.values(), ids=VALUES)
def test_forms_of_the_sheet_without_meaning(caller: Any, lawful: Rule, value: bytes) -> None:
    sheet = b'{"units": "inch", "order": {"id": "A-1"}, "build": {"bore": 4, "stroke": 3, "cylinders": 8}}'
    answer = caller.ask("POST", "/v1/build-sheet", sheet, JSON + b"Accept: " + value + b"\r\n")
    lawful(answer)
    assert answer.status in (200, 406)


def test_a_number_of_headers_within_the_limit(caller: Any, lawful: Rule) -> None:
    many = b"".join(b"X-%d: %d\r\n" % (index, index) for index in range(90))
    assert lawful(caller.ask("POST", "/v1/displacement", BODY, JSON + many))["displacement"]


@pytest.mark.parametrize(
    "header", ["SCRIPT_NAME: /x", "SCRIPT-NAME: /x", "PATH_INFO: /metrics", "X-Forwarded-Prefix: /x", "X-Original-URL: /metrics"]
)
def test_no_header_moves_the_path(live: Any, lawful: Callable[..., Any], header: str) -> None:
    """The caller's address is trusted by no default: a proxy on this machine hands on what its callers send."""
    for path, status in (("/x/metrics", 404), ("/x/health/live", 404), ("/health/live", 200)):
        (answer,) = live.raw(f"GET {path} HTTP/1.1\r\nHost: a\r\n{header}\r\n\r\n".encode())
        assert answer.status == status, (path, answer)
        lawful(answer)
