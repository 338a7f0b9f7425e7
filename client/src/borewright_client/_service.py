"""Asking a calculation by its name, and what the service tells about itself."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from borewright_client._calls import Calls
from borewright_client._errors import Unavailable
from borewright_client._types import Answer, Options, ReferenceTable


class Service(Calls):
    """What is no single calculation."""

    def ask(self, name: str, body: Mapping[str, Any], *, options: Options | None = None) -> Answer:
        """Ask a calculation by its name, with its request as one mapping: for forms and commands that know neither beforehand.

        >>> client.ask("displacement", {"bore": float("nan")})
        Traceback (most recent call last):
        borewright_client._errors.Unsendable: #/bore: nan is no number that can be sent: where nothing is known, leave it out
        """
        return self._calculate(Answer, f"/v1/{quote(name, safe='')}", body, options)

    def reference(self, table: ReferenceTable, *, options: Options | None = None) -> dict[str, Any]:
        """Fetch a table of defaults with the source of each row.

        >>> table = client.reference("units")
        >>> table["kinds"]["length"]["inch"]
        'in'
        """
        reply = self._get(f"/v1/reference/{quote(table, safe='')}", options)
        return reply.json_object()

    def openapi(self, *, options: Options | None = None) -> dict[str, Any]:
        """Fetch the OpenAPI document.

        >>> document = client.openapi()
        >>> document["openapi"]
        '3.1.0'
        """
        reply = self._get("/v1/openapi.json", options)
        return reply.json_object()

    def health(self, *, options: Options | None = None) -> dict[str, Any]:
        """Ask whether the service is alive.

        >>> health = client.health()
        >>> health["status"]
        'live'
        """
        reply = self._get("/health/live", options)
        return reply.json_object()

    def ready(self, *, options: Options | None = None) -> bool:
        """Tell whether the service takes requests now; asked once, as "not yet" (503) is an answer here.

        >>> client.ready()
        True
        """
        once: Options = {**(options or {}), "retries": 0}
        try:
            self._get("/health/ready", once)
        except Unavailable:
            return False
        return True
