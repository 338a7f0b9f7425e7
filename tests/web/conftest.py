"""The app in process, and the service on a loopback socket as anybody runs it."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from borewright.web.app import create_app
from borewright.web.settings import Settings

START = 30.0  # seconds; importing the service on a busy machine takes a few


@pytest.fixture(scope="session")
def client() -> FlaskClient:
    """The app in process, with the default settings."""
    return create_app(Settings()).test_client()


@pytest.fixture(scope="session")
def expect_problem() -> Callable[..., dict[str, Any]]:
    """Assert that an answer is a problem document as RFC 9457 and our contract have it, and return it."""

    def check(response: TestResponse, status: int, name: str) -> dict[str, Any]:
        assert response.status_code == status, response.get_data()[:400]
        assert response.content_type == "application/problem+json"
        problem: dict[str, Any] = response.get_json()
        assert problem["type"] == f"/problems/{name}"
        assert problem["status"] == status
        assert problem["title"]
        assert problem["detail"]
        assert problem["request_id"] == response.headers["X-Request-Id"]
        return problem

    return check


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(scope="session")
def free_port() -> Callable[[], int]:
    """A port that nobody listens on."""
    return _free_port


def _wait_until_it_listens(process: "subprocess.Popen[bytes]", port: int) -> None:
    deadline = time.monotonic() + START
    while time.monotonic() < deadline:
        if process.poll() is not None:
            raise RuntimeError(f"the service ended with status {process.returncode}")
        try:
            with socket.create_connection(("127.0.0.1", port), timeout=1.0):
                return
        except OSError:
            time.sleep(0.05)
    raise RuntimeError(f"the service did not listen within {START} s")


@contextmanager
def _started(log: Path, workers: int = 1, script: str | None = None, **settings: str) -> Iterator[tuple[str, int]]:
    port = _free_port()
    served = ["-m", "borewright.cli", "serve", "--port", str(port), "--workers", str(workers)]
    command = [sys.executable, *(served if script is None else ["-c", script, str(port)])]
    environment = {**os.environ, "BOREWRIGHT_DRAIN_SECONDS": "0", **{f"BOREWRIGHT_{name}": value for name, value in settings.items()}}
    with log.open("wb") as written, subprocess.Popen(command, env=environment, stdout=written, stderr=subprocess.STDOUT) as process:
        try:
            _wait_until_it_listens(process, port)
            yield "127.0.0.1", port
        finally:
            process.terminate()
            try:
                process.wait(timeout=15.0)
            except subprocess.TimeoutExpired:
                process.kill()
                raise
    assert process.returncode == 0
    assert "Traceback" not in log.read_text(encoding="utf-8"), "bad input must never reach the log as a defect"


@pytest.fixture(scope="session")
def start_service() -> Callable[..., AbstractContextManager[tuple[str, int]]]:
    """Start the service with settings of its own, or by a script given its port; after SIGTERM it ends, and its log tells of no defect."""
    return _started


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, int]]:
    """Host and port of the service under gunicorn with one worker."""
    with _started(tmp_path_factory.mktemp("service") / "log") as place:
        yield place
