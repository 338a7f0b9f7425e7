"""The requests of a table, some of them in flight at once."""

import threading
from collections import deque
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

from borewright_client._calls import Calls
from borewright_client._errors import TooLarge, Unsendable
from borewright_client._tables import Columns, Part, checked_in_flight, chunks, counted_from, halves, length, part
from borewright_client._types import Options


class Flights(Calls):
    """Sends the chunks of a table and takes their answers in order."""

    def _cut(self, data: Any, size: int) -> Iterator[Columns]:
        """The chunks of a table."""
        return chunks(data, size)

    def _each(
        self,
        take: Callable[[Part], object],
        name: str,
        cut: Iterator[Columns],
        shared: Mapping[str, Any],
        in_flight: int,
        options: Options | None,
        start: int = 0,
        *,
        files: bool = False,
    ) -> None:
        """Hand the answers to the chunks on in their order, while at most `in_flight` requests are under way.

        files : whether chunks come from a file and answers go into one, which is the same here
        """
        waiting: deque[Future[list[Part]]] = deque()
        given_up = threading.Event()
        asking = self._until(given_up)
        with ThreadPoolExecutor(checked_in_flight(in_flight), thread_name_prefix="borewright-batch") as pool:
            try:
                for columns in cut:
                    if len(waiting) >= in_flight:
                        _handed_on(take, waiting.popleft().result())
                    waiting.append(pool.submit(asking._answered, name, columns, shared, options, start))
                    start += length(columns)
                while waiting:
                    _handed_on(take, waiting.popleft().result())
            finally:
                given_up.set()  # by Ctrl-C, or for a chunk that was refused: the others' answers are wanted no more
                for future in waiting:
                    future.cancel()

    def _answered(self, name: str, columns: Columns, shared: Mapping[str, Any], options: Options | None, start: int) -> list[Part]:
        """The answer to a chunk; one whose body is larger than the service takes is halved."""
        try:
            return [part(self._batch(name, {"columns": columns, **shared}, options), start, length(columns))]
        except Unsendable as wrong:
            raise counted_from(wrong, start) from None
        except TooLarge:
            if length(columns) < 2:
                raise
        first, second = halves(columns)
        return [
            *self._answered(name, first, shared, options, start),
            *self._answered(name, second, shared, options, start + length(first)),
        ]


def _handed_on(take: Callable[[Part], object], parts: list[Part]) -> None:
    for one in parts:
        take(one)
