"""Sending and waiting, over httpx, which is imported by whoever makes a client and by nobody else."""

from __future__ import annotations

import asyncio
import os
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self, TypeVar
from weakref import WeakKeyDictionary

from requests.structures import CaseInsensitiveDict

from borewright_client._core import NOT_DECODED, REQUEST_ID, TOO_LATE, TOO_LONG, Attempt, Core, Hook, waits
from borewright_client._errors import BorewrightError, ConnectionFailed, MissingExtra, TimedOut, UnexpectedAnswer, WrongSetting
from borewright_client._retry import Policy
from borewright_client._types import Options
from borewright_client._wire import Pieces, Reply, TooLong

if TYPE_CHECKING:
    import httpx

T = TypeVar("T")
# A connection that is kept goes before the service would close it, which it does after 5 s of silence.
_KEPT = 4.0
CONNECTIONS = 20
_QUEUED = "the deadline passed while the call waited for a free connection"


class AsyncTransport(Core):
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
        connections: int = CONNECTIONS,
        session: httpx.AsyncClient | None = None,
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
        self._open(session, connections)
        self._sleep = asyncio.sleep

    def _open(self, session: httpx.AsyncClient | None, connections: int) -> None:
        self._sessions = _Sessions(session, connections)
        self._last: WeakKeyDictionary[asyncio.Task[Any], str] = WeakKeyDictionary()

    def __getstate__(self) -> dict[str, Any]:
        return {**super().__getstate__(), "_sessions": (self._sessions.brought, self._sessions.connections)}

    def __setstate__(self, state: dict[str, Any]) -> None:
        super().__setstate__(state)
        self._open(*state["_sessions"])

    @property
    def last_request_id(self) -> str | None:
        """The id of the last request that this task got an answer to; each answer has its own as `request_id`."""
        task = _task()
        return None if task is None else self._last.get(task)

    def _heard(self, request_id: str) -> None:
        task = _task()
        if task is not None:
            self._last[task] = request_id

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        await self.aclose()

    async def aclose(self) -> None:
        """Close the connections, unless they belong to a session the caller brought or to the client that this one was made from."""
        if not self._lent:
            await self._sessions.aclose()

    async def _send(self, method: str, path: str, accept: str, content: bytes | None, options: Options | None) -> Reply:
        policy, headers = self._policy_for(options), self._headers(accept, content, options)
        left, tries = policy.left(), 0
        while True:
            try:
                with self._tried(method, path, headers) as tried:
                    return self._judged(await self._exchanged(tried, content, policy, left), tried)
            except BorewrightError as error:
                pause = policy.pause_after(error, tries, left())
            tries += 1
            await self._sleep(pause)

    async def _exchanged(self, attempt: Attempt, content: bytes | None, policy: Policy, left: Callable[[], float]) -> Reply:
        import httpx

        request_id, status = attempt.headers.get(REQUEST_ID, ""), 0
        connecting, waiting = waits(policy, left, request_id)
        trouble: BorewrightError
        late = _QUEUED
        try:
            session = self._sessions.mine()
            # The transport's own timeouts begin again with each piece; this one does not.
            async with asyncio.timeout(left()), self._sessions.places():
                late = TOO_LATE
                async with session.stream(
                    attempt.method,
                    self.base_url + attempt.path,
                    content=content,
                    headers=attempt.headers,
                    auth=httpx.USE_CLIENT_DEFAULT if self._key is None else self._with_key,
                    timeout=httpx.Timeout(waiting, connect=connecting, pool=None),
                    follow_redirects=False,
                ) as response:
                    request_id, status = response.headers.get(REQUEST_ID, request_id), response.status_code
                    pieces = Pieces()
                    async for piece in response.aiter_bytes():
                        pieces.add(piece)
                        if left() <= 0:
                            raise httpx.ReadTimeout(TOO_LATE)
                    return Reply(status, CaseInsensitiveDict(response.headers), pieces.whole(), request_id)
        except WrongSetting:
            raise
        except TimeoutError:
            trouble = TimedOut(late, request_id)
        except TooLong:
            trouble = UnexpectedAnswer(TOO_LONG, status, request_id)
        except httpx.DecodingError:
            trouble = UnexpectedAnswer(NOT_DECODED, status, request_id)
        except httpx.TimeoutException as error:
            trouble = TimedOut(str(error) or _SLOW.get(type(error).__name__, "no answer in time"), request_id)
        # The last three: proxies and certificates that the environment names, and that are none.
        except (httpx.HTTPError, httpx.InvalidURL, httpx.StreamError, ValueError, OSError, ImportError) as error:
            trouble = ConnectionFailed(_reason(error), request_id)
        # Raised out here, so that the transport's error, which holds the request and with it the key, does not hang on to this one.
        raise trouble

    def _with_key(self, request: httpx.Request) -> httpx.Request:
        request.headers["Authorization"] = f"Bearer {self._key}"
        return request

    async def _aside(self, work: Callable[..., T], *arguments: object) -> T:
        """Do what may wait for a disk in a thread; who gives up waits for what has begun, so that nothing goes on behind his back."""
        begun = asyncio.ensure_future(asyncio.to_thread(work, *arguments))
        try:
            return await asyncio.shield(begun)
        except asyncio.CancelledError:
            await asyncio.wait([begun])
            raise


class _Sessions:
    """The connections of each event loop that asks, as they can't go to another; or the session that the caller brought, for all.

    connections : calls wait here in turn for one, as a pool that many wait for slows down with their number
    """

    def __init__(self, brought: httpx.AsyncClient | None, connections: int) -> None:
        try:
            import httpx
        except ModuleNotFoundError as missing:
            raise MissingExtra("async", missing) from None
        if not (brought is None or isinstance(brought, httpx.AsyncClient)):
            raise WrongSetting(f"session must be an httpx.AsyncClient, not {type(brought).__name__}")
        if isinstance(connections, bool) or not isinstance(connections, int) or connections < 1:
            raise WrongSetting("connections must be a whole number, 1 or more")
        self.brought, self.connections, self._lock = brought, connections, threading.Lock()
        self._opened: WeakKeyDictionary[asyncio.AbstractEventLoop, httpx.AsyncClient] = WeakKeyDictionary()
        self._places: WeakKeyDictionary[asyncio.AbstractEventLoop, asyncio.Semaphore] = WeakKeyDictionary()

    def mine(self) -> httpx.AsyncClient:
        import httpx

        if self.brought is not None:
            if self.brought.is_closed:
                raise WrongSetting("the session of this client has been closed")
            return self.brought
        loop = _loop()
        session = self._opened.get(loop)
        if session is None:
            limits = httpx.Limits(max_connections=None, max_keepalive_connections=self.connections, keepalive_expiry=_KEPT)
            session = httpx.AsyncClient(limits=limits)
            with self._lock:  # the loops of other threads come and go too
                # A session holds on to its loop, so that one which has ended would be kept for ever.
                for ended in [other for other in self._opened if other.is_closed()]:
                    del self._opened[ended]
                self._opened[loop] = session
        return session

    def places(self) -> asyncio.Semaphore:
        """As many as there may be connections, in the event loop that asks."""
        with self._lock:
            return self._places.setdefault(_loop(), asyncio.Semaphore(self.connections))

    async def aclose(self) -> None:
        with self._lock:
            session = self._opened.pop(_loop(), None)
        if session is not None:
            await session.aclose()


def _loop() -> asyncio.AbstractEventLoop:
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        raise WrongSetting("this client runs in an event loop of asyncio alone") from None


_SLOW = {
    "ConnectTimeout": "no connection in time",
    "ReadTimeout": "no answer in time",
    "WriteTimeout": "the request could not be sent in time",
}


def _task() -> asyncio.Task[Any] | None:
    with suppress(RuntimeError):  # where no event loop runs
        return asyncio.current_task()
    return None


def _reason(error: BaseException) -> str:
    """Why: the transport says that all attempts failed, and what it stands on says of what."""
    for cause in _causes(error):
        if isinstance(cause, OSError) and cause.errno:
            plain = isinstance(cause, ConnectionError) or type(cause) is OSError  # names and certificates have numbers of their own
            return os.strerror(cause.errno) if plain else str(cause)
    return str(error) or type(error).__name__


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__cause__ or error.__context__
        if isinstance(error, BaseExceptionGroup):  # an address for each of the host's names
            error = error.exceptions[0]
