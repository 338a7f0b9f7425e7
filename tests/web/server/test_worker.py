"""What is no HTTP, or HTTP that can't be read: a problem document over the real socket too."""

import json
import socket

import pytest
from gunicorn.http.errors import InvalidHeader, LimitRequestHeaders, LimitRequestLine, UnsupportedTransferCoding

from borewright.web.headers import SECURITY
from borewright.web.server.raw import problem_of, raw_answer

HEAD = b"POST /v1/displacement HTTP/1.1\r\nHost: loopback\r\nContent-Type: application/json\r\n"
MALFORMED: dict[str, tuple[bytes, int, str]] = {
    "no HTTP": (b"\x00\x01\x02 hello\r\n\r\n", 400, "bad-request"),
    "lower-case method": (b"get /health/live HTTP/1.1\r\nHost: loopback\r\n\r\n", 400, "bad-request"),
    "HTTP of the future": (b"GET /health/live HTTP/9.9\r\nHost: loopback\r\n\r\n", 400, "bad-request"),
    "header without a colon": (b"GET /health/live HTTP/1.1\r\nHost loopback\r\n\r\n", 400, "bad-request"),
    "blank in a header name": (b"GET /health/live HTTP/1.1\r\nHost : loopback\r\n\r\n", 400, "bad-request"),
    "endless path": (b"GET /" + b"a" * 5000 + b" HTTP/1.1\r\nHost: loopback\r\n\r\n", 414, "path-too-long"),
    "endless header": (b"GET / HTTP/1.1\r\nHost: loopback\r\nX-Long: " + b"a" * 9000 + b"\r\n\r\n", 431, "headers-too-large"),
    "a thousand headers": (
        b"GET / HTTP/1.1\r\nHost: loopback\r\n" + b"".join(b"X-%d: a\r\n" % n for n in range(1000)) + b"\r\n",
        431,
        "headers-too-large",
    ),
    "length that is no number": (HEAD + b"Content-Length: two\r\n\r\n{}", 400, "bad-request"),
    "negative length": (HEAD + b"Content-Length: -2\r\n\r\n{}", 400, "bad-request"),
    "two lengths": (HEAD + b"Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}", 400, "bad-request"),
    "length and chunks": (HEAD + b"Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n", 400, "bad-request"),
    "unknown transfer coding": (HEAD + b"Transfer-Encoding: rot13\r\n\r\n{}", 400, "bad-request"),
    "packed and in chunks": (HEAD + b"Transfer-Encoding: gzip, chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n", 400, "bad-request"),
    "chunk size that is no number": (HEAD + b"Transfer-Encoding: chunked\r\n\r\nzz\r\n{}\r\n0\r\n\r\n", 400, "bad-request"),
    "chunk longer than said": (HEAD + b"Transfer-Encoding: chunked\r\n\r\n1\r\n{}\r\n0\r\n\r\n", 400, "bad-request"),
}


def talk(service: tuple[str, int], sent: bytes) -> bytes:
    """Everything the service says until it closes the connection."""
    with socket.create_connection(service, timeout=20.0) as connection:
        connection.sendall(sent)
        connection.shutdown(socket.SHUT_WR)
        said = b""
        while part := connection.recv(65536):
            said += part
    return said


@pytest.mark.parametrize("case", MALFORMED.values(), ids=MALFORMED)
def test_malformed_http(service: tuple[str, int], case: tuple[bytes, int, str]) -> None:
    sent, status, name = case
    said = talk(service, sent)
    head, _, body = said.partition(b"\r\n\r\n")
    lines = head.decode().split("\r\n")
    headers = {key.lower(): value for key, value in (line.split(": ", 1) for line in lines[1:])}
    assert lines[0].split(" ")[1] == str(status), said
    assert headers["content-type"] == "application/problem+json"
    assert int(headers["content-length"]) == len(body), "one answer and no more"
    problem = json.loads(body)
    assert problem["type"] == f"/problems/{name}"
    assert problem["status"] == status
    assert problem["request_id"] == headers["x-request-id"]


def test_half_a_body_is_not_waited_for_once_the_caller_has_gone(service: tuple[str, int]) -> None:
    said = talk(service, HEAD + b"Content-Length: 100\r\n\r\n{}")
    assert b"application/problem+json" in said
    assert said.split(b" ", 2)[1] == b"400"


def test_the_service_lives_on(service: tuple[str, int]) -> None:
    assert b'"status":"live"' in talk(service, b"GET /health/live HTTP/1.1\r\nHost: loopback\r\nConnection: close\r\n\r\n")


@pytest.mark.parametrize(
    ("error", "status"),
    [
        (LimitRequestLine(5000, 4094), 414),
        (LimitRequestHeaders("many"), 431),
        (InvalidHeader("X"), 400),
        (UnsupportedTransferCoding("rot13"), 400),
        (RuntimeError("secret"), 500),
    ],
    ids=lambda value: str(value),
)
def test_problem_of(error: BaseException, status: int) -> None:
    problem = problem_of(error)
    assert problem.kind.status == status
    assert "secret" not in problem.detail


def test_raw_answer_carries_the_security_headers() -> None:
    head = raw_answer(problem_of(InvalidHeader("X")), "a1").partition(b"\r\n\r\n")[0].decode()
    assert all(f"{name}: {value}" in head for name, value in SECURITY.items())
