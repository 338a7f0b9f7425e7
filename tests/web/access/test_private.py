"""What watches the service, on an address of its own or guarded by the key."""

import http.client
import json
import socket
from collections.abc import Callable
from pathlib import Path
from typing import Any

from borewright.web.access.keys import key_line
from borewright.web.app import create_app
from borewright.web.settings import Settings

WATCHED = ("/health/live", "/health/ready", "/metrics")
SERVED = ("/", "/docs", "/glossary", "/problems", "/v1/openapi.json", "/v1/reference/units")


def test_without_a_private_address_all_is_answered_in_one_place(client: Any) -> None:
    assert {client.get(path).status_code for path in (*WATCHED, *SERVED)} == {200}


def test_metrics_need_the_key_where_they_have_no_address_of_their_own(tmp_path: Path) -> None:
    path = tmp_path / "keys"
    path.write_text(key_line("shop-1", "a key"))
    beside = create_app(Settings(keys_file=str(path))).test_client()
    assert [beside.get(path).status_code for path in WATCHED] == [200, 200, 401]
    assert beside.get("/metrics", headers={"Authorization": "Bearer a key"}).status_code == 200
    apart = create_app(Settings(keys_file=str(path), private_address=("127.0.0.1", 9090))).test_client()
    assert [apart.get(path, environ_overrides={"SERVER_PORT": "9090"}).status_code for path in WATCHED] == [200] * 3
    assert [apart.get(path).status_code for path in WATCHED] == [404] * 3


def test_over_the_socket_each_address_answers_its_own(tmp_path: Path, start_service: Callable[..., Any]) -> None:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    with start_service(tmp_path / "log", PRIVATE_ADDRESS=f"127.0.0.1:{port}") as public:
        for place, answered, absent in ((public, SERVED, WATCHED), (("127.0.0.1", port), WATCHED, SERVED)):
            connection = http.client.HTTPConnection(*place, timeout=20.0)
            for path, status in [(path, 200) for path in answered] + [(path, 404) for path in absent]:
                # what the Host header says changes nothing
                connection.request("GET", path, headers={"Host": f"127.0.0.1:{port if place == public else public[1]}"})
                response = connection.getresponse()
                body = response.read()
                assert response.status == status, (place, path)
                assert status == 200 or json.loads(body)["type"] == "/problems/not-found"
            connection.close()
