"""Every kind of problem has one shape, a page of its own, and the status it names."""

import logging
import re
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask, abort
from flask.testing import FlaskClient

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import FieldError, ImpossibleBuild, InvalidRequest
from borewright.web.app import create_app
from borewright.web.problems import MOST_ERRORS, PROBLEMS, Problem, document, printable
from borewright.web.strict_json import NotJsonError

Check = Callable[..., dict[str, Any]]


def failing(error: Exception | int) -> FlaskClient:
    """The app with one more route, which fails as told."""
    app: Flask = create_app()

    @app.get("/failing")
    def fail() -> None:
        if isinstance(error, int):
            abort(error)
        raise error

    return app.test_client()


@pytest.mark.parametrize("name", PROBLEMS)
def test_each_kind_names_itself(name: str, expect_problem: Check) -> None:
    kind = PROBLEMS[name]
    assert kind.name == name
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", name)
    assert 400 <= kind.status < 600
    assert kind.title
    assert kind.meaning.endswith(".")
    assert kind.remedy.endswith(".")
    problem = expect_problem(failing(Problem(name, "as told")).get("/failing"), kind.status, name)
    assert (problem["title"], problem["detail"]) == (kind.title, "as told")


@pytest.mark.parametrize("name", PROBLEMS)
def test_the_type_of_each_kind_is_a_page_of_the_service(client: FlaskClient, name: str) -> None:
    response = client.get(document(Problem(name, "x"))["type"])
    assert response.status_code == 200
    assert response.get_json()["remedy"] == PROBLEMS[name].remedy


@pytest.mark.parametrize(
    ("error", "status", "name"),
    [
        (NotJsonError("no"), 400, "not-json"),
        (InvalidRequest([FieldError("#/a", "no", Code.MISSING)]), 422, "invalid-request"),
        (ImpossibleBuild([FieldError("#/a", "no", Code.IMPOSSIBLE)]), 422, "impossible-build"),
        (400, 400, "bad-request"),
        (401, 401, "unauthorized"),
        (403, 403, "forbidden"),
        (404, 404, "not-found"),
        (405, 405, "method-not-allowed"),
        (406, 406, "not-acceptable"),
        (413, 413, "too-large"),
        (414, 414, "path-too-long"),
        (415, 415, "unsupported-media-type"),
        (429, 429, "too-many-requests"),
        (431, 431, "headers-too-large"),
        (503, 503, "unavailable"),
        (418, 400, "bad-request"),
        (501, 500, "internal"),
    ],
    ids=str,
)
def test_what_goes_wrong_becomes_a_problem(error: Exception | int, status: int, name: str, expect_problem: Check) -> None:
    expect_problem(failing(error).get("/failing"), status, name)


def test_a_defect_tells_its_log_and_not_the_caller(expect_problem: Check, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.ERROR):
        problem = expect_problem(failing(RuntimeError("a secret of the service")).get("/failing"), 500, "internal")
    assert "secret" not in str(problem)
    assert "a secret of the service" in caplog.text
    assert problem["request_id"] in caplog.text


def test_headers_of_a_problem_are_sent(expect_problem: Check) -> None:
    response = failing(Problem("too-many-requests", "wait", headers={"Retry-After": "7"})).get("/failing")
    expect_problem(response, 429, "too-many-requests")
    assert response.headers["Retry-After"] == "7"


def test_summary_of_several_fields(expect_problem: Check) -> None:
    errors = [FieldError("#/a", "first", Code.IMPOSSIBLE), FieldError("#/b", "second", Code.IMPOSSIBLE)]
    problem = expect_problem(failing(InvalidRequest(errors)).get("/failing"), 422, "invalid-request")
    assert problem["detail"] == "2 fields are wrong; the first: #/a: first"
    assert problem["errors"] == [
        {"pointer": f"#/{name}", "detail": said, "code": "impossible"} for name, said in (("a", "first"), ("b", "second"))
    ]


def test_the_list_of_errors_ends_somewhere(client: FlaskClient, expect_problem: Check) -> None:
    problem = expect_problem(client.post("/v1/displacement", json={f"x{n}": n for n in range(20_000)}), 422, "invalid-request")
    assert len(problem["errors"]) <= MOST_ERRORS
    problem = expect_problem(failing(NotJsonError("no", [FieldError("#", "no", Code.NOT_JSON)] * 5000)).get("/failing"), 400, "not-json")
    assert len(problem["errors"]) == MOST_ERRORS


@pytest.mark.parametrize("text", ["\ud800", "a\udfffb", "plain", "µm", ""])
def test_printable_text_can_be_encoded(text: str) -> None:
    assert len(printable(text).encode("utf-8").decode()) == len(text)


def test_names_that_are_no_text_are_answered(client: FlaskClient, expect_problem: Check) -> None:
    raw = rb'{"\ud800": 1, "a\u0000b": 2, "_schema": 3}'
    problem = expect_problem(client.post("/v1/displacement", data=raw, content_type="application/json"), 422, "invalid-request")
    assert {"#/?", "#/a\x00b"} <= {error["pointer"] for error in problem["errors"]}


def test_unknown_path_is_answered_with_the_nearest(client: FlaskClient, expect_problem: Check) -> None:
    problem = expect_problem(client.post("/v1/displacment"), 404, "not-found")
    assert problem["detail"].endswith("did you mean /v1/displacement?")
    assert len(expect_problem(client.get("/" + "x" * 3000), 404, "not-found")["detail"]) < 400


@pytest.mark.parametrize("path", ["/v1/displacement/", "/health/live/", "//health/live", "/v1/reference/units/", "/docs/", "/v1"])
def test_no_redirects(client: FlaskClient, path: str, expect_problem: Check) -> None:
    expect_problem(client.get(path), 404, "not-found")


def test_wrong_method_says_which_is_right(client: FlaskClient, expect_problem: Check) -> None:
    response = client.get("/v1/displacement")
    problem = expect_problem(response, 405, "method-not-allowed")
    assert set(response.headers["Allow"].split(", ")) == {"POST", "OPTIONS"}
    assert problem["detail"].startswith("GET is not for /v1/displacement: use ")
