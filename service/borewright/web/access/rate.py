"""How often a caller may ask, and for how many rows: counted by key, or by address where there are no keys."""

from __future__ import annotations

import logging
import math
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http import HTTPStatus
from typing import TYPE_CHECKING

from flask import Flask, Response, g, request

from borewright.web.access.admission import guarded
from borewright.web.access.private import PRIVATE_BLUEPRINTS
from borewright.web.problems import Problem
from borewright.web.settings import Settings

if TYPE_CHECKING:
    from flask_limiter import Limiter
    from limits import RateLimitItem

log = logging.getLogger(__name__)
POLICY, ROWS = "caller", "rows"  # names of the policies
UNLIMITED = 10**12
STORAGE_SECONDS = 1  # a store that does not answer must not hold the request


def register(app: Flask, settings: Settings) -> None:
    """Refuse with 429 what goes beyond a limit, and tell every counted request what is left."""
    if not settings.rate_requests and not settings.rate_rows:
        return
    from flask_limiter import Limiter  # with it comes the client of the store: 30 MB for who counts

    waits = {"socket_timeout": STORAGE_SECONDS, "socket_connect_timeout": STORAGE_SECONDS}
    limiter = Limiter(
        who,
        app=app,
        application_limits=[f"{settings.rate_requests or UNLIMITED} per {settings.rate_seconds} second"],
        strategy="fixed-window",
        storage_uri=settings.rate_storage,
        storage_options={} if settings.rate_storage == "memory://" else dict(waits),
        in_memory_fallback_enabled=True,  # a store that is gone stops nobody: each worker counts by itself until it is back
        key_prefix="borewright",
    )
    limiter.request_filter(lambda: not counted())
    if settings.rate_requests:
        app.after_request(lambda response: told(response, limiter, settings))
    if settings.rate_rows:
        _count_rows(app, limiter, settings)


def told(response: Response, limiter: Limiter, settings: Settings) -> Response:
    """Say in an answer's headers how many more requests the caller has."""
    found, window = limiter.current_limit, None
    if found is not None:  # None where nothing was counted
        with _the_store():
            window = (max(0, found.remaining), _wait(found.window[0], settings))
    if window is not None:
        _tell(response, POLICY, settings.rate_requests, settings.rate_seconds, window)
    return response


def _count_rows(app: Flask, limiter: Limiter, settings: Settings) -> None:
    """Rows are known when they were answered: who went beyond the limit with his last answer is refused until the window is over."""
    from limits import RateLimitItemPerSecond

    most: RateLimitItem = RateLimitItemPerSecond(settings.rate_rows, settings.rate_seconds, namespace="borewright-rows")

    @app.before_request
    def _refuse() -> None:
        if not counted():
            return
        wait = None
        with _the_store():
            if not limiter.limiter.test(most, who()):
                wait = _wait(limiter.limiter.get_window_stats(most, who()).reset_time, settings)
        if wait is not None:
            detail = f"the limit is {settings.rate_rows} rows in {settings.rate_seconds} s: wait as many seconds as Retry-After says"
            raise Problem("too-many-requests", detail, headers={"Retry-After": str(wait)})

    @app.after_request
    def _count(response: Response) -> Response:
        window = None
        if counted():
            with _the_store():
                if response.status_code == HTTPStatus.OK:
                    limiter.limiter.hit(most, who(), cost=g.get("rows", 1))
                reset, remaining = limiter.limiter.get_window_stats(most, who())
                window = (max(0, remaining), _wait(reset, settings))
        if window is not None:
            _tell(response, ROWS, settings.rate_rows, settings.rate_seconds, window)
        return response


def _tell(response: Response, policy: str, most: int, seconds: int, window: tuple[int, int]) -> None:
    remaining, wait = window
    response.headers.add("RateLimit-Policy", f'"{policy}";q={most};w={seconds}')
    response.headers.add("RateLimit", f'"{policy}";r={remaining};t={wait}')
    if response.status_code == HTTPStatus.TOO_MANY_REQUESTS:
        response.headers["Retry-After"] = str(max(wait, int(response.headers.get("Retry-After", "0"))))


def _wait(reset: float, settings: Settings) -> int:
    return min(settings.rate_seconds, max(1, math.ceil(reset - time.time())))


@contextmanager
def _the_store() -> Iterator[None]:
    """Go on where the store of counts just went."""
    try:
        yield
    except Exception as error:
        from redis.exceptions import RedisError

        if not isinstance(error, RedisError):
            raise
        log.warning("the store of request counts does not answer")


def who() -> str:
    """Whom a request is counted for."""
    return f"key:{g.key_name}" if g.get("key_name") else f"address:{request.remote_addr}"


def counted() -> bool:
    """Whether a request counts: what needs a key where there are any, but for what watches the service."""
    return guarded() and request.blueprint not in PRIVATE_BLUEPRINTS and request.method != "OPTIONS"
