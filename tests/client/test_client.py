"""What the service tells about itself."""

import doctest
from collections.abc import Callable
from types import ModuleType
from typing import Any

import pytest
import requests

import borewright_client as bw
from borewright.web.app import create_app
from borewright_client import _client, _operations, _service, _sheet


@pytest.mark.parametrize(
    ("ask", "path"),
    [
        (lambda client: client.reference("materials"), "/v1/reference/materials"),
        (lambda client: client.reference("a/../b?c"), "/v1/reference/a%2F..%2Fb%3Fc"),
        (lambda client: client.openapi(), "/v1/openapi.json"),
        (lambda client: client.health(), "/health/live"),
    ],
    ids=["reference", "odd table", "openapi", "health"],
)
def test_gets(ask: Any, path: str, serve: Any, connect: Any, say: Any) -> None:
    server = serve(say(200, {"rows": [1]}))
    assert ask(connect(server)) == {"rows": [1]}
    assert [(request.method, request.path) for request in server.seen] == [("GET", path)]


def test_ready(serve: Any, connect: Any, say: Any) -> None:
    server = serve(say(200, {"status": "ready"}))
    assert connect(server).ready() is True
    assert server.seen[0].path == "/health/ready"


def test_ready_raises_what_is_not_an_answer_to_it(serve: Any, connect: Any, say: Any) -> None:
    with pytest.raises(bw.NotFound):
        connect(serve(say(404))).ready()
    with pytest.raises(bw.ConnectionFailed):
        connect(serve(lambda handler: handler.reset())).ready()


def test_settings_are_keywords_only() -> None:
    arguments: Any = ("http://127.0.0.1:1", "key")
    with pytest.raises(TypeError, match="positional"):
        bw.Client(*arguments)


@pytest.mark.parametrize("module", [_client, _operations, _service, _sheet], ids=lambda module: module.__name__)
def test_docstrings_show_what_the_service_answers(module: ModuleType, wsgi_session: Callable[..., requests.Session]) -> None:
    with wsgi_session(create_app()) as session:
        results = doctest.testmod(module, extraglobs={"client": bw.Client("http://service", session=session)}, optionflags=doctest.ELLIPSIS)
    assert results.attempted > 0
    assert results.failed == 0
