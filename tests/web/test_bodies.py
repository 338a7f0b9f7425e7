"""Limits and media types of request bodies, and what is written back."""

import gzip
import io
import math
import tracemalloc
import zlib
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from flask import Response
from flask.testing import FlaskClient
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.test import TestResponse, create_environ

from borewright.web.app import create_app
from borewright.web.bodies import Written, decompressed, json_response
from borewright.web.problems import Problem
from borewright.web.settings import Settings
from borewright.web.strict_json import DIGITS, NESTING, STRING_LENGTH

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


@pytest.mark.parametrize("coding", ["br", "deflate", "zstd", "gzip, gzip", "gzip, identity", "compress", "*", "x" * 5000])
def test_other_codings_are_refused(client: FlaskClient, coding: str, expect_problem: Check) -> None:
    response = packed(client, BODY, coding=coding)
    assert coding[:100] in expect_problem(response, 415, "unsupported-media-type")["detail"]
    assert response.headers["Accept-Encoding"] == "gzip, identity"


def packed(service: FlaskClient, sent: bytes, path: str = "/v1/displacement", coding: str = "gzip") -> TestResponse:
    return service.post(path, data=sent, content_type="application/json", headers={"Content-Encoding": coding})


@pytest.mark.parametrize("coding", ["identity", "Identity"])
def test_identity_is_no_compression(client: FlaskClient, coding: str) -> None:
    assert packed(client, BODY, coding=coding).status_code == 200


@pytest.mark.parametrize("coding", ["gzip", "GZIP", "x-gzip"])
def test_gzip_is_unpacked(client: FlaskClient, coding: str) -> None:
    plain = client.post("/v1/displacement", data=BODY, content_type="application/json").get_data()
    response = packed(client, gzip.compress(BODY), coding=coding)
    assert (response.status_code, response.get_data()) == (200, plain)


@given(st.binary(max_size=300_000), st.integers(1, 5000), st.integers(0, 9))
def test_whatever_was_packed_comes_out(sent: bytes, size: int, level: int) -> None:
    whole = gzip.compress(sent, level)
    parts = [whole[at : at + size] for at in range(0, len(whole), size)]
    assert b"".join(decompressed(parts, len(sent))) == sent
    if sent:
        with pytest.raises(Problem) as refused:
            b"".join(decompressed(parts, len(sent) - 1))
        assert refused.value.kind.status == 413


@pytest.mark.parametrize(
    ("sent", "reason"),
    [
        (BODY, "says gzip"),
        (b"", "cut off"),
        (gzip.compress(BODY)[:-1], "cut off"),
        (gzip.compress(BODY)[:12], "cut off"),
        (gzip.compress(BODY)[:-8] + b"\0" * 8, "says gzip"),  # a wrong checksum
        (gzip.compress(BODY) + b"x", "ends before"),
        (gzip.compress(BODY) * 2, "ends before"),
        (zlib.compress(BODY), "says gzip"),
    ],
    ids=["plain", "empty", "cut", "head alone", "checksum", "more", "two members", "zlib"],
)
def test_what_is_no_gzip(client: FlaskClient, sent: bytes, reason: str, expect_problem: Check) -> None:
    assert reason in expect_problem(packed(client, sent), 400, "bad-request")["detail"]


def test_two_members_in_any_pieces_are_refused() -> None:
    whole = gzip.compress(BODY) * 2
    for size in (1, 7, len(whole) // 2, len(whole)):
        with pytest.raises(Problem) as refused:
            b"".join(decompressed([whole[at : at + size] for at in range(0, len(whole), size)], 1000))
        assert "one member" in refused.value.detail


@pytest.mark.parametrize(("path", "limit"), [("/v1/displacement", 200), ("/v1/build-sheet", 200), ("/v1/displacement/batch", 300)])
def test_largest_body_after_decompression(path: str, limit: int, expect_problem: Check) -> None:
    small = create_app(Settings(body_bytes=200, batch_body_bytes=300)).test_client()
    fits, larger = (gzip.compress(b"[" + b" " * (size - 2) + b"]") for size in (limit, limit + 1))
    assert packed(small, fits, path).status_code == 422
    problem = expect_problem(packed(small, larger, path), 413, "too-large")
    assert f"{limit} bytes after decompression" in problem["detail"]


def test_a_bomb_is_refused_when_it_passes_the_limit() -> None:
    """Two hundred megabytes of blanks in two hundred kilobytes: refused after the first piece, in little memory and no time."""
    packing = zlib.compressobj(9, zlib.DEFLATED, 16 + zlib.MAX_WBITS)
    bomb = b"".join(packing.compress(b" " * 1_000_000) for _ in range(200)) + packing.flush()
    taken = []

    def pieces() -> Iterator[bytes]:
        for at in range(0, len(bomb), 4096):
            taken.append(at)
            yield bomb[at : at + 4096]

    tracemalloc.start()
    try:
        with pytest.raises(Problem) as refused:
            for _ in decompressed(pieces(), 2_000_000):
                pass
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert refused.value.kind.status == 413
    assert len(taken) == 1
    assert peak < 1_000_000


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


def test_limits_of_the_decoder_hold_over_http(client: FlaskClient, expect_problem: Check) -> None:
    for raw, reason in (
        (b'{"a": ' + b"[" * NESTING + b"]" * NESTING + b"}", f"{NESTING} levels"),
        (b'{"bore": 1' + b"0" * DIGITS + b".0}", f"at most {DIGITS}"),
    ):
        problem = expect_problem(client.post("/v1/displacement", data=raw, content_type="application/json"), 400, "not-json")
        assert reason in str(problem["errors"])


def test_longest_text(client: FlaskClient, expect_problem: Check) -> None:
    response = client.post("/v1/displacement", data=b'{"bore": "' + b"1" * (STRING_LENGTH + 1) + b'"}', content_type="application/json")
    problem = expect_problem(response, 422, "invalid-request")
    assert [error["pointer"] for error in problem["errors"]] == ["#/bore"]
    assert f"at most {STRING_LENGTH}" in problem["detail"]


def test_json_response_writes_columns_and_null() -> None:
    response = json_response({"a": np.array([1.5, math.nan]), "b": [None, True], "c": "µm"}, 202)
    assert (response.status_code, response.content_type) == (202, "application/json")
    assert response.get_data() == '{"a":[1.5,null],"b":[null,true],"c":"µm"}'.encode()


def test_a_body_that_comes_too_slowly(client: FlaskClient, expect_problem: Check) -> None:
    class Slow:
        def read(self, size: int = -1) -> bytes:
            raise TimeoutError

    response = client.post(
        "/v1/displacement",
        content_type="application/json",
        environ_overrides={"wsgi.input": Slow(), "wsgi.input_terminated": True, "CONTENT_LENGTH": "100"},
    )
    expect_problem(response, 408, "request-timeout")


@pytest.mark.parametrize("body", [b"", b"{}", b"x" * 100_000])
@pytest.mark.parametrize("added", [{}, {"Vary": "Origin"}, {"Content-Encoding": "gzip", "Vary": "Accept-Encoding"}])
def test_an_answer_whose_bytes_are_all_there_goes_out_as_any_other(body: bytes, added: dict[str, str]) -> None:
    """Status, headers and body, to the letter and in the same order."""
    sent = []
    for response in (Written(body), Response(body, mimetype="application/json")):
        response.headers.extend(added)
        body_, status, headers = response.get_wsgi_response(create_environ(method="POST"))
        sent.append((b"".join(body_), status, headers))
    assert sent[0] == sent[1]
