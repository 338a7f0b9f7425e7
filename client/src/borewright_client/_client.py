"""The client: every calculation, and what the service tells about itself."""

from typing import Any
from urllib.parse import quote

from borewright_client._errors import Unavailable
from borewright_client._operations import Operations
from borewright_client._sheet import Sheets
from borewright_client._types import ReferenceTable


class Client(Operations, Sheets):
    """Calls one Borewright service; close it, or use it in a `with` block.

    `timeout` limits each wait for the service (connecting 5 s at most), `deadline` the whole call with its `retries` and the waits
    between them, all in seconds; they are a little longer than the 30 s after which the service itself gives up a calculation, so that
    its answer comes first. A page that must not wait passes less.
    Every call carries a fresh request id unless `request_id` fixes one; `last_request_id` is the one the service last answered with.
    A `session` brings its own proxies, certificates and adapters, and is left open. One client belongs to one thread.

    >>> import io, requests
    >>> class Bench(requests.adapters.BaseAdapter):
    ...     "Stands in for the service, so that this example needs no network."
    ...     def send(self, request, **options):
    ...         response = requests.Response()
    ...         response.status_code, response.url, response.request = 200, request.url, request
    ...         response.raw = io.BytesIO(b'{"status": "live"}')
    ...         return response
    ...     def close(self): pass
    >>> session = requests.Session()
    >>> session.mount("http://bench", Bench())
    >>> with Client("http://bench", session=session) as bench:
    ...     bench.health()
    {'status': 'live'}
    """

    def reference(self, table: ReferenceTable) -> dict[str, Any]:
        """Fetch a table of defaults with the source of each row.

        >>> client.reference("units")["kinds"]["length"]["inch"]
        'in'
        """
        return self._get(f"/v1/reference/{quote(table, safe='')}").json_object()

    def openapi(self) -> dict[str, Any]:
        """Fetch the OpenAPI document.

        >>> client.openapi()["openapi"]
        '3.1.0'
        """
        return self._get("/v1/openapi.json").json_object()

    def health(self) -> dict[str, Any]:
        """Ask whether the service is alive.

        >>> client.health()["status"]
        'live'
        """
        return self._get("/health/live").json_object()

    def ready(self) -> bool:
        """Tell whether the service takes requests now; asked once, as "not yet" (503) is an answer here.

        >>> client.ready()
        True
        """
        try:
            self._get_once("/health/ready")
        except Unavailable:
            return False
        return True
