"""Answers in gzip: where the caller takes them, the same bytes inside, and a page's version known in either form."""

import gzip
import json

import pytest
from flask.testing import FlaskClient

from borewright.web.app import create_app

BUILD = {"bore": "94 mm", "stroke": "88 mm", "cylinders": 4}
GZIP = {"Accept-Encoding": "gzip, br"}


@pytest.fixture(scope="module")
def service() -> FlaskClient:
    return create_app().test_client()


def test_the_document_is_packed_where_that_is_taken(service: FlaskClient) -> None:
    plain, packed = service.get("/v1/openapi.json"), service.get("/v1/openapi.json", headers=GZIP)
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(packed.data) == plain.data
    assert len(packed.data) < 150_000
    for response in (plain, packed):
        assert "Accept-Encoding" in response.headers["Vary"]
        assert int(response.headers["Content-Length"]) == len(response.data)


def test_the_version_of_a_page_is_known_in_either_form(service: FlaskClient) -> None:
    plain, packed = service.get("/v1/reference/units"), service.get("/v1/reference/units", headers=GZIP)
    assert packed.headers["ETag"] == f"W/{plain.headers['ETag']}"
    for tag in (plain.headers["ETag"], packed.headers["ETag"]):
        assert service.get("/v1/reference/units", headers={**GZIP, "If-None-Match": tag}).status_code == 304


@pytest.mark.parametrize("accept", ["identity", "gzip;q=0", "br", ""])
def test_who_does_not_take_it_gets_it_plain(service: FlaskClient, accept: str) -> None:
    response = service.get("/v1/openapi.json", headers={"Accept-Encoding": accept})
    assert "Content-Encoding" not in response.headers
    assert json.loads(response.data)["openapi"] == "3.1.0"


def test_answers_are_packed_and_small_ones_are_not(service: FlaskClient) -> None:
    rows = {"units": "metric", "common": {"stroke": 88, "cylinders": 4}, "columns": {"bore": [90.0] * 1000}}
    packed = service.post("/v1/displacement/batch", json=rows, headers=GZIP)
    assert packed.headers["Content-Encoding"] == "gzip"
    assert len(json.loads(gzip.decompress(packed.data))["columns"]["displacement"]) == 1000
    refused = service.post("/v1/displacement", json={}, headers=GZIP)
    assert "Content-Encoding" not in refused.headers


def test_a_sheet_says_verdict_and_digest_in_each_form(service: FlaskClient) -> None:
    body = {"order": {"id": "HL-0001"}, "build": BUILD}
    sheet = service.post("/v1/build-sheet", json=body)
    for accept in ("application/json", "text/html", "application/pdf"):
        response = service.post("/v1/build-sheet", json=body, headers={"Accept": accept})
        assert response.headers["Borewright-Verdict"] == sheet.get_json()["verdict"]
        assert response.headers["Borewright-Input-Digest"] == sheet.get_json()["input_digest"]
