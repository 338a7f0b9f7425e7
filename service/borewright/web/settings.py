"""Every setting of the service, read from the environment."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from borewright.calculations.base.problems import nearest
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
CLIENT = "BOREWRIGHT_CLIENT_"  # what the client reads, which may run on the same machine
GROUPS = {"ask": "How much one request may ask", "who": "Who may ask, and how often", "watch": "How it is watched and ended"}


@dataclass(frozen=True)
class Settings:
    """The settings of one service; each is set by BOREWRIGHT_<NAME> in the environment, and `borewright settings` lists them."""

    # how much one request may ask
    body_bytes: int = whole(2_000_000, "largest body of one calculation, as sent and after decompression [bytes]", "ask")
    batch_body_bytes: int = whole(32_000_000, "largest body of a batch, as sent and after decompression [bytes]", "ask")
    batch_rows: int = whole(200_000, "most rows in one batch; some calculations take fewer, as the document says", "ask")
    search_work: int = whole(400_000_000, "most combinations of parts that one search goes through", "ask")
    request_seconds: int = whole(30, "longest calculation, its waiting for a place included; a longer one is stopped [s]", "ask", most=3600)
    calculations_at_once: int = whole(2, "heavy calculations, and beside them batches, that one worker has at once", "ask", most=256)
    # who may ask, and how often
    keys_file: str | None = setting(
        None, read_path, "file of keys, one `name sha256` a line, read again when it changes; unset: no keys", "who"
    )
    rate_requests: int = whole(0, "requests a key, or without keys an address, may send in rate_seconds; 0: any number", "who", least=0)
    rate_rows: int = whole(
        0, "rows it may have calculated in rate_seconds, one for a request that is no batch; 0: any number", "who", least=0
    )
    rate_seconds: int = whole(60, "the time that both hold for [s]", "who", most=86_400)
    rate_storage: str = setting(
        "memory://", read_storage, "where they are counted: memory:// by each worker, redis://host:port/n by all", "who"
    )
    cors_origins: tuple[str, ...] = setting((), read_origins, "origins whose pages may call, separated by commas; unset: none", "who")
    trusted_proxies: int = whole(0, "proxies before the service whose X-Forwarded-For is believed", "who", least=0, most=16)
    # how it is watched and ended
    private_address: tuple[str, int] | None = setting(
        None,
        read_address,
        "host:port that alone answers /health and /metrics; unset: they are answered beside the rest, metrics by key",
        "watch",
    )
    log_level: str = setting("info", read_level, "debug, info (a line for each request), warning or error", "watch")
    otlp_endpoint: str | None = setting(
        None, read_collector, "OTLP address that traces are sent to, needs the otel extra; unset: none", "watch"
    )
    drain_seconds: int = whole(
        5, "after SIGTERM, how long requests are still taken while /health/ready says 503 [s]", "watch", least=0, most=3600
    )
    grace_seconds: int = whole(30, "after that, how long running requests get to finish [s]", "watch", most=3600)

    @property
    def held_bytes(self) -> int:
        """Most bytes of bodies and answers that one worker holds at once: four of the largest."""
        return 4 * max(self.body_bytes, self.batch_body_bytes)

    @property
    def values(self) -> int:
        """Most values in one body: ten a row, and as many as a calculation's body may have of them."""
        return max(1_000_000, 10 * self.batch_rows)

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> Settings:
        """Read the settings from the environment; what is not set keeps its default.

        Raises SettingError for a value that can't be used, and for a name that begins like a setting's and is none.

        >>> Settings.from_environment({"BOREWRIGHT_BATCH_ROWS": "1000"}).batch_rows
        1000
        """
        given = os.environ if environment is None else environment
        chosen: dict[str, Any] = {}
        known = [PREFIX + found.name.upper() for found in fields(cls)]
        ours = {name for name in given if name.startswith(PREFIX) and not name.startswith(CLIENT)}
        for name in sorted(ours.difference(known)):
            close = nearest(name, known)
            raise SettingError(
                f"{name[:80]} is no setting" + (f"; did you mean {close}?" if close else ": `borewright settings` lists them")
            )
        for found in fields(cls):
            name = PREFIX + found.name.upper()
            if name in given:
                try:
                    chosen[found.name] = found.metadata["reader"](given[name])
                except SettingError as error:
                    shown = "" if "@" in given[name] else f", not {given[name][:40]!r}"  # before an @ stands a password
                    raise SettingError(f"{name} {error}{shown}") from None
        return cls(**chosen)


def listing(settings: Settings | None = None, group: str | None = None) -> list[tuple[str, str, str]]:
    """Name, default (or value in the given settings) and meaning of every setting, or of those of a group.

    >>> listing()[0]
    ('BOREWRIGHT_BODY_BYTES', '2000000', 'largest body of one calculation, as sent and after decompression [bytes]')
    """
    shown = settings or Settings()
    return [
        (PREFIX + found.name.upper(), _shown(getattr(shown, found.name)), found.metadata["text"])
        for found in fields(Settings)
        if group is None or found.metadata["group"] == group
    ]


def _shown(value: Any) -> str:
    return "unset" if value is None or value == () else str(value)
