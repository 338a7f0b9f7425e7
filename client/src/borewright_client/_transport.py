"""One call, from its body to its answer: headers, key, tries, and the errors."""

import re
import uuid
from collections.abc import Callable, Mapping
from dataclasses import replace
from http import HTTPStatus
from types import TracebackType
from typing import Self, cast
from urllib.parse import urlsplit

import requests
from requests.auth import AuthBase

from borewright_client._errors import BorewrightError, TimedOut, UnexpectedAnswer, problem
from borewright_client._retry import Policy
from borewright_client._types import Answer, BatchAnswer
from borewright_client._version import __version__
from borewright_client._wire import JSON, Reply, encode, failure, read_body

# Somebody who listens accepts at once; a host that is gone must not use up the time in which another may answer.
LONGEST_CONNECT = 5.0
REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")


class Transport:
    """Sends requests to one service; the operations are built on it."""

    def __init__(
        self,
        base_url: str,
        *,
        api_key: str | None = None,
        timeout: float = 35.0,
        deadline: float = 35.0,
        retries: int = 2,
        request_id: str | None = None,
        session: requests.Session | None = None,
    ) -> None:
        self.base_url = _checked_url(base_url)
        self.last_request_id: str | None = None
        self._key = None if api_key is None else _BearerKey(api_key)
        self._policy = Policy(retries=retries, timeout=timeout, deadline=deadline)
        self.request_id = None if request_id is None else _checked_id(request_id)
        # A session the caller brought is the caller's to close.
        self._owns_session = session is None
        self._session = requests.Session() if session is None else session

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.base_url!r})"

    def close(self) -> None:
        """Close the connections, unless they belong to a session the caller brought."""
        if self._owns_session:
            self._session.close()

    def _calculate(self, name: str, body: Mapping[str, object]) -> Answer:
        return cast(Answer, self._post(f"/v1/{name}", _given(body)).json_object())

    def _batch(self, name: str, body: Mapping[str, object]) -> BatchAnswer:
        return cast(BatchAnswer, self._post(f"/v1/{name}/batch", _given(body)).json_object())

    def _document(self, path: str, body: Mapping[str, object], accept: str) -> bytes:
        reply = self._post(path, _given(body), accept)
        if reply.media_type != accept:
            raise UnexpectedAnswer(f"asked for {accept}, got {reply.media_type or 'no content type'}", reply.status, reply.request_id)
        return reply.content

    def _post(self, path: str, body: Mapping[str, object], accept: str = JSON) -> Reply:
        return self._send("POST", path, accept, encode(body), self._policy)

    def _get(self, path: str, accept: str = JSON) -> Reply:
        return self._send("GET", path, accept, None, self._policy)

    def _get_once(self, path: str, accept: str = JSON) -> Reply:
        return self._send("GET", path, accept, None, replace(self._policy, retries=0))

    def _send(self, method: str, path: str, accept: str, content: bytes | None, policy: Policy) -> Reply:
        # One id for all tries of a call, so that the service's log shows them as one.
        headers = {
            "Accept": accept,
            "User-Agent": f"borewright-client/{__version__}",
            "X-Request-Id": self.request_id or str(uuid.uuid4()),
        }
        if content is not None:
            headers["Content-Type"] = JSON
        return policy.run(lambda left: self._attempt(method, path, headers, content, left))

    def _attempt(self, method: str, path: str, headers: dict[str, str], content: bytes | None, left: Callable[[], float]) -> Reply:
        request_id = headers["X-Request-Id"]
        trouble: BorewrightError
        budget = left()
        if budget <= 0:
            raise TimedOut("the deadline passed before the request was sent", request_id)
        # The time left is looked at between reads; any single read may take up to `timeout`.
        timeout = min(self._policy.timeout, budget)
        try:
            with self._session.request(
                method,
                self.base_url + path,
                data=content,
                headers=headers,
                auth=self._key,
                timeout=(min(timeout, LONGEST_CONNECT), timeout),
                allow_redirects=False,
                stream=True,
            ) as response:
                request_id = response.headers.get("X-Request-Id", request_id)
                reply = Reply(response.status_code, response.headers, read_body(response, left), request_id)
        except requests.exceptions.ContentDecodingError:
            trouble = UnexpectedAnswer("the body is not in the encoding its header names", response.status_code, request_id)
        except requests.RequestException as error:
            trouble = failure(error, request_id)
        else:
            self.last_request_id = request_id
            return self._judged(reply)
        # Raised out here, so that the transport's error, which holds the request and with it the key, does not hang on to this one.
        raise trouble

    def _judged(self, reply: Reply) -> Reply:
        if reply.status == HTTPStatus.OK:
            return reply
        if reply.status >= HTTPStatus.BAD_REQUEST:
            headers = {name: self._without_key(value) for name, value in reply.headers.items()}
            raise problem(reply.status, headers, self._without_key(reply.content.decode(errors="replace")), reply.request_id)
        where = self._without_key(reply.headers.get("Location", ""))
        trouble = f"redirects are not followed: is base_url wrong? it points to {where}" if where else "only 200 is an answer"
        raise UnexpectedAnswer(trouble, reply.status, reply.request_id)

    def _without_key(self, text: str) -> str:
        return text if self._key is None else text.replace(self._key.value, "[key]")


class _BearerKey(AuthBase):
    """Sets the key on each request; being the request's `auth` it cannot be replaced by a .netrc entry."""

    def __init__(self, value: str) -> None:
        self.value = _checked_key(value)

    def __call__(self, request: requests.PreparedRequest) -> requests.PreparedRequest:
        request.headers["Authorization"] = f"Bearer {self.value}"
        return request


def _given(body: Mapping[str, object]) -> dict[str, object]:
    return {name: value for name, value in body.items() if value is not None}


def _checked_key(value: str) -> str:
    # Checked here, as the transport's own complaint would quote the value, and that may be the key.
    if not (value and value.isascii() and value.isprintable() and " " not in value):
        raise ValueError("api_key must be printable ASCII without spaces or line ends: the key alone, no word before it")
    return value


def _checked_id(value: str) -> str:
    # The service would put an id of its own in place of any other, and then nobody finds the caller's in its log.
    if not REQUEST_ID.fullmatch(value):
        raise ValueError("request_id must be 1 to 64 letters, digits, dots, underscores or hyphens")
    return value


def _checked_url(base_url: str) -> str:
    # None of these quotes the address: a password may be in it.
    try:
        parts = urlsplit(base_url.strip())
        port = parts.port
    except ValueError:
        raise ValueError("base_url must have a host, and a port from 1 to 65535 if any") from None
    if parts.scheme not in {"http", "https"} or not parts.hostname or port == 0:
        raise ValueError("base_url must be an http or https address, like https://shop.example or http://127.0.0.1:8080/prefix")
    if "@" in parts.netloc:
        raise ValueError("base_url must not hold a user name or password; give the key as api_key")
    if parts.query or parts.fragment:
        raise ValueError("base_url must not have a query or fragment")
    return base_url.strip().rstrip("/")
