"""Metrics: what is counted, under which names, and right over several workers."""

import http.client
import json
import os
import signal
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from prometheus_client.parser import text_string_to_metric_families as families
from scale_service import logged, until

from borewright.web.observing import metrics
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


def test_stopped_calculations_and_running_ones_show(client: FlaskClient) -> None:
    def run() -> None:
        metrics.stopped("time")
        with metrics.calculating():
            assert read(client.get("/metrics").text)[series("calculations")] == 1.0

    assert gained(client, run)[series("calculations_stopped_total", why="time")] == 1.0
    assert read(client.get("/metrics").text)[series("calculations")] == 0.0


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
        booted = told(tmp_path / "log", "Booting worker", 2)
        os.kill(int(booted[0].rsplit(" ", 1)[1]), 9)
        told(tmp_path / "log", "Booting worker", 3)
        ask(place, "POST", "/v1/displacement", body)
        found = read(ask(place, "GET", "/metrics"))
        assert found[counted] == 61.0, "what it had counted stays"
        assert found[series("metrics_incomplete")] == 0.0


def told(path: Path, what: str, number: int) -> list[str]:
    """Wait until the log says something so many times, however busy the machine is; the messages that say it."""

    def found() -> list[str]:
        return [line["message"] for line in logged(path) if what in line["message"]]

    until(lambda: len(found()) >= number, 60.0, f"{number} times: {what}")
    return found()


def test_unreadable_requests_are_counted(service: tuple[str, int]) -> None:
    before = read(ask(service, "GET", "/metrics")).get(series("refused_total", reason="path-too-long"), 0.0)
    ask(service, "GET", "/" + "x" * 5000)
    assert read(ask(service, "GET", "/metrics"))[series("refused_total", reason="path-too-long")] == before + 1.0


FULL = """
import resource, sys
from borewright.web.server.server import serve
resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
serve("127.0.0.1", int(sys.argv[1]), 2)
"""


def test_a_full_temporary_folder_hurts_neither_answers_nor_figures(tmp_path: Path, start_service: Callable[..., Any]) -> None:
    """Nothing is kept in files: a limit of no bytes at all for any file that a process writes stands for a disk that is full."""
    with start_service(tmp_path / "log", script=FULL) as place:
        for _ in range(20):
            assert "displacement" in ask(place, "POST", "/v1/displacement", json.dumps(BODY).encode())
        found = read(ask(place, "GET", "/metrics"))
    assert found[series("requests_total", operation="/v1/displacement", method="POST", status="200")] == 20.0
    assert found[series("metrics_incomplete")] == 0.0


def test_figures_are_right_after_a_reload(tmp_path: Path, start_service: Callable[..., Any]) -> None:
    body = json.dumps(BODY).encode()
    with start_service(tmp_path / "log", workers=2) as place:
        for _ in range(30):
            ask(place, "POST", "/v1/displacement", body)
        told(tmp_path / "log", "Booting worker", 2)
        (first,) = told(tmp_path / "log", "Listening at", 1)
        os.kill(int(first.rsplit("(", 1)[1].rstrip(")")), signal.SIGHUP)
        for _ in range(30):
            ask(place, "POST", "/v1/displacement", body)
        told(tmp_path / "log", "Worker exiting", 2)
        found = read(ask(place, "GET", "/metrics"))
    assert found[series("requests_total", operation="/v1/displacement", method="POST", status="200")] == 60.0
    assert found[series("request_seconds_count", operation="/v1/displacement", status="200")] == 60.0
    assert found[series("metrics_incomplete")] == 0.0


def test_the_buckets_add_up(client: FlaskClient) -> None:
    def tell() -> None:
        for seconds in (0.0005, 0.001, 0.002, 0.3, 100.0):
            metrics.answered("/v1/displacement", "POST", 200, seconds)

    found = gained(client, tell)
    reached = [
        found.get(series("request_seconds_bucket", operation="/v1/displacement", status="200", le=bound))
        for bound in ("0.001", "0.0025", "0.25", "0.5", "30.0", "+Inf")
    ]
    assert reached == [2.0, 3.0, 3.0, 4.0, 4.0, 5.0], "at most the bound, as Prometheus has it"
    assert found[series("request_seconds_sum", operation="/v1/displacement", status="200")] == pytest.approx(100.3035)


def test_other_statuses_and_methods_have_their_place(client: FlaskClient) -> None:
    def tell() -> None:
        metrics.answered("/v1/displacement", "BREW", 418, 0.1)
        metrics.answered("/v1/nothing", "GET", 200, 0.1)

    found = gained(client, tell)
    assert found[series("requests_total", operation="/v1/displacement", method="unmatched", status="other")] == 1.0
    assert found[series("requests_total", operation="unmatched", method="GET", status="200")] == 1.0


def test_there_is_a_number_for_every_route(client: FlaskClient) -> None:
    assert len(set(map(str, client.application.url_map.iter_rules()))) < metrics.MOST_OPERATIONS
