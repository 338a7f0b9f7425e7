"""One call over requests, from its body to its answer."""

import threading
import time
from collections.abc import Callable, Mapping
from types import TracebackType
from typing import Self, TypeVar

import requests
from requests.auth import AuthBase

from borewright_client._core import LONGEST_CONNECT, Attempt, Core, Hook, of_kind
from borewright_client._errors import BorewrightError, TimedOut, UnexpectedAnswer
from borewright_client._retry import Policy
from borewright_client._types import BatchAnswer, Options
from borewright_client._types import Reply as TypedReply
from borewright_client._wire import JSON, Reply, encode, failure, read_body

Kind = TypeVar("Kind", bound=TypedReply)


class Transport(Core):
    """Sends requests to one service; the operations are built on it."""

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
        session: requests.Session | None = None,
    ) -> None:
        super().__init__(
            base_url,
            api_key=api_key,
            timeout=timeout,
            deadline=deadline,
            retries=retries,
            request_id=request_id,
            before=before,
            after=after,
        )
        self._sessions = _Sessions(session)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections, unless they belong to a session the caller brought or to the client that this one was made from."""
        self._sessions.close()

    def _lend(self) -> None:
        self._sessions = self._sessions.lent()

    def _calculate(self, kind: type[Kind], path: str, body: Mapping[str, object], options: Options | None = None) -> Kind:
        reply = self._post(path, body, options=options)
        return kind(reply.json_object(), reply.request_id, reply.headers)

    def _batch(self, name: str, body: Mapping[str, object], options: Options | None = None) -> BatchAnswer:
        return self._calculate(BatchAnswer, f"/v1/{name}/batch", body, options)

    def _document(self, path: str, body: Mapping[str, object], accept: str, options: Options | None = None) -> bytes:
        return of_kind(self._post(path, body, accept, options), accept)

    def _post(self, path: str, body: Mapping[str, object], accept: str = JSON, options: Options | None = None) -> Reply:
        return self._send("POST", path, accept, encode(body), options)

    def _get(self, path: str, options: Options | None = None) -> Reply:
        return self._send("GET", path, JSON, None, options)

    def _send(self, method: str, path: str, accept: str, content: bytes | None, options: Options | None) -> Reply:
        headers, policy = self._headers(accept, content, options), self._policy_for(options)
        return policy.run(lambda left: self._attempt(method, path, headers, content, policy, left))

    def _attempt(
        self, method: str, path: str, headers: dict[str, str], content: bytes | None, policy: Policy, left: Callable[[], float]
    ) -> Reply:
        attempt, begun = Attempt(method, path, dict(headers)), time.monotonic()
        self._begun(attempt)
        try:
            reply = self._judged(self._exchanged(attempt, content, policy, left))
        except BorewrightError as error:
            self._ended(attempt, time.monotonic() - begun, getattr(error, "status", None), error)
            raise
        self._ended(attempt, time.monotonic() - begun, reply.status, None)
        return reply

    def _exchanged(self, attempt: Attempt, content: bytes | None, policy: Policy, left: Callable[[], float]) -> Reply:
        request_id = attempt.headers["X-Request-Id"]
        trouble: BorewrightError
        budget = left()
        if budget <= 0:
            raise TimedOut("the deadline passed before the request was sent", request_id)
        # The time left is looked at between reads; any single read may take up to `timeout`.
        timeout = min(policy.timeout, budget)
        try:
            with self._sessions.mine().request(
                attempt.method,
                self.base_url + attempt.path,
                data=content,
                headers=attempt.headers,
                auth=None if self._key is None else _BearerKey(self._key),
                timeout=(min(timeout, LONGEST_CONNECT), timeout),
                allow_redirects=False,
                stream=True,
            ) as response:
                request_id = response.headers.get("X-Request-Id", request_id)
                return Reply(response.status_code, response.headers, read_body(response, left), request_id)
        except requests.exceptions.ContentDecodingError:
            trouble = UnexpectedAnswer("the body is not in the encoding its header names", response.status_code, request_id)
        except requests.RequestException as error:
            trouble = failure(error, request_id)
        # Raised out here, so that the transport's error, which holds the request and with it the key, does not hang on to this one.
        raise trouble


class _Sessions:
    """A session for each thread, as one session is not made for several; or the one that the caller brought, for all."""

    def __init__(self, brought: requests.Session | None) -> None:
        self._brought, self._local, self._lock = brought, threading.local(), threading.Lock()
        self._opened: list[requests.Session] = []
        self._owner = True

    def mine(self) -> requests.Session:
        if self._brought is not None:
            return self._brought
        session: requests.Session | None = getattr(self._local, "session", None)
        if session is None:
            session = self._local.session = requests.Session()
            with self._lock:
                self._opened.append(session)
        return session

    def lent(self) -> "_Sessions":
        other = _Sessions(self._brought)
        other._local, other._lock, other._opened, other._owner = self._local, self._lock, self._opened, False
        return other

    def close(self) -> None:
        if self._owner:
            with self._lock:
                for session in self._opened:
                    session.close()
                self._opened.clear()
            self._local = threading.local()


class _BearerKey(AuthBase):
    """Sets the key on each request; being the request's `auth` it cannot be replaced by a .netrc entry."""

    def __init__(self, value: str) -> None:
        self._value = value

    def __call__(self, request: requests.PreparedRequest) -> requests.PreparedRequest:
        request.headers["Authorization"] = f"Bearer {self._value}"
        return request
