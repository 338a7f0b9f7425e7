"""Running the app under gunicorn."""

from __future__ import annotations

import ipaddress
import os
import sys
from collections.abc import Mapping
from typing import Any

from gunicorn.app.base import BaseApplication

from borewright.web.access.keys import KeyRing, ring_of
from borewright.web.health import Readiness
from borewright.web.observing import metrics_folder, spans
from borewright.web.observing.logs import GunicornLogger, configuration
from borewright.web.server.arbiter import Arbiter
from borewright.web.setting_values import SettingError
from borewright.web.settings import Settings

SILENCE = 60  # seconds after which a worker whose loop stands still is replaced; a long calculation does not stop the loop


def options(host: str, port: int, workers: int, settings: Settings) -> dict[str, Any]:
    """Settings of gunicorn: our worker is its gthread, which drains queued requests on SIGTERM where sync resets them.

    >>> options("127.0.0.1", 8080, 2, Settings())["bind"]
    ['127.0.0.1:8080']
    """
    places = [(host, port)] + ([settings.private_address] if settings.private_address else [])
    return {
        "bind": [f"[{name}]:{number}" if ":" in name else f"{name}:{number}" for name, number in places],
        "workers": workers,
        "worker_class": "borewright.web.server.worker.Worker",
        "worker_connections": settings.connections,
        "threads": settings.threads,
        "graceful_timeout": settings.grace_seconds,
        "timeout": SILENCE,
        "keepalive": settings.idle_seconds,
        "limit_request_line": settings.request_line_bytes,
        "limit_request_fields": settings.header_count,
        "forwarded_allow_ips": "",  # else a header of a caller behind a proxy on this machine could move the path: SCRIPT_NAME
        "forwarder_headers": "",
        "limit_request_field_size": settings.header_bytes + 2,  # gunicorn counts the line's end
        "control_socket_disable": True,
        "logger_class": GunicornLogger,
        "logconfig_dict": configuration(settings.log_level),
        "proc_name": "borewright",
        "child_exit": lambda arbiter, worker: metrics_folder.worker_ended(worker.pid),
        "pre_fork": _place if settings.pin_workers else lambda arbiter, worker: None,
        "on_exit": lambda arbiter: metrics_folder.remove(),
    }


def _place(arbiter: Any, worker: Any) -> None:
    from borewright.web.server.worker import place  # not before the metrics have their folder

    place(worker, arbiter.WORKERS.values(), os.sched_getaffinity(0))


def is_loopback(host: str) -> bool:
    """Whether an address is reached from this machine alone; a name other than localhost may be anything.

    >>> is_loopback("127.0.0.1"), is_loopback("::1"), is_loopback("0.0.0.0")
    (True, True, False)
    """
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


class Server(BaseApplication):
    """The service under gunicorn, configured in code."""

    def __init__(self, configured: Mapping[str, Any], drain_seconds: float = 0.0, ring: KeyRing | None = None) -> None:
        self._configured, self._drain_seconds, self._ring = configured, drain_seconds, ring
        self.readiness = Readiness()
        super().__init__()

    def load_config(self) -> None:
        """Hand our settings to gunicorn."""
        for name, value in self._configured.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """Build the app, in each worker anew."""
        from borewright.web.app import create_app  # not before the metrics have their folder

        return create_app(readiness=self.readiness, ring=self._ring)

    def run(self) -> None:
        """Run under our arbiter."""
        try:
            Arbiter(self, self.readiness, self._drain_seconds, self._ring.look_again if self._ring else None).run()
        except RuntimeError as error:
            sys.exit(f"the service can't run: {error}")


def serve(host: str, port: int, workers: int, *, open_to_all: bool = False) -> None:
    """Serve until a signal ends it.

    open_to_all : answer whoever can reach the address, where there are no keys

    Raises SettingError before anything is started where a setting can't be used.
    """
    settings = Settings.from_environment()
    if settings.private_address and settings.private_address[1] == port:
        raise SettingError(f"BOREWRIGHT_PRIVATE_ADDRESS must have another port than {port}, where everything else is answered")
    if settings.otlp_endpoint:
        spans.check_installed()
    ring = ring_of(settings)
    if not (ring or open_to_all or is_loopback(host)):
        raise SettingError(
            f"without keys the service listens on this machine alone, and {host} is reached from others. Either make a key with "
            "`borewright key NAME` and name the file that holds its line in BOREWRIGHT_KEYS_FILE, or say --open to answer anybody"
        )
    metrics_folder.make()
    Server(options(host, port, workers, settings), settings.drain_seconds, ring).run()
