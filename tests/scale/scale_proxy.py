"""HAProxy with the configuration that comes with the image, before services of these tests."""

from __future__ import annotations

import re
import shutil
import socket
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from scale_service import HOST, free_port, until

CONFIGURATION = Path(__file__).parents[2] / "docker" / "proxy.cfg"


def program() -> str:
    """Where HAProxy is."""
    found = shutil.which("haproxy") or shutil.which("haproxy", path="/usr/sbin:/usr/local/sbin")
    assert found, "haproxy is not here: run .ci/packages"
    return found


@contextmanager
def proxy(folder: Path, ports: list[int]) -> Iterator[int]:
    """The proxy as it is configured, but for its port and the places of the replicas; yields its port."""
    text, port, file = CONFIGURATION.read_text(encoding="utf-8"), free_port(), folder / "proxy.cfg"
    places = "\n".join(f"  server replica{number} {HOST}:{number}" for number in ports)
    text, servers = re.subn(r"^  server-template .*$", places, text, flags=re.MULTILINE)
    text, binds = re.subn(r"^  bind :8080$", f"  bind {HOST}:{port}", text, flags=re.MULTILINE)
    assert (servers, binds) == (1, 1)
    file.write_text(text, encoding="utf-8")
    with subprocess.Popen([program(), "-db", "-f", file], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        try:
            until(lambda: _listens(port), 10.0, "the proxy listens")
            yield port
        finally:
            process.terminate()
            process.wait(10.0)


def _listens(port: int) -> bool:
    with socket.socket() as probe:
        return probe.connect_ex((HOST, port)) == 0
