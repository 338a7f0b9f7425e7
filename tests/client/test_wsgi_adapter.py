"""The in-process transport against small WSGI applications, checked by the standard library's own validator."""

import gzip
import json
from typing import Any
from wsgiref.validate import validator

import pytest
import requests

import borewright_client as bw


def echo(environ: dict[str, Any], start_response: Any) -> list[bytes]:
    length = int(environ.get("CONTENT_LENGTH") or 0)
    seen = {name: value for name, value in environ.items() if isinstance(value, str)}
    seen["body"] = environ["wsgi.input"].read(length).decode()
    content = json.dumps(seen).encode()
    start_response("200 OK", [("Content-Type", "application/json"), ("Content-Length", str(len(content))), ("X-Request-Id", "srv-7")])
    return [content]


def test_request_reaches_the_application(wsgi_session: Any) -> None:
    session = wsgi_session(validator(echo))
    seen = session.post("http://service/v1/pa%20th/%C3%A9?q=1", data=b"{}", headers={"Content-Type": "application/json", "X-A": "b"}).json()
    assert seen["REQUEST_METHOD"] == "POST"
    assert seen["PATH_INFO"].encode("latin-1").decode() == "/v1/pa th/é"
    assert seen["QUERY_STRING"] == "q=1"
    assert (seen["CONTENT_TYPE"], seen["CONTENT_LENGTH"], seen["body"]) == ("application/json", "2", "{}")
    assert seen["HTTP_X_A"] == "b"
    assert (seen["HTTP_HOST"], seen["SERVER_NAME"], seen["SERVER_PORT"], seen["wsgi.url_scheme"]) == ("service", "service", "80", "http")


def test_client_works_through_it(wsgi_session: Any) -> None:
    client = bw.Client("http://service", session=wsgi_session(validator(echo)), api_key="k1")
    answer: Any = client.displacement(bore="4 in", stroke="3 in", cylinders=8)
    assert json.loads(answer["body"]) == {"bore": "4 in", "stroke": "3 in", "cylinders": 8}
    assert answer["HTTP_AUTHORIZATION"] == "Bearer k1"
    assert client.last_request_id == "srv-7"


def test_problem_comes_through_it(wsgi_session: Any) -> None:
    def refuse(environ: dict[str, Any], start_response: Any) -> list[bytes]:
        start_response("405 Method Not Allowed", [("Content-Type", "application/problem+json"), ("Allow", "GET")])
        return [b'{"title": ', b'"Method not allowed"}']

    with pytest.raises(bw.MethodNotAllowed, match="Method not allowed") as caught:
        bw.Client("http://service", session=wsgi_session(validator(refuse))).health()
    assert caught.value.headers["Allow"] == "GET"


def test_compressed_and_repeated_headers(wsgi_session: Any) -> None:
    def application(environ: dict[str, Any], start_response: Any) -> list[bytes]:
        start_response("200 OK", [("Content-Type", "text/plain"), ("Content-Encoding", "gzip"), ("Vary", "A"), ("Vary", "B")])
        return [gzip.compress(b"plain")]

    response = wsgi_session(validator(application)).get("http://service/")
    assert response.content == b"plain"
    assert response.headers["Vary"] == "A, B"
    assert (response.status_code, response.reason, response.url) == (200, "OK", "http://service/")


def test_failure_inside_the_application_is_raised_and_its_body_closed(wsgi_session: Any) -> None:
    class Body:
        closed = False

        def __iter__(self) -> Any:
            yield b"half"
            raise KeyError("inside")

        def close(self) -> None:
            self.closed = True

    body = Body()

    def application(environ: dict[str, Any], start_response: Any) -> Body:
        start_response("200 OK", [])
        return body

    with pytest.raises(KeyError, match="inside"):
        wsgi_session(application).get("http://service/")
    assert body.closed


def test_other_hosts_are_not_caught(wsgi_session: Any) -> None:
    session = wsgi_session(echo)
    assert isinstance(session.get_adapter("http://elsewhere/"), requests.adapters.HTTPAdapter)
