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
    assert run("ask", "displacement", "no-such-file.json").exit_code == 1


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
