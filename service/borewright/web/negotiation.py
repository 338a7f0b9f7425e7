"""Which form of an answer the caller wants, by its Accept header (RFC 9110, section 12.5.1)."""

from __future__ import annotations

from collections.abc import Sequence

from flask import request

from borewright.web.problems import Problem


def wanted_form(offered: Sequence[str]) -> str:
    """The media type of the highest quality, the first offered where several are equally welcome or nothing is said.

    Raises Problem (406) where the caller wants none of them.
    """
    if not request.headers.get("Accept", "").strip():
        return offered[0]
    accepted = request.accept_mimetypes
    best = max(offered, key=accepted.quality)
    if accepted.quality(best) <= 0:
        shown = request.headers["Accept"][:100]
        raise Problem("not-acceptable", f"the Accept header is {shown}: this answer comes as {', '.join(offered)}")
    return best
