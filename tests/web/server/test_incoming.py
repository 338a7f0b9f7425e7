"""How much of a request has come: the same in whatever pieces it comes, and never short of what a parser needs."""

from collections.abc import Iterator

import pytest
from gunicorn.config import Config
from gunicorn.http.errors import ParseException
from gunicorn.http.parser import RequestParser
from hypothesis import given
from hypothesis import strategies as st

from borewright.web.server.incoming import MOST_BODY, Incoming, State

HEAD = b"POST /v1/x HTTP/1.1\r\nHost: a\r\n"
MOST_HEAD = 2000


def fed(*parts: bytes) -> Incoming:
    incoming = Incoming(MOST_HEAD)
    for part in parts:
        incoming.feed(part)
    return incoming


def chunked(*chunks: bytes, trailers: bytes = b"") -> bytes:
    body = b"".join(b"%x;a=b\r\n%s\r\n" % (len(chunk), chunk) for chunk in chunks)
    return HEAD + b"Transfer-Encoding: chunked\r\n\r\n" + body + b"0\r\n" + trailers + b"\r\n"


WHOLE = {
    "no body": HEAD + b"\r\n",
    "empty body": HEAD + b"Content-Length: 0\r\n\r\n",
    "counted": HEAD + b"content-LENGTH:   11 \r\n\r\nhello world",
    "as large as is held": HEAD + b"Content-Length: %d\r\n\r\n" % MOST_BODY + b"x" * MOST_BODY,
    "chunks": chunked(b"hello", b"0\r\n\r\n", b"\r\n\r\n" * 5),
    "no chunk": chunked(),
    "trailers": chunked(b"hello", trailers=b"X-A: b\r\nX-C: d\r\n"),
}


@pytest.mark.parametrize("whole", WHOLE.values(), ids=WHOLE)
def test_ready_with_the_last_byte_and_not_before(whole: bytes) -> None:
    for size in (1, 2, 3, 7, 1000) if len(whole) < 1000 else (65536,):
        incoming = Incoming(MOST_HEAD)
        for at in range(0, len(whole), size):
            state = incoming.feed(whole[at : at + size])
            assert (state is State.READY) is (at + size >= len(whole)), (size, at)
        assert not incoming.unfinished
        assert incoming.take() == whole
        assert incoming.state is State.EMPTY


@given(st.lists(st.binary(min_size=1, max_size=40), max_size=5), st.lists(st.integers(1, 60), min_size=1), st.booleans())
def test_a_parser_needs_no_more_than_was_ready(chunks: list[bytes], sizes: list[int], trailers: bool) -> None:
    """gunicorn's own parser reads the request from what was held, whatever the pieces, and finds nothing missing."""
    whole, incoming, at = chunked(*chunks, trailers=b"X-A: b\r\n" if trailers else b""), Incoming(MOST_HEAD), 0
    for number in range(10_000):
        size = sizes[number % len(sizes)]
        if incoming.feed(whole[at : at + size]) is State.READY:
            break
        at += size
        assert at < len(whole)
    request = next(RequestParser(Config(), iter([incoming.take()]), ("127.0.0.1", 1)))
    assert request.body.read() == b"".join(chunks)


@given(st.binary(max_size=400))
def test_any_bytes_are_taken_whatever_their_pieces(sent: bytes) -> None:
    whole, pieces = fed(sent), fed(*(sent[at : at + 1] for at in range(len(sent))))
    assert (whole.state is State.EMPTY) is (not sent)
    assert whole.state in (pieces.state, State.READY), "what comes at once is judged at least as far"
    assert whole.take() == sent


@pytest.mark.parametrize(
    ("sent", "state"),
    [
        (b"", State.EMPTY),
        (b"G", State.HEAD),
        (HEAD, State.HEAD),
        (HEAD + b"\r", State.HEAD),
        (HEAD + b"X-A: Content-Length: 5\r\n\r\n", State.READY),
        (HEAD + b"Content-Length: 5\r\n\r\n1234", State.BODY),
        (HEAD + b"Transfer-Encoding: chunked\r\n\r\n", State.BODY),
        (HEAD + b"Transfer-Encoding: chunked\r\n\r\n5\r\nabc", State.BODY),
        (HEAD + b"Transfer-Encoding: chunked\r\n\r\n0\r\nX-A: b\r\n", State.BODY),
    ],
)
def test_how_far(sent: bytes, state: State) -> None:
    assert fed(sent).state is state


@pytest.mark.parametrize(
    "sent",
    [
        HEAD + b"Content-Length: two\r\n\r\n",
        HEAD + b"Content-Length: -1\r\n\r\n",
        HEAD + b"Transfer-Encoding: chunked\r\n\r\nzz\r\n",
        HEAD + b"Transfer-Encoding: chunked\r\n\r\n1\r\nabc\r\n",
        HEAD + b"Transfer-Encoding: chunked\r\n\r\n" + b"f" * 9000,
        HEAD + b"Transfer-Encoding: chunked\r\n\r\n0\r\n" + b"X" * 3000,
        b"\x16\x03\x01\r\n\r\n",
    ],
)
def test_what_makes_no_sense_is_for_the_parser(sent: bytes) -> None:
    assert fed(sent).state is State.READY


NUMBERS = st.from_regex(r"[ \t]*0{0,20}[0-9]{1,20}[ \t]*|[+-]?[0-9a-f_,; ]{0,12}", fullmatch=True).map(str.encode)
SIZES = st.from_regex(r"0{0,12}[0-9A-Fa-f]{1,10}([ \t]*;a=b)?|[0-9a-z -]{0,5}", fullmatch=True).map(str.encode)
CHUNKED = st.sampled_from([b"chunked", b"Chunked ", b"\tchunked", b"gzip, chunked", b"chunked, gzip", b"identity", b""])
BODIES = st.sampled_from([b"", b"{", b"{}\r\n0\r\n\r\n", b"0\r\n", b"x" * 40])


@given(st.one_of(st.tuples(st.just(b"Content-Length"), NUMBERS), st.tuples(st.just(b"Transfer-Encoding"), CHUNKED)), SIZES, BODIES)
def test_no_thread_waits_uncounted(header: tuple[bytes, bytes], size: bytes, body: bytes) -> None:
    """Whatever spelling the parser may understand: what is ready and not unfinished lets it ask for nothing more."""
    name, value = header
    start = HEAD + name + b": " + value + b"\r\n\r\n"
    incoming = fed(start + (size + b"\r\n" if name != b"Content-Length" else b"") + body)
    if incoming.state is not State.READY or incoming.unfinished:
        return

    def held() -> Iterator[bytes]:
        yield incoming.take()
        raise AssertionError("the parser waits for more")

    try:
        request = next(RequestParser(Config(), held(), ("127.0.0.1", 1)))
        request.body.read()
    except ParseException:
        return


@pytest.mark.parametrize(
    "sent",
    [
        HEAD + b"Content-Length: 00000000000000000011\r\n\r\nhello",
        HEAD + b"Transfer-Encoding: chunked\r\n\r\n000000005\r\nabc",
        HEAD + b"Transfer-Encoding: chunked\r\n\r\n000000000\r\n",
    ],
)
def test_leading_noughts_are_read(sent: bytes) -> None:
    assert fed(sent).state is State.BODY


@pytest.mark.parametrize(
    "sent",
    [
        HEAD + b"Content-Length: %d\r\n\r\n" % (MOST_BODY + 1),
        HEAD + b"Content-Length: 99999999999999999999\r\n\r\n",
        HEAD + b"Transfer-Encoding: chunked\r\n\r\nfffffffff\r\nabc",
        HEAD + b"Expect: 100-continue\r\nContent-Length: 10\r\n\r\n",
        HEAD + b"Expect: 100-continue\r\nTransfer-Encoding: chunked\r\n\r\n",
        HEAD + b"Transfer-Encoding: chunked\r\n\r\n%x\r\n" % (MOST_BODY + 1),
        HEAD + b"Transfer-Encoding: chunked\r\n\r\n" + b"fff0\r\n%s\r\n" % (b"x" * 0xFFF0) * 5,
    ],
)
def test_a_larger_body_is_left_to_a_thread(sent: bytes) -> None:
    incoming = fed(sent)
    assert (incoming.state, incoming.unfinished) == (State.READY, True)
    incoming.take()
    assert not incoming.unfinished


@pytest.mark.parametrize("sent", [b"G" * (MOST_HEAD + 1), HEAD + b"X: " + b"x" * MOST_HEAD + b"\r\n\r\n"])
def test_largest_head(sent: bytes) -> None:
    assert fed(sent).state is State.TOO_LARGE
    assert fed(b"GET / HTTP/1.1\r\nX: ".ljust(MOST_HEAD, b"x") + b"\r\n\r\n").state is State.READY


def test_the_next_request_begins_anew() -> None:
    incoming = fed(chunked(b"hello"))
    incoming.take()
    assert incoming.feed(HEAD) is State.HEAD
    assert incoming.feed(b"\r\n") is State.READY


def test_a_drip_of_bytes_takes_no_time() -> None:
    """Nearly two hundred thousand bytes, one at a time, are looked at once each."""
    incoming = Incoming(MOST_HEAD)
    incoming.feed(HEAD + b"Transfer-Encoding: chunked\r\n\r\n2ffff\r\n")
    for _ in range(190_000):
        incoming.feed(b"x")
    assert incoming.state is State.BODY
