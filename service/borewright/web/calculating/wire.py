"""Messages between a worker and its calculators: a head in JSON and the bytes of a body, on a socket between two processes."""

from __future__ import annotations

import json
import socket
import struct
from typing import Any

_SIZES = struct.Struct("!IQ")  # of the head and of the body
_PART = 1_048_576


def send(connection: socket.socket, head: dict[str, Any], body: bytes) -> None:
    """Send a message.

    head : may hold any text, half a surrogate of the caller's own among it, which a stricter writer of JSON would not take
    """
    written = json.dumps(head).encode()
    connection.sendall(_SIZES.pack(len(written), len(body)) + written)
    connection.sendall(body)


def receive(connection: socket.socket) -> tuple[dict[str, Any], bytes]:
    """The next message.

    Raises EOFError where the other side is gone.
    """
    head, body = _SIZES.unpack(_exactly(connection, _SIZES.size))
    return json.loads(_exactly(connection, head)), _exactly(connection, body)


def _exactly(connection: socket.socket, size: int) -> bytes:
    if size <= _PART:  # mostly it comes as one part
        found = connection.recv(size) if size else b""
        if len(found) == size:
            return found
    else:
        found = b""
    taken = bytearray(found)
    while len(taken) < size:
        part = connection.recv(min(_PART, size - len(taken)))
        if not part:
            raise EOFError("the other process is gone")
        taken += part
    return bytes(taken)
