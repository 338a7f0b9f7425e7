"""What one worker holds at once: bodies that wait for their calculation, and answers that wait for their callers.

Each limit of one request is harmless, and many requests at their limits are not: a few kilobytes of gzip become a body of many
megabytes, and an answer stands in memory until its caller has taken it. What goes beyond the room is answered 503 at once.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

from flask import Response

from borewright.web.problems import Problem
from borewright.web.server import heap

FREE = 65_536  # bytes of each that are not counted: small requests are answered however full it is
RETRY_AFTER = 1  # second


class Room:
    """A bound on the bytes that are held.

    most : how many [bytes]

    >>> Room(1_000_000).answered(lambda take: Response("done")).status_code
    200
    """

    def __init__(self, most: int) -> None:
        self.most, self.held = most, 0
        self._lock = threading.Lock()

    def answered(self, make: Callable[[Callable[[int], None]], Response]) -> Response:
        """The answer that a function makes, its bytes held until it was sent.

        make : is given what it must call with the size of each part of a body that it takes

        Raises Problem (503) where there is no room.
        """
        place = _Place(self)
        try:
            response = make(place.take)
            place.release()
            place.take(response.calculate_content_length() or 0)
        except BaseException:
            place.release()
            raise
        response.call_on_close(place.release)
        return response

    def change(self, size: int) -> None:
        """Hold more, or less.

        Raises Problem (503) where there is no room for more.
        """
        with self._lock:
            if size > 0 and self.held + size > self.most:
                detail = "too many large bodies and answers are held: try again, or send less at once"
                raise Problem("unavailable", detail, headers={"Retry-After": str(RETRY_AFTER)})
            self.held += size


class _Place:
    """The room of one request."""

    def __init__(self, room: Room) -> None:
        self._room, self._size, self._held = room, 0, 0

    def take(self, size: int) -> None:
        self._size += size
        more = max(0, self._size - FREE) - self._held
        if more:
            self._room.change(more)
            self._held += more

    def release(self) -> None:
        heap.freed(self._size)
        self._room.change(-self._held)
        self._size = self._held = 0

    def __del__(self) -> None:
        self.release()  # an answer that nobody closed
