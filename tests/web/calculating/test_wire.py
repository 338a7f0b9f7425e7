"""Messages between processes: whole, whatever their size and however they come."""

import socket
import threading

import pytest

from borewright.web.calculating.wire import receive, send


@pytest.mark.parametrize("size", [0, 1, 1_048_576, 1_048_577, 5_000_000])
def test_what_is_sent_is_received(size: int) -> None:
    ours, theirs = socket.socketpair()
    with ours, theirs:
        body = bytes(range(256)) * (size // 256) + b"x" * (size % 256)
        sending = threading.Thread(target=lambda: [send(ours, {"a": ["µ", 1.5]}, body) for _ in range(2)])
        sending.start()
        for _ in range(2):
            assert receive(theirs) == ({"a": ["µ", 1.5]}, body)
        sending.join()


def test_any_text_is_sent() -> None:
    """A name of the caller's with half a surrogate in it is told in a refusal like any other."""
    ours, theirs = socket.socketpair()
    with ours, theirs:
        head = {"errors": [["#/\ud800", "\udfff\0\n\u2028 🛠", "unknown"]], "seconds": 0.001}
        send(ours, head, b"")
        assert receive(theirs) == (head, b"")


def test_drop_by_drop() -> None:
    ours, theirs = socket.socketpair()
    with ours, theirs:
        send(ours, {"a": 1}, b"bcd")
        sent = theirs.recv(1000)

        def drip() -> None:
            for at in range(len(sent)):
                ours.sendall(sent[at : at + 1])

        dripping = threading.Thread(target=drip)
        dripping.start()
        assert receive(theirs) == ({"a": 1}, b"bcd")
        dripping.join()


@pytest.mark.parametrize("cut", [0, 3, 12, 15, 17])
def test_the_end_of_the_other_side(cut: int) -> None:
    ours, theirs = socket.socketpair()
    with theirs:
        with ours:
            send(ours, {"a": 1}, b"bcd")
            sent = theirs.recv(1000)
            ours.sendall(sent[:cut])
        with pytest.raises(EOFError):
            receive(theirs)
