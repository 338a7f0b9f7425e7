"""Metrics: what is counted, under which names, and right over several workers."""

import http.client
import json
import os
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from prometheus_client.parser import text_string_to_metric_families as families

from borewright.web.app import create_app
from borewright.web.observing import metrics_folder
from borewright.web.observing.metrics import BUCKETS

BODY = {"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}
Series = dict[tuple[str, frozenset[tuple[str, str]]], float]


def read(text: str) -> Series:
    """Every series by its name and labels, as Prometheus' own parser reads them."""
    return {(sample.name, frozenset(sample.labels.items())): sample.value for family in families(text) for sample in family.samples}


def gained(client: FlaskClient, ask: Callable[[], Any]) -> Series:
    before = read(client.get("/metrics").text)
    ask()
    after = read(client.get("/metrics").text)
    return {series: value - before.get(series, 0.0) for series, value in after.items() if value != before.get(series, 0.0)}


def series(name: str, **labels: str) -> tuple[str, frozenset[tuple[str, str]]]:
    return f"borewright_{name}", frozenset(labels.items())


def test_an_answer_is_counted_by_operation_method_and_status(client: FlaskClient) -> None:
    found = gained(client, lambda: [client.post("/v1/displacement", json=BODY) for _ in range(3)])
    assert found[series("requests_total", operation="/v1/displacement", method="POST", status="200")] == 3.0
    assert found[series("request_seconds_count", operation="/v1/displacement", status="200")] == 3.0
    assert found[series("request_seconds_bucket", operation="/v1/displacement", status="200", le="+Inf")] == 3.0
    assert 0.0 < found[series("request_seconds_sum", operation="/v1/displacement", status="200")] < 10.0
    assert not [name for name, _ in found if "refused" in name]


def test_a_refusal_is_counted_by_its_reason(client: FlaskClient) -> None:
    found = gained(client, lambda: [client.post("/v1/displacement", json={}), client.post("/v1/displacement", data=b"{")])
    assert found[series("refused_total", reason="invalid-request")] == 1.0
    assert found[series("refused_total", reason="unsupported-media-type")] == 1.0
    assert found[series("requests_total", operation="/v1/displacement", method="POST", status="422")] == 1.0


def test_what_callers_make_up_makes_no_series(client: FlaskClient) -> None:
    def ask() -> None:
        for number in range(20):
            client.get(f"/v1/made-up-{number}?x={number}")
            client.open("/v1/displacement", method=f"MADEUP{number}")
            client.get(f"/v1/reference/made-up-{number}")
            client.get(f"/health/live?x={number}", headers={"X-Request-Id": f"made-up-{number}"})

    ask()
    found = gained(client, ask)
    assert "made-up" not in str(found).lower()
    assert found[series("requests_total", operation="unmatched", method="GET", status="404")] == 20.0
    assert len([name for name, _ in found if name == "borewright_requests_total"]) == 5  # one of them the question for the metrics


def test_buckets_reach_from_a_millisecond_to_the_longest_calculation() -> None:
    assert BUCKETS[0] <= 0.001
    assert BUCKETS[-1] >= 30.0
    assert sorted(set(BUCKETS)) == list(BUCKETS)


def test_the_form_that_is_asked_for(client: FlaskClient) -> None:
    assert client.get("/metrics").content_type.startswith("text/plain")
    open_metrics = client.get("/metrics", headers={"Accept": "application/openmetrics-text"})
    assert open_metrics.content_type.startswith("application/openmetrics-text")
    assert open_metrics.text.endswith("# EOF\n")


def test_an_overdue_calculation_shows(client: FlaskClient) -> None:
    service = create_app().test_client()
    calculators = service.application.extensions["borewright_calculators"]
    for number in (2, 0):
        calculators._overdue_changed(number)
        assert read(service.get("/metrics").text)[series("calculations_overdue")] == number


def ask(place: tuple[str, int], method: str, path: str, body: bytes = b"") -> str:
    connection = http.client.HTTPConnection(*place, timeout=20.0)
    try:
        connection.request(method, path, body, {"Content-Type": "application/json", "Connection": "close"})
        return connection.getresponse().read().decode()
    finally:
        connection.close()


def test_right_over_several_workers_and_after_one_was_killed(tmp_path: Path, start_service: Callable[..., Any]) -> None:
    counted, body = series("requests_total", operation="/v1/displacement", method="POST", status="200"), json.dumps(BODY).encode()
    with start_service(tmp_path / "log", workers=2) as place:
        for _ in range(60):
            ask(place, "POST", "/v1/displacement", body)
        counts = Counter(read(ask(place, "GET", "/metrics"))[counted] for _ in range(10))
        assert counts == {60.0: 10}, "whichever worker is asked"
        booted = [int(line["message"].rsplit(" ", 1)[1]) for line in lines(tmp_path / "log") if "Booting worker" in line["message"]]
        assert len(booted) == 2
        os.kill(booted[0], 9)
        end = time.monotonic() + 20.0
        while len([line for line in lines(tmp_path / "log") if "Booting worker" in line["message"]]) < 3:
            assert time.monotonic() < end
            time.sleep(0.1)
        ask(place, "POST", "/v1/displacement", body)
        found = read(ask(place, "GET", "/metrics"))
        assert found[counted] == 61.0, "what it had counted stays"
        assert found[series("calculations_overdue")] == 0.0


def lines(path: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in path.read_text().splitlines()]


def test_unreadable_requests_are_counted(service: tuple[str, int]) -> None:
    before = read(ask(service, "GET", "/metrics")).get(series("refused_total", reason="path-too-long"), 0.0)
    ask(service, "GET", "/" + "x" * 5000)
    assert read(ask(service, "GET", "/metrics"))[series("refused_total", reason="path-too-long")] == before + 1.0


def test_the_folder_is_made_and_taken_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(metrics_folder.tempfile, "gettempdir", lambda: str(tmp_path))
    monkeypatch.setattr(metrics_folder.tempfile, "tempdir", str(tmp_path))
    monkeypatch.setenv(metrics_folder.FOLDER, "before")
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    killed, living = tmp_path / f"borewright-metrics-{ended.pid}-a", tmp_path / f"borewright-metrics-{os.getpid()}-b"
    others = [tmp_path / "borewright-metrics-x", tmp_path / "other"]
    for folder in (killed, living, *others):
        folder.mkdir()
    made = metrics_folder.make()
    assert (made.is_dir(), made.parent) == (True, tmp_path)
    assert os.environ[metrics_folder.FOLDER] == str(made)
    assert not killed.exists()
    assert all(folder.exists() for folder in (living, *others))
    metrics_folder.remove()
    assert not made.exists()
