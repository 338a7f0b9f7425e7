"""Running the app under gunicorn."""

from __future__ import annotations

import ipaddress
from collections.abc import Mapping
from typing import Any

from gunicorn.app.base import BaseApplication

from borewright.web.app import create_app
from borewright.web.keys import KeyRing
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
        "worker_class": "borewright.web.worker.Worker",
        "worker_connections": settings.connections,
        "threads": settings.threads,
        "graceful_timeout": settings.grace_seconds,
        "timeout": SILENCE,
        "keepalive": settings.idle_seconds,
        "limit_request_line": settings.request_line_bytes,
        "limit_request_fields": settings.header_count,
        "limit_request_field_size": settings.header_bytes,
        "control_socket_disable": True,
        "accesslog": None,
        "proc_name": "borewright",
    }


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

    def __init__(self, settings: Mapping[str, Any]) -> None:
        self._settings = settings
        super().__init__()

    def load_config(self) -> None:
        """Hand our settings to gunicorn."""
        for name, value in self._settings.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """Build the app in each worker."""
        return create_app()


def serve(host: str, port: int, workers: int, *, open_to_all: bool = False) -> None:
    """Serve until a signal ends it.

    open_to_all : answer whoever can reach the address, where there are no keys

    Raises SettingError before anything is started where a setting can't be used.
    """
    settings = Settings.from_environment()
    if settings.keys_file:
        KeyRing(settings.keys_file)
    elif not (open_to_all or is_loopback(host)):
        raise SettingError(
            f"without keys the service listens on this machine alone, and {host} is reached from others. Either make a key with "
            "`borewright key NAME` and name the file that holds its line in BOREWRIGHT_KEYS_FILE, or say --open to answer anybody"
        )
    Server(options(host, port, workers, settings)).run()
