"""What every answer carries in its headers, and the request id."""

from __future__ import annotations

import re
import secrets

from flask import Flask, Response, g, request

from borewright.web.problems import Problem

_REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
_HOST = re.compile(r"(?:[A-Za-z0-9._~%!$&'()*+,;=-]*|\[[0-9A-Fa-f:.]+\])(?::[0-9]*)?")  # RFC 3986, section 3.2.2
CHUNKED = "chunked"
SECURITY = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
}
_ALWAYS = tuple((name.lower(), (name, value)) for name, value in {**SECURITY, "Cache-Control": "no-store"}.items())


def new_request_id() -> str:
    """A fresh request id.

    >>> len(new_request_id())
    32
    """
    return secrets.token_hex(16)


def register(app: Flask) -> None:
    """Give each request its id (the caller's own where it is well formed) and each answer its headers."""

    @app.before_request
    def _begin() -> None:
        sent = request.environ  # as WSGI has the headers; to look a header up that is not there costs as much as a small calculation
        given = sent.get("HTTP_X_REQUEST_ID")
        g.request_id = given if given and _REQUEST_ID.fullmatch(given) else new_request_id()
        host = sent.get("HTTP_HOST")  # RFC 9112, section 3.2: without a good one there is no answer but 400
        if (host is None and sent.get("SERVER_PROTOCOL") != "HTTP/1.0") or not _HOST.fullmatch(host or ""):
            raise Problem("bad-request", "the request has no Host header that can be read")
        coding = sent.get("HTTP_TRANSFER_ENCODING", CHUNKED)
        if coding != CHUNKED and coding.strip().lower() != CHUNKED:  # nobody here undoes it, and another reader of the request may
            detail = f"the Transfer-Encoding is {coding[:100]}: send {CHUNKED} alone, and what is packed with Content-Encoding"
            raise Problem("bad-request", detail, headers={"Connection": "close"})

    @app.after_request
    def _end(response: Response) -> Response:
        if response.status_code == 200 and request.method == "OPTIONS":  # Flask's own answer: Allow, and an empty body that is no HTML
            response.headers.pop("Content-Type", None)
        present = {name.lower() for name, _ in response.headers}
        response.headers.extend([("X-Request-Id", g.request_id), *(pair for name, pair in _ALWAYS if name not in present)])
        return response
