"""The keys that callers carry: a file of names and digests, read again when it changes."""

from __future__ import annotations

import hashlib
import hmac
import logging
import os
import re
import secrets
import threading
from dataclasses import dataclass
from pathlib import Path

from borewright.web.setting_values import SettingError
from borewright.web.settings import Settings

KEY_BYTES = 32
NAME = re.compile(r"[A-Za-z0-9._-]{1,64}")
DISABLED = "disabled"
_DIGEST = re.compile(r"[0-9a-f]{64}")
_MOST_BYTES = 4_000_000
log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Key:
    """Who carries a key; the key itself is kept nowhere."""

    name: str
    digest: bytes
    disabled: bool = False


def new_key() -> str:
    """A fresh key of 256 random bits.

    >>> len(new_key())
    43
    """
    return secrets.token_urlsafe(KEY_BYTES)


def digest_of(key: str) -> bytes:
    """The digest by which a key is known. A key is random, so a plain digest of it can't be searched back."""
    return hashlib.sha256(key.encode()).digest()


def key_line(name: str, key: str) -> str:
    """The line of the keys file for a key.

    Raises ValueError for a name that the file could not hold.

    >>> key_line("shop-1", "not a real key")[:20]
    'shop-1 5b71a88df7275'
    """
    if not NAME.fullmatch(name):
        raise ValueError("a name has 1 to 64 of the characters A-Z a-z 0-9 . _ -")
    return f"{name} {digest_of(key).hex()}"


def read_keys(text: str) -> tuple[Key, ...]:
    """The keys of a file: `name digest` or `name digest disabled` a line, `#` begins a comment.

    Raises SettingError with the line that can't be read; never with what stands in it.

    >>> [key.name for key in read_keys("# the shop\\n" + key_line("shop-1", "not a real key"))]
    ['shop-1']
    """
    keys: dict[str, Key] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        words = line.partition("#")[0].split()
        if not words:
            continue
        readable = len(words) == 2 or (len(words) == 3 and words[2] == DISABLED)
        if not (readable and NAME.fullmatch(words[0]) and _DIGEST.fullmatch(words[1])):
            raise SettingError(f"line {number} is not `name sha256-in-lower-case-hex` or the same with `{DISABLED}` behind it")
        if words[0] in keys:
            raise SettingError(f"line {number} gives a name again that was given before")
        keys[words[0]] = Key(words[0], bytes.fromhex(words[1]), len(words) == 3)
    if not keys:
        raise SettingError("there is no key in it: make one with `borewright key NAME`")
    return tuple(keys.values())


class KeyRing:
    """The keys of a file; a change of the file is seen at the next request, and a broken one changes nothing.

    The process above the workers keeps one and looks at it again and again: a worker that is started while the file is broken
    goes on with the keys that held last, where reading the file anew would leave it with none.

    Raises SettingError where the file can't be used from the start.
    """

    def __init__(self, path: str) -> None:
        self._path = Path(path)
        self._lock = threading.Lock()
        self._seen = self._state()
        self._keys = self._read()

    def find(self, given: str) -> Key | None:
        """The key that was given, or None. All are compared, each in constant time: how long it takes tells nothing."""
        self.look_again()
        digest, found = digest_of(given), None
        for key in self._keys:
            if hmac.compare_digest(key.digest, digest):
                found = key
        return found

    def look_again(self) -> None:
        """Read the file where it changed."""
        state = self._state()
        if state == self._seen:
            return
        with self._lock:
            if state == self._seen:
                return
            self._seen = state
            try:
                self._keys = self._read()
            except SettingError as error:
                log.warning("the changed keys file can't be used, the keys before it stay: %s", error)
            else:
                log.info("the keys file was read again: %d keys", len(self._keys))

    def _state(self) -> tuple[int, ...] | None:
        try:
            found = os.stat(self._path)
        except OSError:
            return None
        return found.st_mtime_ns, found.st_size, found.st_ino

    def _read(self) -> tuple[Key, ...]:
        try:
            with self._path.open("rb") as file:
                raw = file.read(_MOST_BYTES + 1)
            if len(raw) > _MOST_BYTES:
                raise SettingError(f"it is larger than {_MOST_BYTES} bytes")
            return read_keys(raw.decode("utf-8"))
        except OSError as error:
            raise SettingError(f"the keys file can't be read: {error.strerror}") from None
        except UnicodeDecodeError:
            raise SettingError("the keys file is not UTF-8") from None
        except SettingError as error:
            raise SettingError(f"the keys file: {error}") from None


def ring_of(settings: Settings) -> KeyRing | None:
    """The keys of the file that the settings name, None where they name none.

    Raises SettingError where the file can't be used.
    """
    return KeyRing(settings.keys_file) if settings.keys_file else None
