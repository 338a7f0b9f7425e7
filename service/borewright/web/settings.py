"""Every setting of the service, read from the environment."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from borewright.web.setting_values import (
    SettingError,
    read_address,
    read_collector,
    read_level,
    read_origins,
    read_path,
    read_storage,
    setting,
    whole,
)

PREFIX = "BOREWRIGHT_"


@dataclass(frozen=True)
class Settings:
    """The settings of one service; each is set by BOREWRIGHT_<NAME> in the environment, and `borewright settings` lists them."""

    # what one request may ask
    body_bytes: int = whole(2_000_000, "largest body of one calculation, as sent and after decompression [bytes]")
    batch_body_bytes: int = whole(32_000_000, "largest body of a batch, as sent [bytes]")
    decompressed_bytes: int = whole(32_000_000, "largest body after decompression; a calculation's own limit holds beside it [bytes]")
    nesting: int = whole(24, "deepest arrays and objects in JSON", most=200)
    digits: int = whole(400, "longest number in JSON [characters]", most=4000)
    string_length: int = whole(131_072, "longest text or name in JSON [characters]")
    batch_rows: int = whole(200_000, "most rows in one batch; some calculations take fewer, as the document says")
    search_work: int = whole(400_000_000, "most combinations of parts that one search goes through")
    request_seconds: int = whole(30, "longest calculation; a longer one is answered 503 [s]", most=3600)
    # what one connection may hold
    request_line_bytes: int = whole(4094, "longest request line, and with it address [bytes]", least=64, most=8190)
    header_count: int = whole(100, "most headers of a request", least=8, most=1000)
    header_bytes: int = whole(8190, "longest header of a request [bytes]", least=64, most=65_536)
    head_bytes: int = whole(65_536, "request line and all headers together [bytes]", least=1024, most=1_000_000)
    head_seconds: int = whole(10, "time a caller has for request line and headers [s]", most=3600)
    body_seconds: int = whole(30, "time a caller has for the whole body [s]", most=3600)
    answer_seconds: int = whole(30, "time a caller has to take the answer [s]", most=3600)
    idle_seconds: int = whole(5, "how long an open connection may be silent between requests [s]", most=3600)
    connections: int = whole(1000, "most open connections of one worker; beyond it the longest silent one is closed", least=16, most=60_000)
    threads: int = whole(64, "requests that one worker has in hand at once, those that wait for a calculation included", least=4, most=1000)
    calculations_at_once: int = whole(
        2, "calculations that one worker runs at once; Python runs one at a time, more keep it switching", most=256
    )
    pin_workers: int = whole(0, "1: each worker keeps to one processor; for an instance that has its processors to itself", least=0, most=1)
    # who may ask, and how often
    keys_file: str | None = setting(None, read_path, "file of keys, one `name sha256` a line, read again when it changes; unset: no keys")
    rate_requests: int = whole(0, "requests a key, or without keys an address, may send in rate_seconds; 0: any number", least=0)
    rate_seconds: int = whole(60, "the time that rate_requests holds for [s]", most=86_400)
    rate_storage: str = setting("memory://", read_storage, "where they are counted: memory:// by each worker, redis://host:port/n by all")
    cors_origins: tuple[str, ...] = setting((), read_origins, "origins whose pages may call, separated by commas; unset: none")
    trusted_proxies: int = whole(0, "proxies before the service whose X-Forwarded-For is believed", least=0, most=16)
    private_address: tuple[str, int] | None = setting(
        None, read_address, "host:port that alone answers /health and /metrics; unset: they are answered beside the rest, metrics by key"
    )
    # how it ends, and what it tells
    drain_seconds: int = whole(5, "after SIGTERM, how long requests are still taken while /health/ready says 503 [s]", least=0, most=3600)
    grace_seconds: int = whole(30, "after that, how long running requests get to finish [s]", most=3600)
    log_level: str = setting("info", read_level, "debug, info (a line for each request), warning or error")
    otlp_endpoint: str | None = setting(None, read_collector, "OTLP address that traces are sent to, needs the otel extra; unset: none")

    @property
    def held_bytes(self) -> int:
        """Most bytes of bodies and answers that one worker holds at once: four of the largest."""
        return 4 * max(self.body_bytes, self.batch_body_bytes, self.decompressed_bytes)

    @property
    def values(self) -> int:
        """Most values in one body: ten a row, and as many as a calculation's body may have of them."""
        return max(1_000_000, 10 * self.batch_rows)

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> Settings:
        """Read the settings from the environment; what is not set keeps its default.

        Raises SettingError for a value that can't be used.

        >>> Settings.from_environment({"BOREWRIGHT_BATCH_ROWS": "1000"}).batch_rows
        1000
        """
        given = os.environ if environment is None else environment
        chosen: dict[str, Any] = {}
        for found in fields(cls):
            name = PREFIX + found.name.upper()
            if name in given:
                try:
                    chosen[found.name] = found.metadata["reader"](given[name])
                except SettingError as error:
                    shown = "" if "@" in given[name] else f", not {given[name][:40]!r}"  # before an @ stands a password
                    raise SettingError(f"{name} {error}{shown}") from None
        return cls(**chosen)


def listing(settings: Settings | None = None) -> list[tuple[str, str, str]]:
    """Name, default (or value in the given settings) and meaning of every setting.

    >>> listing()[0]
    ('BOREWRIGHT_BODY_BYTES', '2000000', 'largest body of one calculation, as sent and after decompression [bytes]')
    """
    shown = settings or Settings()
    return [(PREFIX + found.name.upper(), _shown(getattr(shown, found.name)), found.metadata["text"]) for found in fields(Settings)]


def _shown(value: Any) -> str:
    return "unset" if value is None or value == () else str(value)
