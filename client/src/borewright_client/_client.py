"""The client: every calculation, and what the service tells about itself."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from borewright_client._batches import Batches
from borewright_client._errors import Unavailable
from borewright_client._operations import Operations
from borewright_client._sheet import Sheets
from borewright_client._types import Answer, Options, ReferenceTable


class Client(Operations, Sheets, Batches):
    """Calls one Borewright service; close it, or use it in a `with` block.

    Threads may share one client: each has connections of its own, but for a `session` that the caller brought. What is left out comes
    from the environment: BOREWRIGHT_CLIENT_URL, _API_KEY, _TIMEOUT, _DEADLINE, _RETRIES. It logs to `borewright_client`: each try at
    DEBUG, each wait for another at INFO, no key and no body.

    base_url : address of the service, with the path under which a proxy serves it if any: "https://shop.example/engines"
    api_key : the key as the operator handed it over, where the service wants one
    timeout : longest wait for the connection (5 s at most) and for each piece of the answer [s]
    deadline : longest time of a whole call, its retries and the waits between them included [s]; like timeout it is by default a
        little more than the 30 s after which the service gives up a calculation, so that its own answer comes first: a page that
        must not wait passes less
    retries : how often a call that may yet succeed is tried again; a Retry-After is waited for where the deadline has room for it,
        else the error is raised at once
    request_id : 1 to 64 letters, digits, dots, underscores or hyphens, sent with every call in place of a fresh id; an answer has the
        one that the service gave it as `request_id`, and this thread's last one is `last_request_id`
    before, after : called with an `Attempt` around each try, for tracing: `before` may add to its headers
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

    def ask(self, name: str, body: Mapping[str, Any], *, options: Options | None = None) -> Answer:
        """Ask a calculation by its name, with its request as one mapping: for forms and commands that know neither beforehand.

        >>> client.ask("displacement", {"bore": float("nan")})
        Traceback (most recent call last):
        borewright_client._errors.Unsendable: #/bore: Out of range float values are not JSON compliant...
        """
        return self._calculate(Answer, f"/v1/{quote(name, safe='')}", body, options)

    def reference(self, table: ReferenceTable, *, options: Options | None = None) -> dict[str, Any]:
        """Fetch a table of defaults with the source of each row.

        >>> client.reference("units")["kinds"]["length"]["inch"]
        'in'
        """
        reply = self._get(f"/v1/reference/{quote(table, safe='')}", options)
        return reply.json_object()

    def openapi(self, *, options: Options | None = None) -> dict[str, Any]:
        """Fetch the OpenAPI document.

        >>> client.openapi()["openapi"]
        '3.1.0'
        """
        reply = self._get("/v1/openapi.json", options)
        return reply.json_object()

    def health(self, *, options: Options | None = None) -> dict[str, Any]:
        """Ask whether the service is alive.

        >>> client.health()["status"]
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
