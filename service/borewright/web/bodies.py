"""Taking a request's body within its limits, and answering JSON."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable, Iterator
from typing import IO, TYPE_CHECKING, Any

import orjson
from flask import Response, request
from gunicorn.http.errors import ParseException
from werkzeug.wsgi import get_content_length, get_input_stream

from borewright.web.problems import Problem

if TYPE_CHECKING:
    from _typeshed.wsgi import WSGIEnvironment
    from werkzeug.datastructures import Headers

JSON = "application/json"
IDENTITY = "identity"
GZIP = ("gzip", "x-gzip")  # the second is the first's old name (RFC 9110, section 8.4.1.3)
_CHUNK = 65_536
_GZIP_WINDOW = 16 + zlib.MAX_WBITS  # with gzip's header and checksum, and nothing else


def read_body(most_bytes: int, take: Callable[[int], None]) -> bytes:
    """The request's body, unpacked.

    most_bytes : largest body, as sent and after decompression
    take : told the size of each part before it is kept; what it raises ends the reading

    Raises Problem for a wrong media type, a coding other than gzip, a body over a limit or one that does not come in time.
    """
    sent = request.environ
    if sent.get("CONTENT_TYPE") != JSON:  # mostly it is, to the letter
        charset = request.mimetype_params.get("charset", "utf-8").lower()
        if request.mimetype != JSON or charset not in ("utf-8", "utf8"):
            shown = request.headers.get("Content-Type", "none")[:100]
            raise Problem("unsupported-media-type", f"the Content-Type is {shown}: send {JSON} in UTF-8", headers={"Accept-Post": JSON})
    coding = sent.get("HTTP_CONTENT_ENCODING", IDENTITY).strip().lower()
    if coding not in (IDENTITY, *GZIP):
        raise Problem(
            "unsupported-media-type",
            f"the Content-Encoding is {coding[:100]}: send the body as it is, or in gzip",
            headers={"Accept-Encoding": f"gzip, {IDENTITY}"},
        )
    parts = _parts(most_bytes)
    return b"".join(_taken(parts if coding == IDENTITY else decompressed(parts, most_bytes), take))


def _taken(parts: Iterable[bytes], take: Callable[[int], None]) -> Iterator[bytes]:
    for part in parts:
        take(len(part))
        yield part


def _parts(most_bytes: int) -> Iterator[bytes]:
    """The body piece by piece, at most the limit: a declared length is believed only to refuse, chunks are counted."""
    environ = request.environ
    declared, stream, size = get_content_length(environ) or 0, get_input_stream(environ), 0
    if declared > most_bytes:
        raise _too_large(most_bytes)
    while part := _part(stream, min(_CHUNK, most_bytes + 1 - size)):
        size += len(part)
        if size > most_bytes:
            raise _too_large(most_bytes)
        yield part
        if size == declared:
            return
    if size < declared:  # else what was cut off might read as a whole
        raise Problem("bad-request", f"the body ended after {size} bytes of {declared}", headers={"Connection": "close"})


def _part(stream: IO[bytes], size: int) -> bytes:
    try:
        return stream.read(size)
    except TimeoutError:
        raise Problem("request-timeout", "the body did not come in time: send it faster", headers={"Connection": "close"}) from None
    except (ParseException, OSError) as error:  # that chunks are broken or end early shows as they are read
        raise Problem("bad-request", f"the body can't be read: {error}", headers={"Connection": "close"}) from None


def decompressed(parts: Iterable[bytes], most_bytes: int) -> Iterator[bytes]:
    """What gzip (RFC 1952) packed, piece by piece: what unpacks to more than the limit is refused when it gets there.

    Raises Problem for what is no gzip, for a cut one, for more than one member and for more than the limit.

    >>> import gzip
    >>> b"".join(decompressed([gzip.compress(b"{}")], 10))
    b'{}'
    """
    unpacking, size = zlib.decompressobj(_GZIP_WINDOW), 0
    for part in parts:
        left = part
        while left and not unpacking.eof:
            try:
                found = unpacking.decompress(left, min(_CHUNK, most_bytes + 1 - size))
            except zlib.error:
                raise Problem("bad-request", "the Content-Encoding says gzip, and the body is none") from None
            left, size = unpacking.unconsumed_tail, size + len(found)
            if size > most_bytes:
                raise _too_large(most_bytes, " after decompression")
            yield found
        if unpacking.unused_data or (left and unpacking.eof):
            raise Problem("bad-request", "the gzip of the body ends before the body does: send one member")
    if not unpacking.eof:
        raise Problem("bad-request", "the gzip of the body is cut off")


def _too_large(most_bytes: int, when: str = "") -> Problem:
    return Problem("too-large", f"the body is larger than {most_bytes} bytes{when}: send less at once", headers={"Connection": "close"})


class Written(Response):
    """An answer (200) whose bytes are all there: its headers go out as they are, without the copy that others are made of theirs."""

    def __init__(self, body: bytes, media_type: str = JSON) -> None:
        super().__init__(body, content_type=media_type)

    def get_wsgi_headers(self, environ: WSGIEnvironment) -> Headers:
        """The headers, with the length."""
        self.headers["Content-Length"] = str(self.calculate_content_length())
        return self.headers


def json_response(answer: Any, status: int = 200) -> Response:
    """An answer as JSON; NumPy columns are written as they are, NaN as null."""
    return Response(orjson.dumps(answer, option=orjson.OPT_SERIALIZE_NUMPY), status=status, mimetype=JSON)
