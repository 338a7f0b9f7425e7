"""The command: what it prints, writes and exits with."""

import csv
import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import requests
from click.testing import CliRunner

import borewright_client as bw
from borewright.web.app import create_app
from borewright.web.document.published_files import asked
from borewright_client import _cli


@pytest.fixture
def run(wsgi_session: Callable[..., requests.Session], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Any]:
    """Run the command against the service in this process."""
    session = wsgi_session(create_app())
    monkeypatch.setattr(_cli, "Client", lambda url, **settings: bw.Client("http://service", session=session, **settings))
    return lambda *words, **more: CliRunner().invoke(_cli._command(), [str(word) for word in words], **more)


def test_ask_with_fields_and_a_file(run: Any, tmp_path: Path) -> None:
    request = tmp_path / "request.json"
    request.write_text(json.dumps({"bore": "94 mm", "stroke": "1 mm"}))
    done = run("ask", "displacement", request, "stroke=88 mm", "cylinders=4")
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout)["displacement"]["value"] == pytest.approx(2442.80, abs=0.01)
    dotted = run("ask", "ring-gap", "bore=94 mm", "bore_material=gray_iron", "duty.aspiration=natural", "-", input="{}")
    assert json.loads(dotted.stdout)["top"]["recommended_gap"]["value"] > 0.2


def test_a_refusal_is_told_and_is_the_exit(run: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    done = run("ask", "displacement", "bore=9 kg")
    assert done.exit_code == _cli.REFUSED
    assert "#/bore" in done.stderr
    monkeypatch.setattr(_cli, "Client", lambda url, **settings: bw.Client("http://127.0.0.1:9", retries=0))
    assert run("ask", "displacement").exit_code == _cli.UNREACHED


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["ask", "displacement", "no-such-file.json"], "is no file, and a field is given as FIELD=VALUE"),
        (["ask", "displacement", "bore=2", "bore.value=1"], "bore can't be a value and hold bore.value"),
        (["batch", "displacement", "{rows}", "-o", "{folder}/none/out.csv"], "out.csv: No such file or directory"),
        (["batch", "displacement", "{rows}", "-o", "{rows}"], "can't be read and written at once"),
        (["batch", "no-such-thing", "{rows}", "-o", "{folder}/out.csv"], "takes no batches"),
        (["sheet", "{order}", "-o", "{folder}/none/out.pdf"], "there is no folder"),
        (["sheet", "{order}", "-o", "{folder}/out.txt"], "saved as .json, .html, .pdf"),
        (["sheet", "{misspelt}", "-o", "{folder}/out.pdf"], "there is no ordr here"),
        (["sheet", "{rows}", "-o", "{folder}/out.pdf"], "Expecting value"),
        (["ask", "displacement", "{text}"], "'utf-8' codec"),
        (["ask", "displacement", "{list}"], "is no JSON object"),
        (["ask", "displacement", "bore=NaN"], "#/bore: nan is no number"),
        (["--timeout", "-1", "ask", "displacement"], "timeout must be a positive number"),
        (["batch", "displacement", "{rows}", "-o", "{folder}/out.csv", "--common", "{list}"], "is no JSON object"),
        (["batch", "displacement", "{rows}", "-o", "{folder}/out.csv", "--chunk", "0"], "one row at least"),
        (["batch", "displacement", "{rows}", "-o", "{folder}/out.csv", "--encoding", "klingon"], "no encoding 'klingon'"),
        (["batch", "displacement", "{folder}/none.csv", "-o", "{folder}/out.csv"], "does not exist"),
    ],
    ids=lambda given: " ".join(given[:3]) if isinstance(given, list) else "",
)
def test_a_wrong_use_is_told_in_a_line_and_leaves_no_trace(words: list[str], said: str, run: Any, tmp_path: Path) -> None:
    files = {
        "rows": "bore\n94\n",
        "order": '{"order": {"id": "A-1"}}',
        "misspelt": '{"ordr": {"id": "A-1"}}',
        "list": "[1]",
        "text": "\xff",
    }
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="latin-1")
    done = run(*(word.format(folder=tmp_path, **{name: tmp_path / name for name in files}) for word in words))
    assert done.exit_code == _cli.MISUSED
    assert isinstance(done.exception, SystemExit), "no traceback"
    assert said in done.stderr
    assert {path.name for path in tmp_path.iterdir()} == set(files)
    assert (tmp_path / "rows").read_text() == files["rows"]


def test_another_service_there_is_no_service(run: Any, serve: Any, say: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    server = serve(say(200, b"<html>", Content_Type="text/html"))
    monkeypatch.setattr(_cli, "Client", lambda url, **settings: bw.Client(server.url, retries=0))
    done = run("ask", "displacement")
    assert done.exit_code == _cli.UNREACHED
    assert "base_url" in done.stderr


@pytest.mark.parametrize("name", ["API_KEY", "RETRIES", "DEADLINE"])
def test_a_mistake_in_the_environment_is_a_wrong_use(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(f"BOREWRIGHT_CLIENT_{name}", "no such")
    done = CliRunner().invoke(_cli._command(), ["ask", "displacement"])
    assert done.exit_code == _cli.MISUSED
    assert f"BOREWRIGHT_CLIENT_{name}" in done.stderr


def test_the_help_names_the_calculations_and_the_exits(run: Any) -> None:
    for name in asked().singles:
        assert name in run("ask", "--help").stdout
    for name in asked().batches:
        assert name in run("batch", "-h").stdout
    assert "exits with 1" in run("--help").stdout


def test_a_file_of_windows_is_read(run: Any, tmp_path: Path) -> None:
    request = tmp_path / "request.json"
    request.write_text('{"bore": "94 mm", "stroke": "88 mm", "cylinders": 4}', encoding="utf-8-sig")
    assert run("ask", "displacement", request).exit_code == 0
    assert run("ask", "displacement", "-", input=request.read_bytes()).exit_code == 0


def test_what_is_broken_off_is_said(run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*given: Any, **how: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(bw.Client, "csv", broken)
    (tmp_path / "rows.csv").write_text("bore\n94\n")
    done = run("batch", "displacement", tmp_path / "rows.csv", "-o", tmp_path / "out.csv")
    assert done.exit_code == _cli.BROKEN_OFF
    assert done.stderr == "Broken off; the same command goes on with what is written\n"
    monkeypatch.undo()
    monkeypatch.setattr(_cli, "Client", lambda url, **settings: bw.Client("http://127.0.0.1:9", retries=0))
    done = run("batch", "displacement", tmp_path / "rows.csv", "-o", tmp_path / "out.csv")
    assert done.exit_code == _cli.UNREACHED
    assert "goes on with what is written" in done.stderr
    assert "goes on" not in run("ask", "displacement").stderr


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-8"])
def test_an_answer_is_printed_in_any_encoding(encoding: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    printed = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    monkeypatch.setattr("sys.stdout", printed)
    _cli._show({"torque": {"value": 1.0, "unit": "N·m"}, "sign": "≥"})
    printed.flush()
    held: Any = printed.buffer
    assert json.loads(held.getvalue().decode(encoding)) == {"torque": {"value": 1.0, "unit": "N·m"}, "sign": "≥"}


@pytest.mark.parametrize("words", [["ask", "displacement", "bore=94 mm", "stroke=88 mm", "cylinders=4"], ["--help"]])
def test_who_reads_no_further_gets_no_traceback(words: list[str], address: str) -> None:
    command = [sys.executable, "-c", "from borewright_client._cli import main; main()", *words]
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as pipe:
        done = subprocess.run(
            command, stdout=pipe, stderr=subprocess.PIPE, text=True, check=False, env={**os.environ, "BOREWRIGHT_CLIENT_URL": address}
        )
    assert done.stderr == ""


def test_batch(run: Any, tmp_path: Path) -> None:
    source, common, target = tmp_path / "rows.csv", tmp_path / "common.json", tmp_path / "out.csv"
    source.write_text("bore\n94\n95\n")
    common.write_text(json.dumps({"stroke": 88, "cylinders": 4}))
    done = run("batch", "displacement", source, "-o", target, "--common", common, "--units", "metric")
    assert done.exit_code == 0, done.output
    assert "2 rows, 0 of them refused" in done.stdout
    assert [row["verdict"] for row in csv.DictReader(target.read_text(encoding="utf-8").splitlines())] == ["pass", "pass"]


def test_sheet(run: Any, tmp_path: Path) -> None:
    order, target = tmp_path / "order.json", tmp_path / "order.html"
    order.write_text(json.dumps({"order": {"id": "HL-0001"}, "build": {"bore": "94 mm", "stroke": "88 mm", "cylinders": 4}}))
    assert run("sheet", order, "-o", target).exit_code == 0
    assert "HL-0001" in target.read_text(encoding="utf-8")
    assert run("sheet", order, "-o", tmp_path / "order.docx").exit_code == _cli.MISUSED


def test_without_click_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def missing() -> Any:
        raise ModuleNotFoundError(name="click")

    monkeypatch.setattr(_cli, "_command", missing)
    with pytest.raises(SystemExit) as ended:
        _cli.main()
    assert ended.value.code == _cli.MISUSED
    assert "pip install 'borewright-client[cli]'" in capsys.readouterr().err
