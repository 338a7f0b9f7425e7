"""Asking a calculation by its name, and what the service tells about itself, for asyncio.

Generated from `_service.py`: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from borewright_client._async.calls import AsyncCalls
from borewright_client._errors import Unavailable
from borewright_client._types import Answer, Options, ReferenceTable


class AsyncService(AsyncCalls):
    """What is no single calculation."""

    async def ask(self, name: str, body: Mapping[str, Any], *, options: Options | None = None) -> Answer:
        """Ask a calculation by its name, with its request as one mapping: for forms and commands that know neither beforehand.

        >>> await client.ask("displacement", {"bore": float("nan")})
        Traceback (most recent call last):
        borewright_client._errors.Unsendable: #/bore: nan is no number that can be sent: where nothing is known, leave it out
        """
        return await self._calculate(Answer, f"/v1/{quote(name, safe='')}", body, options)

    async def reference(self, table: ReferenceTable, *, options: Options | None = None) -> dict[str, Any]:
        """Fetch a table of defaults with the source of each row.

        >>> table = await client.reference("units")
        >>> table["kinds"]["length"]["inch"]
        'in'
        """
        reply = await self._get(f"/v1/reference/{quote(table, safe='')}", options)
        return reply.json_object()

    async def openapi(self, *, options: Options | None = None) -> dict[str, Any]:
        """Fetch the OpenAPI document.

        >>> document = await client.openapi()
        >>> document["openapi"]
        '3.1.0'
        """
        reply = await self._get("/v1/openapi.json", options)
        return reply.json_object()

    async def health(self, *, options: Options | None = None) -> dict[str, Any]:
        """Ask whether the service is alive.

        >>> health = await client.health()
        >>> health["status"]
        'live'
        """
        reply = await self._get("/health/live", options)
        return reply.json_object()

    async def ready(self, *, options: Options | None = None) -> bool:
        """Tell whether the service takes requests now; asked once, as "not yet" (503) is an answer here.

        >>> await client.ready()
        True
        """
        once: Options = {**(options or {}), "retries": 0}
        try:
            await self._get("/health/ready", once)
        except Unavailable:
            return False
        return True
