"""The client: every calculation, and what the service tells about itself."""

from typing import Any
from urllib.parse import quote

from borewright_client._errors import Unavailable
from borewright_client._operations import Operations
from borewright_client._sheet import Sheets
from borewright_client._types import ReferenceTable


class Client(Operations, Sheets):
    """Calls one Borewright service; close it, or use it in a `with` block. One client belongs to one thread.

    base_url : address of the service, with the path under which a proxy serves it if any: "https://shop.example/engines"
    api_key : the key as the operator handed it over, where the service wants one
    timeout : longest wait for the connection (5 s at most) and for each piece of the answer [s]
    deadline : longest time of a whole call, its retries and the waits between them included [s]; like timeout it is by default a
        little more than the 30 s after which the service gives up a calculation, so that its own answer comes first: a page that
        must not wait passes less
    retries : how often a call that may yet succeed is tried again
    request_id : 1 to 64 letters, digits, dots, underscores or hyphens, sent with every call in place of a fresh id; `last_request_id` is
        the one the service last answered with
    session : brings its own proxies, certificates and adapters, and is left open

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
