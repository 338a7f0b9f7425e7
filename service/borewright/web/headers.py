"""What every answer carries in its headers, and the request id."""

from __future__ import annotations

import re
import uuid

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


def new_request_id() -> str:
    """A fresh request id.

    >>> len(new_request_id())
    32
    """
    return uuid.uuid4().hex


def register(app: Flask) -> None:
    """Give each request its id (the caller's own where it is well formed) and each answer its headers."""

    @app.before_request
    def _begin() -> None:
        given = request.headers.get("X-Request-Id", "")
        g.request_id = given if _REQUEST_ID.fullmatch(given) else new_request_id()
        host = request.headers.get("Host")  # RFC 9112, section 3.2: without a good one there is no answer but 400
        if (host is None and request.environ.get("SERVER_PROTOCOL") != "HTTP/1.0") or not _HOST.fullmatch(host or ""):
            raise Problem("bad-request", "the request has no Host header that can be read")
        coding = request.headers.get("Transfer-Encoding", CHUNKED)
        if coding.strip().lower() != CHUNKED:  # a coding that nobody here undoes, which another reader of the request may
            detail = f"the Transfer-Encoding is {coding[:100]}: send {CHUNKED} alone, and what is packed with Content-Encoding"
            raise Problem("bad-request", detail, headers={"Connection": "close"})

    @app.after_request
    def _end(response: Response) -> Response:
        response.headers["X-Request-Id"] = g.request_id
        if request.method == "OPTIONS" and response.status_code == 200:  # Flask's own answer: Allow, and an empty body that is no HTML
            response.headers.pop("Content-Type", None)
        for name, value in SECURITY.items():
            response.headers.setdefault(name, value)
        if not response.cache_control.max_age:
            response.headers.setdefault("Cache-Control", "no-store")
        return response
