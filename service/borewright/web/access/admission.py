"""Who may ask: keys where the operator set them, and pages of other origins where he allowed them."""

from __future__ import annotations

import re

from flask import Flask, Response, g, request
from flask_cors import CORS

from borewright.web.access.keys import KeyRing
from borewright.web.access.private import PRIVATE_BLUEPRINTS
from borewright.web.problems import Problem
from borewright.web.settings import Settings

REALM = "borewright"
# what a person or a load balancer looks at carries nothing of a caller's; everything else needs the key
OPEN_BLUEPRINTS = ("pages", "health")
OPEN_ENDPOINTS = ("openapi_json",)
GUARDED_PREFIX = "/v1/"
SENT_HEADERS = ("Authorization", "Content-Type", "Content-Encoding", "X-Request-Id", "traceparent")
SHEET_HEADERS = ("Borewright-Verdict", "Borewright-Input-Digest")
SHOWN_HEADERS = (
    "X-Request-Id",
    "traceparent",
    "Retry-After",
    "RateLimit",
    "RateLimit-Policy",
    "Content-Disposition",
    "ETag",
    *SHEET_HEADERS,
)
PREFLIGHT_AGE = 600  # seconds


def register(app: Flask, settings: Settings, ring: KeyRing | None) -> None:
    """Guard the app as the settings say.

    ring : the keys that are let in, None where anybody is
    """
    if settings.cors_origins:

        @app.after_request
        def _vary(response: Response) -> Response:
            if request.path.startswith(GUARDED_PREFIX):  # also where the origin is not allowed or not told: a cache may hold the answer
                response.vary.add("Origin")
            return response

        CORS(
            app,
            resources=r"/v1/.*",
            # as patterns: of a plain text Flask-CORS guesses whether it is one, and an IPv6 address looks like it
            origins=[re.compile(re.escape(origin) + r"\Z") for origin in settings.cors_origins],
            methods=["GET", "POST"],
            allow_headers=list(SENT_HEADERS),
            expose_headers=list(SHOWN_HEADERS),
            max_age=PREFLIGHT_AGE,
        )

    @app.before_request
    def _admit() -> None:
        if ring is None or (settings.private_address and request.blueprint in PRIVATE_BLUEPRINTS):
            return
        # a page's question whether it may ask (OPTIONS) carries no key, and its answer tells nothing
        if guarded() and request.method != "OPTIONS":
            g.key_name = admitted(ring, request.headers.get("Authorization", ""))


def guarded() -> bool:
    """Whether the request needs a key: whatever is not known to be open, and whatever is not there below /v1/."""
    if request.endpoint is None:
        return request.path.startswith(GUARDED_PREFIX)
    return request.blueprint not in OPEN_BLUEPRINTS and request.endpoint not in OPEN_ENDPOINTS


def admitted(ring: KeyRing, header: str) -> str:
    """The name of the key that an Authorization header carries.

    Raises Problem: 401 for no key or an unknown one (RFC 6750, section 3), 403 for one that was disabled.
    """
    scheme, _, given = header.partition(" ")
    if scheme.lower() != "bearer" or not given.strip():
        raise Problem(
            "unauthorized", "the service runs with keys: send Authorization: Bearer <key>", headers={"WWW-Authenticate": challenge()}
        )
    key = ring.find(given.strip())
    if key is None:
        raise Problem("unauthorized", "the key is not known", headers={"WWW-Authenticate": challenge("invalid_token")})
    if key.disabled:
        raise Problem("forbidden", f"the key of {key.name} is disabled: ask the operator for another")
    return key.name


def challenge(error: str | None = None) -> str:
    """The value of WWW-Authenticate.

    >>> challenge("invalid_token")
    'Bearer realm="borewright", error="invalid_token"'
    """
    return f'Bearer realm="{REALM}"' + (f', error="{error}"' if error else "")
