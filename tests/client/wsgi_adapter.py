"""A transport that hands requests to a WSGI application in this process, so that client and service can be tested without a socket."""

import io
import sys
from collections.abc import Callable, Iterable, Mapping
from typing import Any
from urllib.parse import unquote_to_bytes, urlsplit

import httpx
import requests
from requests.adapters import BaseAdapter, HTTPAdapter
from urllib3 import HTTPHeaderDict, HTTPResponse

Application = Callable[..., Iterable[bytes]]


class WsgiAdapter(BaseAdapter):
    """Mount on a session: `session.mount("http://service", WsgiAdapter(app))`."""

    def __init__(self, application: Application) -> None:
        super().__init__()
        self._application = application

    def send(
        self,
        request: requests.PreparedRequest,
        stream: bool = False,
        timeout: float | tuple[float, float] | tuple[float, None] | None = None,
        verify: bool | str = True,
        cert: Any = None,
        proxies: Mapping[str, str] | None = None,
    ) -> requests.Response:
        """Call the application once and hand back its whole answer; a failure inside it is raised here."""
        started: list[tuple[str, list[tuple[str, str]]]] = []
        written: list[bytes] = []

        def start_response(status: str, headers: list[tuple[str, str]], failure: Any = None) -> Callable[[bytes], object]:
            if started and failure is None:
                raise AssertionError("start_response called twice")
            started[:] = [(status, headers)]
            return written.append

        body = self._application(environ(request), start_response)
        try:
            written.extend(body)
        finally:
            # PEP 3333: the server closes the iterable, whatever happened.
            close = getattr(body, "close", None)
            if close is not None:
                close()
        ((status, headers),) = started
        code, _, reason = status.partition(" ")
        answer = HTTPResponse(
            io.BytesIO(b"".join(written)),
            headers=HTTPHeaderDict(headers),
            status=int(code),
            reason=reason,
            preload_content=False,
            request_method=request.method,
        )
        return HTTPAdapter().build_response(request, answer)

    def close(self) -> None:
        """Nothing is held open."""


class AsyncWsgiTransport(httpx.AsyncBaseTransport):
    """The same for asyncio: `httpx.AsyncClient(transport=AsyncWsgiTransport(app))`."""

    def __init__(self, application: Application) -> None:
        self._within = httpx.WSGITransport(application)

    async def handle_async_request(self, request: httpx.Request) -> httpx.Response:
        """Call the application once, while nothing else goes on, and hand back its whole answer."""
        answer = self._within.handle_request(request)
        return httpx.Response(answer.status_code, headers=answer.headers, stream=httpx.ByteStream(b"".join(answer.iter_raw())))


def environ(request: requests.PreparedRequest) -> dict[str, Any]:
    """The WSGI environment of a prepared request (PEP 3333)."""
    parts = urlsplit(request.url or "")
    body = request.body or b""
    if not isinstance(body, str | bytes):
        body = b"".join(body)
    content = body.encode() if isinstance(body, str) else body
    variables: dict[str, Any] = {
        "REQUEST_METHOD": request.method,
        "SCRIPT_NAME": "",
        # The path as bytes read as Latin-1, which is what WSGI means by text.
        "PATH_INFO": unquote_to_bytes(parts.path or "/").decode("latin-1"),
        "QUERY_STRING": parts.query,
        "SERVER_NAME": parts.hostname,
        "SERVER_PORT": str(parts.port or {"http": 80, "https": 443}[parts.scheme]),
        "SERVER_PROTOCOL": "HTTP/1.1",
        "REMOTE_ADDR": "127.0.0.1",
        "HTTP_HOST": parts.netloc,
        "wsgi.version": (1, 0),
        "wsgi.url_scheme": parts.scheme,
        "wsgi.input": io.BytesIO(content),
        "wsgi.errors": sys.stderr,
        "wsgi.multithread": False,
        "wsgi.multiprocess": False,
        "wsgi.run_once": False,
    }
    for name, value in request.headers.items():
        key = name.upper().replace("-", "_")
        variables[key if key in {"CONTENT_TYPE", "CONTENT_LENGTH"} else f"HTTP_{key}"] = (
            value if isinstance(value, str) else value.decode("latin-1")
        )
    if "Transfer-Encoding" in request.headers:
        # A server has already undone the chunks and knows the length only by the end of the stream.
        variables["wsgi.input_terminated"] = True
    return variables
