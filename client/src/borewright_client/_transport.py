"""Sending and waiting, over requests."""

import threading
from collections.abc import Callable
from types import TracebackType
from typing import Any, Self, TypeVar

import requests
from requests.auth import AuthBase

from borewright_client._core import NOT_DECODED, REQUEST_ID, TOO_LATE, TOO_LONG, Attempt, Core, Hook, waits
from borewright_client._errors import BorewrightError, TimedOut, UnexpectedAnswer
from borewright_client._retry import Policy
from borewright_client._sessions import Sessions, within
from borewright_client._types import Options
from borewright_client._wire import Reply, TooLong, failure, read_body

T = TypeVar("T")


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
        self._open(session)

    def _open(self, session: requests.Session | None) -> None:
        self._sessions, self._last = Sessions(session), threading.local()

    def __getstate__(self) -> dict[str, Any]:
        return {**super().__getstate__(), "_sessions": self._sessions.brought}

    def __setstate__(self, state: dict[str, Any]) -> None:
        super().__setstate__(state)
        self._open(state["_sessions"])

    @property
    def last_request_id(self) -> str | None:
        """The id of the last request that this thread got an answer to; each answer has its own as `request_id`."""
        return getattr(self._last, "request_id", None)

    def _heard(self, request_id: str) -> None:
        self._last.request_id = request_id

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections, unless they belong to a session the caller brought or to the client that this one was made from."""
        if not self._lent:
            self._sessions.close()

    def _send(self, method: str, path: str, accept: str, content: bytes | None, options: Options | None) -> Reply:
        policy, headers = self._policy_for(options), self._headers(accept, content, options)

        def attempt(left: Callable[[], float]) -> Reply:
            with self._tried(method, path, headers) as tried:
                return self._judged(self._exchanged(tried, content, policy, left), tried)

        return policy.run(attempt)

    def _exchanged(self, attempt: Attempt, content: bytes | None, policy: Policy, left: Callable[[], float]) -> Reply:
        request_id = attempt.headers.get(REQUEST_ID, "")
        trouble: BorewrightError
        try:
            with (
                within(left),
                self._sessions.one() as session,
                session.request(
                    attempt.method,
                    self.base_url + attempt.path,
                    data=content,
                    headers=attempt.headers,
                    auth=None if self._key is None else _BearerKey(self._key),
                    timeout=waits(policy, left, request_id),
                    allow_redirects=False,
                    stream=True,
                ) as response,
            ):
                request_id = response.headers.get(REQUEST_ID, request_id)
                return Reply(response.status_code, response.headers, read_body(response, left), request_id)
        except requests.exceptions.ContentDecodingError:
            trouble = UnexpectedAnswer(NOT_DECODED, response.status_code, request_id)
        except TooLong:
            trouble = UnexpectedAnswer(TOO_LONG, response.status_code, request_id)
        except (OSError, ValueError) as error:  # certificates that are not there; addresses that what it stands on finds no text for one
            trouble = failure(error, request_id) if left() > 0 else TimedOut(TOO_LATE, request_id)
        # Raised out here, so that the transport's error, which holds the request and with it the key, does not hang on to this one.
        raise trouble

    def _until(self, given_up: threading.Event) -> Self:
        """The same client, whose calls end when they are given up."""
        other = self._twin()
        other._policy = self._policy.until(given_up)
        return other

    def _aside(self, work: Callable[..., T], *arguments: object) -> T:
        """Do what may wait for a disk."""
        return work(*arguments)


class _BearerKey(AuthBase):
    """Sets the key on each request; being the request's `auth` it cannot be replaced by a .netrc entry."""

    def __init__(self, value: str) -> None:
        self._value = value

    def __call__(self, request: requests.PreparedRequest) -> requests.PreparedRequest:
        request.headers["Authorization"] = f"Bearer {self._value}"
        return request
