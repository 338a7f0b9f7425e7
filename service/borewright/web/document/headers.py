"""The headers of the answers in the OpenAPI document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any

from apispec import APISpec

from borewright.web.access.admission import challenge
from borewright.web.access.rate import POLICY
from borewright.web.bodies import GZIP, IDENTITY, JSON
from borewright.web.reference import MAX_AGE


def _header(text: str, example: object, *, always: bool = False, **schema: Any) -> dict[str, Any]:
    return {"description": text, "schema": {"type": "string", **schema}, "example": example} | ({"required": True} if always else {})


HEADERS: Mapping[str, Mapping[str, Any]] = MappingProxyType(
    {
        "X-Request-Id": _header(
            "The id of the request, which the service's log names: the X-Request-Id that was sent, or a fresh one where none was "
            "sent or not one of this form.",
            "7c9e6679f4f84d7f",
            always=True,
            pattern="^[A-Za-z0-9._-]{1,64}$",
        ),
        "traceparent": _header(
            "The service's span (W3C Trace Context), in the trace of the traceparent that was sent or in a new one. "
            "Only an answer to a request that could not be read as HTTP lacks it.",
            "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01",
            pattern="^00-[0-9a-f]{32}-[0-9a-f]{16}-0[01]$",
        ),
        "Cache-Control": _header(
            f"no-store, or on what only a new version of the service changes how long it may be kept: public, max-age={MAX_AGE}.",
            "no-store",
            always=True,
        ),
        "ETag": _header(
            "The version of the page: with it in If-None-Match, a page that has not changed is answered 304.",
            '"5c1b0f6a8d2e4f7390ab12cd34ef56ab78cd90ef"',
            always=True,
        ),
        "RateLimit-Policy": _header(
            "How many requests (q) a caller may send in how many seconds (w); where the operator set a limit.", f'"{POLICY}";q=60;w=60'
        ),
        "RateLimit": _header(
            "How many requests are left (r), and for how many seconds (t); where the operator set a limit.", f'"{POLICY}";r=59;t=42'
        ),
        "Retry-After": {
            "description": "After how many seconds it is worth trying again.",
            "schema": {"type": "integer", "minimum": 1},
            "example": 1,
        },
        "WWW-Authenticate": _header("What the service wants instead (RFC 6750).", challenge("invalid_token")),
        "Allow": _header("The methods that the path takes.", "POST, OPTIONS"),
        "Accept-Post": _header("The media type that is taken, where that was wrong.", JSON),
        "Accept-Encoding": _header("The codings that are taken, where that was wrong.", f"{GZIP[0]}, {IDENTITY}"),
        "Content-Disposition": _header(
            "A name for the file, made of the digest.", 'inline; filename="build-sheet-0123456789abcdef.json"', always=True
        ),
        "Vary": _header(
            "What the answer depends on too: Accept where it comes in several forms, Accept-Encoding where it may be packed.",
            "Accept",
        ),
        "Content-Encoding": _header("gzip, where the caller takes that and it is worth it.", GZIP[0]),
        "Borewright-Verdict": {
            "description": "The sheet's verdict, for callers of the page or the PDF.",
            "schema": {"$ref": "#/components/schemas/Verdict"},
            "example": "pass",
            "required": True,
        },
        "Borewright-Input-Digest": _header(
            "The digest of the sheet's input, as in its data.", "0123456789abcdef" * 4, always=True, pattern="^[0-9a-f]{64}$"
        ),
    }
)
EVERYWHERE = ("X-Request-Id", "traceparent", "Cache-Control")  # of every answer: they stand once, at the response `refused`
PACKED = ("Vary", "Content-Encoding")
COUNTED = ("RateLimit-Policy", "RateLimit")


def describe_headers(spec: APISpec) -> None:
    """Add every header as a component."""
    for name, header in HEADERS.items():
        spec.components.header(name, dict(header))


def headers(names: Iterable[str]) -> dict[str, Any]:
    """The headers of a response.

    >>> headers(["Allow"])["Allow"]
    {'$ref': '#/components/headers/Allow'}
    """
    return {name: {"$ref": f"#/components/headers/{name}"} for name in names}
