"""A caller's connection under gevent: no request of it takes more than its turn, and a caller who is too slow is let go.

A caller who sends or reads slowly waits in the event loop and holds nothing but this object. What the loop can't do by itself is here:
give others their turn between two requests of one connection, bound the time of a body and of taking an answer, and end a connection so
that the last answer arrives.
"""

from __future__ import annotations

import errno
import socket
import time
from contextlib import suppress
from typing import TYPE_CHECKING

import gevent
from gevent import socket as cooperative

from borewright.web.server import heap

if TYPE_CHECKING:
    from typing_extensions import Buffer

BODY_SECONDS = 30.0  # from the first byte of a request to its last: a minute of patience would be a minute of one of few large bodies
ANSWER_SECONDS = 30.0  # to take an answer
LINGER_SECONDS = 2.0  # how long a caller has to take the last answer and close (RFC 9112, section 9.6)
MOST_UNSENT = 65_536  # bytes of answers in the system's hands that the caller has no room for: who never reads is answered no further
TCP_NOTSENT_LOWAT = 25  # of Linux; Python has no name for it
MOST_DRAINED = 64_000_000  # bytes thrown away meanwhile: who is still sending what is too large reads the answer only after it


class Connection(cooperative.socket):
    """An accepted connection."""

    begun = 0.0  # when the present request did, as far as it was seen
    _holding, _held = False, b""

    @classmethod
    def of(cls, accepted: cooperative.socket) -> Connection:
        """Take over what was accepted."""
        found = cls(accepted.family, accepted.type, accepted.proto, fileno=accepted.detach())
        with suppress(OSError):
            found.setsockopt(socket.IPPROTO_TCP, TCP_NOTSENT_LOWAT, MOST_UNSENT)
        return found

    def recv(self, size: int, flags: int = 0) -> bytes:
        """What comes next.

        Raises TimeoutError where a request takes too long to come.
        """
        if self.begun:
            gevent.sleep(0)  # a caller who sends as fast as it is read would never wait, and nobody else would be heard
            self.settimeout(max(0.001, self.begun + BODY_SECONDS - time.monotonic()))
            return super().recv(size, flags)
        self.settimeout(None)  # how long silence between requests may be, and how long a head may take, the worker knows
        found = super().recv(size, flags)
        self.begun = time.monotonic()
        return found

    def hold(self) -> None:
        """Keep the head that is sent next until its body is, so that both go out as one: gunicorn sends one after the other."""
        self._holding = True

    def sendall(self, data: Buffer, flags: int = 0) -> None:
        """Send an answer, and let everybody else have a turn before the next.

        Raises ConnectionResetError where the caller does not take it in time.
        """
        if self._holding:
            self._holding, self._held = False, bytes(data)
            return
        self.begun = 0.0
        self.settimeout(ANSWER_SECONDS)
        try:
            if self._held:
                data, self._held = self._held + data, b""
            super().sendall(data, flags)
        except TimeoutError:
            raise ConnectionResetError(errno.ECONNRESET, "the caller did not take the answer") from None
        gevent.sleep(0)

    def close(self) -> None:
        """Say that nothing more is sent, and wait a little for the caller to close: else the answer may be lost on its way."""
        with suppress(OSError, ValueError):
            if self._held:  # the body never came
                super().sendall(self._held)
            self.shutdown(socket.SHUT_WR)
            end, drained = time.monotonic() + LINGER_SECONDS, 0
            while (left := end - time.monotonic()) > 0 and drained < MOST_DRAINED:
                gevent.sleep(0)
                self.settimeout(left)
                part = super().recv(65_536)
                if not part:
                    break
                drained += len(part)
        super().close()
        heap.closed()
