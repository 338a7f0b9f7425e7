"""What every answer carries: the request id and the security headers."""

import re

import pytest
from flask.testing import FlaskClient

from borewright.web.headers import SECURITY, new_request_id

ANSWERS = {
    "answer": ("GET", "/health/live"),
    "kept": ("GET", "/v1/reference/units"),
    "refused": ("POST", "/v1/displacement"),
    "absent": ("GET", "/nowhere"),
    "method": ("DELETE", "/health/live"),
    "options": ("OPTIONS", "/v1/displacement"),
    "page": ("GET", "/docs"),
}


@pytest.mark.parametrize(("method", "path"), ANSWERS.values(), ids=ANSWERS)
def test_every_answer_has_them(client: FlaskClient, method: str, path: str) -> None:
    response = client.open(path, method=method)
    for name, value in SECURITY.items():
        assert name in response.headers
        assert response.headers[name] == value or name == "Content-Security-Policy"
    assert "default-src 'none'" in response.headers["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in response.headers["Content-Security-Policy"]
    assert re.fullmatch(r"[0-9a-f]{32}", response.headers["X-Request-Id"])
    assert len(response.headers.get_all("X-Request-Id")) == 1
    assert response.headers["Cache-Control"]


@pytest.mark.parametrize(("method", "path"), ANSWERS.values(), ids=ANSWERS)
@pytest.mark.parametrize("given", ["a", "order-17.b_C", "0" * 64])
def test_the_callers_own_id_comes_back(client: FlaskClient, method: str, path: str, given: str) -> None:
    assert client.open(path, method=method, headers={"X-Request-Id": given}).headers["X-Request-Id"] == given


@pytest.mark.parametrize("given", ["", "0" * 65, "two words", "a/b", "<b>", "a;b", "é", "a\tb", "{}"])
def test_a_malformed_id_is_replaced(client: FlaskClient, given: str) -> None:
    found = client.get("/health/live", headers={"X-Request-Id": given}).headers["X-Request-Id"]
    assert re.fullmatch(r"[0-9a-f]{32}", found)


def test_ids_differ(client: FlaskClient) -> None:
    assert len({client.get("/health/live").headers["X-Request-Id"] for _ in range(20)} | {new_request_id()}) == 21


def test_an_answer_of_a_calculation_is_not_kept(client: FlaskClient) -> None:
    response = client.post("/v1/displacement", json={"bore": "100 mm", "stroke": "80 mm", "cylinders": 4})
    assert response.headers["Cache-Control"] == "no-store"


def test_options_says_what_is_allowed_and_is_no_page(client: FlaskClient) -> None:
    response = client.options("/v1/displacement")
    assert set(response.headers["Allow"].split(", ")) == {"POST", "OPTIONS"}
    assert response.get_data() == b""
    assert "Content-Type" not in response.headers
