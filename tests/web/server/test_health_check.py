"""The check of a container: the same answer as a load balancer's, at whatever address health is answered."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from borewright.web.server.health_check import check


def checked(*arguments: str, **environment: str) -> "subprocess.CompletedProcess[str]":
    command = [sys.executable, "-m", "borewright.cli", "health", *arguments]
    return subprocess.run(command, env={"http_proxy": "http://127.0.0.1:9", **environment}, capture_output=True, text=True, timeout=20.0)


def test_ready(service: tuple[str, int]) -> None:
    done = checked("--port", str(service[1]))
    assert (done.returncode, done.stderr) == (0, "")
    assert '"ready"' in done.stdout


@pytest.mark.parametrize("host", ["0.0.0.0", "127.0.0.1", "[::]", "[::1]"])
def test_ready_at_a_private_address(tmp_path: Path, start_service: Callable[..., Any], free_port: Callable[[], int], host: str) -> None:
    address = f"{host}:{free_port()}"
    with start_service(tmp_path / "log", PRIVATE_ADDRESS=address) as (_, port):
        done = checked("--port", str(port), BOREWRIGHT_PRIVATE_ADDRESS=address)
        assert done.returncode == 0, done.stderr
        assert checked("--port", str(port)).returncode == 1, "it is not answered beside the rest"


def test_not_there(free_port: Callable[[], int]) -> None:
    port = free_port()
    with pytest.raises(OSError, match="refused"):
        check(port, None)
    done = checked("--port", str(port))
    assert done.returncode == 1
    assert "not ready" in done.stderr
    assert "Traceback" not in done.stderr
