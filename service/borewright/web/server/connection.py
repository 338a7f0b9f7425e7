"""A caller's connection: what came on it, by when more must come, and reading that gives up in time."""

from __future__ import annotations

import socket
import time
from typing import Any

from gunicorn.config import Config
from gunicorn.http.parser import RequestParser
from gunicorn.http.unreader import SocketUnreader
from gunicorn.workers.gthread import TConn

from borewright.web.server.incoming import Incoming


class DeadlineUnreader(SocketUnreader):
    """gunicorn's reader of a socket; what does not come by the deadline raises TimeoutError."""

    deadline = 0.0

    def chunk(self, size_hint: int | None = None) -> bytes:
        """The next bytes of the socket."""
        before = self.sock.gettimeout()
        left = self.deadline - time.monotonic()
        if left <= 0:
            raise TimeoutError("the caller took too long")
        self.sock.settimeout(left if before is None else min(left, before))
        try:
            return self.sock.recv(min(size_hint or self.mxchunk, 1024 * 1024))
        finally:
            self.sock.settimeout(before)


class Connection(TConn):
    """A connection that waits in the worker's loop until a request is there, and only then is given a thread.

    most_head : largest head of a request [bytes]
    """

    def __init__(self, cfg: Config, sock: socket.socket, client: Any, server: Any, most_head: int) -> None:
        super().__init__(cfg, sock, client, server)
        self.incoming = Incoming(most_head)
        self.deadline = 0.0
        self.lingering = False  # answered for the last time; what still comes is thrown away
        self.drained, self.drained_by = 0, 0.0

    def begin(self, body_seconds: float, answer_seconds: float) -> RequestParser:
        """Let a thread have it: what came goes to the parser, reading more and writing are bounded in time."""
        self.sock.settimeout(answer_seconds)
        if not isinstance(self.parser, RequestParser):
            self.parser = RequestParser(self.cfg, self.sock, self.client)
            self.parser.unreader = DeadlineUnreader(self.sock)
            self.initialized = True
        unreader = self.parser.unreader
        if isinstance(unreader, DeadlineUnreader):
            unreader.deadline = time.monotonic() + body_seconds
        unreader.unread(self.incoming.take())
        return self.parser

    def end(self) -> bytes:
        """Take it back from its thread; what the parser read beyond the request is the next one's beginning."""
        self.sock.setblocking(False)
        return self.parser.unreader.take_buffered() if isinstance(self.parser, RequestParser) else b""
