"""The arguments of the command line."""

import subprocess
import sys
from typing import Any

import pytest

from borewright import __version__, cli
from borewright.web import server


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["--version"])
    assert ended.value.code == 0
    assert capsys.readouterr().out == f"borewright {__version__}\n"


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (["serve"], ("127.0.0.1", 8080, 2)),
        (["serve", "--host", "::1", "--port", "0", "--workers", "1"], ("::1", 0, 1)),
        (["serve", "--port", "65535", "--workers", "256"], ("127.0.0.1", 65535, 256)),
    ],
)
def test_serve_hands_on_what_it_was_told(monkeypatch: pytest.MonkeyPatch, arguments: list[str], expected: tuple[Any, ...]) -> None:
    told: list[tuple[Any, ...]] = []
    monkeypatch.setattr(server, "serve", lambda *given: told.append(given))
    assert cli.main(arguments) == 0
    assert told == [expected]


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
    assert "BOREWRIGHT_BATCH_ROWS must be a whole number above zero" in capsys.readouterr().err


def test_help_names_every_command() -> None:
    done = subprocess.run([sys.executable, "-m", "borewright.cli", "--help"], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0
    assert all(command in done.stdout for command in ("serve", "demo", "openapi"))
