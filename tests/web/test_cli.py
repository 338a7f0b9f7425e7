"""The arguments of the command line."""

import os
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from borewright import __version__, cli
from borewright.web.access.keys import digest_of, read_keys
from borewright.web.server import server
from borewright.web.settings import listing


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["--version"])
    assert ended.value.code == 0
    assert capsys.readouterr().out == f"borewright {__version__}\n"


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (["serve"], ("127.0.0.1", 8080, 2, False)),
        (["serve", "--host", "::1", "--port", "0", "--workers", "1"], ("::1", 0, 1, False)),
        (["serve", "--port", "65535", "--workers", "256"], ("127.0.0.1", 65535, 256, False)),
        (["serve", "--host", "0.0.0.0", "--open"], ("0.0.0.0", 8080, 2, True)),
    ],
)
def test_serve_hands_on_what_it_was_told(monkeypatch: pytest.MonkeyPatch, arguments: list[str], expected: tuple[Any, ...]) -> None:
    told: list[tuple[Any, ...]] = []
    monkeypatch.setattr(server, "serve", lambda *given, open_to_all: told.append((*given, open_to_all)))
    assert cli.main(arguments) == 0
    assert told == [expected]


@pytest.mark.parametrize("wanted", [None, "3"])
def test_linear_algebra_has_one_thread_in_each_process(monkeypatch: pytest.MonkeyPatch, wanted: str | None) -> None:
    """Unless whoever starts it says otherwise. NumPy looks when it is loaded, so nothing of the command line may load it before."""
    monkeypatch.setenv("OMP_NUM_THREADS", wanted or "")
    if wanted is None:
        monkeypatch.delenv("OMP_NUM_THREADS")
    found: list[str] = []
    monkeypatch.setattr(server, "serve", lambda *given, open_to_all: found.append(os.environ["OMP_NUM_THREADS"]))
    cli.main(["serve"])
    assert found == [wanted or "1"]
    subprocess.run([sys.executable, "-c", "import sys, borewright.cli; sys.exit('numpy' in sys.modules)"], check=True, timeout=60)


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["nothing"],
        ["serve", "--port", "65536"],
        ["serve", "--port", "-1"],
        ["serve", "--port", "http"],
        ["serve", "--port", "²"],
        ["serve", "--port", "9" * 5000],
        ["serve", "--workers", "0"],
        ["serve", "--workers", "257"],
        ["serve", "--workers", "two"],
        ["serve", "--threads", "4"],
        ["key"],
        ["key", "two words"],
        ["key", ""],
        ["key", "x" * 65],
    ],
    ids=lambda arguments: " ".join(arguments)[:40] or "none",
)
def test_bad_arguments_end_with_usage(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(arguments)
    assert ended.value.code == 2
    said = capsys.readouterr()
    assert said.err.startswith("usage: borewright")
    assert said.out == ""


def test_a_bad_setting_is_said_in_one_line(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setenv("BOREWRIGHT_BATCH_ROWS", "-5")
    with pytest.raises(SystemExit) as ended:
        cli.main(["serve", "--port", "0"])
    assert ended.value.code == 2
    assert "BOREWRIGHT_BATCH_ROWS must be a whole number from 1" in capsys.readouterr().err


def test_help_names_every_command() -> None:
    done = subprocess.run([sys.executable, "-m", "borewright.cli", "--help"], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0
    assert all(command in done.stdout for command in ("serve", "key", "settings", "demo", "openapi"))


def test_listening_to_anybody_without_keys_is_refused_with_the_remedy(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["serve", "--host", "0.0.0.0", "--port", "0"])
    assert ended.value.code == 2
    assert "--open" in capsys.readouterr().err


def test_a_key_is_shown_once_and_its_digest_appended(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "keys"
    assert cli.main(["key", "shop-1", "--file", str(file)]) == 0
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    with file.open("a") as written:
        written.write("# the bench: no line end behind it")
    monkeypatch.setenv("BOREWRIGHT_KEYS_FILE", str(file))
    assert cli.main(["key", "shop-2"]) == 0
    shown = [line.removeprefix("key, shown this once: ") for line in capsys.readouterr().out.splitlines()]
    assert [(key.name, key.digest) for key in read_keys(file.read_text())] == [
        (f"shop-{number}", digest_of(key)) for number, key in enumerate(shown, start=1)
    ]
    assert not any(key in file.read_text() for key in shown)


def test_a_name_is_given_once(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "keys"
    assert cli.main(["key", "shop-1", "--file", str(file)]) == 0
    before = file.read_bytes()
    with pytest.raises(SystemExit):
        cli.main(["key", "shop-1", "--file", str(file)])
    assert "has a key of the name shop-1" in capsys.readouterr().err
    assert file.read_bytes() == before


@pytest.mark.parametrize("content", ["what is this", "a b c d"])
def test_a_file_that_is_none_of_keys_is_left_alone(content: str, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "keys"
    file.write_text(content)
    with pytest.raises(SystemExit):
        cli.main(["key", "shop-1", "--file", str(file)])
    assert "line 1" in capsys.readouterr().err
    assert file.read_text() == content


def test_a_key_for_a_file_elsewhere_comes_with_its_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["key", "shop-1", "--file", "-"]) == 0
    line, shown = (text.split(": ", 1)[1] for text in capsys.readouterr().out.splitlines())
    assert read_keys(line)[0].digest == digest_of(shown)
    assert shown not in line


def test_a_key_needs_a_file(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("BOREWRIGHT_KEYS_FILE", raising=False)
    for arguments, said in (([], "--file"), (["--file", str(tmp_path)], "directory")):
        with pytest.raises(SystemExit) as ended:
            cli.main(["key", "shop-1", *arguments])
        assert ended.value.code == 2
        assert said in capsys.readouterr().err


def test_settings_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["settings"]) == 0
    said = capsys.readouterr().out
    assert all(f"{name} (default: {default})\n    {text}\n" in said for name, default, text in listing())
