"""The connections of a client over requests: which call has which, and none keeps its call longer than it may last."""

import io
import os
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from http.client import HTTPResponse
from typing import Any, cast

import requests
from requests.adapters import HTTPAdapter
from urllib3.connection import HTTPConnection
from urllib3.exceptions import ConnectTimeoutError, NewConnectionError

from borewright_client._errors import WrongSetting

# How often a read that waits looks up whether its call has been given up [s].
_LOOK_UP = 0.25
_SHORTEST = 0.01
_Left = Callable[[], float]
_LEFT: ContextVar[_Left] = ContextVar("left", default=lambda: float("inf"))


@contextmanager
def within(left: _Left) -> Iterator[None]:
    """Reads in this block wait no longer than `left` says; it is asked again while they wait.

    >>> with within(lambda: 5.0):
    ...     _LEFT.get()()
    5.0
    """
    before = _LEFT.set(left)
    try:
        yield
    finally:
        _LEFT.reset(before)


class Sessions:
    """A session for each call that is under way, kept for the next one; or the one that the caller brought, for all.

    Calls of many threads one after another so stand on few connections, and no two on one at once. A forked process begins with none,
    as it would read the answers to its parent.
    """

    def __init__(self, brought: requests.Session | None) -> None:
        if not (brought is None or isinstance(brought, requests.Session)):
            raise WrongSetting(f"session must be a requests.Session, not {type(brought).__name__}")
        self.brought = brought
        self._free: list[requests.Session] = []
        self._process = os.getpid()

    @contextmanager
    def one(self) -> Iterator[requests.Session]:
        """A session that nobody else uses meanwhile."""
        if self.brought is not None:
            yield self.brought
            return
        if self._process != os.getpid():
            self._free, self._process = [], os.getpid()
        free = self._free
        try:
            session = free.pop()
        except IndexError:
            session = _Session()
        try:
            yield session
        finally:
            if free is self._free:
                free.append(session)
            else:  # closed meanwhile
                session.close()

    def close(self) -> None:
        """Close what was opened here; what is under way is closed when it is through."""
        free, self._free = self._free, []
        for session in free:
            session.close()


class _Session(requests.Session):
    def __init__(self) -> None:
        super().__init__()
        for scheme in ("https://", "http://"):
            self.mount(scheme, _Adapter())

    def get_redirect_target(self, resp: requests.Response) -> None:
        """None: no redirect is followed, so its body is not read for one."""


class _Adapter(HTTPAdapter):
    def init_poolmanager(self, *given: Any, **named: Any) -> None:
        super().init_poolmanager(*given, **named)
        _make_punctual(self.poolmanager)

    def proxy_manager_for(self, proxy: Any, **named: Any) -> Any:
        return _make_punctual(super().proxy_manager_for(proxy, **named))


def _make_punctual(manager: Any) -> Any:
    manager.pool_classes_by_scheme = {scheme: _punctual(kind) for scheme, kind in manager.pool_classes_by_scheme.items()}
    return manager


@cache
def _punctual(pool: Any) -> Any:
    """The same kind of pool, whose connections read as below; a proxy has kinds of its own."""
    if getattr(pool.ConnectionCls, "response_class", None) is _Answer:
        return pool
    kind = pool.ConnectionCls
    members: dict[str, Any] = {"response_class": _Answer}
    if kind._new_conn is HTTPConnection._new_conn:  # not to a proxy of another protocol, which has its own way
        members["_new_conn"] = _to_one_of_them
    return type(pool.__name__, (pool,), {"ConnectionCls": type(kind.__name__, (kind,), members)})


def _to_one_of_them(connection: Any) -> Any:
    """Connect to one of the addresses of a name in the time that there is for all; by itself each of them would have the whole."""
    name, timeout = connection._dns_host, connection.timeout
    try:
        found = socket.getaddrinfo(name.strip("[]"), connection.port, type=socket.SOCK_STREAM)
        addresses = list(dict.fromkeys(str(address[4][0]) for address in found))
    except (OSError, UnicodeError):
        addresses = [name]  # which is then said of it
    end = time.monotonic() + timeout
    try:
        for others_left, address in zip(range(len(addresses) - 1, -1, -1), addresses, strict=True):
            connection._dns_host = address
            connection.timeout = max(_SHORTEST, (end - time.monotonic()) / (others_left + 1))
            try:
                return HTTPConnection._new_conn(connection)
            except (NewConnectionError, ConnectTimeoutError):
                if not others_left:
                    raise
    finally:
        connection._dns_host, connection.timeout = name, timeout


class _Answer(HTTPResponse):
    def __init__(self, sock: socket.socket, *given: Any, **named: Any) -> None:
        super().__init__(cast(socket.socket, _Opener(sock)), *given, **named)


class _Opener:
    """What an answer takes for its socket, to open it for reading."""

    def __init__(self, connection: socket.socket) -> None:
        self._connection = connection

    def makefile(self, mode: str) -> io.BufferedReader:
        return io.BufferedReader(_Read(self._connection))


class _Read(io.RawIOBase):
    """Reads from a socket; its own timeout begins again with each piece, and a head that trickles in would hold a call for hours."""

    def __init__(self, connection: socket.socket) -> None:
        self._connection, self._timeout = connection, connection.gettimeout()
        self._held = connection.makefile("rb", buffering=0)  # what keeps it open until the answer is closed

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        left, begun = _LEFT.get(), time.monotonic()
        while True:
            wait = left()
            if self._timeout is not None:
                wait = min(wait, begun + self._timeout - time.monotonic())
            if wait <= 0:
                raise TimeoutError("timed out")
            self._connection.settimeout(min(wait, _LOOK_UP))
            try:
                return self._connection.recv_into(buffer)
            except TimeoutError:
                continue

    def close(self) -> None:
        self._held.close()
        super().close()
