"""Every method on every route: what a route does not know is 405 with the methods it does."""

from collections.abc import Callable
from typing import Any

import pytest

from borewright.web.app import create_app
from borewright.web.settings import Settings

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "TRACE", "PROPFIND", "QUERY", "BREW", "M-SEARCH", "GETGET")
ROUTES = {
    str(rule).replace("<name>", name).replace("<operation>", "displacement"): frozenset(rule.methods or ())
    for rule in create_app(Settings()).url_map.iter_rules()
    for name in ("materials" if "reference" in str(rule) else "pages.css" if "docs" in str(rule) else "not-json",)
}


@pytest.mark.parametrize("path", ROUTES)
def test_methods_that_a_route_does_not_know(caller: Any, lawful: Callable[..., Any], path: str) -> None:
    for method in METHODS:
        if method not in ROUTES[path]:
            answer = caller.ask(method, path, headers=b"")
            assert answer.status == 405, (method, path, answer)
            found = lawful(answer)
            assert found is not None or method == "HEAD"
            assert frozenset(allowed.strip() for allowed in answer.headers["allow"].split(",")) == ROUTES[path]


@pytest.mark.parametrize("path", ROUTES)
def test_options_of_every_route(caller: Any, path: str) -> None:
    answer = caller.ask("OPTIONS", path, headers=b"Origin: https://other.example\r\nAccess-Control-Request-Method: POST\r\n")
    assert (answer.status, answer.body) == (200, b"")
    assert frozenset(allowed.strip() for allowed in answer.headers["allow"].split(",")) == ROUTES[path]
    assert not any(name.startswith("access-control") for name in answer.headers), "no other site may call unless a setting says so"


@pytest.mark.parametrize("path", [path for path, methods in ROUTES.items() if "GET" in methods])
def test_a_head_is_the_get_without_its_body(caller: Any, path: str) -> None:
    got, head = caller.ask("GET", path, headers=b""), caller.ask("HEAD", path, headers=b"")
    assert (got.status, head.status) == (200, 200)
    assert head.headers.keys() == got.headers.keys()
    own = {
        "date",
        "x-request-id",
        "traceparent",
        *({"content-length"} if path == "/metrics" else ()),
    }  # the metrics count these very requests
    assert {name: head.headers[name] for name in head.headers.keys() - own} == {
        name: got.headers[name] for name in got.headers.keys() - own
    }


@pytest.mark.parametrize("named", [b"X-HTTP-Method-Override", b"X-HTTP-Method", b"X-Method-Override"])
def test_the_method_is_the_one_of_the_request_line(caller: Any, lawful: Callable[..., Any], named: bytes) -> None:
    answer = caller.ask("GET", "/v1/displacement", headers=named + b": POST\r\n")
    assert answer.status == 405
    lawful(answer)
