"""The requests of a table, some of them in flight at once."""

import asyncio
from collections import deque
from collections.abc import AsyncGenerator, AsyncIterable, Callable, Iterator, Mapping
from typing import Any

from borewright_client._async.calls import AsyncCalls
from borewright_client._errors import TooLarge, Unsendable
from borewright_client._tables import Columns, Part, checked_in_flight, checked_size, chunks, columns_of, counted_from, halves, length, part
from borewright_client._types import Options

Cut = Iterator[Columns] | AsyncGenerator[Columns, None]


class AsyncFlights(AsyncCalls):
    """Sends the chunks of a table and takes their answers in order."""

    def _cut(self, data: Any, size: int) -> Cut:
        """The chunks of a table, whose rows may come from an asynchronous iterable too."""
        return _chunks(data, checked_size(size)) if isinstance(data, AsyncIterable) else chunks(data, size)

    async def _each(
        self,
        take: Callable[[Part], object],
        name: str,
        cut: Cut,
        shared: Mapping[str, Any],
        in_flight: int,
        options: Options | None,
        start: int = 0,
        *,
        files: bool = False,
    ) -> None:
        """Hand the answers to the chunks on in their order, while at most `in_flight` requests are under way.

        files : whether chunks come from a file and answers go into one, which a thread does then
        """
        checked_in_flight(in_flight)
        waiting: deque[asyncio.Task[list[Part]]] = deque()

        async def hand_on() -> None:
            for one in await waiting[0]:
                await self._aside(take, one) if files else take(one)
            waiting.popleft()

        try:
            while (columns := await self._next(cut, files=files)) is not None:
                if len(waiting) >= in_flight:
                    await hand_on()
                waiting.append(asyncio.create_task(self._answered(name, columns, shared, options, start)))
                start += length(columns)
            while waiting:
                await hand_on()
        finally:
            for task in waiting:
                task.cancel()
            await asyncio.gather(*waiting, return_exceptions=True)
            if isinstance(cut, AsyncGenerator):
                await cut.aclose()

    async def _next(self, cut: Cut, *, files: bool) -> Columns | None:
        if isinstance(cut, AsyncGenerator):
            return await anext(cut, None)
        return await self._aside(next, cut, None) if files else next(cut, None)

    async def _answered(self, name: str, columns: Columns, shared: Mapping[str, Any], options: Options | None, start: int) -> list[Part]:
        """The answer to a chunk; one whose body is larger than the service takes is halved."""
        try:
            return [part(await self._batch(name, {"columns": columns, **shared}, options), start, length(columns))]
        except Unsendable as wrong:
            raise counted_from(wrong, start) from None
        except TooLarge:
            if length(columns) < 2:
                raise
        first, second = halves(columns)
        return [
            *await self._answered(name, first, shared, options, start),
            *await self._answered(name, second, shared, options, start + length(first)),
        ]


async def _chunks(data: AsyncIterable[Mapping[str, Any]], size: int) -> AsyncGenerator[Columns, None]:
    rows: list[Mapping[str, Any]] = []
    async for row in data:
        rows.append(row)
        if len(rows) == size:
            yield columns_of(rows)
            rows = []
    if rows:
        yield columns_of(rows)
