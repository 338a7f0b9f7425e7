"""One call, from its body to its answer, for asyncio.

Generated from `_calls.py`: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from collections.abc import Mapping

from borewright_client._async.transport import AsyncTransport
from borewright_client._calls import Kind
from borewright_client._core import of_kind
from borewright_client._types import BatchAnswer, Options, SheetDocument
from borewright_client._wire import JSON, Reply, encode


class AsyncCalls(AsyncTransport):
    """What every operation is made of."""

    async def _calculate(self, kind: type[Kind], path: str, body: Mapping[str, object], options: Options | None = None) -> Kind:
        reply = await self._post(path, body, options=options)
        return kind(reply.json_object(), reply.request_id, reply.headers)

    async def _batch(self, name: str, body: Mapping[str, object], options: Options | None = None) -> BatchAnswer:
        return await self._calculate(BatchAnswer, f"/v1/{name}/batch", body, options)

    async def _document(self, path: str, body: Mapping[str, object], accept: str, options: Options | None = None) -> SheetDocument:
        reply = await self._post(path, body, accept, options)
        return SheetDocument(of_kind(reply, accept), reply.request_id, reply.headers)

    async def _post(self, path: str, body: Mapping[str, object], accept: str = JSON, options: Options | None = None) -> Reply:
        return await self._send("POST", path, accept, encode(body), options)

    async def _get(self, path: str, options: Options | None = None) -> Reply:
        return await self._send("GET", path, JSON, None, options)
