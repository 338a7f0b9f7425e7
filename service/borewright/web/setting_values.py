"""How the text of a setting is read, and what is said where it can't be used."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import field
from functools import partial
from typing import Any
from urllib.parse import urlsplit

Reader = Callable[[str], Any]
_MOST_DIGITS = 12
_HOST = re.compile(r"[A-Za-z0-9.-]+|\[[0-9A-Fa-f:.]+\]")
_ORIGIN = re.compile(rf"https?://(?:{_HOST.pattern})(?::[0-9]{{1,5}})?")


class SettingError(ValueError):
    """A setting that can't be used; the message names it and says what it takes."""


def setting(default: Any, reader: Reader, text: str, group: str) -> Any:
    """A field of the settings: its default, what reads its text, what it means, and with which it stands together."""
    return field(default=default, metadata={"reader": reader, "text": text, "group": group})


def whole(default: int, text: str, group: str, least: int = 1, most: int = 10**_MOST_DIGITS - 1) -> Any:
    """A setting that is a whole number."""
    return setting(default, partial(read_whole, least=least, most=most), text, group)


def read_whole(text: str, *, least: int, most: int) -> int:
    """A whole number within its range.

    >>> read_whole("64", least=1, most=100)
    64
    """
    if not (text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS and least <= int(text) <= most):
        raise SettingError(f"must be a whole number from {least} to {most}")
    return int(text)


def read_path(text: str) -> str:
    """The path of a file."""
    if not text.strip() or "\0" in text:
        raise SettingError("must be the path of a file")
    return text


def read_address(text: str) -> tuple[str, int]:
    """An address to bind, as host:port.

    >>> read_address("127.0.0.1:9090"), read_address("[::1]:9090")
    (('127.0.0.1', 9090), ('::1', 9090))
    """
    host, _, port = text.rpartition(":")
    if not (_HOST.fullmatch(host) and port.isascii() and port.isdigit() and len(port) <= 5 and 1 <= int(port) <= 65535):
        raise SettingError("must be host:port, for example 127.0.0.1:9090 or [::1]:9090")
    return host.strip("[]"), int(port)


def read_origins(text: str) -> tuple[str, ...]:
    """Origins of pages, separated by commas.

    >>> read_origins("https://shop.example, http://localhost:3000")
    ('https://shop.example', 'http://localhost:3000')
    """
    found = tuple(origin.strip() for origin in text.split(","))
    if not all(_is_origin(origin) for origin in found):
        raise SettingError('must be origins separated by commas, each as scheme://host[:port] and nothing after it; "*" is taken nowhere')
    return found


def _is_origin(text: str) -> bool:
    return _split(text) is not None and _ORIGIN.fullmatch(text) is not None


def read_storage(text: str) -> str:
    """Where counts of requests are kept.

    >>> read_storage("memory://")
    'memory://'
    """
    parts = _split(text)
    if text != "memory://" and not (parts and parts[0] in ("redis", "rediss")):
        raise SettingError("must be memory:// or the address of a Redis, for example redis://127.0.0.1:6379/0")
    return text


def read_collector(text: str) -> str:
    """Where traces are sent.

    >>> read_collector("http://127.0.0.1:4318/v1/traces")
    'http://127.0.0.1:4318/v1/traces'
    """
    parts = _split(text)
    if not (parts and parts[0] in ("http", "https")):
        raise SettingError("must be the http or https address of an OTLP collector, for example http://127.0.0.1:4318/v1/traces")
    return text


def _split(text: str) -> tuple[str, str] | None:
    """Scheme and place of an address that has both and can be read."""
    try:
        parts = urlsplit(text)
        readable = parts.hostname is not None and parts.port != 0
    except ValueError:
        return None
    plain = text.isascii() and text.isprintable() and " " not in text
    return (parts.scheme, parts.netloc) if plain and readable else None


def read_level(text: str) -> str:
    """How much is logged.

    >>> read_level("warning")
    'warning'
    """
    if text not in ("debug", "info", "warning", "error"):
        raise SettingError("must be debug, info, warning or error")
    return text
