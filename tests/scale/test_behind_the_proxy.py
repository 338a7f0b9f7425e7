"""What holds of a service holds behind the proxy that comes with the image: slow callers, floods, and restarts beside them."""

import signal
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from scale_load import BODY, Load
from scale_proxy import proxy
from scale_service import HOST, Instance, instances, status, until

pytestmark = pytest.mark.system
MANY = 150
PATIENCE = 9.0  # seconds: less than the proxy lets anybody wait for a place at a replica, or than any of the slow is waited for
HEAD = b"POST /v1/displacement HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\n"
ONE = HEAD + b"Content-Length: %d\r\n\r\n" % len(BODY) + BODY
PROBE = b"GET /health/live HTTP/1.1\r\nHost: a\r\n\r\n"
PAGE = b"GET /docs/swagger-ui-bundle.js HTTP/1.1\r\nHost: a\r\n\r\n"
SLOW = {
    "silent": b"",
    "half a head": HEAD,
    "half a body": HEAD + b"Content-Length: 100\r\n\r\n{",
    "half a large body": HEAD + b"Content-Length: 1000000\r\n\r\n{" + b" " * 200_000,
    "calculations, never read": ONE * 200,
    "a large page, never read": PAGE * 3,
}


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Instance]]:
    """Two instances, to be left as they are."""
    with instances(tmp_path_factory.mktemp("instances"), 2) as found:
        yield found


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory, both: list[Instance]) -> Iterator[int]:
    with proxy(tmp_path_factory.mktemp("proxy"), [instance.port for instance in both]) as found:
        until(lambda: status(found, "/health/ready") == 200, 30.0, "the proxy has found a replica")
        yield found


def opened(stack: ExitStack, port: int, sent: bytes, number: int = MANY) -> None:
    """Callers who send so much and neither read nor go."""
    for _ in range(number):
        connection = stack.enter_context(socket.socket())
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        connection.settimeout(20.0)
        connection.connect((HOST, port))
        connection.sendall(sent)


def answered(port: int) -> float:
    """How long a caller waits who asks once [s]."""
    begun = time.monotonic()
    with socket.create_connection((HOST, port), timeout=60.0) as connection:
        connection.sendall(ONE)
        assert connection.recv(65536).startswith(b"HTTP/1.1 200 ")
    return time.monotonic() - begun


@pytest.mark.parametrize("sent", SLOW.values(), ids=SLOW)
def test_the_slow_keep_nobody_waiting(port: int, sent: bytes) -> None:
    with ExitStack() as stack:
        opened(stack, port, sent)
        time.sleep(0.5)
        waits = [answered(port) for _ in range(5)]
    assert max(waits) < PATIENCE


@pytest.mark.parametrize("sent", [PROBE * 50, ONE * 20], ids=["probes", "calculations"])
def test_a_flood_keeps_nobody_waiting(port: int, both: list[Instance], sent: bytes) -> None:
    done = threading.Event()

    def flood() -> None:
        with socket.create_connection((HOST, port), timeout=20.0) as connection:
            while not done.is_set():
                connection.sendall(sent)
                connection.recv(1_000_000)

    threads = [threading.Thread(target=flood, daemon=True) for _ in range(16)]
    for thread in threads:
        thread.start()
    try:
        waits = [answered(port) for _ in range(5)]
        assert {status(instance.port, "/health/ready") for instance in both} == {200}
    finally:
        done.set()
        for thread in threads:
            thread.join(timeout=30.0)
    assert max(waits) < PATIENCE


def test_a_rolling_restart_beside_slow_callers_loses_nothing(tmp_path: Path, tell: Callable[[str], None]) -> None:
    """Each in turn is told to end and started anew, while many hold on to half a request: who asks whole ones gets every answer."""
    with (
        instances(tmp_path, 2, DRAIN_SECONDS="4", GRACE_SECONDS="3") as both,
        proxy(tmp_path, [instance.port for instance in both]) as port,
        ExitStack() as stack,
    ):
        until(lambda: status(port, "/health/ready") == 200, 30.0, "the proxy has found a replica")
        opened(stack, port, SLOW["half a large body"])
        opened(stack, port, SLOW["half a body"])
        with Load(port, 4).running() as load:
            for instance in both:
                before = load.answered
                until(lambda before=before: load.answered >= before + 50, 30.0, "the load goes on")
                instance.signal(signal.SIGTERM)
                assert instance.wait() == 0
                instance.start()
                until(lambda instance=instance: instance.answered() > 0, 60.0, "the proxy has found it again")
    tell(f"rolling restart behind the proxy beside {2 * MANY} slow callers: {load.tally}")
    assert load.tally.lost_number == 0
