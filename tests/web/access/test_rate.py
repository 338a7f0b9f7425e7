"""How often a caller may ask: in one process, over a real Redis on loopback, and without it."""

import re
import shutil
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from borewright.web.access.keys import key_line
from borewright.web.app import create_app
from borewright.web.settings import Settings

Check = Callable[..., dict[str, Any]]
BODY = {"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}
WINDOW = 3600


def limited(requests: int = 3, seconds: int = WINDOW, **others: Any) -> FlaskClient:
    return create_app(Settings(rate_requests=requests, rate_seconds=seconds, **others)).test_client()


def ask(service: FlaskClient, address: str = "192.0.2.1", headers: dict[str, str] | None = None) -> Any:
    return service.post("/v1/displacement", json=BODY, headers=headers or {}, environ_overrides={"REMOTE_ADDR": address})


def told(response: Any) -> tuple[int, int]:
    """What is left and for how long: the structured fields of the IETF's draft on RateLimit headers."""
    assert response.headers["RateLimit-Policy"] == f'"caller";q=3;w={WINDOW}'
    found = re.fullmatch(r'"caller";r=(\d+);t=(\d+)', response.headers["RateLimit"])
    assert found is not None
    return int(found[1]), int(found[2])


def test_without_a_limit_nothing_is_counted(client: FlaskClient) -> None:
    response = ask(client)
    assert response.status_code == 200
    assert "RateLimit" not in response.headers


def test_counted_down_and_refused(expect_problem: Check) -> None:
    service = limited()
    left = [told(ask(service)) for _ in range(3)]
    assert [count for count, _ in left] == [2, 1, 0]
    assert all(0 < wait <= WINDOW for _, wait in left)
    response = ask(service)
    assert "seconds: wait" in expect_problem(response, 429, "too-many-requests")["detail"]
    assert told(response)[0] == 0
    assert 0 < int(response.headers["Retry-After"]) <= WINDOW


def batch(service: FlaskClient, rows: int, address: str = "192.0.2.1") -> Any:
    body = {"common": {"stroke": "80 mm", "cylinders": 4}, "columns": {"bore": ["100 mm"] * rows}}
    return service.post("/v1/displacement/batch", json=body, environ_overrides={"REMOTE_ADDR": address})


def test_rows_are_counted(expect_problem: Check) -> None:
    service = limited(requests=0, rate_rows=100)
    response = batch(service, 60)
    assert response.headers["RateLimit-Policy"] == f'"rows";q=100;w={WINDOW}'
    assert re.fullmatch(r'"rows";r=40;t=\d+', response.headers["RateLimit"])
    assert ask(service).headers["RateLimit"].startswith('"rows";r=39;')
    assert service.post("/v1/displacement", json={}, environ_overrides={"REMOTE_ADDR": "192.0.2.1"}).status_code == 422
    response = batch(service, 60)
    assert response.status_code == 200, "what it costs is known when it is answered"
    assert response.headers["RateLimit"].startswith('"rows";r=0;')
    for response in (batch(service, 1), ask(service)):
        assert "100 rows" in expect_problem(response, 429, "too-many-requests")["detail"]
        assert 0 < int(response.headers["Retry-After"]) <= WINDOW
    assert ask(service, "192.0.2.2").status_code == 200, "others have their own"
    assert "RateLimit" not in service.get("/health/ready").headers


def test_requests_and_rows_are_counted_beside_each_other() -> None:
    service = limited(requests=2, rate_rows=100)
    response = batch(service, 60)
    assert response.headers.getlist("RateLimit-Policy") == [f'"rows";q=100;w={WINDOW}', f'"caller";q=2;w={WINDOW}']
    assert [value.partition(";t")[0] for value in response.headers.getlist("RateLimit")] == ['"rows";r=40', '"caller";r=1']
    assert ask(service).status_code == 200
    assert ask(service).status_code == 429


def test_after_the_time_it_goes_on() -> None:
    service = limited(requests=1, seconds=1)
    statuses = []
    end = time.monotonic() + 10.0
    while statuses.count(200) < 3 and time.monotonic() < end:
        response = ask(service)
        statuses.append(response.status_code)
        if response.status_code == 429:
            assert response.headers["Retry-After"] == "1"
        time.sleep(0.1)
    assert statuses.count(200) == 3
    assert 429 in statuses


def test_refusals_count_too_and_other_pages_do_not() -> None:
    service = limited()
    for _ in range(5):
        assert "RateLimit" not in service.get("/health/ready").headers
        assert "RateLimit" not in service.get("/").headers
        assert "RateLimit" not in service.options("/v1/displacement").headers
    assert (
        told(service.post("/v1/displacement", data=b"{", content_type="application/json", environ_overrides={"REMOTE_ADDR": "192.0.2.1"}))[
            0
        ]
        == 2
    )
    assert told(service.get("/v1/reference/units", environ_overrides={"REMOTE_ADDR": "192.0.2.1"}))[0] == 1


def test_each_address_by_itself() -> None:
    service = limited()
    assert [ask(service, "192.0.2.1").status_code for _ in range(4)] == [200, 200, 200, 429]
    assert ask(service, "192.0.2.2").status_code == 200


def test_each_key_by_itself_from_wherever(tmp_path: Path) -> None:
    path = tmp_path / "keys"
    path.write_text(f"{key_line('shop-1', 'one')}\n{key_line('shop-2', 'two')}\n")
    service = limited(keys_file=str(path))
    for _ in range(5):
        assert ask(service).status_code == 401, "a request without a key is not counted for anybody"
    found = [ask(service, f"192.0.2.{number}", {"Authorization": "Bearer one"}).status_code for number in range(4)]
    assert found == [200, 200, 200, 429]
    assert ask(service, "192.0.2.1", {"Authorization": "Bearer two"}).status_code == 200


def test_a_forwarded_address_is_believed_only_of_a_trusted_proxy() -> None:
    for proxies, statuses in ((0, [200, 200, 200, 429]), (1, [200] * 4)):
        service = limited(trusted_proxies=proxies)
        assert [ask(service, headers={"X-Forwarded-For": f"198.51.100.{n}"}).status_code for n in range(4)] == statuses
    service = limited(trusted_proxies=1)  # what the caller itself put before the proxy's entry counts for nothing
    assert [ask(service, headers={"X-Forwarded-For": f"198.51.100.{n}, 203.0.113.5"}).status_code for n in range(4)] == [200, 200, 200, 429]


@contextmanager
def running_redis(folder: Path, port: int) -> Iterator[None]:
    command = [
        shutil.which("redis-server") or "redis-server",
        "--bind",
        "127.0.0.1",
        "--port",
        str(port),
        "--save",
        "",
        "--dir",
        str(folder),
    ]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        end = time.monotonic() + 10.0
        while True:
            try:
                socket.create_connection(("127.0.0.1", port), timeout=1.0).close()
                break
            except OSError:
                assert process.poll() is None, "redis-server ended"
                assert time.monotonic() < end, "redis-server does not listen"
                time.sleep(0.05)
        yield
    finally:
        process.terminate()
        process.wait(timeout=10.0)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.mark.system
def test_redis_counts_over_several_instances_and_its_loss_stops_nobody(tmp_path: Path) -> None:
    port = free_port()
    store = f"redis://127.0.0.1:{port}/0"
    with running_redis(tmp_path, port):
        first, second = limited(rate_storage=store), limited(rate_storage=store)
        statuses = [ask(service).status_code for service in (first, second, first, second, first)]
        assert statuses == [200, 200, 200, 429, 429]
        assert told(ask(second))[0] == 0
    gone = [ask(first) for _ in range(4)]
    assert [response.status_code for response in gone] == [200, 200, 200, 429], "counted by itself"
    assert told(gone[0])[0] == 2


def test_a_store_that_was_never_there(caplog: pytest.LogCaptureFixture) -> None:
    service = limited(rate_storage=f"redis://127.0.0.1:{free_port()}/0")
    assert [ask(service).status_code for _ in range(4)] == [200, 200, 200, 429]
