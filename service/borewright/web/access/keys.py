"""The keys that callers carry: a file of names and digests, read again when it changes."""

from __future__ import annotations

import fcntl
import hashlib
import hmac
import logging
import os
import re
import secrets
import threading
import time
from dataclasses import dataclass
from pathlib import Path

from borewright.web.setting_values import SettingError
from borewright.web.settings import Settings

KEY_BYTES = 32
NAME = re.compile(r"[A-Za-z0-9._-]{1,64}")
DISABLED = "disabled"
_DIGEST = re.compile(r"[0-9a-f]{64}")
_MOST_BYTES = 4_000_000
_TICK = 100_000_000  # ns: changes nearer to each other may bear the same time
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


def add_key(path: str, name: str) -> str:
    """A new key, its line appended to a keys file; a file that is not there is made, for its owner alone.

    Raises ValueError for a name that the file could not hold or has; SettingError for a file that can't be read, OSError for one that
    can't be written.
    """
    made = new_key()
    line = key_line(name, made)
    with os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600), "r+b") as file:
        fcntl.flock(file, fcntl.LOCK_EX)  # two at once must not give one name twice
        text = file.read(_MOST_BYTES + 1).decode("utf-8", "replace")
        if any(line.partition("#")[0].strip() for line in text.splitlines()) and name in {key.name for key in read_keys(text)}:
            raise ValueError(f"the file has a key of the name {name}: choose another, or take its line out first")
        file.write(("" if not text or text.endswith("\n") else "\n").encode() + line.encode() + b"\n")
        file.flush()
        os.fsync(file.fileno())
    return made


class KeyRing:
    """The keys of a file; a change of the file is seen at the next request, and a broken one changes nothing.

    The process above the workers keeps one and looks at it again and again: a worker that is started while the file is broken
    goes on with the keys that held last, where reading the file anew would leave it with none.

    Raises SettingError where the file can't be used from the start.
    """

    def __init__(self, path: str) -> None:
        self._path = Path(path)
        self._lock = threading.RLock()
        self._seen = self._state()
        self._content = self._taken()
        self._keys = self._read(self._content)

    def find(self, given: str) -> Key | None:
        """The key that was given, or None. All are compared, each in constant time: how long it takes tells nothing."""
        self.look_again()
        digest, found = digest_of(given), None
        for key in self._keys:
            if hmac.compare_digest(key.digest, digest):
                found = key
        return found

    def look_again(self) -> None:
        """Read the file where it changed, or did so lately that it may have changed again within one tick of the clock."""
        state = self._state()
        if state == self._seen and not self._late(state):
            return
        with self._lock:
            self._seen = state
            content = self._taken()
            if content == self._content:
                return
            self._content = content
            try:
                self._keys = self._read(content)
            except SettingError as error:
                log.warning("the changed keys file can't be used, the keys before it stay: %s", error)
            else:
                log.info("the keys file was read again: %d keys", len(self._keys))

    def _state(self) -> tuple[int, ...] | None:
        try:
            found = os.stat(self._path)
        except OSError:
            return None
        return found.st_ctime_ns, found.st_mtime_ns, found.st_size, found.st_ino

    @staticmethod
    def _late(state: tuple[int, ...] | None) -> bool:
        return state is not None and time.time_ns() - state[0] < _TICK

    def _taken(self) -> bytes | str:
        """What stands in the file, or why it can't be read."""
        try:
            with self._path.open("rb") as file:
                return file.read(_MOST_BYTES + 1)
        except OSError as error:
            return error.strerror or "it is not there"

    @staticmethod
    def _read(content: bytes | str) -> tuple[Key, ...]:
        if isinstance(content, str):
            raise SettingError(f"the keys file can't be read: {content}")
        try:
            if len(content) > _MOST_BYTES:
                raise SettingError(f"it is larger than {_MOST_BYTES} bytes")
            return read_keys(content.decode("utf-8"))
        except UnicodeDecodeError:
            raise SettingError("the keys file is not UTF-8") from None
        except SettingError as error:
            raise SettingError(f"the keys file: {error}") from None


def ring_of(settings: Settings) -> KeyRing | None:
    """The keys of the file that the settings name, None where they name none.

    Raises SettingError where the file can't be used.
    """
    return KeyRing(settings.keys_file) if settings.keys_file else None
