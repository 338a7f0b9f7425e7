"""Gives the examples in the client's docstrings a `client` whose service is the answers kept under openapi/, so that they run offline."""

import ast
import asyncio
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
import requests
from _pytest.doctest import DoctestItem

from borewright_client import AsyncClient, Client

ASYNC = "_async"

EXAMPLES = Path(__file__).parent.parent / "openapi" / "examples"
PAGES: dict[str, dict[str, Any]] = {
    "/v1/build-sheet": {"sections": {"displacement": {"displacement": {"value": 1998.22885687, "unit": "cm3"}}}},
    "/v1/reference/units": {"kinds": {"length": {"inch": "in"}}},
    "/v1/openapi.json": {"openapi": "3.1.0"},
    "/health/live": {"status": "live"},
    "/health/ready": {"status": "ready"},
}


class Canned(requests.adapters.BaseAdapter):
    """Answers each path with the answer kept for it, and only to the request that it was the answer to."""

    def __init__(self) -> None:
        super().__init__()
        kept = [json.loads(path.read_text(encoding="utf-8")) for path in EXAMPLES.glob("*.json")]
        self.examples = {example["path"]: example for example in kept}

    def send(self, request: requests.PreparedRequest, *args: object, **options: object) -> requests.Response:
        answer = self.answer(request.path_url, request.body)
        response = requests.Response()
        response.status_code = 200
        response.request = request
        response.headers["Content-Type"] = "application/json"
        response.raw = io.BytesIO(json.dumps(answer).encode())
        return response

    def answer(self, path: str, body: str | bytes | None) -> Any:
        """The kept answer; another request than the kept one is a mistake in the docstring."""
        if path in PAGES:
            return PAGES[path]
        example = self.examples[path]
        if json.loads(body or b"null") != example["request"]:
            raise ValueError(f"{path} keeps no answer to {body!r}")
        return example["answer"]

    def close(self) -> None:
        """Nothing is held open."""


@pytest.fixture(scope="session")
def canned() -> Canned:
    """The kept answers, read once."""
    return Canned()


class Awaited(ast.NodeTransformer):
    """`await call` at the top of an example becomes `run(call)`, as an example itself can't wait."""

    def visit_Await(self, node: ast.Await) -> ast.Call:
        return ast.Call(ast.Name("run", ast.Load()), [self.visit(node.value)], [])

    def visit_AsyncFunctionDef(self, node: ast.AsyncFunctionDef) -> ast.AsyncFunctionDef:
        return node


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if isinstance(item, DoctestItem) and ASYNC in item.path.parts:
            for example in item.dtest.examples:
                tree = compile(example.source, "<example>", "exec", ast.PyCF_ONLY_AST | ast.PyCF_ALLOW_TOP_LEVEL_AWAIT)
                example.source = ast.unparse(ast.fix_missing_locations(Awaited().visit(tree))) + "\n"


@pytest.fixture(autouse=True)
def _client_in_examples(request: pytest.FixtureRequest, canned: Canned, doctest_namespace: dict[str, Any]) -> Iterator[None]:
    if ASYNC not in request.node.path.parts:
        session = requests.Session()
        session.mount("http://", canned)
        doctest_namespace["client"] = Client("http://127.0.0.1:8080", session=session)
        yield
        return
    kept = httpx.MockTransport(lambda asked: httpx.Response(200, json=canned.answer(asked.url.path, asked.content)))
    with asyncio.Runner() as runner:
        doctest_namespace["run"] = runner.run
        doctest_namespace["client"] = AsyncClient("http://127.0.0.1:8080", session=httpx.AsyncClient(transport=kept))
        yield
