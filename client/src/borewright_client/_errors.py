"""One class for each way a call can go wrong; all of them are a BorewrightError."""

import json
from collections.abc import Mapping
from http import HTTPStatus
from typing import Any, NamedTuple

from requests.structures import CaseInsensitiveDict

from borewright_client._retry_after import retry_after

# The type of a problem that has none, and of what something else than the service answered (RFC 9457, 4.2.1).
_FOREIGN = "about:blank"
# More of a foreign error page than this tells nobody anything, and a message is one line of a log.
_LONGEST_TEXT = 2000
_LONGEST_IN_MESSAGE = 200


class BorewrightError(Exception):
    """Root of every error a call raises; `request_id` names the request in the service's log."""

    def __init__(self, detail: str, request_id: str | None = None) -> None:
        super().__init__(detail, request_id)
        self.detail = detail
        self.request_id = request_id

    def __str__(self) -> str:
        return self._message() + (f" (request {self.request_id})" if self.request_id else "")

    def __repr__(self) -> str:
        # Not the default, which would print every argument, the answer's headers among them.
        return f"<{type(self).__name__}: {self}>"

    def _message(self) -> str:
        return self.detail


class ConnectionFailed(BorewrightError):
    """The service could not be reached, or the connection broke before the whole answer was there."""


class TimedOut(BorewrightError):
    """No whole answer came within the timeout of a try or the deadline of the call."""


class UnexpectedAnswer(BorewrightError):
    """Something answered, but not as the service would: a redirect, or a 200 without the JSON object or document asked for."""

    def __init__(self, detail: str, status: int, request_id: str | None = None) -> None:
        super().__init__(detail, request_id)
        self.args = (detail, status, request_id)
        self.status = status

    def _message(self) -> str:
        return f"unexpected answer with status {self.status}: {self.detail}"


class MissingMember(BorewrightError, AttributeError):
    """An answer lacks a member that this client knows."""


class WrongUnit(BorewrightError, ValueError):
    """A unit that there is not, or of another kind."""


class Unsendable(BorewrightError, ValueError):
    """What was given can't be sent: a number that is not finite, an object that is no JSON; the message points at it."""


class WrongSetting(BorewrightError, ValueError):
    """A setting of the client that can't be used."""


class MissingExtra(BorewrightError, ImportError):
    """What was asked for stands on a package that is not installed; the message says how to get it."""

    def __init__(self, extra: str, missing: ModuleNotFoundError) -> None:
        super().__init__(f"{missing.name} is not installed: pip install 'borewright-client[{extra}]'")
        self.args = (extra, missing)
        self.name = missing.name


class FieldError(NamedTuple):
    """One bad field: where it is in the request, what is wrong with it, and which kind of mistake that is."""

    pointer: str
    detail: str
    code: str = ""


class ProblemError(BorewrightError):
    """The service answered with a problem (RFC 9457); a status without a class of its own raises this one."""

    def __init__(
        self,
        status: int,
        type: str,
        title: str,
        detail: str,
        errors: tuple[FieldError, ...] = (),
        request_id: str | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(detail, request_id)
        # Exceptions are pickled by their args, and calls made in worker processes need that.
        self.args = (status, type, title, detail, errors, request_id, headers)
        self.status = status
        self.type = type
        self.title = title
        self.errors = errors
        self.headers: Mapping[str, str] = CaseInsensitiveDict(headers or {})
        self.retry_after = retry_after(self.headers)

    def _message(self) -> str:
        fields = [f"{field.pointer}: {field.detail}" for field in self.errors]
        # The service sums up with the first of the fields, which are all named here.
        said = [] if fields and self.detail.endswith(fields[0]) else [_line(self.detail) if self.type == _FOREIGN else self.detail]
        wait = [f"try again in {self.retry_after:g} s"] if self.retry_after else []
        return ": ".join(filter(None, (f"{self.status} {self.title}", "; ".join(filter(None, (*said, *fields, *wait))))))


class NotJson(ProblemError):
    """400: the request was not JSON."""


class Unauthorized(ProblemError):
    """401: no key, or one the service does not know."""


class Forbidden(ProblemError):
    """403: the key does not allow this."""


class NotFound(ProblemError):
    """404: there is no such path."""


class MethodNotAllowed(ProblemError):
    """405: the path does not take this method."""


class NotAcceptable(ProblemError):
    """406: the service cannot answer in the format asked for."""


class TooLarge(ProblemError):
    """413: the request is larger than the service takes."""


class UnsupportedMediaType(ProblemError):
    """415: the request was not sent as JSON."""


class InvalidRequest(ProblemError):
    """422: fields are missing, unknown or wrong; `errors` lists every one."""


class ImpossibleBuild(ProblemError):
    """422: the request is well formed, but such an engine cannot exist."""


class TooManyRequests(ProblemError):
    """429: too many requests; `retry_after` is the wait asked for, in seconds, or None."""


class Unavailable(ProblemError):
    """503: the service is shutting down or overloaded; `retry_after` is the wait asked for, in seconds, or None."""


class ServerError(ProblemError):
    """Any other 5xx."""


_BY_STATUS: dict[int, type[ProblemError]] = {
    400: NotJson,
    401: Unauthorized,
    403: Forbidden,
    404: NotFound,
    405: MethodNotAllowed,
    406: NotAcceptable,
    413: TooLarge,
    415: UnsupportedMediaType,
    422: InvalidRequest,
    429: TooManyRequests,
    503: Unavailable,
}


def problem(status: int, headers: Mapping[str, str], text: str, request_id: str | None) -> ProblemError:
    """The error for an answer of status 400 and up, whatever its body is.

    >>> problem(404, {}, '{"type": "/problems/not-found", "title": "Not found", "detail": "No such path."}', "a1")
    <NotFound: 404 Not found: No such path. (request a1)>
    >>> problem(502, {}, "upstream is down", None)
    <ServerError: 502 Bad Gateway: upstream is down>
    """
    members = _members(text)
    kind = _text(members.get("type")) or _FOREIGN
    return _class(status, kind)(
        status,
        kind,
        _text(members.get("title")) or _phrase(status),
        # A body that is no problem document is still the best account of what happened.
        _text(members.get("detail")) or ("" if "title" in members else text.strip()[:_LONGEST_TEXT]),
        _fields(members.get("errors")),
        request_id,
        headers,
    )


def _line(text: str) -> str:
    plain = " ".join(text.split())
    return plain if len(plain) <= _LONGEST_IN_MESSAGE else f"{plain[:_LONGEST_IN_MESSAGE]} …"


def _class(status: int, kind: str) -> type[ProblemError]:
    if status == HTTPStatus.UNPROCESSABLE_ENTITY and kind.rsplit("/", 1)[-1] == "impossible-build":
        return ImpossibleBuild
    return _BY_STATUS.get(status, ServerError if status >= HTTPStatus.INTERNAL_SERVER_ERROR else ProblemError)


def _members(text: str) -> dict[str, Any]:
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    return document if isinstance(document, dict) else {}


def _text(member: object) -> str:
    return member if isinstance(member, str) else ""


def _phrase(status: int) -> str:
    try:
        return HTTPStatus(status).phrase
    except ValueError:
        return "Unknown status"


def _fields(entries: object) -> tuple[FieldError, ...]:
    if not isinstance(entries, list):
        return ()
    return tuple(
        FieldError(_text(entry.get("pointer")), _text(entry.get("detail")), _text(entry.get("code")))
        for entry in entries
        if isinstance(entry, dict)
    )
