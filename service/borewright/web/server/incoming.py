"""How much of a request has come, told without reading it: enough to know when a thread has all it needs."""

from __future__ import annotations

import re
from enum import Enum

MOST_BODY = 262_144  # bytes of a body that are held for it; of a larger one, a thread waits for the rest
_HEALTH = b"GET /health/"
_HEAD_END, _LINE_END = b"\r\n\r\n", b"\r\n"
_MOST_CHUNK_LINE = 8190  # as gunicorn's own parser has it
_COUNTED = re.compile(rb"^content-length:", re.IGNORECASE | re.MULTILINE)
_LENGTH = re.compile(rb"^content-length:[ \t]*0*([0-9]{1,15})[ \t]*\r?$", re.IGNORECASE | re.MULTILINE)
_CHUNKED = re.compile(rb"^transfer-encoding:", re.IGNORECASE | re.MULTILINE)
_EXPECT = re.compile(rb"^expect:", re.IGNORECASE | re.MULTILINE)
_CHUNK_SIZE = re.compile(rb"0*([0-9A-Fa-f]{1,8})")


class State(Enum):
    """What can be done about a request."""

    EMPTY = "nothing of it has come"
    HEAD = "its head is coming"
    BODY = "its body is coming"
    READY = "all of it is there, or as much as is held for it"
    TOO_LARGE = "its head is larger than it may be"


class Incoming:
    """The bytes of one request as they come.

    It judges nothing: what it can't make sense of is READY, for the parser to refuse. But the parser may find sense in it and wait
    for more, so it counts as unfinished: no caller must hold a thread unless it is counted among those who do.

    most_head : largest head [bytes]

    >>> incoming = Incoming(most_head=1000)
    >>> incoming.feed(b"POST / HTTP/1.1\\r\\nContent-Length: 2\\r\\n\\r\\n{").name, incoming.feed(b"}").name
    ('BODY', 'READY')
    """

    def __init__(self, most_head: int) -> None:
        self._most_head = most_head
        self._clear()

    def _clear(self) -> None:
        self.state = State.EMPTY
        self.unfinished = False  # whether some of the body may still be to come when it is READY
        self._held = bytearray()
        self._looked = 0  # up to where the head's end, then the next chunk, was looked for
        self._body = 0  # where the body begins; 0 while the head is coming
        self._length = 0
        self._chunked = False

    def feed(self, data: bytes) -> State:
        """Take what came, and say how far the request is."""
        self._held += data
        if not self._body:
            self.state = self._head()
        if self._body:
            self.state = self._chunks() if self._chunked else self._counted()
        return self.state

    @property
    def asks_for_health(self) -> bool:
        """Whether it is all there and only asks how the service is."""
        return self.state is State.READY and not self.unfinished and self._held.startswith(_HEALTH)

    def take(self) -> bytes:
        """Everything that came; the next request begins with nothing."""
        held = bytes(self._held)
        self._clear()
        return held

    def _head(self) -> State:
        end = self._held.find(_HEAD_END, max(0, self._looked - len(_HEAD_END) + 1))
        self._looked = len(self._held)
        if end > self._most_head or (end < 0 and len(self._held) > self._most_head):
            return State.TOO_LARGE
        if end < 0:
            return State.HEAD if self._held else State.EMPTY
        head = bytes(self._held[:end])
        self._body = self._looked = end + len(_HEAD_END)
        length = _LENGTH.search(head)
        self._length = int(length[1]) if length else 0
        self.unfinished = length is None and _COUNTED.search(head) is not None
        self._chunked = _CHUNKED.search(head) is not None
        if _EXPECT.search(head):  # who waits for 100 Continue sends no more before it
            self._length, self._chunked = max(self._length, MOST_BODY + 1), False
        return State.BODY

    def _counted(self) -> State:
        came = len(self._held) - self._body
        if came >= self._length:
            return State.READY
        if self._length > MOST_BODY:
            return self._rest()
        return State.BODY

    def _chunks(self) -> State:
        """Go from chunk to chunk (RFC 9112, section 7.1) as far as they have come."""
        while True:
            end = self._held.find(_LINE_END, self._looked)
            if end < 0:
                return self._rest() if len(self._held) - self._looked > _MOST_CHUNK_LINE else State.BODY
            size = _CHUNK_SIZE.fullmatch(bytes(self._held[self._looked : end]).partition(b";")[0].strip(b" \t"))
            if size is None:
                return self._rest()
            if int(size[1], 16) == 0:
                if self._held.find(_HEAD_END, end) >= 0:
                    return State.READY
                return self._rest() if len(self._held) - end > self._most_head else State.BODY
            after = end + len(_LINE_END) + int(size[1], 16) + len(_LINE_END)
            if after - self._body > MOST_BODY:
                return self._rest()
            if after > len(self._held):
                return State.BODY
            if self._held[after - len(_LINE_END) : after] != _LINE_END:
                return self._rest()
            self._looked = after

    def _rest(self) -> State:
        self.unfinished = True
        return State.READY
