"""What a call is, before anything is sent: address, headers, key, tries; and what its answer means. Both transports stand on it."""

import logging
import os
import re
import time
import uuid
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from copy import copy
from dataclasses import dataclass, replace
from functools import partial
from http import HTTPStatus
from inspect import iscoroutinefunction
from typing import Any, Self, TypeVar
from urllib.parse import urlsplit

from borewright_client._errors import BorewrightError, TimedOut, UnexpectedAnswer, Unsendable, WrongSetting, problem
from borewright_client._retry import Policy, checked_retries, checked_seconds
from borewright_client._types import Options
from borewright_client._version import __version__
from borewright_client._wire import JSON, Reply

# Somebody who listens accepts at once; a host that is gone must not use up the time in which another may answer.
LONGEST_CONNECT = 5.0
REQUEST_ID = "X-Request-Id"
TOO_LATE = "the deadline passed while the answer was still arriving"
TOO_LONG = "the body is longer than any of the service's"
NOT_DECODED = "the body is not in the encoding its header names"
_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
ENVIRONMENT = "BOREWRIGHT_CLIENT_"
OPTIONS = ("timeout", "deadline", "retries", "request_id")
Kind = TypeVar("Kind")
log = logging.getLogger("borewright_client")


@dataclass(slots=True)
class Attempt:
    """One try of a call, as a hook sees it: before it is sent, with `headers` that the hook may add to; and afterward with its outcome.

    status : of the answer, None before it and where there was none
    seconds : how long it took, None before
    error : what the try ended in, where it was no answer
    """

    method: str
    path: str
    headers: dict[str, str]
    status: int | None = None
    seconds: float | None = None
    error: BorewrightError | None = None


Hook = Callable[[Attempt], None]


class Core:
    """The settings of a client, and the parts of a call that no network takes part in."""

    def __init__(
        self,
        base_url: str | None = None,
        *,
        api_key: str | None = None,
        timeout: float | None = None,
        deadline: float | None = None,
        retries: int | None = None,
        request_id: str | None = None,
        before: Hook | None = None,
        after: Hook | None = None,
    ) -> None:
        address = _setting("URL", base_url, _checked_url)
        if address is None:
            raise WrongSetting(f"base_url is needed: give it, or set {ENVIRONMENT}URL")
        self.base_url = address
        self._key = _setting("API_KEY", api_key, _checked_key)
        tries = _setting("RETRIES", retries, checked_retries, int)
        longest = _setting("TIMEOUT", timeout, partial(checked_seconds, name="timeout"), float)
        whole = _setting("DEADLINE", deadline, partial(checked_seconds, name="deadline"), float)
        self._policy = Policy(
            retries=2 if tries is None else tries,
            timeout=35.0 if longest is None else longest,
            deadline=35.0 if whole is None else whole,
        )
        self.request_id = None if request_id is None else _checked_id(request_id)
        for name, hook in (("before", before), ("after", after)):
            if iscoroutinefunction(hook) or not (hook is None or callable(hook)):  # nobody would await it
                raise WrongSetting(f"{name} must be a plain function")
        self._before, self._after = before, after
        self._told: set[str] = set()
        self._lent = False

    def __getstate__(self) -> dict[str, Any]:
        """The settings, the key among them: connections are of no use to another process, nor to a copy."""
        return {name: held for name, held in vars(self).items() if name not in ("_sessions", "_last")}

    def __setstate__(self, state: dict[str, Any]) -> None:
        vars(self).update({**state, "_lent": False, "_told": set()})

    def __deepcopy__(self, memo: object) -> Self:
        return copy(self)  # a session that was brought is for all of them

    def _twin(self) -> Self:
        """The same client over the same connections."""
        other = object.__new__(type(self))
        vars(other).update({**vars(self), "_lent": True})
        return other

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.base_url!r})"

    def with_options(
        self, *, timeout: float | None = None, deadline: float | None = None, retries: int | None = None, request_id: str | None = None
    ) -> Self:
        """The same client with other settings: it shares the connections, and is not closed by itself."""
        other, policy = self._twin(), self._policy
        other._policy = replace(
            policy,
            timeout=policy.timeout if timeout is None else timeout,
            deadline=policy.deadline if deadline is None else deadline,
            retries=policy.retries if retries is None else retries,
        )
        other.request_id = self.request_id if request_id is None else _checked_id(request_id)
        return other

    def _heard(self, request_id: str) -> None:
        """Note the id of the last request."""

    def _policy_for(self, options: Options | None) -> Policy:
        if options is None:
            return self._policy
        if not isinstance(options, Mapping):
            raise WrongSetting(f"options are a mapping, not {type(options).__name__}")
        unknown = options.keys() - OPTIONS
        if unknown:
            raise WrongSetting(f"there is no option {', '.join(sorted(unknown))}: they are {', '.join(OPTIONS)}")
        policy = self._policy
        return replace(
            policy,
            timeout=options.get("timeout", policy.timeout),
            deadline=options.get("deadline", policy.deadline),
            retries=options.get("retries", policy.retries),
        )

    def _headers(self, accept: str, content: bytes | None, options: Options | None) -> dict[str, str]:
        # One id for all tries of a call, so that the service's log shows them as one.
        given = (options or {}).get("request_id")
        headers = {
            "Accept": accept,
            "User-Agent": f"borewright-client/{__version__}",
            REQUEST_ID: self.request_id or str(uuid.uuid4()) if given is None else _checked_id(given),
        }
        return headers if content is None else {**headers, "Content-Type": JSON}

    @contextmanager
    def _tried(self, method: str, path: str, headers: Mapping[str, str]) -> Iterator[Attempt]:
        """One try, told to the hooks and to the log, however it ends."""
        attempt, begun = Attempt(method, path, dict(headers)), time.monotonic()
        if self._before is not None:
            self._before(attempt)
            _check_headers(attempt.headers)
        try:
            yield attempt
        except BorewrightError as error:
            attempt.error, attempt.status = error, getattr(error, "status", None)
            raise
        finally:
            attempt.seconds = time.monotonic() - begun
            outcome = attempt.error or attempt.status or "given up by the caller"
            log.debug("%s %s: %s in %.3g s", attempt.method, attempt.path, outcome, attempt.seconds)
            if self._after is not None:
                self._after(attempt)

    def _judged(self, reply: Reply, attempt: Attempt) -> Reply:
        attempt.status = reply.status
        self._heard(reply.request_id)
        if reply.status == HTTPStatus.OK:
            self._tell_of_deprecation(attempt.path, reply.headers)
            return reply
        if reply.status >= HTTPStatus.BAD_REQUEST:
            headers = {name: self._without_key(value) for name, value in reply.headers.items()}
            raise problem(reply.status, headers, self._without_key(reply.content.decode(errors="replace")), reply.request_id)
        where = self._without_key(reply.headers.get("Location", ""))
        trouble = f"redirects are not followed: is base_url wrong? it points to {where}" if where else "only 200 is an answer"
        raise UnexpectedAnswer(trouble, reply.status, reply.request_id)

    def _tell_of_deprecation(self, path: str, headers: Mapping[str, str]) -> None:
        """Log once of each operation that it is to go (RFC 9745, RFC 8594)."""
        if "Deprecation" in headers and path not in self._told:
            self._told.add(path)
            until = f", and is there until {headers['Sunset']}" if "Sunset" in headers else ""
            log.warning("%s is deprecated%s; %s", path, until, headers.get("Link", "the document says what takes its place"))

    def _without_key(self, text: str) -> str:
        return text if self._key is None else text.replace(self._key, "[key]")


def waits(policy: Policy, left: Callable[[], float], request_id: str) -> tuple[float, float]:
    """The longest waits of a try for the connection and for each piece of the answer [s].

    Raises TimedOut where no time is left.

    >>> waits(Policy(retries=0, timeout=10.0, deadline=30.0), lambda: 30.0, "a1")
    (5.0, 10.0)
    """
    budget = left()
    if budget <= 0:
        raise TimedOut("the deadline passed before the request was sent", request_id)
    # The time left is looked at between reads; any single read may take up to `timeout`.
    timeout = min(policy.timeout, budget)
    return min(timeout, LONGEST_CONNECT), timeout


def of_kind(reply: Reply, accept: str) -> bytes:
    """The bytes of a document.

    Raises UnexpectedAnswer for one of another kind.

    >>> of_kind(Reply(200, {"Content-Type": "application/pdf"}, b"%PDF", "a1"), "application/pdf")
    b'%PDF'
    """
    if reply.media_type != accept:
        raise UnexpectedAnswer(f"asked for {accept}, got {reply.media_type or 'no content type'}", reply.status, reply.request_id)
    return reply.content


def _setting(name: str, given: Kind | None, checked: Callable[[Any], Kind], read: Callable[[str], object] = str) -> Kind | None:
    """What was given, else what the environment says, where it says anything; a mistake there is told by its name."""
    if given is not None:
        return checked(given)
    text = os.environ.get(ENVIRONMENT + name)
    if not text:  # how a container is told that there is none
        return None
    try:
        return checked(read(text))
    except WrongSetting as wrong:
        trouble = f"{ENVIRONMENT}{name}: {wrong.detail}"
    except ValueError:
        trouble = f"{ENVIRONMENT}{name} must be a {'whole ' if read is int else ''}number, not {text!r}"
    raise WrongSetting(trouble)


def _checked_key(value: str) -> str:
    # Checked here, as the transport's own complaint would quote the value, and that may be the key.
    if not (isinstance(value, str) and value and value.isascii() and value.isprintable() and " " not in value):
        raise WrongSetting("api_key must be printable ASCII without spaces or line ends: the key alone, no word before it")
    return value


def _check_headers(headers: Mapping[str, str]) -> None:
    # Checked here, as each transport has a complaint of its own, which would leak.
    for name, value in headers.items():
        if not all(isinstance(text, str) and text.isascii() and text.isprintable() for text in (name, value)):
            raise Unsendable(f"the header {name!r} that a hook added is not printable ASCII")


def _checked_id(value: str) -> str:
    # The service would put an id of its own in place of any other, and then nobody finds the caller's in its log.
    if not (isinstance(value, str) and _ID.fullmatch(value)):
        raise WrongSetting("request_id must be 1 to 64 letters, digits, dots, underscores or hyphens")
    return value


def _is_host(name: str) -> bool:
    try:
        name.encode("idna")  # no empty label, none that is too long
    except UnicodeError:
        return False
    return name.isprintable() and " " not in name


def _checked_url(base_url: str) -> str:
    # None of these quotes the address: a password may be in it.
    if not isinstance(base_url, str):
        raise WrongSetting(f"base_url must be a text, not {type(base_url).__name__}")
    try:
        parts = urlsplit(base_url.strip())
        port = parts.port
    except ValueError:
        raise WrongSetting("base_url must have a host, and a port from 1 to 65535 if any") from None
    if parts.scheme not in {"http", "https"} or not parts.hostname or port == 0:
        raise WrongSetting("base_url must be an http or https address, like https://shop.example or http://127.0.0.1:8080/prefix")
    if not _is_host(parts.hostname):
        raise WrongSetting("base_url must have the name or the address of a host, like shop.example")
    if "@" in parts.netloc:
        raise WrongSetting("base_url must not hold a user name or password; give the key as api_key")
    if parts.query or parts.fragment:
        raise WrongSetting("base_url must not have a query or fragment")
    return base_url.strip().rstrip("/")
