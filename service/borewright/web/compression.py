"""Answers packed with gzip where the caller takes them so."""

from __future__ import annotations

import gzip
from functools import lru_cache

from flask import Flask, Response, request

LEAST = 1024  # bytes; below, packing costs more than it saves
KINDS = ("application/json", "application/problem+json", "text/html", "text/css", "text/javascript", "text/plain")
LEVEL = 5
LARGE, LARGE_LEVEL = 1_000_000, 1  # what is large is packed quickly: most of the saving comes with the first level
KEPT = 16


def register(app: Flask) -> None:
    """Pack what is worth it; a page with an ETag is packed once and kept."""

    @app.after_request
    def _pack(response: Response) -> Response:
        cached = any(name == "ETag" for name, _ in response.headers)  # to ask for a header that is not there costs more
        if not (cached or request.environ.get("HTTP_ACCEPT_ENCODING")):
            return response
        if response.direct_passthrough or response.mimetype not in KINDS or "Content-Encoding" in response.headers:
            return response
        if cached:
            response.vary.add("Accept-Encoding")
        if response.status_code != 200 or request.accept_encodings["gzip"] <= 0 or (response.content_length or 0) < LEAST:
            return response
        body = response.get_data()
        response.set_data(_kept(body) if cached else packed(body))
        response.headers["Content-Encoding"] = "gzip"
        response.vary.add("Accept-Encoding")
        if cached:  # the same page in other bytes (RFC 9110, section 8.8.3.3)
            tag, _ = response.get_etag()
            response.set_etag(tag or "", weak=True)
        return response


def packed(body: bytes) -> bytes:
    """The bytes in gzip, the same each time.

    >>> gzip.decompress(packed(b"{}" * 1000)) == b"{}" * 1000
    True
    """
    return gzip.compress(body, LARGE_LEVEL if len(body) >= LARGE else LEVEL, mtime=0)


_kept = lru_cache(maxsize=KEPT)(packed)
