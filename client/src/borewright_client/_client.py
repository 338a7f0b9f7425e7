"""The client: every calculation, the sheet, tables, and what the service tells about itself."""

from borewright_client._batches import Batches
from borewright_client._operations import Operations
from borewright_client._service import Service
from borewright_client._sheet import Sheets


class Client(Operations, Sheets, Batches, Service):
    """Calls one Borewright service; close it, or use it in a `with` block.

    Threads may share one client: no two calls use a connection at once, but for those of a `session` that the caller brought. A forked
    process may go on with it, and a copy or a pickle of it has the same settings, the key among them, and connections of its own.

    What is left out comes from the environment: BOREWRIGHT_CLIENT_URL, _API_KEY, _TIMEOUT, _DEADLINE, _RETRIES; empty is as if unset. It
    logs to `borewright_client`: each try at DEBUG, each wait for another at INFO, no key and no body.

    base_url : address of the service, with the path under which a proxy serves it if any: "https://shop.example/engines"
    api_key : the key as the operator handed it over, where the service wants one
    timeout : longest wait for the connection (5 s at most) and for each piece of the answer [s]
    deadline : longest time of a whole call, its retries and the waits between them included, but for finding the address of a name,
        which is the system's [s]; like timeout it is by default a
        little more than the 30 s after which the service gives up a calculation, so that its own answer comes first: a page that
        must not wait passes less
    retries : how often a call that may yet succeed is tried again; a Retry-After is waited for where the deadline has room for it,
        else the error is raised at once
    request_id : 1 to 64 letters, digits, dots, underscores or hyphens, sent with every call in place of a fresh id; an answer has the
        one that the service gave it as `request_id`, and this thread's last one is `last_request_id`
    before, after : called with an `Attempt` around each try, for tracing: `before` may add to its headers
    session : brings its own proxies, certificates and adapters, and is left open; its own way of reading may let the head of an answer
        that trickles in outlast the deadline

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
