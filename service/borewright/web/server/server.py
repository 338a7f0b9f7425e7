"""Running the app under gunicorn."""

from __future__ import annotations

import gc
import ipaddress
import os
import resource
from collections.abc import Mapping
from functools import partial
from importlib import import_module
from logging.config import dictConfig
from typing import Any

from gunicorn.app.base import BaseApplication

from borewright.calculations.base.registry import calculations
from borewright.web.access.keys import KeyRing, ring_of
from borewright.web.calculating.host import Host
from borewright.web.calculating.jobs import Job, jobs
from borewright.web.health import Readiness
from borewright.web.observing import metrics, spans
from borewright.web.observing.counts import Counts
from borewright.web.observing.logs import GunicornLogger, configuration, look_up_no_more_than_is_told
from borewright.web.server.ending import ending
from borewright.web.server.lifecycle import Lifecycle
from borewright.web.setting_values import SettingError
from borewright.web.settings import Settings

SILENCE = 60  # seconds after which a worker whose loop stands still is replaced
CONNECTIONS = 2000  # open at once in one worker, at each address: a silent one takes 20 kB, so few would only help who opens many
PATIENCE = 5  # seconds for a request's line and headers, and for silence between requests
REQUEST_LINE_BYTES = 4094  # and with it the address: nothing that is asked here needs more
HEADER_COUNT = 100
HEADER_BYTES = 8190
MEMORY = "/dev/shm"
# what the worker's event loop would load in each worker for itself when it takes the place of Python's own
EVENT_LOOP = tuple(f"gevent.{name}" for name in ("events", "local", "selectors", "signal", "ssl", "subprocess", "threading", "time"))
SPARE_FILES = 256  # beside the connections: the program's own


def options(host: str, port: int, workers: int, settings: Settings) -> dict[str, Any]:
    """Settings of gunicorn.

    >>> options("127.0.0.1", 8080, 2, Settings())["bind"]
    ['127.0.0.1:8080']
    """
    places = [(host, port)] + ([settings.private_address] if settings.private_address else [])
    return {
        "bind": [f"[{name}]:{number}" if ":" in name else f"{name}:{number}" for name, number in places],
        "workers": workers,
        "worker_class": "borewright.web.server.worker.Worker",
        "worker_connections": CONNECTIONS,
        "graceful_timeout": settings.grace_seconds,
        "timeout": SILENCE,
        # where each worker's heart beats: a disk would make it wait, and a full one would not let it begin
        "worker_tmp_dir": MEMORY if os.access(MEMORY, os.W_OK) else None,
        "keepalive": PATIENCE,
        "limit_request_line": REQUEST_LINE_BYTES,
        "limit_request_fields": HEADER_COUNT,
        "forwarded_allow_ips": "",  # else a header of a caller behind a proxy on this machine could move the path: SCRIPT_NAME
        "forwarder_headers": "",
        "limit_request_field_size": HEADER_BYTES + 2,  # gunicorn counts the line's end
        "control_socket_disable": True,
        "logger_class": GunicornLogger,
        "logconfig_dict": configuration(settings.log_level),
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

    def __init__(
        self, configured: Mapping[str, Any], readiness: Readiness | None = None, ring: KeyRing | None = None, host: Host | None = None
    ) -> None:
        self._configured, self._readiness, self._ring, self._host = configured, readiness or Readiness(), ring, host
        super().__init__()

    def load_config(self) -> None:
        """Hand our settings to gunicorn."""
        for name, value in self._configured.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """Build the app, in each worker anew: its locks must be those of the worker's event loop."""
        from borewright.web.app import create_app

        return ending(create_app(readiness=self._readiness, ring=self._ring, host=self._host), self._readiness)


def hooks(lifecycle: Lifecycle, counts: Counts, origin: Host) -> dict[str, Any]:
    """What gunicorn is to call: the first processes part from this one, and each worker counts in a row of its own."""

    def part(arbiter: Any) -> None:
        # not before: what gunicorn writes while it begins would be copied, and is shared so
        gc.collect()
        gc.freeze()
        origin.start()
        lifecycle.begin()

    return {
        "when_ready": part,
        "pre_fork": lambda arbiter, worker: setattr(worker, "row", counts.assign(worker.age)),
        "post_fork": lambda arbiter, worker: counts.begin(worker.row),
        "child_exit": lambda arbiter, worker: counts.release(worker.age),
        "on_exit": lambda arbiter: lifecycle.end(),
    }


def make_room() -> None:
    """Let the workers open as many files as they may have connections."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = 2 * CONNECTIONS + SPARE_FILES
    if soft != resource.RLIM_INFINITY and soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted if hard == resource.RLIM_INFINITY else min(wanted, hard), hard))


def preload(settings: Settings) -> None:
    """Load what every process uses, once and before any is forked: they share it.

    The client of a store of counts is not for it: made to wait before the event loop takes its place, it would make all wait.
    """
    counting = ("flask_limiter",) if settings.rate_requests or settings.rate_rows else ()
    for name in ("borewright.web.app", "borewright.web.server.worker", *EVENT_LOOP, *counting):
        import_module(name)
    calculations()


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
    preload(settings)
    look_up_no_more_than_is_told()
    make_room()
    counts = metrics.share(2 * workers + 4)  # a reload has them twice
    readiness, origin = Readiness(), Host(partial(_calculating, settings))
    lifecycle = Lifecycle(readiness, settings.drain_seconds, [origin.look_after, *([ring.look_again] if ring else [])])
    try:
        Server({**options(host, port, workers, settings), **hooks(lifecycle, counts, origin)}, readiness, ring, origin).run()
    finally:
        origin.close()


def _calculating(settings: Settings) -> Mapping[str, Job]:
    """What the processes that calculate do, with a log of their own: what gunicorn's wrote to was closed in them."""
    dictConfig(configuration(settings.log_level))
    return jobs(settings)
