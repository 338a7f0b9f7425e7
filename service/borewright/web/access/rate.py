"""How often a caller may ask: counted by key, or by address where there are no keys."""

from __future__ import annotations

import logging
import math
import time
from http import HTTPStatus

from flask import Flask, Response, g, request
from flask_limiter import Limiter
from redis.exceptions import RedisError

from borewright.web.access.admission import guarded
from borewright.web.access.private import PRIVATE_BLUEPRINTS
from borewright.web.settings import Settings

log = logging.getLogger(__name__)
POLICY = "caller"
STORAGE_SECONDS = 1  # a store that does not answer must not hold the request


def register(app: Flask, settings: Settings) -> None:
    """Refuse with 429 what goes beyond the limit, and tell every counted request what is left of it."""
    if not settings.rate_requests:
        return
    waits = {"socket_timeout": STORAGE_SECONDS, "socket_connect_timeout": STORAGE_SECONDS}
    limiter = Limiter(
        who,
        app=app,
        application_limits=[f"{settings.rate_requests} per {settings.rate_seconds} second"],
        strategy="fixed-window",
        storage_uri=settings.rate_storage,
        storage_options={} if settings.rate_storage == "memory://" else dict(waits),
        in_memory_fallback_enabled=True,  # a store that is gone stops nobody: each worker counts by itself until it is back
        key_prefix="borewright",
    )
    limiter.request_filter(lambda: not counted())

    @app.after_request
    def _tell(response: Response) -> Response:
        left = _left(limiter, settings.rate_seconds)
        if left is not None:
            remaining, wait = left
            response.headers["RateLimit-Policy"] = f'"{POLICY}";q={settings.rate_requests};w={settings.rate_seconds}'
            response.headers["RateLimit"] = f'"{POLICY}";r={remaining};t={wait}'
            if response.status_code == HTTPStatus.TOO_MANY_REQUESTS:
                response.headers["Retry-After"] = str(wait)
        return response


def _left(limiter: Limiter, longest: int) -> tuple[int, int] | None:
    """How many more requests the caller has, and for how many seconds; None where nothing was counted or the store just went."""
    found = limiter.current_limit
    if found is None:
        return None
    try:
        return max(0, found.remaining), min(longest, max(1, math.ceil(found.window[0] - time.time())))
    except RedisError:
        log.warning("the store of request counts does not answer")
        return None


def who() -> str:
    """Whom a request is counted for."""
    return f"key:{g.key_name}" if g.get("key_name") else f"address:{request.remote_addr}"


def counted() -> bool:
    """Whether a request counts: what needs a key where there are any, but for what watches the service."""
    return guarded() and request.blueprint not in PRIVATE_BLUEPRINTS and request.method != "OPTIONS"
