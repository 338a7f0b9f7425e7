"""Head and body of an answer over a real socket: as one where they are small, whole and in order whatever they are."""

import socket

import pytest

from borewright.web.server.ending import MOST_JOINED, carries_body

BODY = b'{"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}'
HEAD = b"POST /v1/displacement HTTP/1.1\r\nHost: loopback\r\nContent-Type: application/json\r\n"
ASK = HEAD + b"Content-Length: %d\r\n\r\n%s" % (len(BODY), BODY)


def answer(connection: socket.socket, *, bodiless: bool = False) -> tuple[bytes, bytes]:
    """One answer, its head and its body, and nothing of the next."""
    said = b""
    while b"\r\n\r\n" not in said:
        said += connection.recv(1)
    head, _, body = said.partition(b"\r\n\r\n")
    length = next((int(line.split(b":")[1]) for line in head.split(b"\r\n") if line.lower().startswith(b"content-length")), 0)
    while not bodiless and len(body) < length:
        body += connection.recv(length - len(body))
    return head, body


def test_a_small_answer_is_one_piece(service: tuple[str, int]) -> None:
    with socket.create_connection(service, timeout=20.0) as connection:
        for _ in range(3):
            connection.sendall(ASK)
            head, _, body = connection.recv(65536).partition(b"\r\n\r\n")
            assert head.startswith(b"HTTP/1.1 200")
            assert b"Content-Length: %d" % len(body) in head


@pytest.mark.parametrize("ask", [b"HEAD /docs", b"HEAD /health/live", b"OPTIONS /v1/displacement", b"GET /docs", b"GET /nowhere"])
def test_answers_of_every_kind_follow_one_another(service: tuple[str, int], ask: bytes) -> None:
    """Those without a body are not waited with, large ones come whole, and the next answer is the next request's."""
    with socket.create_connection(service, timeout=20.0) as connection:
        for _ in range(2):
            connection.sendall(ask + b" HTTP/1.1\r\nHost: loopback\r\n\r\n")
            assert answer(connection, bodiless=ask.startswith(b"HEAD"))[0].startswith(b"HTTP/1.1 ")
            connection.sendall(ASK)
            head, body = answer(connection)
            assert head.startswith(b"HTTP/1.1 200")
            assert body.startswith(b'{"displacement"')


def test_what_has_no_body_or_a_large_one_is_not_joined() -> None:
    post = {"REQUEST_METHOD": "POST"}
    assert carries_body(post, 200, [("Content-Length", str(MOST_JOINED))])
    assert not carries_body(post, 200, [("Content-Length", str(MOST_JOINED + 1))])
    assert not carries_body(post, 200, [("Content-Length", "0")])
    assert not carries_body(post, 200, [])
    for status in (103, 204, 304):
        assert not carries_body(post, status, [("Content-Length", "2")])
