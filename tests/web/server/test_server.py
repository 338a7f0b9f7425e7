"""How the service is run: the settings of gunicorn, and what comes of bad ones."""

import ast
import gc
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from gunicorn.workers.ggevent import GeventWorker
from werkzeug.test import Client

from borewright.web.access.keys import key_line, new_key
from borewright.web.calculating.host import Host
from borewright.web.observing import spans
from borewright.web.observing.counts import Counts
from borewright.web.server import server
from borewright.web.server.lifecycle import Lifecycle
from borewright.web.server.server import CONNECTIONS, HEADER_BYTES, PATIENCE, Server, is_loopback, options, serve
from borewright.web.server.worker import Worker
from borewright.web.setting_values import SettingError
from borewright.web.settings import Settings


def configured(host: str = "127.0.0.1", port: int = 8080, workers: int = 2, **settings: Any) -> Any:
    """gunicorn's own view of our settings."""
    return Server(options(host, port, workers, Settings(**settings))).cfg


def test_the_worker_is_gunicorns_own_for_gevent() -> None:
    assert configured().worker_class is Worker
    assert issubclass(Worker, GeventWorker)
    assert configured().graceful_timeout >= 10


def test_nothing_of_gunicorn_is_used_that_it_calls_its_own() -> None:
    """A name with an underscore in front may change with any release."""
    source = Path(server.__file__).parent
    for file in source.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute) and node.attr.startswith("_") and not node.attr.startswith("__"):
                assert isinstance(node.value, ast.Name), (file.name, node.attr)
                assert node.value.id in ("self", "place"), (file.name, node.attr)
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("gunicorn"):
                assert not any(part.startswith("_") for part in [*str(node.module).split("."), *(name.name for name in node.names)])


def test_settings_and_limits_reach_gunicorn() -> None:
    cfg = configured(grace_seconds=7, private_address=("::1", 9090))
    assert (cfg.worker_connections, cfg.graceful_timeout, cfg.keepalive) == (CONNECTIONS, 7, PATIENCE)
    assert cfg.address == [("127.0.0.1", 8080), ("::1", 9090)]


def test_no_control_socket() -> None:
    assert configured().control_socket_disable is True


def test_where_it_listens() -> None:
    assert configured("127.0.0.1", 8081).address == [("127.0.0.1", 8081)]
    assert configured("::1", 8081).address == [("::1", 8081)]
    assert configured(workers=3).workers == 3


def test_lines_and_headers_are_bounded() -> None:
    cfg = configured()
    assert 0 < cfg.limit_request_line <= 8190
    assert 0 < cfg.limit_request_fields <= 100
    assert cfg.limit_request_field_size == HEADER_BYTES + 2, "gunicorn counts the line's end"


def test_proxies_are_not_believed_without_being_told() -> None:
    assert configured().proxy_protocol == "off" or configured().proxy_protocol is False
    assert configured().forwarded_allow_ips == []
    assert configured().forwarder_headers == []


def test_the_app_is_built_in_the_worker() -> None:
    app = Server(options("127.0.0.1", 8080, 1, Settings())).load()
    assert Client(app).get("/health/live").status_code == 200


def test_a_bad_setting_stops_it_before_it_starts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOREWRIGHT_BATCH_ROWS", "deep")
    with pytest.raises(SettingError, match="BOREWRIGHT_BATCH_ROWS"):
        serve("127.0.0.1", 0, 1)


def test_importing_the_server_starts_nothing() -> None:
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", "import borewright.web.server.server, borewright.web.server.worker"],
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.parametrize(
    ("host", "alone"),
    [
        ("127.0.0.1", True),
        ("127.8.8.8", True),
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),
        ("::", False),
        ("10.0.0.7", False),
        ("localhost.example", False),
        ("", False),
    ],
)
def test_loopback(host: str, alone: bool) -> None:
    assert is_loopback(host) is alone


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Where the service would listen, in place of its listening there."""
    places: list[str] = []
    monkeypatch.setattr(Host, "start", lambda self: None)
    monkeypatch.setattr(Server, "run", lambda self: places.append(self.cfg.bind[0]))
    return places


def test_without_keys_it_listens_on_this_machine_alone(served: list[str]) -> None:
    with pytest.raises(SettingError) as refused:
        serve("0.0.0.0", 8080, 1)
    assert all(remedy in str(refused.value) for remedy in ("borewright key", "BOREWRIGHT_KEYS_FILE", "--open"))
    assert served == []
    serve("127.0.0.1", 8080, 1)
    serve("0.0.0.0", 8080, 1, open_to_all=True)
    assert served == ["127.0.0.1:8080", "0.0.0.0:8080"]


def test_with_keys_it_listens_anywhere(served: list[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    path = tmp_path / "keys"
    monkeypatch.setenv("BOREWRIGHT_KEYS_FILE", str(path))
    with pytest.raises(SettingError, match="can't be read"):
        serve("0.0.0.0", 8080, 1)
    path.write_text(key_line("shop-1", new_key()))
    serve("0.0.0.0", 8080, 1)
    assert served == ["0.0.0.0:8080"]


def test_settings_that_do_not_go_together(served: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOREWRIGHT_PRIVATE_ADDRESS", "127.0.0.1:8080")
    with pytest.raises(SettingError, match="another port"):
        serve("127.0.0.1", 8080, 1)
    monkeypatch.setenv("BOREWRIGHT_OTLP_ENDPOINT", "http://127.0.0.1:4318/v1/traces")
    monkeypatch.setattr(spans, "NEEDED", ("not_there",))
    with pytest.raises(SettingError, match="otel extra"):
        serve("127.0.0.1", 8081, 1)
    assert served == []


def test_all_that_is_there_when_the_first_process_parts_is_shared() -> None:
    """The collector would write to it in each process, and so copy it."""
    frozen: list[bool] = []
    part = cast(Any, SimpleNamespace(start=lambda: frozen.append(gc.get_freeze_count() > len(gc.get_objects())), begin=lambda: None))
    begun = server.hooks(cast(Lifecycle, part), Counts(1, 1, 0), cast(Host, part))["when_ready"]
    try:
        begun(None)
    finally:
        gc.unfreeze()
    assert frozen == [True]


def test_nothing_that_is_installed_beside_has_a_say_in_what_gevent_replaces() -> None:
    """It would be asked two dozen times, by reading the metadata of all distributions."""
    script = """
import importlib.metadata, socket
from borewright.web.server.worker import Worker
importlib.metadata.entry_points = None
worker = Worker.__new__(Worker)
worker.sockets = []
worker.patch()
assert socket.socket.__module__.startswith("gevent"), socket.socket
"""
    subprocess.run([sys.executable, "-c", script], check=True, timeout=60)


def test_what_the_settings_want_is_loaded_once_for_all_workers() -> None:
    """But not what waits for a store: loaded before gevent takes the place of Python's own waiting, it would make the whole worker wait."""
    script = """
import sys
from borewright.web.server.server import preload
from borewright.web.settings import Settings
preload(Settings())
assert "flask_limiter" not in sys.modules
preload(Settings(rate_requests=5))
assert "flask_limiter" in sys.modules
assert not {"redis", "coredis", "pymemcache", "pymongo"} & sys.modules.keys()
"""
    subprocess.run([sys.executable, "-c", script], check=True, timeout=60)
