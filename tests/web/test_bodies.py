"""Limits and media types of request bodies, and what is written back."""

import io
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from flask.testing import FlaskClient

from borewright.web.app import create_app
from borewright.web.bodies import json_response
from borewright.web.settings import Settings

Check = Callable[..., dict[str, Any]]
BODY = b'{"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}'


@pytest.mark.parametrize(
    "media_type",
    ["application/json", "application/json; charset=utf-8", "application/json;charset=UTF-8", "Application/JSON", "application/json; v=1"],
)
def test_media_types_taken(client: FlaskClient, media_type: str) -> None:
    assert client.post("/v1/displacement", data=BODY, content_type=media_type).status_code == 200


@pytest.mark.parametrize(
    "media_type", ["", "json", "application/jsonx", "application/problem+json", "application/json; charset=utf-16", "x" * 5000]
)
def test_media_types_refused(client: FlaskClient, media_type: str, expect_problem: Check) -> None:
    response = client.post("/v1/displacement", data=BODY, content_type=media_type)
    problem = expect_problem(response, 415, "unsupported-media-type")
    assert response.headers["Accept-Post"] == "application/json"
    assert len(problem["detail"]) < 300


@pytest.mark.parametrize("coding", ["gzip", "br", "deflate", "gzip, gzip"])
def test_compressed_bodies_are_refused(client: FlaskClient, coding: str, expect_problem: Check) -> None:
    response = client.post("/v1/displacement", data=BODY, content_type="application/json", headers={"Content-Encoding": coding})
    assert coding in expect_problem(response, 415, "unsupported-media-type")["detail"]
    assert response.headers["Accept-Encoding"] == "identity"


def test_identity_is_no_compression(client: FlaskClient) -> None:
    response = client.post("/v1/displacement", data=BODY, content_type="application/json", headers={"Content-Encoding": "identity"})
    assert response.status_code == 200


@pytest.mark.parametrize(("path", "limit"), [("/v1/displacement", 200), ("/v1/build-sheet", 200), ("/v1/displacement/batch", 300)])
def test_largest_body(path: str, limit: int, expect_problem: Check) -> None:
    small = create_app(Settings(body_bytes=200, batch_body_bytes=300)).test_client()
    fits, larger = b"[" + b" " * (limit - 2) + b"]", b"[" + b" " * (limit - 1) + b"]"
    assert small.post(path, data=fits, content_type="application/json").status_code == 422
    problem = expect_problem(small.post(path, data=larger, content_type="application/json"), 413, "too-large")
    assert str(limit) in problem["detail"]


@pytest.mark.parametrize("size", [200, 201, 100_000])
def test_bodies_of_no_stated_length_are_counted(size: int, expect_problem: Check) -> None:
    small = create_app(Settings(body_bytes=200)).test_client()
    stream = io.BytesIO(b"[" + b" " * (size - 2) + b"]")
    response = small.post(
        "/v1/displacement",
        input_stream=stream,
        content_type="application/json",
        environ_overrides={"wsgi.input_terminated": True, "HTTP_TRANSFER_ENCODING": "chunked"},
    )
    if size > 200:
        expect_problem(response, 413, "too-large")
        assert stream.tell() <= 201, "no more than the limit is read"
    else:
        expect_problem(response, 422, "invalid-request")


def test_a_body_that_was_cut_off(client: FlaskClient, expect_problem: Check) -> None:
    response = client.post(
        "/v1/displacement",
        input_stream=io.BytesIO(BODY),
        content_type="application/json",
        environ_overrides={"wsgi.input_terminated": True, "CONTENT_LENGTH": str(len(BODY) + 10)},
    )
    assert expect_problem(response, 400, "bad-request")["detail"].startswith(f"the body ended after {len(BODY)} bytes")


def test_settings_reach_the_decoder(expect_problem: Check) -> None:
    strict = create_app(Settings(nesting=2, digits=5)).test_client()
    for raw, reason in ((b'{"a": [[1]]}', "2 levels"), (b'{"bore": 123456.0}', "at most 5")):
        problem = expect_problem(strict.post("/v1/displacement", data=raw, content_type="application/json"), 400, "not-json")
        assert reason in str(problem["errors"])


def test_json_response_writes_columns_and_null() -> None:
    response = json_response({"a": np.array([1.5, math.nan]), "b": [None, True], "c": "µm"}, 202)
    assert (response.status_code, response.content_type) == (202, "application/json")
    assert response.get_data() == '{"a":[1.5,null],"b":[null,true],"c":"µm"}'.encode()
