"""A scripted service on a loopback socket, a clock that only moves when told, and the in-process transport."""

import asyncio
import importlib.util
import inspect
import json
import socket
import struct
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import ModuleType
from typing import Any

import httpx
import pytest
import requests
from werkzeug.serving import make_server

from borewright.web.app import create_app
from borewright_client import AsyncClient, Client

Step = Callable[["Handler"], None]


@dataclass
class Seen:
    """A request as it arrived."""

    method: str
    path: str
    headers: dict[str, str]
    body: bytes
    connection: tuple[str, int]


class Handler(BaseHTTPRequestHandler):
    """Records the request and lets the next step of the script write the answer, byte by byte if it likes."""

    protocol_version = "HTTP/1.1"
    server: "Server"

    def answer(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
        headers = {name.lower(): value for name, value in self.headers.items()}
        self.server.seen.append(Seen(self.command, self.path, headers, body, self.client_address))
        # The last step goes on for ever, so that a call too many is counted instead of hanging.
        steps = self.server.steps
        step = steps.pop(0) if len(steps) > 1 else steps[0]
        step(self)

    do_GET = do_POST = answer

    def send(self, data: bytes) -> None:
        self.wfile.write(data)
        self.wfile.flush()

    def reset(self) -> None:
        """End the connection with a TCP reset, which is what a zero linger time means."""
        self.connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        self.connection.close()
        self.close_connection = True

    def hang_up(self) -> None:
        self.close_connection = True

    def log_message(self, *args: object) -> None:
        """Keep the test output free of access logs."""


class Server(ThreadingHTTPServer):
    """Keeps the script and what was asked."""

    daemon_threads = True

    def __init__(self, steps: list[Step]) -> None:
        super().__init__(("127.0.0.1", 0), Handler)
        self.steps = steps
        self.seen: list[Seen] = []
        self.released = threading.Event()
        self.finished = threading.Event()  # by a step that a caller should not have waited for

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.server_port}"

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A client that gave up is part of the script."""


@dataclass
class Clock:
    """Stands still but for the sleeps asked of it and what a script adds."""

    now: float = 1000.0
    sleeps: list[float] = field(default_factory=list)

    def read(self) -> float:
        return self.now

    def sleep(self, seconds: float) -> None:
        self.sleeps.append(seconds)
        self.now += seconds


@pytest.fixture(scope="session")
def say() -> Callable[..., Step]:
    """Make the step that sends one whole answer."""

    def make(status: int = 200, body: object = None, **headers: str) -> Step:
        content = body if isinstance(body, bytes) else json.dumps({} if body is None else body).encode()
        kind = "application/json" if status < 400 else "application/problem+json"
        lines = {"Content-Type": kind, "Content-Length": str(len(content))} | {
            name.replace("_", "-"): value for name, value in headers.items()
        }

        def step(handler: Handler) -> None:
            head = "".join(f"{name}: {value}\r\n" for name, value in lines.items())
            handler.send(f"HTTP/1.1 {status} Answer\r\n{head}\r\n".encode() + content)

        return step

    return make


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def serve() -> Iterator[Callable[..., Server]]:
    """Start a server that answers each request with the next of the given steps."""
    servers = []

    def start(*steps: Step) -> Server:
        server = Server(list(steps))
        servers.append(server)
        threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True).start()
        return server

    yield start
    for server in servers:
        server.released.set()
        server.shutdown()
        server.server_close()


@pytest.fixture
def connect_requests(clock: Clock) -> Iterator[Callable[..., Client]]:
    """Make a client of a server whose waits are on the clock of the test; dice always fall high, so no jitter."""
    sessions = []

    def make(server: Server, **settings: Any) -> Client:
        session = requests.Session()
        # No proxy or .netrc of the machine the tests run on.
        session.trust_env = False
        sessions.append(session)
        client = Client(server.url, session=session, **settings)
        client._policy = replace(client._policy, clock=clock.read, sleep=clock.sleep, draw=lambda: 1.0)
        return client

    yield make
    for session in sessions:
        session.close()


class Blocking:
    """A client for asyncio as a test calls the other: each call runs to its end."""

    def __init__(self, client: AsyncClient, runner: asyncio.Runner) -> None:
        vars(self).update(client=client, runner=runner, last_request_id=None)

    def __getattr__(self, name: str) -> Any:
        client: AsyncClient = vars(self)["client"]
        member = getattr(client, name)
        if name == "with_options":
            return lambda **settings: Blocking(member(**settings), vars(self)["runner"])
        if not inspect.iscoroutinefunction(member):
            return member

        async def whole(*given: Any, **named: Any) -> Any:
            try:
                return await member(*given, **named)
            finally:  # while this is still the task that asked
                vars(self)["last_request_id"] = client.last_request_id

        return lambda *given, **named: vars(self)["runner"].run(whole(*given, **named))

    def __setattr__(self, name: str, value: object) -> None:
        setattr(vars(self)["client"], name, value)

    def __repr__(self) -> str:
        return repr(vars(self)["client"])


@pytest.fixture
def block() -> Iterator[Callable[[AsyncClient], Blocking]]:
    """Call a client for asyncio as if it were the other."""
    clients: list[AsyncClient] = []
    with asyncio.Runner() as runner:

        def make(client: AsyncClient) -> Blocking:
            clients.append(client)
            return Blocking(client, runner)

        yield make
        for client in clients:
            brought = client._sessions.brought
            runner.run(client.aclose() if brought is None else brought.aclose())


@pytest.fixture
def connect_httpx(clock: Clock, block: Callable[[AsyncClient], Blocking]) -> Callable[..., Blocking]:
    """The same for asyncio, called as if it were not."""

    async def sleep(seconds: float) -> None:
        clock.sleep(seconds)

    def make(server: Server, **settings: Any) -> Blocking:
        client = AsyncClient(server.url, session=httpx.AsyncClient(trust_env=False), **settings)
        client._policy = replace(client._policy, clock=clock.read, draw=lambda: 1.0)
        vars(client)["_sleep"] = sleep
        return block(client)

    return make


@pytest.fixture(params=["requests", "httpx"])
def connect(request: pytest.FixtureRequest) -> Any:
    """Each client in turn: what one does, the other does."""
    return request.getfixturevalue(f"connect_{request.param}")


@pytest.fixture
def direct(monkeypatch: pytest.MonkeyPatch) -> None:
    """No proxy of the machine that the tests run on."""
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")


@pytest.fixture
def address(monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """Of the service itself, behind a socket."""
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    server = make_server("127.0.0.1", 0, create_app(), threaded=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture(params=["requests", "httpx"])
def connect_own(request: pytest.FixtureRequest, block: Callable[[AsyncClient], Blocking], direct: None) -> Iterator[Callable[..., Any]]:
    """Make either client of an address, over connections of its own and on the clock of the machine."""
    clients: list[Client] = []

    def make(url: str, **settings: Any) -> Any:
        if request.param == "httpx":
            return block(AsyncClient(url, **settings))
        clients.append(Client(url, **settings))
        return clients[-1]

    yield make
    for client in clients:
        client.close()


@pytest.fixture(scope="session")
def wsgi_adapter() -> ModuleType:
    """The module beside this file; by its path, as test files are no package and cannot import each other."""
    spec = importlib.util.spec_from_file_location("wsgi_adapter", Path(__file__).with_name("wsgi_adapter.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def wsgi_session(wsgi_adapter: ModuleType) -> Callable[..., requests.Session]:
    """Make a session whose http://service is the given WSGI application."""

    def make(application: Any, address: str = "http://service") -> requests.Session:
        session = requests.Session()
        session.trust_env = False
        session.mount(address, wsgi_adapter.WsgiAdapter(application))
        return session

    return make


@pytest.fixture
def wsgi_async(wsgi_adapter: ModuleType, block: Callable[[AsyncClient], Blocking]) -> Callable[..., Blocking]:
    """Make a client for asyncio, called as if it were not, whose service is the given WSGI application."""

    def make(application: Any, **settings: Any) -> Blocking:
        session = httpx.AsyncClient(transport=wsgi_adapter.AsyncWsgiTransport(application))
        return block(AsyncClient("http://service", session=session, **settings))

    return make
