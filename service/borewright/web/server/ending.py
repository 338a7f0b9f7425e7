"""What of an answer concerns its connection: whether it ends, and that head and body go out as one.

gunicorn leaves out a Connection header of the app's, and says that the connection goes on; and it sends the head by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from borewright.web.health import Readiness
from borewright.web.server.connection import Connection

MOST_LEFT = 65_536  # bytes of an unread body that gunicorn reads away so that the connection can go on
OK, REFUSED = 200, 400
WITHOUT_BODY = (204, 304)
MOST_JOINED = 65_536  # bytes of a body that is joined to its head: for what is larger the copy costs more than it saves
Headers = Sequence[tuple[str, str]]


def ends(environ: dict[str, Any], status: int, headers: Headers) -> bool:
    """Whether the connection can't go on after an answer: it says so, or refuses a large body that may not have been read.

    >>> ends({"CONTENT_LENGTH": "70000"}, 401, []), ends({"CONTENT_LENGTH": "70000"}, 200, []), ends({}, 408, [("Connection", "close")])
    (True, False, True)
    """
    if any(name.lower() == "connection" and value.lower() == "close" for name, value in headers):
        return True
    length = environ.get("CONTENT_LENGTH") or "0"
    return status >= REFUSED and ("HTTP_TRANSFER_ENCODING" in environ or int(length) > MOST_LEFT)


def carries_body(environ: dict[str, Any], status: int, headers: Headers) -> bool:
    """Whether a body of one piece follows the head of an answer.

    >>> carries_body({"REQUEST_METHOD": "GET"}, 200, [("Content-Length", "2")]), carries_body({"REQUEST_METHOD": "HEAD"}, 200, [])
    (True, False)
    """
    if environ["REQUEST_METHOD"] == "HEAD" or status < OK or status in WITHOUT_BODY:
        return False
    length = next((value for name, value in headers if name == "Content-Length"), "0")
    return 0 < int(length) <= MOST_JOINED


def ending(app: Callable[..., Iterable[bytes]], readiness: Readiness) -> Callable[..., Iterable[bytes]]:
    """A WSGI app whose answers end their connection where it can't go on, and always while the service drains; under gunicorn alone."""

    def within(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        joined = False

        def start(status: str, headers: Headers, exc_info: Any = None) -> Any:
            nonlocal joined
            code = int(status[:3])
            if readiness.draining or ends(environ, code, headers):
                start_response.__self__.force_close()
            joined = carries_body(environ, code, headers)
            return start_response(status, headers, exc_info)

        answer = app(environ, start)
        connection = environ.get("gunicorn.socket")
        if joined and isinstance(connection, Connection) and not isinstance(answer, environ["wsgi.file_wrapper"]):
            connection.hold()
        return answer

    return within
