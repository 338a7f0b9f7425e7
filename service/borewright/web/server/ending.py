"""Saying that a connection ends with an answer: gunicorn leaves out a Connection header of the app's, and says that it goes on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from borewright.web.health import Readiness

MOST_LEFT = 65_536  # bytes of an unread body that gunicorn reads away so that the connection can go on
REFUSED = 400
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


def ending(app: Callable[..., Iterable[bytes]], readiness: Readiness) -> Callable[..., Iterable[bytes]]:
    """A WSGI app whose answers end their connection where it can't go on, and always while the service drains; under gunicorn alone."""

    def within(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        def start(status: str, headers: Headers, exc_info: Any = None) -> Any:
            if readiness.draining or ends(environ, int(status[:3]), headers):
                start_response.__self__.force_close()
            return start_response(status, headers, exc_info)

        return app(environ, start)

    return within
