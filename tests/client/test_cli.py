"""The command: what it prints, writes and exits with."""

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import requests
from click.testing import CliRunner

import borewright_client as bw
from borewright.web.app import create_app
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
    ],
    ids=lambda given: " ".join(given[:3]) if isinstance(given, list) else "",
)
def test_a_wrong_use_is_told_in_a_line_and_leaves_no_trace(words: list[str], said: str, run: Any, tmp_path: Path) -> None:
    files = {"rows": "bore\n94\n", "order": '{"order": {"id": "A-1"}}', "misspelt": '{"ordr": {"id": "A-1"}}'}
    for name, text in files.items():
        (tmp_path / name).write_text(text)
    done = run(*(word.format(folder=tmp_path, **{name: tmp_path / name for name in files}) for word in words))
    assert done.exit_code in (1, 2)
    assert isinstance(done.exception, SystemExit), "no traceback"
    assert said in done.stderr
    assert {path.name for path in tmp_path.iterdir()} == set(files)
    assert (tmp_path / "rows").read_text() == files["rows"]


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
    assert run("sheet", order, "-o", tmp_path / "order.docx").exit_code == _cli.REFUSED


def test_without_click_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing() -> Any:
        raise ModuleNotFoundError(name="click")

    monkeypatch.setattr(_cli, "_command", missing)
    with pytest.raises(SystemExit, match=r"pip install 'borewright-client\[cli\]'"):
        _cli.main()
