"""Reading the Retry-After header."""

import time
from collections.abc import Mapping
from datetime import UTC
from email.utils import parsedate_to_datetime


def retry_after(headers: Mapping[str, str]) -> float | None:
    """The wait a server asks for, in seconds, from either form of the header (RFC 9110, 10.2.3).

    >>> retry_after({"Retry-After": "3"})
    3.0
    >>> retry_after({"Retry-After": "Sun, 06 Nov 1994 08:49:40 GMT", "Date": "Sun, 06 Nov 1994 08:49:37 GMT"})
    3.0
    >>> retry_after({"Retry-After": "soon"}) is None
    True
    """
    text = headers.get("Retry-After", "").strip()
    if text.isascii() and text.isdigit():
        return float(text)
    until = _seconds(text)
    if until is None:
        return None
    # The server's own clock, where it tells it, so that a wrong clock here does not matter.
    now = _seconds(headers.get("Date", ""))
    return max(0.0, until - (time.time() if now is None else now))


def _seconds(date: str) -> float | None:
    try:
        found = parsedate_to_datetime(date)
        # The form of asctime names no zone, and means UTC (RFC 9110, 5.6.7).
        return (found if found.tzinfo else found.replace(tzinfo=UTC)).timestamp()
    except (ValueError, OverflowError):
        return None
