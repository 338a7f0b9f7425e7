"""Each status has its class, whatever the body is."""

import copy
import json
import pickle
from collections.abc import Callable
from typing import Any

import pytest

import borewright_client as bw
from borewright_client._errors import problem

CLASSES = [
    (400, bw.NotJson),
    (401, bw.Unauthorized),
    (402, bw.ProblemError),
    (403, bw.Forbidden),
    (404, bw.NotFound),
    (405, bw.MethodNotAllowed),
    (406, bw.NotAcceptable),
    (408, bw.ProblemError),
    (413, bw.TooLarge),
    (415, bw.UnsupportedMediaType),
    (422, bw.InvalidRequest),
    (429, bw.TooManyRequests),
    (431, bw.ProblemError),
    (500, bw.ServerError),
    (501, bw.ServerError),
    (502, bw.ServerError),
    (503, bw.Unavailable),
    (504, bw.ServerError),
    (599, bw.ServerError),
]
BODIES: list[bytes] = [
    b"",
    b"<html><h1>It broke</h1></html>",
    b"{",
    b"[]",
    b"null",
    b'"text"',
    b"NaN",
    b"\xff\xfe\x00",
    b"[" * 100_000,
    b'{"type": 1, "title": [], "detail": {}, "errors": "none", "status": "200"}',
    b'{"errors": [1, null, [], {"pointer": 5}]}',
]


@pytest.mark.parametrize(("status", "kind"), CLASSES)
def test_class_by_status_over_the_wire(status: int, kind: type[bw.ProblemError], serve: Any, connect: Any, say: Any) -> None:
    body = {"type": "/problems/some", "title": "Some title", "status": status, "detail": "Some detail."}
    server = serve(say(status, body, X_Request_Id="srv-7", Allow="GET"))
    with pytest.raises(bw.ProblemError) as caught:
        connect(server, retries=0).displacement(bore="4 in", stroke="3 in", cylinders=8)
    error = caught.value
    assert type(error) is kind
    assert (error.status, error.type, error.title, error.detail) == (status, "/problems/some", "Some title", "Some detail.")
    assert error.errors == ()
    assert error.request_id == "srv-7"
    assert error.headers["allow"] == "GET"
    assert str(error) == f"{status} Some title: Some detail. (request srv-7)"


@pytest.mark.parametrize(("status", "kind"), CLASSES)
@pytest.mark.parametrize("body", BODIES, ids=range(len(BODIES)))
def test_class_by_status_whatever_the_body(status: int, kind: type[bw.ProblemError], body: bytes) -> None:
    error = problem(status, {}, body.decode(errors="replace"), "a1")
    assert type(error) is kind
    assert error.status == status
    assert error.title
    assert error.type == "about:blank"
    assert all(isinstance(field, bw.FieldError) for field in error.errors)


def test_foreign_body_over_the_wire_is_the_detail(serve: Any, connect: Any, say: Any) -> None:
    server = serve(say(404, b"  <h1>no such page</h1>\n", Content_Type="text/html"))
    with pytest.raises(bw.NotFound) as caught:
        connect(server).openapi()
    assert caught.value.detail == "<h1>no such page</h1>"
    assert caught.value.title == "Not Found"
    assert caught.value.type == "about:blank"


def test_foreign_body_is_cut() -> None:
    assert len(problem(500, {}, "x" * 1_000_000, None).detail) == 2000


def test_every_bad_field_is_there() -> None:
    errors = [{"pointer": "#/bore", "detail": "must be a length"}, {"pointer": "#/gasket/thickness", "detail": "must be above 0 mm"}]
    body = {"type": "/problems/invalid-request", "title": "Invalid request", "detail": "2 fields are wrong.", "errors": errors}
    error = problem(422, {}, json.dumps(body), "a1")
    assert type(error) is bw.InvalidRequest
    assert error.errors == (bw.FieldError("#/bore", "must be a length"), bw.FieldError("#/gasket/thickness", "must be above 0 mm"))
    fields = "#/bore: must be a length; #/gasket/thickness: must be above 0 mm"
    assert str(error) == f"422 Invalid request: 2 fields are wrong.; {fields} (request a1)"


@pytest.mark.parametrize("lead", ["", "2 fields are wrong; the first: "])
def test_a_summing_up_that_ends_with_the_first_field_is_not_said_twice(lead: str) -> None:
    errors = [{"pointer": "#/bore", "detail": "must be a length"}, {"pointer": "#/stroke", "detail": "must be a length"}]
    error = problem(422, {}, json.dumps({"title": "Wrong", "detail": f"{lead}#/bore: must be a length", "errors": errors}), None)
    assert error.detail == f"{lead}#/bore: must be a length"
    assert str(error) == "422 Wrong: #/bore: must be a length; #/stroke: must be a length"


def test_the_wait_asked_for_is_said() -> None:
    error = problem(429, {"Retry-After": "27"}, '{"title": "Too many requests", "detail": "the limit is 3"}', None)
    assert str(error) == "429 Too many requests: the limit is 3; try again in 27 s"


def test_a_foreign_page_is_one_short_line_of_the_message_and_whole_in_the_detail() -> None:
    page = "<html>\n  <h1>Bad gateway</h1>\n" + "<p>padding</p>\n" * 50
    error = problem(502, {}, page, None)
    assert error.detail == page.strip()
    assert str(error).startswith("502 Bad Gateway: <html> <h1>Bad gateway</h1> <p>padding</p>")
    assert "\n" not in str(error)
    assert len(str(error)) < 230


def test_a_long_detail_of_the_services_own_is_said_whole() -> None:
    detail = "word " * 100 + "end"
    assert str(problem(404, {}, json.dumps({"type": "/problems/not-found", "title": "T", "detail": detail}), None)) == f"404 T: {detail}"


@pytest.mark.parametrize("kind", ["/problems/impossible-build", "https://shop.example/problems/impossible-build", "impossible-build"])
def test_impossible_build_is_told_by_its_type(kind: str) -> None:
    assert type(problem(422, {}, json.dumps({"type": kind}), None)) is bw.ImpossibleBuild


def test_impossible_build_type_under_another_status_keeps_the_status() -> None:
    assert type(problem(400, {}, '{"type": "/problems/impossible-build"}', None)) is bw.NotJson


def test_status_is_the_wires_not_the_bodys() -> None:
    assert problem(404, {}, '{"status": 200, "title": "All is well"}', None).status == 404


@pytest.mark.parametrize("status", [429, 503])
def test_retry_after_is_told(status: int) -> None:
    assert problem(status, {"retry-after": "12"}, "", None).retry_after == 12.0
    assert problem(status, {}, "", None).retry_after is None


@pytest.mark.parametrize(
    "error",
    [
        bw.ConnectionFailed("refused", "a1"),
        bw.TimedOut("too late", None),
        bw.UnexpectedAnswer("not JSON", 200, "a1"),
        problem(422, {"X-A": "b"}, '{"title": "T", "detail": "D", "errors": [{"pointer": "#/bore", "detail": "no"}]}', "a1"),
    ],
    ids=lambda error: type(error).__name__,
)
@pytest.mark.parametrize("through", [lambda error: pickle.loads(pickle.dumps(error)), copy.copy], ids=["pickle", "copy"])
def test_errors_survive_a_process_boundary(error: bw.BorewrightError, through: Callable[[Any], Any]) -> None:
    other = through(error)
    assert type(other) is type(error)
    assert str(other) == str(error)
    assert vars(other).keys() == vars(error).keys()
    assert other.request_id == error.request_id


def test_repr_leaves_out_the_headers() -> None:
    assert "secret" not in repr(problem(500, {"Set-Cookie": "secret"}, "", None))


def test_connection_and_timeout_are_apart_and_have_no_status() -> None:
    assert not issubclass(bw.TimedOut, bw.ConnectionFailed)
    assert not issubclass(bw.ConnectionFailed, bw.TimedOut)
    assert not hasattr(bw.TimedOut("x"), "status")
    assert not hasattr(bw.ConnectionFailed("x"), "status")
