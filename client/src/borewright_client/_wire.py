"""Bytes out and bytes in: encoding a request, reading a body within the deadline, decoding an answer."""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, NoReturn

import requests

from borewright_client._errors import BorewrightError, ConnectionFailed, TimedOut, UnexpectedAnswer, Unsendable
from borewright_client._measured import Measured
from borewright_client._model import Model

JSON = "application/json"
_PIECE = 65536
# After decompression; 200,000 rows of the widest batch take a quarter of it.
LONGEST_BODY = 512 * 2**20


@dataclass(frozen=True, slots=True)
class Reply:
    """A whole answer."""

    status: int
    headers: Mapping[str, str]
    content: bytes
    request_id: str

    @property
    def media_type(self) -> str:
        """The content type without its parameters.

        >>> Reply(200, {"Content-Type": "text/html; charset=utf-8"}, b"", "a1").media_type
        'text/html'
        """
        return self.headers.get("Content-Type", "").partition(";")[0].strip().lower()

    def json_object(self) -> dict[str, Any]:
        """The body as a JSON object; anything else is an UnexpectedAnswer.

        >>> Reply(200, {}, b'{"status": "ok"}', "a1").json_object()
        {'status': 'ok'}
        """
        try:
            document = json.loads(self.content.decode(), parse_constant=_refuse)
        except (ValueError, RecursionError) as error:
            trouble = self._not_json(_reason(error))
        else:
            if isinstance(document, dict):
                return document
            trouble = "the body is JSON but not an object"
        # Raised out here, so that the decoder's error, which holds the whole body, does not hang on to this one.
        raise UnexpectedAnswer(trouble, self.status, self.request_id)

    def _not_json(self, reason: str) -> str:
        if self.media_type in {"", JSON}:
            return f"the body is not JSON: {reason}"
        return f"the body is {self.media_type[:80]} and not JSON: is base_url the address of the service?"


def encode(body: Mapping[str, object]) -> bytes:
    """The request as JSON: a member that is None is left out at any depth, arrays are sent as lists, figures of answers as quantities.

    Raises Unsendable, which names the field that JSON can't hold.

    >>> encode({"bore": "100 mm", "cylinders": 8, "gasket": {"thickness": "1 mm", "volume": None}})
    b'{"bore": "100 mm", "cylinders": 8, "gasket": {"thickness": "1 mm"}}'
    >>> encode({"gasket": {"thickness": float("nan")}})
    Traceback (most recent call last):
    ...
    borewright_client._errors.Unsendable: #/gasket/thickness: nan is no number that can be sent: where nothing is known, leave it out
    """
    try:
        return _dump(_given(body)).encode()
    except RecursionError:
        trouble = "the request holds itself, or is nested too deeply"
    except (TypeError, ValueError):
        # Only now, as looking at each value first would make every large batch slower.
        trouble = _bad_field(body)
    raise Unsendable(trouble)


def _given(value: object) -> object:
    """Without the members that are None; lists are kept as they are, as a None in a column has a meaning, but for objects in them."""
    if isinstance(value, Measured):
        return {"value": value.value, "unit": value.unit}
    if isinstance(value, Model):
        return value.raw
    if isinstance(value, Mapping):
        return {name: _given(member) for name, member in value.items() if member is not None}
    if isinstance(value, list | tuple):
        return [_given(member) if isinstance(member, Mapping | list | tuple) else member for member in value]
    return value


class Pieces:
    """A body as it arrives; a small one in an encoding that packs well may be larger than the memory there is.

    >>> pieces = Pieces(longest=3)
    >>> pieces.add(b"abc")
    >>> pieces.whole()
    b'abc'
    >>> pieces.add(b"d")
    Traceback (most recent call last):
    borewright_client._wire.TooLong
    """

    def __init__(self, longest: int | None = None) -> None:
        self._pieces: list[bytes] = []
        self._room = LONGEST_BODY if longest is None else longest

    def add(self, piece: bytes) -> None:
        """Take the next piece.

        Raises TooLong.
        """
        self._room -= len(piece)
        if self._room < 0:
            self._pieces.clear()
            raise TooLong
        self._pieces.append(piece)

    def whole(self) -> bytes:
        """What has arrived."""
        return b"".join(self._pieces)


class TooLong(Exception):
    """The body is longer than any of the service's."""


def read_body(response: requests.Response, left: Callable[[], float]) -> bytes:
    """The whole body of a streamed response, given up once no time is left.

    >>> response = requests.Response()
    >>> response.raw = __import__("io").BytesIO(b"whole")
    >>> read_body(response, lambda: 1.0)
    b'whole'
    """
    pieces = Pieces()
    for piece in _pieces(response):
        pieces.add(piece)
        if left() <= 0:
            raise requests.ReadTimeout("the deadline passed while the answer was still arriving")
    if getattr(response.raw, "length_remaining", None):  # versions of the transport before its second let it pass
        raise requests.ConnectionError("the connection broke before the whole body was there")
    return pieces.whole()


def failure(error: Exception, request_id: str) -> BorewrightError:
    """The client's error for one of the transport's.

    >>> failure(requests.ReadTimeout("read timed out"), "a1")
    <TimedOut: read timed out (request a1)>
    >>> failure(requests.ConnectionError("refused"), "a1")
    <ConnectionFailed: refused (request a1)>
    """
    cause = error.args[0] if error.args else None
    # The transport says "max retries exceeded" of its only try, or "aborted"; why is the reason within.
    within = [cause, *(cause.args if isinstance(cause, Exception) else ())]
    said = str(getattr(cause, "reason", None) or next((held for held in reversed(within) if isinstance(held, Exception)), error))
    # A timeout amid the body is reported as a connection error around the real one, and so is one amid the request.
    if isinstance(error, requests.Timeout | TimeoutError) or any(
        isinstance(held, TimeoutError) or type(held).__name__ == "ReadTimeoutError" for held in within
    ):
        return TimedOut(said, request_id)
    return ConnectionFailed(said, request_id)


class _AsItArrives:
    """Lets `iter_content` hand on what has arrived instead of waiting for whole pieces.

    Without it a body that trickles in would hold the call far past its deadline: each byte restarts the socket's own timeout.
    """

    def __init__(self, read1: Callable[..., bytes]) -> None:
        self._read1 = read1

    def stream(self, amount: int, decode_content: bool) -> Iterator[bytes]:
        while piece := self._read1(amount, decode_content=decode_content):
            yield piece


def _pieces(response: requests.Response) -> Iterator[bytes]:
    raw: Any = response.raw
    # Old transports and in-process stand-ins have only the plain way.
    if not (hasattr(raw, "stream") and hasattr(raw, "read1")):
        return response.iter_content(_PIECE)
    reader = requests.Response()
    reader.raw = _AsItArrives(raw.read1)
    return reader.iter_content(_PIECE)


def _dump(value: object) -> str:
    return json.dumps(value, allow_nan=False, default=_plain)


def _plain(value: object) -> object:
    # What databases give for sizes and prices.
    if isinstance(value, Decimal):
        return float(value)
    if has_a_unit(value):
        raise TypeError(f"{type(value).__name__} has a unit of its own: write the number with it, like '3.9 in'")
    # NumPy arrays and scalars, without importing NumPy.
    tolist = getattr(value, "tolist", None)
    if tolist is None:
        raise TypeError(f"{type(value).__name__} is not JSON")
    return tolist()


def has_a_unit(value: object) -> bool:
    """Whether this is a quantity of another library, whose numbers alone would say something else.

    >>> has_a_unit(3.9)
    False
    """
    kind = type(value)
    return any(hasattr(kind, name) for name in ("unit", "units")) and not (isinstance(value, Model) or hasattr(kind, "isoformat"))


def _bad_field(value: object) -> str:
    """Where the first value is that JSON can't hold, and why."""
    return next(_bad_fields(value, "#", ()), "the request is no JSON")


def _bad_fields(value: object, pointer: str, parents: tuple[int, ...]) -> Iterator[str]:
    if id(value) in parents:
        yield f"{pointer}: contains itself"
        return
    if not isinstance(value, str | bytes) and hasattr(value, "tolist") and not has_a_unit(value):
        value = _plain(value)
    within = (*parents, id(value))
    if isinstance(value, Mapping):
        for name, member in value.items():
            yield from _bad_fields(member, f"{pointer}/{str(name).replace('~', '~0').replace('/', '~1')}", within)
    elif isinstance(value, list | tuple):
        for index, member in enumerate(value):
            yield from _bad_fields(member, f"{pointer}/{index}", within)
    elif isinstance(value, float | Decimal) and not Decimal(value).is_finite():
        yield f"{pointer}: {value} is no number that can be sent: where nothing is known, leave it out"
    else:
        try:
            _dump(value)
        except (TypeError, ValueError) as error:
            yield f"{pointer}: {error}"


def _refuse(constant: str) -> NoReturn:
    raise ValueError(f"{constant} is not a JSON number")


def _reason(error: Exception) -> str:
    # Not the text of a UnicodeDecodeError, whose length grows with nothing useful, nor of a RecursionError.
    if isinstance(error, UnicodeDecodeError):
        return "not UTF-8"
    return "nested too deeply" if isinstance(error, RecursionError) else str(error)
