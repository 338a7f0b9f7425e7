"""Taking a request's body within its limits, and answering JSON."""

from __future__ import annotations

from typing import Any

import orjson
from flask import Response, request
from gunicorn.http.errors import ParseException

from borewright.web.problems import Problem
from borewright.web.strict_json import StrictDecoder

JSON = "application/json"
_CHUNK = 65_536


def read_json(decoder: StrictDecoder, most_bytes: int) -> Any:
    """The JSON of the request's body.

    Raises Problem for a wrong media type or a body over the limit, NotJsonError for what is not JSON.
    """
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if request.mimetype != JSON or charset not in ("utf-8", "utf8"):
        shown = request.headers.get("Content-Type", "none")[:100]
        raise Problem("unsupported-media-type", f"the Content-Type is {shown}: send {JSON} in UTF-8", headers={"Accept-Post": JSON})
    coding = request.headers.get("Content-Encoding", "identity")
    if coding.lower() != "identity":
        raise Problem(
            "unsupported-media-type",
            f"the Content-Encoding is {coding[:100]}: send the body as it is",
            headers={"Accept-Encoding": "identity"},
        )
    return decoder.decode(_read(most_bytes))


def _read(most_bytes: int) -> bytes:
    """Read at most the limit: a declared length is believed only to refuse, chunks are counted."""
    if (request.content_length or 0) > most_bytes:
        raise _too_large(most_bytes)
    parts, size = [], 0
    while part := _part(min(_CHUNK, most_bytes + 1 - size)):
        parts.append(part)
        size += len(part)
        if size > most_bytes:
            raise _too_large(most_bytes)
    if size < (request.content_length or 0):  # else what was cut off might read as a whole
        raise Problem("bad-request", f"the body ended after {size} bytes of {request.content_length}", headers={"Connection": "close"})
    return b"".join(parts)


def _part(size: int) -> bytes:
    try:
        return request.stream.read(size)
    except (ParseException, OSError) as error:  # that chunks are broken or end early shows as they are read
        raise Problem("bad-request", f"the body's chunks can't be read: {error}", headers={"Connection": "close"}) from None


def _too_large(most_bytes: int) -> Problem:
    return Problem("too-large", f"the body is larger than {most_bytes} bytes: send less at once", headers={"Connection": "close"})


def json_response(answer: Any, status: int = 200) -> Response:
    """An answer as JSON; NumPy columns are written as they are, NaN as null."""
    return Response(orjson.dumps(answer, option=orjson.OPT_SERIALIZE_NUMPY), status=status, mimetype=JSON)
