"""The client for asyncio: every calculation, the sheet, tables, and what the service tells about itself."""

from borewright_client._async.batches import AsyncBatches
from borewright_client._async.operations import AsyncOperations
from borewright_client._async.service import AsyncService
from borewright_client._async.sheet import AsyncSheets


class AsyncClient(AsyncOperations, AsyncSheets, AsyncBatches, AsyncService):
    """`Client` for asyncio: the same operations, settings, tries and errors, each call awaited; it wants httpx (the extra `async`).

    Close it by `aclose()`, or use it in an `async with` block. Tasks may share one client: calls beyond its `connections` wait in turn
    for one, and what they wait counts toward their deadline. A call that is canceled closes its connection. Each event loop has
    connections of its own, but for a `session` that the caller brought. The rows of a table may come from an asynchronous iterable.

    base_url, api_key, timeout, deadline, retries, request_id, before, after : as in `Client`; what is left out comes from the same
        environment; the hooks are plain functions; `last_request_id` is this task's last one
    connections : how many calls may be under way at once
    session : an httpx.AsyncClient, which brings its own proxies, certificates and transports, and is left open

    >>> import asyncio, httpx
    >>> async def live(base_url):
    ...     bench = httpx.MockTransport(lambda request: httpx.Response(200, json={"status": "live"}))
    ...     async with httpx.AsyncClient(transport=bench) as session, AsyncClient(base_url, session=session) as client:
    ...         return await client.health()
    >>> asyncio.run(live("http://bench"))
    {'status': 'live'}
    """
