"""Keys: read, found, read again when the file changes, and never told."""

import hashlib
import logging
import os
import string
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.web.access import keys
from borewright.web.access.keys import Key, KeyRing, digest_of, key_line, new_key, read_keys
from borewright.web.setting_values import SettingError

FIRST, SECOND = "a key of the first", "a key of the second"


def test_a_digest_is_sha256() -> None:
    """FIPS 180-4's own example: the digest of "abc"."""
    assert digest_of("abc").hex() == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert digest_of("µ") == hashlib.sha256(b"\xc2\xb5").digest()


def test_new_keys_differ_and_can_be_sent() -> None:
    made = {new_key() for _ in range(50)}
    assert len(made) == 50
    assert all(set(key) <= set(string.ascii_letters + string.digits + "-_") and len(key) == 43 for key in made)


def test_a_file() -> None:
    text = f"# keys of the shop\n\n  {key_line('first', FIRST)}   # the bench\n{key_line('second', SECOND)} disabled\r\n"
    assert read_keys(text) == (Key("first", digest_of(FIRST)), Key("second", digest_of(SECOND), disabled=True))


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "no key"),
        ("# nothing but a comment\n", "no key"),
        ("first", "line 1"),
        ("first abc", "line 1"),
        (f"\n\n{'G' * 64} {'g' * 64}", "line 3"),
        (f"first {digest_of(FIRST).hex().upper()}", "line 1"),
        (f"{key_line('first', FIRST)} enabled", "line 1"),
        (f"{key_line('first', FIRST)} disabled disabled", "line 1"),
        (f"fir/st {digest_of(FIRST).hex()}", "line 1"),
        (f"{key_line('first', FIRST)}\n{key_line('first', SECOND)}", "line 2"),
    ],
)
def test_files_that_can_not_be_used(text: str, reason: str) -> None:
    with pytest.raises(SettingError, match=reason) as refused:
        read_keys(text)
    assert digest_of(FIRST).hex() not in str(refused.value).lower()


@given(st.text())
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        found = read_keys(text)
    except SettingError:
        return
    assert found


@pytest.mark.parametrize("name", ["", "two words", "a/b", "#", "x" * 65, "a\nb", "é"])
def test_names_that_the_file_could_not_hold(name: str) -> None:
    with pytest.raises(ValueError, match="a name has"):
        key_line(name, FIRST)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    found = tmp_path / "keys"
    found.write_text(key_line("first", FIRST))
    return found


def _change(path: Path, text: str) -> None:
    path.write_text(text)
    changed = path.stat().st_mtime_ns + 1_000_000
    os.utime(path, ns=(changed, changed))  # a clock too coarse for two changes is no part of this


def test_found_by_the_key_alone(path: Path) -> None:
    ring = KeyRing(str(path))
    assert ring.find(FIRST) == Key("first", digest_of(FIRST))
    for other in ("", "first", SECOND, digest_of(FIRST).hex(), FIRST + " ", FIRST[:-1]):
        assert ring.find(other) is None


def test_every_key_is_compared_whatever_is_found(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path.write_text("\n".join(key_line(f"n{number}", f"key {number}") for number in range(20)))
    ring, compared = KeyRing(str(path)), []
    real = keys.hmac.compare_digest
    monkeypatch.setattr(keys.hmac, "compare_digest", lambda a, b: compared.append(a) or real(a, b))
    for sent in ("key 0", "key 19", "no key"):
        compared.clear()
        ring.find(sent)
        assert len(compared) == 20


def test_a_change_is_seen_at_once(path: Path) -> None:
    ring = KeyRing(str(path))
    _change(path, key_line("second", SECOND))
    assert ring.find(FIRST) is None
    assert ring.find(SECOND) is not None


def test_a_file_put_in_its_place_is_seen(path: Path) -> None:
    ring = KeyRing(str(path))
    other = path.with_name("new")
    other.write_text(key_line("third", FIRST))
    state = path.stat()
    os.utime(other, ns=(state.st_atime_ns, state.st_mtime_ns))
    other.replace(path)
    found = ring.find(FIRST)
    assert found is not None
    assert found.name == "third"


def _renamed(path: Path, text: str) -> None:
    """As most editors save, and tools that replace a file whole."""
    other = path.with_name("keys.new")
    other.write_text(text)
    other.replace(path)


def _away(path: Path, text: str) -> None:
    """As editors save that keep the old file as a backup: for a moment there is none."""
    path.rename(path.with_name("keys~"))
    path.write_text(text)


def _in_place(path: Path, text: str) -> None:
    path.write_text(text)


def _overwritten(path: Path, text: str) -> None:
    """Without a moment in which the file is empty, and with the time of before: only what stands in it has changed."""
    state = path.stat()
    with path.open("r+b") as file:
        file.write(text.encode())
        file.truncate()
    os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))


def _linked(path: Path, text: str) -> None:
    """As a cluster does: a link to a folder is put in the place of another."""
    folder = path.with_name(f"folder-{len(list(path.parent.iterdir()))}")
    folder.mkdir()
    (folder / "keys").write_text(text)
    link = path.with_name("link")
    link.symlink_to(folder / "keys")
    link.replace(path)


@pytest.mark.parametrize("save", [_renamed, _away, _in_place, _overwritten, _linked])
def test_a_disabled_key_is_disabled_at_once_however_the_file_is_saved(path: Path, save: Callable[[Path, str], None]) -> None:
    """Again and again, as quickly as can be: the times of two changes may be the same, and their sizes too."""
    on, off, other = key_line("first", FIRST), f"{key_line('first', FIRST)} disabled", key_line("first", SECOND)
    ring = KeyRing(str(path))
    for _ in range(30):
        for text, known, disabled in ((off, True, True), (on, True, False), (other, False, False)):
            save(path, text)
            found = ring.find(FIRST)
            assert (found is not None, found is not None and found.disabled) == (known, disabled)


@pytest.mark.parametrize("broken", ["", "first", f"first {'0' * 63}", "\xff\xfe", "x" * 4_000_001])
def test_a_broken_change_keeps_what_was_and_is_logged_once(path: Path, caplog: pytest.LogCaptureFixture, broken: str) -> None:
    ring = KeyRing(str(path))
    _change(path, broken)
    with caplog.at_level(logging.INFO):
        for _ in range(3):
            assert ring.find(FIRST) is not None
        assert ring.find(SECOND) is None
    assert len([record for record in caplog.records if record.levelno >= logging.WARNING]) == 1
    _change(path, key_line("second", SECOND) + "\n# mended")
    assert ring.find(SECOND) is not None
    assert ring.find(FIRST) is None


def test_a_file_that_went_keeps_what_was(path: Path, caplog: pytest.LogCaptureFixture) -> None:
    ring = KeyRing(str(path))
    path.unlink()
    assert ring.find(FIRST) is not None
    assert "can't be read" in caplog.text


def test_neither_keys_nor_digests_are_logged(path: Path, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.DEBUG):
        ring = KeyRing(str(path))
        ring.find(FIRST)
        _change(path, key_line("second", SECOND))
        ring.find(SECOND)
        _change(path, f"{key_line('second', SECOND)} what")
        ring.find(SECOND)
    assert caplog.text
    for secret in (FIRST, SECOND, digest_of(FIRST).hex(), digest_of(SECOND).hex()):
        assert secret not in caplog.text


def test_a_start_without_a_usable_file_is_refused(tmp_path: Path) -> None:
    for path in (tmp_path / "absent", tmp_path):
        with pytest.raises(SettingError, match="the keys file can't be read"):
            KeyRing(str(path))
